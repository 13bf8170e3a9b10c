"""What happens in the water of the second pond and on its bed, and the march through time."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from tests.engine import independent_physics as nature
from tests.engine.independent_pond import (
    AGE_FALL,
    AGE_IN,
    BOD,
    CLASS,
    DEAD,
    DEBT,
    DRY_MATTER,
    NH4,
    O2,
    PER_HEAT,
    PRESSURE,
    SALT,
    SUN,
    WIND,
    T,
    chlorophyll_now,
    is_running,
)
from tests.engine.independent_sinking import mixed_layer
from tests.engine.independent_water import (
    Moment,
    fallen,
    flows_between,
    inflows,
    outlet_and_ground,
    plume,
    stability_now,
    through_surface,
    waterfall,
)


def rates(pond, time, state, on):
    """Rates of change of the whole state."""
    m = Moment(pond, time, state, on)
    through_surface(m)
    inflows(m)
    outlet_and_ground(m)
    waterfall(m)
    for unit, running in zip(pond.s.aeration, m.air_on, strict=True):
        if running:
            plume(m, unit)
            bubbles(m, unit)
    flows_between(m)
    light_and_algae(m)
    decay(m)
    bed_demand(m)
    settling(m)
    banks_and_mud(m)
    grown = m.water.sum()
    mixed_layer(m, m.shape.rise * grown)
    m.amount[:, AGE_IN] += m.shape.volume
    m.amount[:, AGE_FALL] += m.shape.volume
    table = (m.amount - m.c * (m.shape.rise * grown)[:, None]) / m.shape.volume[:, None]
    heat = bed_heat(m)
    fading = (stability_now(m) - m.stability) / 3600.0
    parts = [grown], table.ravel(), heat.ravel(), m.bed_rate, m.mass_rate.ravel(), fading
    return np.concatenate(parts)


def bubbles(m, unit):
    """Standard efficiency per meter, alpha; beta 0.99 and effective depth 0.35 of submergence (chosen)."""
    column = m.pond.columns[m.pond.zone(unit.zone)]
    depth, pressure = m.shape.level - unit.elevation, m.now[PRESSURE]
    efficiency = {"fine": 0.04, "tubing": 0.03, "coarse": 0.02}[unit.kind]
    efficiency = efficiency if unit.transfer_efficiency is None else unit.transfer_efficiency
    supply = 0.2315 * 0.075 * 0.45359237 / 0.3048**3 * unit.air_flow * unit.diffusers
    standard = supply * min(efficiency * depth, 1)
    weight = nature.RHO * nature.G * 0.35 * depth
    base = max(unit.elevation, m.shape.bottom[column[0]])
    for b in column:
        path = max(m.shape.top[b] - max(m.shape.bottom[b], base), 0) / (m.shape.level - base)
        t = m.c[b, T]
        own = 0.99 * nature.saturation(t, m.c[b, SALT], pressure)
        own *= 1 + weight / (pressure - nature.vapour_pressure(t))
        test = 9.092e-3 * (1 + weight / (nature.ATM - 2339))
        warmth = 1.024 ** (t - 293.15)
        m.amount[b, O2] += path * standard * unit.alpha * warmth * (own - m.c[b, O2]) / test


def light_and_algae(m):
    """Sunlight down each column: heat in water and bed, photosynthesis by the mean over each layer."""
    algae, light, sun = m.s.algae, m.s.light, m.now[SUN]
    given, dying = chlorophyll_now(m.pond, m.time)
    m.lit_bed = np.zeros(len(m.rho))
    for i, column in enumerate(m.pond.columns):
        entering = (1 - light.albedo) * (1 - m.pond.cover[i])
        red, visible = light.near_infrared_share, 1 - light.near_infrared_share
        share = 1.0  # of photosynthetic light left
        for b in column[::-1]:
            solids, h = m.c[b, CLASS:].sum() * (1 - m.s.solids.organic_share), m.shape.thick[b]
            k = nature.extinction(light.background_extinction, given[i], solids, m.c[b, DEAD] / DRY_MATTER)
            red2, visible2 = red * math.exp(-h / 0.15), visible * math.exp(-k * h)
            above, below = sun * entering * (red + visible), sun * entering * (red2 + visible2)
            at, ab = m.shape.area_top[b], m.shape.area_bottom[b]
            if b == column[0]:
                m.amount[b, T] += (above - below) * at * PER_HEAT
                m.lit_bed[b] = below * at / m.shape.bed[b]
            else:
                m.amount[b, T] += (above - below) * 0.5 * (at + ab) * PER_HEAT
                m.lit_bed[b] = 0.5 * (above + below)
            quanta = sun * 0.45 * 4.57e-6 * entering / algae.light_saturation
            mean = (math.asinh(quanta * share) - math.asinh(quanta * share * math.exp(-k * h))) / (k * h)
            share *= math.exp(-k * h)
            red, visible = red2, visible2
            algae_in_box(m, b, given[i], dying[i], mean)


def algae_in_box(m, b, given, dying, mean):
    """Oxygen of the given algae; what they make is dead matter, which feeds their respiration (chosen)."""
    algae, volume = m.s.algae, m.shape.volume[b]
    warmer = min(m.c[b, T], 301.15) - 293.15
    factor, burnt = algae.photosynthesis_theta**warmer, algae.respiration_theta**warmer
    oxygen, dead, ammonium = (max(m.c[b, k], 0) for k in (O2, DEAD, NH4))
    made = given * volume * factor * algae.photosynthesis * mean
    used = given * volume * burnt * algae.respiration * oxygen / (oxygen + 0.2e-3)
    killed = dying * 32 / 12 * algae.carbon_to_chlorophyll * volume
    m.amount[b, O2] += made - used
    m.amount[b, DEAD] += made - used * dead / (dead + 0.2e-3) + killed
    m.amount[b, NH4] += m.s.bed.ammonium_release * (used - made * ammonium / (ammonium + 0.02e-3))


def decay(m):
    """Carbonaceous demand, dead algae, nitrification, bottom oxygen debt."""
    for b, volume in enumerate(m.shape.volume):
        t, oxygen = m.c[b, T] - 293.15, max(m.c[b, O2], 0)
        rate = m.s.organic_matter.bod_decay * 1.047**t * oxygen / (oxygen + 0.5e-3) * volume
        bod, dead = rate * m.c[b, BOD], rate * m.c[b, DEAD]
        nitrified = m.s.nitrogen.nitrification * 1.08**t * oxygen / (oxygen + 1e-3) * volume * m.c[b, NH4]
        debt = m.s.bottom_oxygen_debt
        paid = debt.oxidation * 1.08**t * oxygen / (oxygen + debt.half_saturation) * volume * m.c[b, DEBT]
        m.amount[b, BOD] -= bod
        m.amount[b, DEAD] -= dead
        m.amount[b, DEBT] -= paid
        m.amount[b, NH4] += m.s.bed.ammonium_release * (bod + dead) - nitrified
        m.amount[b, O2] -= bod + dead + paid + 64 / 14 * nitrified


def bed_demand(m):
    """Demand of the old bed and of what has settled since."""
    bed = m.s.bed
    for b, i in enumerate(m.pond.zone_of):
        own = m.s.zone[i].bed_oxygen_demand
        factor = bed.oxygen_demand_theta ** (m.c[b, T] - 293.15)
        new = bed.organic_decay * m.bed_organics[b] * factor
        demand = (bed.oxygen_demand if own is None else own) * m.shape.bed[b] * factor + new
        oxygen = max(m.c[b, O2], 0)
        column = m.pond.columns[i]
        lean = leaning(np.maximum(m.c[column, O2], 0), b - column[0])
        at = oxygen + lean * np.array([-0.75, -0.25, 0.25, 0.75])
        met = np.mean(at / (at + bed.half_saturation))
        if b == column[0]:  # the level floor lies at the layer's bottom
            floor = min(m.s.zone[i].area[0] / m.shape.bed[b], 1)
            met = (1 - floor) * met + floor * (oxygen - lean) / (oxygen - lean + bed.half_saturation)
        m.amount[b, O2] -= demand * met
        m.amount[b, DEBT] += demand * (1 - met) * bed.reduced_share
        m.amount[b, NH4] += bed.ammonium_release * demand
        m.bed_rate[b] -= new


def leaning(oxygen, k):
    """Oxygen at the top of a layer less that in its middle; no end is below 0 or overshoots."""
    steps = np.diff(oxygen)
    if not len(steps):
        return 0.0
    up, down = steps[min(k, len(steps) - 1)], steps[max(k - 1, 0)]
    if up * down <= 0:
        return 0.0
    return np.sign(up) * min(abs(up + down) / 4, abs(up), abs(down), oxygen[k])


def bed_heat(m):
    """Two layers, 0.1 and 0.5 m, 3.2e6 J/m3/K, 1 m over ground of steady temperature (chosen)."""
    k, t = m.s.bed.heat_conductivity, m.bed_heat
    into = k / 0.05 * (m.c[:, T] - t[:, 0])
    down = k / 0.3 * (t[:, 0] - t[:, 1])
    away = k / 1.0 * (t[:, 1] - m.s.ground.temperature)
    return np.stack([(into + m.lit_bed - down) / 0.32e6, (down - away) / 1.6e6], axis=1)


def settling(m):
    """Solids and dead algae, to the box below and to the bed; heat into the bed leaves the water here too."""
    m.amount[:, T] -= (
        m.s.bed.heat_conductivity / 0.05 * (m.c[:, T] - m.bed_heat[:, 0]) * m.shape.bed * PER_HEAT
    )
    speeds = np.array([m.s.organic_matter.detritus_settling, *m.s.solids.settling_velocity])
    columns = [DEAD, *range(CLASS, CLASS + m.pond.classes)]
    for b, i in enumerate(m.pond.zone_of):
        flux = speeds * m.c[b, columns]
        m.amount[b, columns] -= flux * m.shape.area_top[b]
        if m.shape.area_bottom[b] > 0:
            m.amount[b - 1, columns] += flux * m.shape.area_bottom[b]
        settled = flux * m.shape.bed[b]
        m.mass_rate[i] += settled[1:]
        m.bed_rate[b] += settled[0] + settled[1:].sum() * m.s.solids.organic_share * DRY_MATTER


def banks_and_mud(m):
    """Eroding banks, and mud lifted by waves and under the waterfall while there is any."""
    stirred, share = m.s.resuspension, np.array(m.s.solids.share)
    wind10 = m.now[WIND] * m.s.mixing.wind_reduction
    fetch = m.s.pond.fetch or m.pond.length
    for i, column in enumerate(m.pond.columns):
        m.amount[column[-1], CLASS:] += m.s.zone[i].shoreline * m.s.solids.shoreline_erosion * share
        lifting = 0.0
        if (stirred.waves or fetch >= 300) and wind10 > 0.5:
            for b in column:
                depth = max(m.shape.level - m.shape.middle[b], 0.05)
                stress = nature.wave_stress(wind10, fetch, depth, stirred.grain_size)
                excess = max(stress / stirred.critical_stress - 1, 0)
                lifting += stirred.erosion_rate * excess * m.shape.bed[b]
        if stirred.at_return and m.pump_on and m.s.waterfall and m.s.waterfall.zone == m.pond.names[i]:
            speed, sheet, depth, _ = fallen(m)
            stress = 0.005 * nature.RHO * (speed / nature.plane_jet(depth, sheet)) ** 2
            excess = max(stress / stirred.critical_stress - 1, 0)
            lifting += stirred.erosion_rate * excess * min(math.pi * depth**2, m.shape.surface[i])
        held, area = m.bed_mass[i].sum(), m.shape.bed[column].sum()
        if lifting <= 0 or held <= 0:
            continue
        lifted = lifting * held / (held + 0.05 * area)
        parts = m.shape.bed[column] / area
        m.amount[column, CLASS:] += lifted * parts[:, None] * m.bed_mass[i] / held
        m.mass_rate[i] -= lifted * m.bed_mass[i] / held
        organic = np.minimum(m.bed_organics[column] / held, m.s.solids.organic_share * DRY_MATTER * parts)
        m.bed_rate[column] -= lifted * organic


def simulate(pond, start, times):
    """States at the given times; solved anew from each moment at which something switches."""
    breaks = {float(t) for t in times} | {float(t) for t in pond.weather_time}
    for event in pond.s.inflow:
        begin = pond.seconds(event.start)
        breaks |= {begin, begin + event.duration / 3, begin + event.duration}
    for crash in pond.s.bloom_crash:
        begin = pond.seconds(crash.start)
        breaks |= {begin, begin + crash.duration, begin + crash.duration + crash.recovery}
    midnight = -(pond.s.period.start.hour * 3600.0 + pond.s.period.start.minute * 60)
    units = [*pond.s.aeration, *([pond.s.pump] if pond.s.pump else [])]
    days = range(-1, int(times[-1] // 86400) + 2)
    breaks |= {midnight + 86400.0 * d + at for u in units for span in u.hours for at in span for d in days}
    stops = sorted(t for t in breaks if times[0] <= t <= times[-1])
    start = np.concatenate([start, stability_now(Moment(pond, times[0], start, []))])
    state, kept = start, {times[0]: start}
    for begin, end in pairwise(stops):
        middle = 0.5 * (begin + end)
        on = [is_running(u.hours, pond, middle) for u in units]
        allowed = tolerance(pond, start.size)
        answer = solve_ivp(
            lambda t, y, on=on: rates(pond, t, y, on),
            (begin, end),
            state,
            method="RK23",
            rtol=1e-6,
            atol=allowed,
        )
        if not answer.success:
            raise RuntimeError(answer.message)
        state = answer.y[:, -1]
        if end in times:
            kept[end] = state
    return np.array([kept[t] for t in times])


def tolerance(pond, size):
    """Absolute errors allowed: 1e-5 K, 1e-5 mg/L of oxygen, and the like."""
    allowed = np.full(size, 1e-5)
    allowed[0] = 1e-4
    table = np.full(pond.table, 1e-7)
    table[:, T], table[:, O2], table[:, AGE_IN : AGE_FALL + 1] = 1e-5, 1e-8, 10.0
    allowed[1 : 1 + table.size] = table.ravel()
    return allowed
