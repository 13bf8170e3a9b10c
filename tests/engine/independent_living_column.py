"""The column of independent_column.py with grown algae, phosphorus and an ageing bed, from docs/method.md.

One kind of algae; no settling classes, ammonium or ice.
"""

from __future__ import annotations

import numpy as np

from tests.engine.independent_column import DEAD, DEBT, LAYERS, O2, QUANTA, STEP, Column, T
from tests.engine.independent_pond import DRY_MATTER, SUN

BOD, CARBON, P, DEAD_P = range(4, 8)  # rows after those of the column
CHLOROPHYLL = 8  # row under them of what is shown
FAST, SLOW, OLD, FAST_P, SLOW_P, BOUND = range(6)  # rows of the bed, in kg under each layer
PER_CARBON = 32.0 / 12.0  # kg of oxygen
DAY = 86400.0


class LivingColumn(Column):
    """A zone in which algae grow."""

    def __init__(self, scenario, weather_time, weather):
        super().__init__(scenario, weather_time, weather)
        start, algae, bed = scenario.start, scenario.algae, scenario.bed
        self.state = np.vstack([self.state, np.zeros((4, LAYERS))])
        self.state[CARBON] = start.chlorophyll * algae.carbon_to_chlorophyll
        self.state[P] = start.dissolved_phosphorus
        self.decay = np.array([bed.fast_decay, bed.slow_decay, bed.old_decay])
        shares = np.array([0.5, 0.2, 0.3])
        self.store = np.zeros((6, LAYERS))
        self.store[: OLD + 1] = np.outer(shares / self.decay, bed.oxygen_demand * self.bed)
        self.store[FAST_P : SLOW_P + 1] = self.store[: SLOW + 1] / (PER_CARBON * algae.carbon_to_phosphorus)
        self.store[BOUND] = scenario.phosphorus.bound_start * self.bed
        self.chlorophyll = self.state[CARBON] / algae.carbon_to_chlorophyll
        self.sun_by_hour = np.interp(np.arange(0.0, weather_time[-1], 3600.0), weather_time, weather[:, SUN])

    def light_of_a_day(self):
        """Light of the last 24 hours at the surface, of the first day's before that is over [mol/m2/d]."""
        begin = max(self.now - DAY, 0.0)
        sun = np.interp(
            begin + 3600.0 * np.arange(25), 3600.0 * np.arange(self.sun_by_hour.size), self.sun_by_hour
        )
        return (sun[1:] + sun[:-1]).mean() / 2.0 * QUANTA * DAY * (1.0 - self.s.light.albedo)

    def fading(self, chlorophyll):
        """Optical thickness of each layer."""
        light, dead = self.s.light, np.maximum(self.state[DEAD], 0.0) / DRY_MATTER
        algae = chlorophyll * light.algae_extinction
        return (light.background_extinction + algae + dead * light.detritus_extinction) * self.thick

    def adapt(self, fade):
        """Chlorophyll of algae at home in the light from the surface to where they are [kg/m3]."""
        over = np.append(np.cumsum(fade[::-1])[::-1], 0.0)
        lit = (np.exp(-over[1:]) - np.exp(-over[:-1])) / fade * self.thick  # summed over each layer [m]
        above = np.append(np.cumsum(lit[::-1])[::-1][1:], 0.0)
        half = np.exp(-over[1:]) * (1.0 - np.exp(-0.5 * fade)) / fade * self.thick
        depth = self.surface - self.middle
        middle = (above + half) / depth
        whole = np.append(0.0, np.cumsum(lit[::-1]))
        home = np.interp(
            self.s.algae.home_depth, np.append(0.0, np.cumsum(np.full(LAYERS, self.thick))), whole
        )
        mean = np.minimum(middle, home / self.s.algae.home_depth) * self.light_of_a_day()
        dissolved = np.maximum(self.state[P], 0.0)
        fed = dissolved / (dissolved + self.s.algae.half_saturation)
        ratio = 0.003 + 0.0154 * np.exp(0.050 * (self.state[T] - 273.15)) * np.exp(-0.059 * mean) * fed
        self.chlorophyll = np.clip(ratio, 1.0 / 160.0, 1.0 / 20.0) * np.maximum(self.state[CARBON], 0.0)

    def light_and_algae(self, now, given, gain):
        """Sunlight; growth, respiration, excretion and death."""
        s, a, light = self.s, self.s.algae, self.s.light
        self.adapt(self.fading(np.maximum(self.state[CARBON], 0.0) / 40.0))
        fade = self.fading(self.chlorophyll)
        lit, sunned, over = self.sunlight(now, fade, gain)
        quanta = now[SUN] * QUANTA * (1 - light.albedo) / a.growth_light * np.exp(-over)
        warm = np.minimum(self.state[T], 301.15) - 293.15
        dissolved, oxygen = np.maximum(self.state[P], 0.0), np.maximum(self.state[O2], 0.0)
        carbon = np.maximum(self.state[CARBON], 0.0) * self.volume
        gross = carbon * a.growth * a.growth_theta**warm * np.diff(np.arcsinh(quanta)) / fade
        gross = gross * dissolved / (dissolved + a.half_saturation)
        lost = a.loss_theta ** (self.state[T] - 293.15) * carbon
        oxic = oxygen / (oxygen + 0.2e-3)
        resting = a.maintenance * lost * oxic
        died = (a.mortality + a.anoxic_mortality * (1.0 - oxic)) * lost
        kept = 1.0 - a.growth_respiration - a.excretion
        gain[CARBON] += kept * gross - resting - died
        gain[O2] += PER_CARBON * ((1.0 - a.growth_respiration) * gross - resting)
        gain[BOD] += PER_CARBON * a.excretion * gross
        gain[DEAD] += PER_CARBON * died
        share = s.phosphorus.death_share
        gain[P] += (resting + share * died - kept * gross) / a.carbon_to_phosphorus
        gain[DEAD_P] += (1.0 - share) * died / a.carbon_to_phosphorus
        return lit, sunned

    def owed(self):
        """Share of what decays without oxygen that leaves as debt."""
        return self.s.bed.reduced_share / (1.0 + np.maximum(self.state[DEBT], 0.0) / self.s.bed.debt_ceiling)

    def oxidation(self, gain):
        """Decay in the water and in the bed, what settles, and the debt."""
        self.decay_in_water(gain)
        self.decay_in_bed(gain)
        self.settle(gain)
        debt, oxygen = self.s.bottom_oxygen_debt, np.maximum(self.state[O2], 0.0)
        paid = debt.oxidation * 1.08 ** (self.state[T] - 293.15) * oxygen / (oxygen + debt.half_saturation)
        paid = paid * self.state[DEBT] * self.volume
        gain[O2] -= paid
        gain[DEBT] -= paid

    def decay_in_water(self, gain):
        organic, oxygen, warmer = (
            self.s.organic_matter,
            np.maximum(self.state[O2], 0.0),
            self.state[T] - 293.15,
        )
        oxic = oxygen / (oxygen + 0.5e-3)
        spent = organic.bod_decay * 1.047**warmer * oxic * self.state[BOD] * self.volume
        rate = organic.grown_decay * self.s.algae.loss_theta**warmer * self.volume
        with_it, without = rate * oxic, rate * organic.anoxic_decay * (1.0 - oxic)
        freed = self.s.phosphorus.detritus_speed * (with_it + without) * self.state[DEAD_P]
        gain[BOD] -= spent
        gain[DEAD] -= (with_it + without) * self.state[DEAD]
        gain[O2] -= spent + with_it * self.state[DEAD]
        gain[DEBT] += self.owed() * without * self.state[DEAD]
        gain[DEAD_P] -= freed
        gain[P] += freed

    def decay_in_bed(self, gain):
        bed, phosphorus, oxygen = self.s.bed, self.s.phosphorus, np.maximum(self.state[O2], 0.0)
        assert self.state[T].min() > 283.15  # theta alone holds above 10 degC
        warm = bed.oxygen_demand_theta ** (self.state[T] - 293.15)
        met = oxygen / (oxygen + bed.half_saturation)
        wanted = warm * self.decay[:, None] * self.store[: OLD + 1]
        gain[O2] -= wanted.sum(axis=0) * met
        gain[DEBT] += self.owed() * bed.anoxic_decay * wanted.sum(axis=0) * (1.0 - met)
        slowed = met + bed.anoxic_decay * (1.0 - met)
        freed = warm * slowed * self.decay[:2, None] * self.store[FAST_P : SLOW_P + 1]
        back = phosphorus.bed_return * met + phosphorus.bed_return_anoxic * (1.0 - met)
        released = phosphorus.bound_release * warm * (1.0 - met) * self.store[BOUND]
        gain[P] += freed.sum(axis=0) * back + released
        self.store[: OLD + 1] -= STEP * wanted * slowed
        self.store[FAST_P : SLOW_P + 1] -= STEP * freed
        bound = freed.sum(axis=0) * (1.0 - back) - released - phosphorus.burial * self.store[BOUND]
        self.store[BOUND] += STEP * bound

    def settle(self, gain):
        """Algae, dead algae and their phosphorus fall to the layer below and to the bed of their own."""
        organic, a, bed = self.s.organic_matter, self.s.algae, self.s.bed
        shares = np.array([bed.fast_share, bed.slow_share])[:, None]
        for row, speed, oxygen, phosphorus in (
            (CARBON, a.sinking, PER_CARBON, 1.0 / a.carbon_to_phosphorus),
            (DEAD, organic.grown_settling, 1.0, 0.0),
            (DEAD_P, organic.grown_settling, 0.0, 1.0),
        ):
            flux = speed * self.state[row]
            gain[row] -= flux * self.area[1:]
            gain[row, :-1] += flux[1:] * self.area[1:-1]
            landed = STEP * flux * self.bed
            self.store[FAST : SLOW + 1] += shares * oxygen * landed
            self.store[FAST_P : SLOW_P + 1] += shares / shares.sum() * phosphorus * landed

    def shown(self):
        """The whole state, and under it chlorophyll [kg/m3]."""
        return np.vstack([self.state, self.chlorophyll])
