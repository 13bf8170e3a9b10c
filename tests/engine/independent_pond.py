"""A pond with everything in it, written a second time as a plain script: no compiled code, no frozen flows.

Where pondsim keeps amounts and renews levels and flow patterns once in a while, this keeps the volume of the
pond and concentrations, takes levels from the volume, and works out flows by least squares at every moment.
It serves ponds whose zones stay joined and under water. It reads the scenario's numbers and nothing else of
pondsim's.
"""

from __future__ import annotations

import math

import numpy as np

from tests.engine import independent_physics as nature

# what is dissolved or carried, as columns of a concentration table; settling classes follow
T, O2, BOD, NH4, DEBT, DEAD, SALT, AGE_IN, AGE_FALL, CLASS = range(10)
AIR, VAPOUR, SUN, CLOUD, WIND, PRESSURE, RAIN = range(7)
PER_HEAT = 1 / (nature.RHO * nature.CP)
DRY_MATTER = 1.42  # kg of oxygen per kg of organic matter (chosen)


def edges(scenario):
    """Elevations of the edges of layers: one at each sill that has room, and where layers are thickest."""
    pond, bottom = scenario.pond, {z.name: z.stage[0] for z in scenario.zone}
    low, high = min(bottom.values()), pond.normal_pool - pond.top_layer
    mean = (high - low) / (pond.layers - 1)
    room, fixed = 0.75 * mean, [low, high]
    ends = [(c.sill, *(bottom[z] for z in c.between)) for c in scenario.connection]
    sills = [max(at) for at in ends if max(at) > min(at[1:])]
    for sill in sorted(sills, reverse=True):
        thin = sill - low <= 1.5 * mean * (pond.layers - len(fixed))
        if thin and sill >= low + room and sill <= fixed[1] - room:
            fixed.insert(1, sill)
    layers = [1] * (len(fixed) - 1)
    while sum(layers) < pond.layers - 1:
        thick = [(b - a) / n for a, b, n in zip(fixed, fixed[1:], layers, strict=False)]
        layers[thick.index(max(thick))] += 1
    inner = [a + (b - a) * k / n for a, b, n in zip(fixed, fixed[1:], layers, strict=False) for k in range(n)]
    return np.array([*inner, high, pond.normal_pool])


class Pond:
    """Geometry that does not change, and the numbers of a scenario."""

    def __init__(self, scenario, weather_time, weather):
        self.s = scenario
        self.weather_time, self.weather = weather_time, weather
        self.names = [z.name for z in scenario.zone]
        pond = scenario.pond
        self.fixed = edges(scenario)
        self.boxes = [
            (i, k)
            for i, z in enumerate(scenario.zone)
            for k in range(pond.layers)
            if self.fixed[k + 1] > z.stage[0]
        ]
        self.zone_of = np.array([z for z, _ in self.boxes])
        self.layer_of = np.array([k for _, k in self.boxes])
        self.columns = [np.flatnonzero(self.zone_of == i) for i in range(len(self.names))]
        n = len(self.boxes)
        self.vertical = [(b, b + 1) for b in range(n - 1) if self.zone_of[b] == self.zone_of[b + 1]]
        self.classes = len(scenario.solids.share)
        self.table = (n, CLASS + self.classes)
        self.normal_area = sum(self.area(i, pond.normal_pool) for i in range(len(self.names)))
        self.length = pond.length or math.sqrt(self.normal_area)
        self.cover = np.array([z.floating_cover for z in scenario.zone])

    def zone(self, name):
        return self.names.index(name)

    def area(self, i, height):
        z = self.s.zone[i]
        return float(np.interp(height, z.stage, z.area))

    def volume(self, i, height):
        """Integral of the area by trapezoids between the stages, where areas are straight."""
        z = self.s.zone[i]
        if height <= z.stage[0]:
            return 0.0
        heights = [s for s in z.stage if s < height] + [height]
        return float(np.trapezoid([self.area(i, h) for h in heights], heights))

    def level(self, volume):
        """Water surface of a volume, by Newton's method."""
        h = self.s.pond.normal_pool
        for _ in range(20):
            held = sum(self.volume(i, h) for i in range(len(self.names)))
            change = (volume - held) / sum(self.area(i, h) for i in range(len(self.names)))
            h += change
            if abs(change) < 1e-12:
                break
        return h

    def seconds(self, moment):
        return (moment - self.s.period.start).total_seconds()


