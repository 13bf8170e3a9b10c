"""Convection: the mixed layer that cooling makes, and its edge, which advances inside a layer of the grid.

Water that grows heavier sinks until it meets water as heavy as itself. Layers that it joins grow heavier
alike, whatever their number: what the top loses is shared out at once, in pools in which no layer would grow
heavier faster than the next one down. The sinking water also exchanges whatever else they hold.

Where the edge lies inside a layer, a scheme of whole layers holds it at the layer's top until all of the
layer can be taken: the mixed layer then deepens by jumps, and what it swallows (oxygen, debt) comes hours
late. So the layer under the joined ones is taken as mixed in its upper share and graded below. Its share is
one more member of the pool, and the edge swallows water as the pool grows heavier. A layer joins where its
share reaches 1, and leaves in the same way: no rate of heat jumps, so small differences decide nothing.
"""

from __future__ import annotations

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.elementary import power
from pondsim.jit.lanes import move_rows, whole_lanes
from pondsim.physics.mixing import CONVECTION_SCALE, smooth_step
from pondsim.physics.water import SALT_CONTRACTION, thermal_expansion
from pondsim.processes import constituents as s
from pondsim.processes.mixing import MixingSettings
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import Grid

FADE = 0.2  # mixed share over which the edge fades in at a layer's top and out at its bottom (judgement)
MOST_SWALLOWED = 0.1 / 300.0  # 1/s, of the layer
FILMS = 20.0  # films of water below which sinking water takes less and less along (judgement)
LEAST_STEP = 1e-5  # kg/m3, step of density that counts as none (judgement)
LEAST_LIGHTENING = 0.02  # kg/m3/K, of water at 5.2 degC: colder water exchanges heat before it is all mixed
LEAST_APART = 1e-3  # m, of the middles of two layers
LEAST_GRADE = 5e-3  # kg/m3, 0.02 K, least step of density across the graded part of a layer (judgement)


@compiled_for_loop
def add_rates(settings: MixingSettings, grid: Grid, work: Work, state: State) -> None:
    """Let what makes the upper water heavier sink through it, and the edge of the mixed layer advance.

    It reads the rates of all that came before, so it comes after them.
    """
    for box in range(work.volume.size):
        work.carried[box] = 0.0
        work.heat_gain[box] = _gain(work, s.HEAT, box)
    for box in range(whole_lanes(work.volume.size)):
        apart = 0.5 * (work.bottom[box + 1] + work.top[box + 1] - work.bottom[box] - work.top[box])
        work.slope[box + 1] = (work.density[box + 1] - work.density[box]) / max(apart, LEAST_APART)
        films = min(work.volume[box], work.volume[box + 1]) / (FILMS * work.film[box])
        work.holding[box] = smooth_step(films)
    for zone in range(grid.zone_bottom.size):
        first, end = grid.first_box[zone], grid.first_box[zone + 1]
        lowest = _set_shares(settings, work, first, end)
        _set_mass_gains(work, lowest, end)
        _sink(grid, work, state, lowest, end)
    _exchange(settings, grid, work)


@compiled_for_loop
def _gain(work: Work, constituent: int, box: int) -> float:
    """What a box gains of a constituent beyond what its gain of water would hold, by all rates so far."""
    water = work.rate[s.WATER, box] + work.transfers[box, s.WATER]
    gained = work.rate[constituent, box] + work.transfers[box, constituent]
    return gained - work.concentration[constituent, box] * water


@compiled_for_loop
def _set_shares(settings: MixingSettings, work: Work, first: int, end: int) -> int:
    """Mixed share of each layer, and how far the mixed layer reaches through it; the lowest one it touches.

    A layer that is no heavier than the mean above it is mixed. Of a heavier one the share is what its own
    density says, if it is that of the mixed layer down to the edge and rises evenly from there to its bottom.
    Of the deepest layer nobody knows how it is graded: a step that stops sinking water is taken.
    """
    top = end - 1
    work.mixed[top], work.reached[top] = 1.0, 1.0
    volume, mass, lowest = work.volume[top], work.volume[top] * work.density[top], top
    for box in range(top - 1, first - 1, -1):
        reach = work.reached[box + 1]
        work.mixed[box], work.reached[box] = 0.0, 0.0
        if reach <= 0.0:
            continue
        joined = min(mass / volume, work.density[box + 1])
        step = max(work.density[box] - joined - LEAST_STEP, 0.0)
        share, held = 1.0, work.holding[box]
        if step > 0.0:
            graded = settings.stopping_step
            if box > first:
                graded = max(_density_at_bottom(work, first, box) - joined, LEAST_GRADE)
            share = max(1.0 - 2.0 * step / graded, 0.0)
        if share * held <= 0.0:
            continue
        reach *= held
        work.mixed[box] = share * reach
        work.reached[box] = reach * smooth_step((share - 1.0 + FADE) / FADE)
        work.edge_step[box] = step
        volume += work.mixed[box] * work.volume[box]
        mass += work.mixed[box] * work.volume[box] * work.density[box]
        lowest = box
    return lowest


