"""One column of water in 64 layers, from docs/method.md alone: NumPy, implicit mixing, short fixed steps.

It has no edge of the mixed layer inside a layer, no oxygen profile inside a layer and no flow pattern: with
layers of 5 cm there is no need. Sinking water entrains through the base of the mixed layer, and gas passes a
cooling surface faster. Temperature, oxygen, bottom oxygen debt, dead algae; the level stands still, nothing
flows in or out.
"""

from __future__ import annotations

import numpy as np

from tests.engine import independent_physics as nature
from tests.engine.independent_pond import (
    AIR,
    CLOUD,
    DRY_MATTER,
    PER_HEAT,
    PRESSURE,
    SUN,
    VAPOUR,
    WIND,
    weather_now,
)

LAYERS = 64
STEP = 40.0  # s
T, O2, DEBT, DEAD = range(4)
QUANTA = 0.45 * 4.57e-6  # mol of light that algae use per J of sunlight
stirring = np.vectorize(nature.wind_mixing)
background = np.vectorize(nature.background_mixing)
overturning = np.vectorize(nature.convection)


class Column:
    """A zone as a column: layers from the bed up, its scenario and its weather."""

    def __init__(self, scenario, weather_time, weather):
        self.s, self.zone = scenario, scenario.zone[0]
        self.weather_time, self.weather = weather_time, weather
        self.surface = scenario.pond.normal_pool
        self.edge = np.linspace(self.zone.stage[0], self.surface, LAYERS + 1)
        self.middle = 0.5 * (self.edge[1:] + self.edge[:-1])
        self.thick = self.edge[1] - self.edge[0]
        self.area = np.interp(self.edge, self.zone.stage, self.zone.area)
        self.volume = 0.5 * (self.area[1:] + self.area[:-1]) * self.thick
        self.bed = np.diff(self.area)
        self.bed[0] += self.area[0]
        profile = scenario.start.profile[0]
        depth = self.surface - self.middle
        self.state = np.zeros((4, LAYERS))
        self.state[T] = np.interp(depth, profile.depth, profile.temperature)
        self.state[O2] = np.interp(depth, profile.depth, profile.dissolved_oxygen)
        self.mud = np.array([self.state[T], self.state[T]])
        self.now = 0.0  # s
        self.lost = 0.0  # W/m2 given to the air, sunlight left out

    def diffusivity(self, wind2):
        """At the interfaces between layers [m2/s]."""
        rho = nature.density(self.state[T], 0.0, 0.0)
        n2 = -nature.G * np.diff(rho) / self.thick / (0.5 * (rho[1:] + rho[:-1]))
        mixing = self.s.mixing
        turbulent = 0.2 * mixing.dissipation / np.maximum(n2, 7.5e-5)
        calm = np.maximum(
            np.maximum(mixing.background_multiplier * background(self.area[-1], n2), turbulent),
            mixing.diffusivity_floor,
        )
        stirred = stirring(self.surface - self.edge[1:-1], wind2, self.s.place.latitude, n2)
        return calm + stirred + overturning(n2, mixing.convective_diffusivity)

    def mix(self, wind2):
        """One step of vertical mixing, backward in time."""
        conductance = self.diffusivity(wind2) * self.area[1:-1] / self.thick * STEP
        lower, upper = np.append(0.0, conductance), np.append(conductance, 0.0)
        matrix = np.diag(self.volume + lower + upper) - np.diag(conductance, 1) - np.diag(conductance, -1)
        self.state = np.linalg.solve(matrix, (self.state * self.volume).T).T

    def rates(self, now, given):
        """Sources and sinks in amounts per second, and of the mud's two temperatures."""
        gain = np.zeros_like(self.state)
        self.through_surface(now, gain)
        lit, sunned = self.light_and_algae(now, given, gain)
        self.overshoot(sunned, gain)
        self.oxidation(gain)
        k = self.s.bed.heat_conductivity
        into = k / 0.05 * (self.state[T] - self.mud[0])
        down = k / 0.3 * (self.mud[0] - self.mud[1])
        away = k / 1.0 * (self.mud[1] - self.s.ground.temperature)
        gain[T] -= into * self.bed * PER_HEAT
        return gain, np.array([(into + lit - down) / 0.32e6, (down - away) / 1.6e6])

    def through_surface(self, now, gain):
        """Heat and oxygen exchanged with the air."""
        t, air, vapour, pressure = self.state[T, -1], now[AIR], now[VAPOUR], now[PRESSURE]
        wind10 = now[WIND] * self.s.mixing.wind_reduction
        own = nature.vapour_pressure(t)
        f = nature.wind_function(t, own, air, vapour, 0.748 * wind10, pressure)
        loss = 0.97 * nature.SIGMA * t**4 + f * (own - vapour) + 61 * pressure / 1e5 * f * (t - air)
        self.lost = loss - nature.sky(air, vapour, now[CLOUD])
        gain[T, -1] -= self.lost * self.area[-1] * PER_HEAT
        velocity = nature.gas_velocity(t, wind10, self.s.gas_transfer.k600_at_no_wind)
        velocity *= self.renewed_by_cooling(wind10, self.lost - now[SUN])
        full = nature.saturation(t, 0.0, pressure)
        gain[O2, -1] += velocity * self.area[-1] * (full - self.state[O2, -1])

    def renewed_by_cooling(self, wind10, net_loss):
        """How many times faster gas passes a surface that cools than the wind alone makes it."""
        gas = self.s.gas_transfer
        if gas.law != "wind and cooling" or net_loss <= 0.0 or nature.density_slope(self.state[T, -1]) >= 0.0:
            return 1.0
        by_wind = gas.k600_at_no_wind + 0.215 * wind10**1.7 / 360000
        by_cooling = 2.04 * wind10 / 360000 + gas.k600_cooling
        return 1.0 + min(net_loss / gas.surely_cooling, 1.0) * max(by_cooling / by_wind - 1.0, 0.0)

    def overshoot(self, sunned, gain):
        """Sinking water exchanges through each step of density that it feels; `sunned`: of each layer [W]."""
        mixing, rho = self.s.mixing, nature.density(self.state[T], 0.0, 0.0)
        left, heat = 1.0, self.lost * self.area[-1]  # share of the flux left; loss of the layers above [W]
        for under in range(LAYERS - 2, -1, -1):
            above = slice(under + 1, LAYERS)
            heat -= sunned[under + 1]
            heavier = -nature.density_slope(self.state[T, -1]) * heat * PER_HEAT  # kg/s
            if heavier <= 0.0 or left <= 0.0:
                return
            whole = self.volume[above].sum()
            share = self.volume[above] / whole
            step = rho[under] - rho[above] @ share
            x = min(max((step / mixing.stopping_step - 0.1) / 0.9, 0.0), 1.0)
            felt = left * x * x * (3.0 - 2.0 * x)
            left -= felt
            if felt > 0.0:
                base = self.area[under + 1] / self.area[-1]
                flow = felt * mixing.cooling_entrainment * heavier * base / step
                gain[:, under] += flow * (self.state[:, above] @ share - self.state[:, under])
                gain[:, above] += flow * share * (self.state[:, [under]] - self.state[:, above])

    def light_and_algae(self, now, given, gain):
        """Sunlight in water and on the bed, which is given back [W/m2]; what algae make and use."""
        algae = self.s.algae
        dead = np.maximum(self.state[DEAD], 0.0)
        fade = nature.extinction(self.s.light.background_extinction, given, 0.0, dead / DRY_MATTER)
        lit, sunned, over = self.sunlight(now, fade * self.thick, gain)
        quanta = now[SUN] * QUANTA * (1 - self.s.light.albedo) / algae.light_saturation * np.exp(-over)
        mean = np.diff(np.arcsinh(quanta)) / (fade * self.thick)
        warmer = np.minimum(self.state[T], 301.15) - 293.15
        factor, burnt = algae.photosynthesis_theta**warmer, algae.respiration_theta**warmer
        oxygen = np.maximum(self.state[O2], 0.0)
        made = given * factor * algae.photosynthesis * mean * self.volume
        used = given * burnt * algae.respiration * oxygen / (oxygen + 0.2e-3) * self.volume
        gain[O2] += made - used
        gain[DEAD] += made - used * dead / (dead + 0.2e-3)
        return lit, sunned

    def sunlight(self, now, fade, gain):
        """Warm the water; light on the bed [W/m2], what each layer took [W], optical depth at the edges."""
        light = self.s.light
        over = np.append(np.cumsum(fade[::-1])[::-1], 0.0)
        red = light.near_infrared_share * np.exp(-(self.surface - self.edge) / 0.15)
        visible = (1 - light.near_infrared_share) * np.exp(-over)
        at = now[SUN] * (1 - light.albedo) * (red + visible)
        sunned = np.diff(at) * 0.5 * (self.area[1:] + self.area[:-1])
        lit = 0.5 * (at[1:] + at[:-1])
        # all light that reaches the level floor warms it
        sunned[0] += (at[1] - at[0]) * (self.area[1] - 0.5 * (self.area[0] + self.area[1]))
        gain[T] += sunned * PER_HEAT
        lit[0] = at[0] * self.area[1] / self.bed[0]
        return lit, sunned, over

    def oxidation(self, gain):
        """What the bed takes, what it lets out, and what becomes of that."""
        bed, debt = self.s.bed, self.s.bottom_oxygen_debt
        oxygen, warmer = np.maximum(self.state[O2], 0.0), self.state[T] - 293.15
        demand = bed.oxygen_demand * bed.oxygen_demand_theta**warmer * self.bed
        met = oxygen / (oxygen + bed.half_saturation)
        paid = debt.oxidation * 1.08**warmer * oxygen / (oxygen + debt.half_saturation) * self.volume
        paid = paid * self.state[DEBT]
        gain[O2] -= demand * met + paid
        gain[DEBT] += demand * (1 - met) * bed.reduced_share - paid

    def shown(self):
        """Temperature [K] and oxygen [kg/m3]."""
        return self.state[[T, O2]].copy()

    def means(self, values, edges):
        """Means of profiles over the layers between `edges`, from the bed up."""
        shared = np.minimum(self.edge[1:], edges[1:, None]) - np.maximum(self.edge[:-1], edges[:-1, None])
        held = np.maximum(shared, 0.0) * self.volume
        return values @ held.T / held.sum(axis=1)

    def march(self, until):
        """What is shown of the profiles at every whole hour until a time [s]."""
        kept = [self.shown()]
        for step in range(round(until / STEP)):
            self.now = (step + 0.5) * STEP
            now, given = weather_now(self, self.now), self.s.algae.chlorophyll[0]
            gain, warmed = self.rates(now, given)
            self.state = self.state + STEP * gain / self.volume
            self.mud = self.mud + STEP * warmed
            self.mix(0.748 * now[WIND] * self.s.mixing.wind_reduction)
            if (step + 1) * STEP % 3600.0 == 0.0:
                kept.append(self.shown())
        return np.array(kept)