class Shape:
    """Boxes under one water surface."""

    def __init__(self, pond, level):
        self.level = level
        layers, n = pond.s.pond.layers, len(pond.boxes)
        least = 0.5 * pond.s.pond.top_layer
        self.bottom, self.top = np.zeros(n), np.zeros(n)
        top_moves, bottom_moves = np.zeros(n), np.zeros(n)
        self.area_top, self.area_bottom, self.volume = np.zeros(n), np.zeros(n), np.zeros(n)
        for b, (i, k) in enumerate(pond.boxes):
            up, down = level - least * (layers - 1 - k), level - least * (layers - k)
            is_top, is_lowest = k == layers - 1, b == pond.columns[i][0]
            self.top[b] = level if is_top else min(pond.fixed[k + 1], up)
            self.bottom[b] = pond.s.zone[i].stage[0] if is_lowest else min(pond.fixed[k], down)
            top_moves[b] = is_top or up < pond.fixed[k + 1]
            bottom_moves[b] = not is_lowest and down < pond.fixed[k]
            self.area_top[b] = pond.area(i, self.top[b])
            self.area_bottom[b] = 0.0 if is_lowest else pond.area(i, self.bottom[b])
            self.volume[b] = pond.volume(i, self.top[b]) - pond.volume(i, self.bottom[b])
        self.bed = self.area_top - self.area_bottom
        self.thick = self.top - self.bottom
        self.middle = 0.5 * (self.top + self.bottom)
        growth = self.area_top * top_moves - self.area_bottom * bottom_moves
        self.rise = growth / growth.sum()  # share of each box in a change of volume
        self.surface = np.array([self.area_top[c[-1]] for c in pond.columns])
        self.faces = []  # box, box, area, distance, width (0 within a column)
        self.opening = {}  # of a face between zones: height from the sill to the surface
        for a, b in pond.vertical:
            self.faces.append((a, b, self.area_top[a], 0.5 * (self.thick[a] + self.thick[b]), 0.0))
        beside = dict.fromkeys(range(n), 0.0)  # width in which a box meets other zones
        for link in pond.s.connection:
            i, j = (pond.zone(name) for name in link.between)
            far = link.distance or math.dist(pond.s.zone[i].centre, pond.s.zone[j].centre)
            for a in pond.columns[i]:
                for b in pond.columns[j]:
                    low = max(self.bottom[a], self.bottom[b], link.sill)
                    height = min(self.top[a], self.top[b]) - low
                    if height > 1e-9:
                        self.opening[len(self.faces)] = self.top[pond.columns[i][-1]] - link.sill
                        self.faces.append((a, b, link.width * height, far, link.width))
                        beside[a] += link.width * height / self.thick[a]
                        beside[b] += link.width * height / self.thick[b]
        for f, (a, b) in enumerate(pond.vertical):
            if beside[b] > 0 and beside[a] == 0:
                alike = math.sqrt(5e-5 * self.area_top[a] / beside[b])  # K over speed sideways is chosen
                over = min(0.5 * self.thick[b], alike)
                self.faces[f] = (a, b, self.area_top[a], 0.5 * self.thick[a] + over, 0.0)


def weather_now(pond, time):
    return np.array([np.interp(time, pond.weather_time, column) for column in pond.weather.T])


def chlorophyll_now(pond, time):
    """Chlorophyll of each zone and what dies of it, with bloom crashes (one given amount all year)."""
    given = pond.s.algae.chlorophyll
    given = given if isinstance(given, float) else given[0]
    alive, dying = np.full(len(pond.names), given), np.zeros(len(pond.names))
    for crash in pond.s.bloom_crash:
        start, killed = pond.seconds(crash.start), crash.killed_share * crash.pond_share
        ends = [start, start + crash.duration, start + crash.duration + crash.recovery]
        for i, name in enumerate(pond.names):
            if not crash.zones or name in crash.zones:
                alive[i] *= np.interp(time, ends, [1, 1 - killed, 1])
                if ends[0] < time < ends[1]:
                    dying[i] += given * killed / crash.duration
    return alive, dying


def is_running(hours, pond, time):
    """Whether a timer is on; spans in seconds after midnight, which may end on the next day."""
    start = pond.s.period.start
    clock = (start.hour * 3600 + start.minute * 60 + start.second + time) % 86400
    return any(a <= clock < b or a <= clock + 86400 < b for a, b in hours)


def storm_flow(pond, event, time):
    """Triangle with its peak after a third."""
    t = time - pond.seconds(event.start)
    peak = 2 * event.volume / event.duration
    return float(np.interp(t, [0, event.duration / 3, event.duration], [0, peak, 0], left=0, right=0))


def unpack(pond, state):
    """Volume, concentrations (boxes, columns), bed temperatures, bed organics and mass, stability."""
    n, columns = pond.table
    shape = (len(pond.names), pond.classes)
    parts = np.split(state, np.cumsum([1, n * columns, 2 * n, n, math.prod(shape)]))
    return (
        parts[0][0],
        parts[1].reshape(n, columns),
        parts[2].reshape(n, 2),
        parts[3],
        parts[4].reshape(shape),
        parts[5],
    )


def starting(pond):
    """Starting state from the scenario's profiles."""
    s = pond.s
    level = s.pond.normal_pool if s.start.water_surface is None else s.start.water_surface
    shape = Shape(pond, level)
    depth = level - shape.middle
    table = np.zeros(pond.table)
    profiles = {p.zone: p for p in s.start.profile}
    for b, i in enumerate(pond.zone_of):
        used = [profiles[pond.names[i]]] if pond.names[i] in profiles else list(profiles.values())
        table[b, T] = np.mean([np.interp(depth[b], p.depth, p.temperature) for p in used])
        table[b, O2] = np.mean([np.interp(depth[b], p.depth, p.dissolved_oxygen) for p in used])
    table[:, BOD] = s.start.bod5 / (1 - math.exp(-5 * 86400 * s.organic_matter.bod_decay))
    table[:, NH4] = s.start.ammonium
    table[:, SALT] = 1.80655 * 1000 * s.start.chloride / nature.RHO
    table[:, CLASS] = s.start.suspended_solids
    bed = np.stack([table[:, T], 0.5 * (table[:, T] + s.ground.temperature)], axis=1)
    rest = np.zeros(len(depth) + len(pond.names) * pond.classes)
    return np.concatenate([[shape.volume.sum()], table.ravel(), bed.ravel(), rest])