@compiled_for_loop
def _set_mass_gains(work: Work, lowest: int, end: int) -> None:
    """How fast each layer grows heavier; its heat counts as it does at the mean temperature of mixed water.

    So layers that warm alike grow lighter alike: each at its own temperature, two on either side of 4 degC
    would change their heat at once as one pool of both became two.
    """
    volume, heat = 0.0, 0.0
    for box in range(lowest, end):
        volume += work.mixed[box] * work.volume[box]
        heat += work.mixed[box] * work.volume[box] * work.concentration[s.HEAT, box]
    lightens = WATER_DENSITY * thermal_expansion(heat / volume)
    for box in range(lowest, end):
        work.mass_gain[box] = SALT_CONTRACTION * _gain(work, s.SALT, box) - lightens * work.heat_gain[box]


@compiled_for_loop
def _sink(grid: Grid, work: Work, state: State, lowest: int, end: int) -> None:
    """Share out what makes water heavier, in pools: none has layers that gain faster than the next down."""
    volume, heat, mass, base = work.forth, work.passed, work.back, work.most
    pools = 0
    for box in range(end - 1, lowest - 1, -1):
        volume[pools] = work.mixed[box] * work.volume[box]
        heat[pools] = work.mixed[box] * work.heat_gain[box]
        mass[pools] = work.mixed[box] * work.mass_gain[box]
        while pools > 0 and mass[pools] * volume[pools - 1] < mass[pools - 1] * volume[pools]:
            pools -= 1
            volume[pools] += volume[pools + 1]
            heat[pools] += heat[pools + 1]
            mass[pools] += mass[pools + 1]
        base[pools] = box
        pools += 1
    top = end - 1
    for pool in range(pools):
        bottom = int(base[pool])
        if bottom < top:
            warmer, denser = heat[pool] / volume[pool], mass[pool] / volume[pool]
            _mix_pool(grid, work, state, top, bottom, warmer, denser)
        top = bottom - 1


@compiled_for_loop
def _mix_pool(
    grid: Grid, work: Work, state: State, top: int, bottom: int, warmer: float, denser: float
) -> None:
    """Let all layers of a pool warm alike [K/s]; work.carried [kg/s] tells what sinks through their tops."""
    carried, above = 0.0, 0.0  # mass that sinks through a face [kg/s], mixed water above it [m3]
    for box in range(top, bottom - 1, -1):
        share = work.mixed[box]
        work.rate[s.HEAT, box] += share * (warmer * work.volume[box] - work.heat_gain[box])
        if box < top:
            work.carried[box] = carried
            if work.reached[box] < 1.0 and box > grid.first_box[grid.box_zone[box]]:
                # no edge advances in the deepest layer
                _swallow(work, state, box, above, denser - work.mass_gain[box] / work.volume[box])
        carried += share * (work.mass_gain[box] - denser * work.volume[box])
        above += share * work.volume[box]


@compiled_for_loop
def _set_flows(settings: MixingSettings, grid: Grid, work: Work) -> None:
    """Exchange through the top of each box that goes with the mass sinking there.

    It is that of the diffusivity with which layers that exchange heat, too, would carry it: x2/(1 + x2) of
    the largest, where x3/(1 + x2) is the flux of buoyancy over the largest times the scale of instability
    (`convective_diffusivity`); written with x2 = flux^(2/3), which differs by less than 1.6 times.
    """
    scale = GRAVITY / (WATER_DENSITY * settings.convective * CONVECTION_SCALE)
    for box in range(whole_lanes(work.volume.size)):
        flux = scale * max(work.carried[box], 0.0) / max(work.face_area[box], 1e-9)
        square = power(flux + 1e-30, 2.0 / 3.0)
        flow = settings.convective * square / (1.0 + square) * work.face_ratio[box]
        work.sinking[box] = min(flow, min(work.volume[box], work.volume[box + 1]) / grid.quickest)


