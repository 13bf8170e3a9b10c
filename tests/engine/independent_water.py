"""How water moves in the second pond: through the surface, in and out, in jets and plumes, between boxes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from tests.engine import independent_physics as nature
from tests.engine.independent_pond import (
    AGE_FALL,
    AGE_IN,
    AIR,
    BOD,
    CLASS,
    CLOUD,
    NH4,
    O2,
    PER_HEAT,
    PRESSURE,
    RAIN,
    SALT,
    VAPOUR,
    WIND,
    Shape,
    T,
    storm_flow,
    unpack,
    weather_now,
)


def rho_of(water):
    return nature.density(water[..., T], water[..., SALT], water[..., CLASS:].sum(axis=-1))


def drawn(pond, shape, rho, zone, elevation, flow, density=None):
    """Shares of layers in a flow around an elevation: slices weighted by 1/(1 + g' d^5/(s^3 Q)^2)^2."""
    column = pond.columns[zone]
    middle = shape.middle[column]
    elevation = min(max(elevation, shape.bottom[column[0]]), shape.top[column[-1]])
    own = np.interp(elevation, middle, rho[column]) if density is None else density
    reach = pond.s.mixing.intrusion_spread**3 * max(flow, 1e-6)
    shares = np.zeros(len(rho))
    for b in column:
        edges = np.linspace(shape.bottom[b], shape.top[b], 9)
        z = 0.5 * (edges[1:] + edges[:-1])
        reduced = nature.G * np.abs(np.interp(z, middle, rho[column]) - own) / nature.RHO
        ratio = reduced * np.abs(z - elevation) ** 5 / reach**2
        shares[b] = (np.diff(edges) / (1 + ratio) ** 2).sum()
    return shares / shares.sum()


def rested(pond, shape, rho, zone, density, flow):
    """Shares of layers in which water comes to rest: around the lowest elevation of its own density."""
    column = pond.columns[zone]
    z = np.linspace(shape.bottom[column[0]], shape.top[column[-1]], 20001)
    profile = np.interp(z, shape.middle[column], rho[column])
    reached = np.flatnonzero(profile <= density)
    level = z[reached[0]] if len(reached) else z[-1]
    return drawn(pond, shape, rho, zone, level, flow, density)


class Moment:
    """Everything known at one time, and the sums that the processes add to."""

    def __init__(self, pond, time, state, on):
        self.pond, self.s, self.time = pond, pond.s, time
        volume, self.c, self.bed_heat, self.bed_organics, self.bed_mass, self.stability = unpack(pond, state)
        self.shape = Shape(pond, pond.level(volume))
        self.now = weather_now(pond, time)
        self.rho = rho_of(self.c)
        units = len(pond.s.aeration)
        self.air_on, self.pump_on = on[:units], bool(on[units:]) and on[units]
        self.water = np.zeros(len(self.rho))  # gained from outside or carried by pipes and jets [m3/s]
        self.amount = np.zeros_like(self.c)  # gains of what is in it
        self.flow = np.zeros(len(self.shape.faces))  # flows known beforehand: those back down beside plumes
        self.bed_rate = np.zeros_like(self.bed_organics)
        self.mass_rate = np.zeros_like(self.bed_mass)
        self.tops = np.array([column[-1] for column in pond.columns])

    def give(self, shares, flow, content):
        self.water += flow * shares
        self.amount += flow * shares[:, None] * content

    def take(self, shares, flow):
        """Draw water in the given shares; returns what it holds."""
        self.water -= flow * shares
        self.amount -= flow * shares[:, None] * self.c
        return shares @ self.c


def through_surface(m):
    """Heat, water and oxygen exchanged with the air."""
    air, vapour, pressure, rain = (m.now[k] for k in (AIR, VAPOUR, PRESSURE, RAIN))
    wind10 = m.now[WIND] * m.s.mixing.wind_reduction
    for i, b in enumerate(m.tops):
        t, area = m.c[b, T], m.shape.surface[i]
        own = nature.vapour_pressure(t)
        f = nature.wind_function(t, own, air, vapour, 0.748 * wind10, pressure)
        evaporation = f * (own - vapour)
        loss = 0.97 * nature.SIGMA * t**4 + evaporation + 61 * pressure / 1e5 * f * (t - air)
        m.amount[b, T] += (nature.sky(air, vapour, m.now[CLOUD]) - loss) * area * PER_HEAT
        gone = evaporation / (2.501e6 - 2361 * (t - 273.15)) / nature.RHO * area
        m.water[b] += rain * area - gone
        m.amount[b, [T, AGE_IN, AGE_FALL]] -= gone * m.c[b, [T, AGE_IN, AGE_FALL]]
        m.amount[b, T] += rain * area * air
        full = nature.saturation(t, m.c[b, SALT], pressure)
        velocity = nature.gas_velocity(t, wind10, m.s.gas_transfer.k600_at_no_wind)
        m.amount[b, O2] += velocity * area * (1 - m.pond.cover[i]) * (full - m.c[b, O2]) + rain * area * full


def carried_by(m, source):
    """What an inflow carries."""
    content = np.zeros(m.c.shape[1])
    content[T] = max(m.now[AIR], 273.2) if source.temperature is None else source.temperature
    content[BOD] = source.bod5 / (1 - math.exp(-5 * 86400 * m.s.organic_matter.bod_decay))
    content[NH4] = source.ammonium
    content[SALT] = 1.80655 * 1000 * source.chloride / nature.RHO
    content[CLASS:] = source.suspended_solids * np.array(m.s.solids.share)
    content[O2] = source.oxygen_saturation * nature.saturation(content[T], content[SALT], m.now[PRESSURE])
    return content


def inflows(m):
    """Storms and base flow: mixed with water from around the surface, then down to their density."""
    flows = [(e, storm_flow(m.pond, e, m.time)) for e in m.s.inflow] + [(b, b.flow) for b in m.s.base_flow]
    for source, flow in flows:
        if flow <= 0:
            continue
        zone = m.pond.zone(source.zone)
        content = carried_by(m, source)
        along = m.s.mixing.inflow_entrainment
        top = drawn(m.pond, m.shape, m.rho, zone, m.shape.level, along * flow)
        mixture = (content + along * (top @ m.c)) / (1 + along)
        shares = rested(m.pond, m.shape, m.rho, zone, rho_of(mixture), (1 + along) * flow)
        m.take(top, along * flow)
        m.give(shares, (1 + along) * flow, mixture)


def outlet_and_ground(m):
    """Orifice and weir at the outlet, seepage through the bed."""
    level = m.shape.level
    if m.s.outlet:
        zone = m.pond.zone(m.s.outlet.zone)
        over = sum(w.coefficient * w.width * max(level - w.crest, 0) ** 1.5 for w in m.s.outlet.weir)
        parts = [(level, over)]
        parts += [(min(hole.elevation, level), orifice(hole, level)) for hole in m.s.outlet.orifice]
        for elevation, flow in parts:
            if flow > 0:
                m.take(drawn(m.pond, m.shape, m.rho, zone, elevation, flow), flow)
    out = m.s.ground.seepage * m.shape.bed
    assert m.s.ground.seepage >= 0
    m.water -= out
    m.amount[:, :CLASS] -= out[:, None] * m.c[:, :CLASS]


def orifice(hole, level):
    """Full by the head over the centre; partly filled by the cubic pondsim states (chosen)."""
    area, head = math.pi * hole.diameter**2 / 4, level - hole.elevation
    if head >= hole.diameter / 2:
        return hole.coefficient * area * math.sqrt(2 * nature.G * head)
    u = max(head / hole.diameter + 0.5, 0.0)
    full = hole.coefficient * area * math.sqrt(nature.G * hole.diameter)
    return full * u**2 * (0.88 + 1.24 * u - 1.12 * u**2)


def drop_now(m):
    """The drop is stated at normal pool, water level to water level."""
    return max(m.s.waterfall.drop + m.s.pond.normal_pool - m.shape.level, 0)


def fallen(m):
    """Speed of the falling water, thickness of its sheet, and depth and reach of the plunge."""
    fall = m.s.waterfall
    speed = math.sqrt(2 * nature.G * drop_now(m) / fall.steps)
    zone = m.pond.zone(fall.zone)
    depth = m.shape.level - m.s.zone[zone].stage[0]
    return speed, m.s.pump.flow / (fall.width * speed), depth, min(fall.plunge_pool_depth, depth)


def waterfall(m):
    """Intake, waterfall and plunge."""
    if not (m.s.pump and m.s.waterfall and m.pump_on):
        return
    fall, pump, intake = m.s.waterfall, m.s.pump, m.s.intake
    flow = pump.flow * min(max((m.shape.level - intake.elevation) / 0.1, 0), 1)
    zone = m.pond.zone(fall.zone)
    draw = drawn(m.pond, m.shape, m.rho, m.pond.zone(intake.zone), intake.elevation, pump.flow)
    water = m.take(draw, flow)
    density = rho_of(water)
    ratio = nature.deficit_ratio(replace(fall, drop=drop_now(m)), m.s.pump.flow, water[T])
    full = nature.saturation(water[T], water[SALT], m.now[PRESSURE])
    water = water.copy()
    water[O2] = full - (full - water[O2]) / ratio
    water[AGE_FALL] = 0
    speed, sheet, depth, reach = fallen(m)
    column = m.pond.columns[zone]
    mixed = np.zeros(len(m.rho))
    for b in column:
        mixed[b] = max(m.shape.top[b] - max(m.shape.bottom[b], m.shape.level - reach), 0)
    mixed /= mixed.sum()
    most = min(max(nature.plane_jet(3 * depth, sheet), 1), 5)
    under = np.interp(m.shape.level - reach, m.shape.middle[column], m.rho[column])
    slowed = speed / nature.plane_jet(reach, sheet)
    richardson = nature.G * max(under - density, 0) / nature.RHO * reach / slowed**2
    along = (most - 1) / (1 + richardson / 0.1)  # halved at 0.1 (chosen)
    back = flow * (1 - fall.splash_loss)
    entrained = m.take(mixed, along * back)
    mixture = (water + along * entrained) / (1 + along)
    shares = rested(m.pond, m.shape, m.rho, zone, rho_of(mixture), (1 + along) * pump.flow)
    m.give(shares, (1 + along) * back, mixture)


def plume(m, unit):
    """Water lifted by bubbles; the flow back down stays in the zone's own column."""
    zone = m.pond.zone(unit.zone)
    column = m.pond.columns[zone]
    top, bottom, rho = m.shape.top[column], m.shape.bottom[column], m.rho[column]
    taken, height, density = nature.plume(unit.air_flow, top, bottom, rho, unit.elevation, m.now[PRESSURE])
    flow, beside_it = taken.sum() * unit.diffusers, taken / taken.sum()
    shares = np.zeros(len(column))
    for b, share in zip(column, beside_it, strict=True):
        if share > 0:  # water reaches the plume as it reaches an intake
            low = min(max(m.shape.bottom[b], unit.elevation), m.shape.top[b])
            shares += share * drawn(m.pond, m.shape, m.rho, zone, 0.5 * (low + m.shape.top[b]), flow)[column]
    given = rested(m.pond, m.shape, m.rho, zone, density, flow)[column]
    up = np.cumsum(shares - given)[:-1]  # through each interface within the plume, back down beside it
    beside = np.where(up > 0, rho[1:], rho[:-1])
    mass = given * density - shares * rho
    mass[:-1] += up * beside
    mass[1:] -= up * beside
    gain = nature.G * flow * (mass @ m.shape.middle[column])
    depth = m.shape.level - unit.elevation
    air = unit.air_flow * unit.diffusers
    power = nature.ATM * air * math.log(1 + nature.RHO * nature.G * depth / m.now[PRESSURE])
    flow *= min(0.15 * power / gain, 1) if gain > 0 else 1
    for f, (a, _, _, _, width) in enumerate(m.shape.faces):
        if width == 0 and a in column:
            m.flow[f] -= flow * up[a - column[0]]
    content = (shares @ m.c[column]) * flow
    m.amount[column] += given[:, None] * content - flow * shares[:, None] * m.c[column]
    if height >= m.shape.level - 0.05:
        boil = min(unit.diffusers * math.pi * (0.3 * depth) ** 2, 0.5 * m.shape.surface[zone])
        b = column[-1]
        full = nature.saturation(m.c[b, T], m.c[b, SALT], m.now[PRESSURE])
        m.amount[b, O2] += 4e-5 * boil * (full - m.c[b, O2])  # renewal over the boil (chosen)


def stability_now(m):
    """N2 of the moment at the top of each box but the uppermost, not below 0."""
    lower, upper = np.array(m.pond.vertical).T
    far = np.array([distance for _, _, _, distance, width in m.shape.faces if width == 0])
    n2 = nature.G * (m.rho[lower] - m.rho[upper]) / far / nature.RHO
    return np.maximum(n2, 0)


def flows_between(m):
    """Least-dissipation flows by least squares on the graph, and exchange on top of them."""
    faces, n = m.shape.faces, len(m.rho)
    graph, root = np.zeros((n, len(faces))), np.zeros(len(faces))
    exchange = np.zeros(len(faces))
    wind2 = 0.748 * m.now[WIND] * m.s.mixing.wind_reduction
    dispersion = m.s.mixing.dispersion_multiplier * 2.055e-4 * m.pond.length**1.15
    for f, (a, b, area, far, width) in enumerate(faces):
        graph[a, f], graph[b, f] = -1, 1
        conductance = area / far
        i, j = m.pond.zone_of[a], m.pond.zone_of[b]
        if width == 0:
            gradient = nature.G * (m.rho[a] - m.rho[b]) / far
            conductance /= 1 + m.stability[f] / 1e-8
            exchange[f] = vertical(m, gradient / (0.5 * (m.rho[a] + m.rho[b])), a, i, wind2) * area / far
        else:
            felt = wind2 * (1 - 0.5 * (m.pond.cover[i] + m.pond.cover[j]))
            exchange[f] = dispersion * (0.5 + 0.25 * felt) * area / far + nature.gravity_exchange(
                m.s.mixing.gravity_exchange, width, area / width, m.shape.opening[f], m.rho[a] - m.rho[b]
            )
        root[f] = math.sqrt(conductance)
    wanted = m.shape.rise * m.water.sum() - m.water
    m.flow += root * np.linalg.lstsq(graph * root, wanted, rcond=None)[0]
    for f, (a, b, _, _, width) in enumerate(faces):
        upwind = abs(m.flow[f]) / 2  # what taking the water of one side exchanges
        both = math.hypot(exchange[f], upwind) if width == 0 else exchange[f] + upwind
        moved = m.flow[f] * (m.c[a] + m.c[b]) / 2 + both * (m.c[a] - m.c[b])
        m.amount[a] -= moved
        m.amount[b] += moved


def vertical(m, n2, lower, zone, wind2):
    """Vertical diffusivity at the top of a box."""
    mixing = m.s.mixing
    background = mixing.background_multiplier * nature.background_mixing(m.pond.normal_area, n2)
    depth, felt = m.shape.level - m.shape.top[lower], wind2 * (1 - m.pond.cover[zone])
    stirred = nature.wind_mixing(depth, felt, m.s.place.latitude, n2)
    return (
        max(background, mixing.diffusivity_floor, 0.2 * mixing.dissipation / max(n2, 7.5e-5))
        + stirred
        + nature.convection(n2, mixing.convective_diffusivity)
    )
