"""The edge of the mixed layer, which advances inside a layer of the grid.

Cooling water sinks until it meets water as heavy as itself. Where that edge lies inside a layer, a scheme of
whole layers holds it at the layer's top until all of the layer can be taken: the mixed layer then deepens by
jumps, and what it swallows (oxygen, debt) comes hours late. Here the layer under the joined ones is taken as
mixed in its upper share and graded below; cooling reaches the mixed share, and the edge swallows water as the
joined layers grow heavier. Sinking water shoots beyond where it is at rest: a stated share of the buoyancy
that the cooling surface gives off is carried through the edge as an exchange with the layer below. What that
makes heavier does not count for the first, so that nothing is swallowed twice.
"""

from __future__ import annotations

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import move_rows
from pondsim.physics.water import SALT_CONTRACTION, thermal_expansion
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.transport import QUICKEST
from pondsim.processes.work import Work
from pondsim.site.pond import Grid
from pondsim.site.weather import SHORTWAVE

FADE = 0.15  # mixed share over which the edge fades in at a layer's top and out at its bottom (judgement)
MOST_SWALLOWED = 0.1 / 300.0  # 1/s, of the layer
UNFELT = 0.1  # of the step of density that stops sinking water: the step that it passes (judgement)
LEAST_STEP = 1e-5  # kg/m3, density step across the graded part below which nothing is resolved


@compiled_for_loop
def _smooth(x: float) -> float:
    x = min(max(x, 0.0), 1.0)
    return x * x * (3.0 - 2.0 * x)


@compiled_for_loop
def add_rates(grid: Grid, work: Work, state: State, entrainment: float, stopping: float) -> None:
    """Let the mixed layer of each zone act on the mixed share of the layer below it, and swallow from it.

    It reads the rates of all that came before, so it comes last. `entrainment` is the buoyancy flux at the
    base over that of the cooling surface; `stopping` [kg/m3] is the step of density that stops sinking water.
    """
    for zone in range(grid.zone_bottom.size):
        first, end = grid.first_box[zone], grid.first_box[zone + 1]
        lowest = _joined(work, first, end)
        if lowest == first:
            continue
        share = _advance(work, first, lowest, end, state)
        if entrainment > 0.0:
            _overshoot(work, zone, first, lowest, end, entrainment, stopping, share)


@compiled_for_loop
def _joined(work: Work, first: int, end: int) -> int:
    """Lowest layer of those that the surface layer has joined: each no heavier than the mean above it."""
    lowest = end - 1
    volume = work.volume[lowest]
    mass = volume * work.density[lowest]
    while lowest > first and work.density[lowest - 1] * volume <= mass:
        lowest -= 1
        volume += work.volume[lowest]
        mass += work.volume[lowest] * work.density[lowest]
    return lowest


@compiled_for_loop
def _overshoot(
    work: Work,
    zone: int,
    first: int,
    lowest: int,
    end: int,
    entrainment: float,
    stopping: float,
    share: float,
) -> None:
    """Exchange through the base of the mixed layer: the flux A B of buoyancy, whatever the layers.

    Sinking water passes steps of density that it does not feel; each that it feels takes its part of the
    flux, until nothing is left. The mixed `share` of the layer below the joined ones gains as a part of the
    mixed layer, so it is left out.
    """
    gained, volume, mass, left = work.warmed[zone], 0.0, 0.0, 1.0
    top = end - 1
    lightens = work.density[top] * thermal_expansion(work.concentration[s.HEAT, top])
    for below in range(top - 1, first - 1, -1):
        above = below + 1
        gained += work.now[SHORTWAVE] * work.sun_in_water[above] / (WATER_DENSITY * WATER_HEAT_CAPACITY)
        volume += work.volume[above]
        mass += work.volume[above] * work.density[above]
        heavier = -lightens * gained
        if heavier <= 0.0 or left <= 0.0:
            return
        step = work.density[below] - mass / volume
        felt = left * _smooth((step / stopping - UNFELT) / (1.0 - UNFELT))
        if felt <= 0.0:
            continue
        left -= felt
        per_base = work.face_area[below] / max(work.surface_area[zone], 1e-6)
        flow = felt * entrainment * heavier * per_base / step
        if above == lowest:
            flow *= volume / (volume + share * work.volume[below])
        flow = min(flow, min(work.volume[below], work.volume[above]) / QUICKEST)
        work.turnover[below] += 2.0 * flow
        for box in range(above, end):  # sinking water comes from all of the mixed layer
            part = flow * work.volume[box] / volume
            move_rows(work.transfers, below, box, part, part, work.content)
            work.turnover[box] += 2.0 * part