@compiled_for_loop
def _exchange(settings: MixingSettings, grid: Grid, work: Work) -> None:
    """Exchange what sinking water takes along.

    With a layer that is not all mixed the heat that makes it heavier is not exchanged: its mixed share has
    what it needs.
    """
    most = 0.0
    for box in range(work.volume.size):
        most = max(most, work.carried[box])
    if most > 0.0:
        _set_flows(settings, grid, work)
    for box in range(work.volume.size):
        if work.carried[box] <= 0.0:
            work.sinking[box] = 0.0
            continue
        flow = work.sinking[box]
        if work.reached[box] < 1.0:
            flow *= work.reached[box]
            work.sinking[box] = flow
            lost = flow * _warmer_by_step(work, box)
            work.rate[s.HEAT, box] -= lost
            work.rate[s.HEAT, box + 1] += lost
        move_rows(work.transfers, box, box + 1, flow, flow, work.content)
        work.turnover[box] += 2.0 * flow
        work.turnover[box + 1] += 2.0 * flow


@compiled_for_loop
def _warmer_by_step(work: Work, box: int) -> float:
    """How much warmer the layer above a box is, as far as that makes the step of density between them [K].

    It is all of it in warm water. Salt, or 4 degC between the two, can make them equally heavy though not
    equally warm; that difference is mixed as all else is.
    """
    warmer = work.concentration[s.HEAT, box + 1] - work.concentration[s.HEAT, box]
    middle = work.concentration[s.HEAT, box] + 0.5 * warmer
    lightens = max(WATER_DENSITY * abs(thermal_expansion(middle)), LEAST_LIGHTENING)
    by_step = work.edge_step[box] / lightens
    return min(max(warmer, -by_step), by_step)


@compiled_for_loop
def _swallow(work: Work, state: State, box: int, volume: float, denser: float) -> None:
    """Let the edge advance in a layer under so much mixed water [m3].

    That water grows heavier by `denser` [kg/m3/s] more than the layer's own does.
    """
    above, own, step = box + 1, work.volume[box], work.edge_step[box]
    share = work.mixed[box] / work.reached[above]
    if step <= 0.0 or share >= 1.0 or denser <= 0.0:
        return
    swallowed = denser * (1.0 - share) ** 2 / (2.0 * step) * own * work.reached[above]
    swallowed *= smooth_step(share / FADE) * smooth_step((1.0 - share) / FADE)
    swallowed = min(swallowed, MOST_SWALLOWED * own)
    swallowed_by_mean = swallowed * volume / (volume + share * own)
    left = max(1.0 - share, 0.1)
    for constituent in range(s.HEAT + 1, state.rows.shape[0]):
        mean, held = work.content[above, constituent], work.content[box, constituent]
        under = work.content[box - 1, constituent]
        # of the unmixed rest, which runs evenly from the edge to the layer's bottom
        rest = (held - share * mean) / left
        rest = min(max(rest, min(held, under)), max(held, under))
        edge = 2.0 * rest - 0.5 * (held + under)
        edge = min(max(edge, min(mean, rest)), max(mean, rest))
        # no more than stands in the box that gives it, or it would fall below 0
        moved = swallowed_by_mean * min(max(edge - mean, -mean), held)
        work.transfers[above, constituent] += moved
        work.transfers[box, constituent] -= moved
    work.turnover[box] += swallowed
    work.turnover[above] += swallowed


@compiled_for_loop
def _density_at_bottom(work: Work, first: int, box: int) -> float:
    """Density at the bottom of a layer, by the two layers below it or by itself and the next [kg/m3].

    The heavier of both: of a layer mixed in part the mean is too light to draw a straight line from.
    """
    under, z = box - 1, work.bottom[box]
    middle = 0.5 * (work.bottom[under] + work.top[under])
    found = work.density[under] + work.slope[box] * (z - middle)
    if under > first:
        found = max(found, work.density[under] + work.slope[under] * (z - middle))
    return found