@compiled_for_loop
def _gain(work: Work, constituent: int, box: int) -> float:
    """What a box gains of a constituent beyond what its gain of water would hold, by all rates so far."""
    water = work.rate[s.WATER, box] + work.transfers[box, s.WATER]
    gained = work.rate[constituent, box] + work.transfers[box, constituent]
    return gained - work.concentration[constituent, box] * water


@compiled_for_loop
def _advance(work: Work, first: int, lowest: int, end: int, state: State) -> float:
    """Let the edge advance; returns the mixed share of the layer below the joined ones."""
    volume, mass = 0.0, 0.0
    for box in range(end - 1, lowest - 1, -1):
        volume += work.volume[box]
        mass += work.volume[box] * work.density[box]
    below = lowest - 1
    if below < first + 1:
        return 0.0
    joined = min(mass / volume, work.density[lowest])
    own = work.volume[below]
    edge = _density_at_bottom(work, first, below)
    graded = edge - joined
    if graded <= LEAST_STEP:
        return 0.0
    share = 1.0 - 2.0 * (work.density[below] - joined) / graded
    if share <= 0.0 or share >= 1.0:
        return 0.0
    left = min((1.0 - share) / FADE, 1.0)
    heavier = 0.0  # growth of the joined layers' mass beyond that of their water [kg/s]
    for box in range(lowest, end):
        heat, salt = _gain(work, s.HEAT, box), _gain(work, s.SALT, box)
        heavier -= work.density[box] * thermal_expansion(work.concentration[s.HEAT, box]) * heat
        heavier += SALT_CONTRACTION * salt
    if heavier <= 0.0:
        return share
    together = volume + share * own
    swallowed = heavier / together * (1.0 - share) / graded * own
    swallowed *= _smooth(share / FADE) * _smooth((1.0 - share) / FADE)
    swallowed = min(swallowed, MOST_SWALLOWED * own)
    for constituent in range(1, state.rows.shape[0]):
        if constituent == s.HEAT:
            gain = 0.0
            for box in range(lowest, end):
                gain += _gain(work, constituent, box)
            moved = -gain * share * own / together * left
        else:
            mean = 0.0
            for box in range(lowest, end):
                mean += state.rows[constituent, box]
            mean /= volume
            apart = _tracer(work, constituent, below, share, mean)
            # no more than stands in the box that gives it, or it would fall below 0
            apart = max(apart, -work.concentration[constituent, lowest])
            apart = min(apart, work.concentration[constituent, below])
            moved = apart * swallowed * volume / together
        work.rate[constituent, lowest] += moved
        work.rate[constituent, below] -= moved
    work.turnover[below] += swallowed
    work.turnover[lowest] += swallowed
    return share


@compiled_for_loop
def _density_at_bottom(work: Work, first: int, box: int) -> float:
    """Density at the bottom of a layer, from the two layers below it, else from its neighbor [kg/m3]."""
    under = box - 1
    z = work.bottom[box]
    middle = 0.5 * (work.bottom[under] + work.top[under])
    found = -1.0
    if under > first:
        deeper = 0.5 * (work.bottom[under - 1] + work.top[under - 1])
        slope = (work.density[under] - work.density[under - 1]) / max(middle - deeper, 1e-3)
        found = work.density[under] + slope * (z - middle)
    if found < work.density[box]:
        own = 0.5 * (work.bottom[box] + work.top[box])
        slope = (work.density[box] - work.density[under]) / max(own - middle, 1e-3)
        found = work.density[under] + slope * (z - middle)
    return found


@compiled_for_loop
def _tracer(work: Work, constituent: int, box: int, share: float, mean: float) -> float:
    """Concentration at the edge less that of the joined layers."""
    own = work.concentration[constituent, box]
    under = work.concentration[constituent, box - 1]
    rest = (own - share * mean) / max(1.0 - share, 0.1)
    rest = min(max(rest, min(own, under)), max(own, under))
    edge = 2.0 * rest - 0.5 * (own + under)
    edge = min(max(edge, min(mean, rest)), max(mean, rest))
    return edge - mean
