"""From which depths water is drawn, and at which it comes to rest.

One law serves both. Water moves in or out around an elevation, and stratification holds it there: a slice of
the column at distance d takes part in the share 1/(1 + x)^2, where x = g' d^5/(s^3 Q)^2 compares the slice's
buoyancy with the inertia of the flow. The thickness therefore follows from flow and stratification and never
from the layers: with a constant N it is some 0.9 s (Q/N)^(1/3) each way, and the whole of a mixed column.
"""

from __future__ import annotations

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import add_row
from pondsim.physics.jets import intrusion_share
from pondsim.physics.water import pond_density
from pondsim.processes.constituents import FIRST_CLASS, HEAT, SALT
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid

SLICES = 8  # of a layer, over which the law is summed
LEAST_FLOW = 1e-6  # m3/s, so that a flow that begins within the step has a place to go


@compiled_for_loop
def _middle(work: Work, box: int) -> float:
    return 0.5 * (work.bottom[box] + work.top[box])


@compiled_for_loop
def density_at(work: Work, first: int, end: int, elevation: float) -> float:
    """Density of a column at an elevation, straight between the middles of layers [kg/m3]."""
    if elevation <= _middle(work, first):
        return work.density[first]
    for box in range(first + 1, end):
        high = _middle(work, box)
        if elevation < high:
            low = _middle(work, box - 1)
            share = (elevation - low) / max(high - low, 1e-6)
            return work.density[box - 1] + share * (work.density[box] - work.density[box - 1])
    return work.density[end - 1]


@compiled_for_loop
def rest_level(work: Work, first: int, end: int, density: float) -> float:
    """Lowest elevation of a column where its density is the given one; bed or surface beyond [m]."""
    if density >= work.density[first]:
        return work.bottom[first]
    for box in range(first + 1, end):
        if density >= work.density[box]:
            heavy, light = work.density[box - 1], work.density[box]
            low = _middle(work, box - 1)
            return low + (heavy - density) / (heavy - light) * (_middle(work, box) - low)
    return work.top[end - 1]


@compiled_for_loop
def _spread(
    work: Work, first: int, end: int, elevation: float, density: float, reach: float, shares: FloatArray
) -> None:
    """Set `shares` to the unscaled share of each layer in water of a density around an elevation."""
    under = 0.0  # slope of density below a layer's middle, straight between the middles of layers [kg/m4]
    for box in range(first, end):
        height = (work.top[box] - work.bottom[box]) / SLICES
        middle, own, over = _middle(work, box), work.density[box], 0.0
        if box + 1 < end:
            over = (work.density[box + 1] - own) / max(_middle(work, box + 1) - middle, 1e-6)
        total = 0.0
        for k in range(SLICES):
            from_middle = (k + 0.5 - 0.5 * SLICES) * height
            local = own + from_middle * (under if k < SLICES // 2 else over)
            reduced = GRAVITY / WATER_DENSITY * abs(local - density)
            total += intrusion_share(reduced, abs(middle + from_middle - elevation), reach)
        shares[box] = height * total
        under = over


@compiled_for_loop
def _scale(work: Work, first: int, end: int, shares: FloatArray) -> None:
    total = 0.0
    for box in range(first, end):
        total += shares[box]
    for box in range(first, end):
        shares[box] = shares[box] / total if total > 0.0 else 0.0
    if total <= 0.0:  # a column with no height left
        shares[end - 1] = 1.0


@compiled_for_loop
def withdrawal(
    grid: Grid, work: Work, zone: int, elevation: float, flow: float, spread: float, shares: FloatArray
) -> None:
    """Shares of each box in a flow drawn at an elevation [m3/s]; `spread` is the law's factor s.

    Source: the scale (Q/N)^(1/3) is that of selective withdrawal, fischer1979; the shape is a judgement.
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    at = min(max(elevation, work.bottom[first]), work.top[end - 1])
    reach = spread**3 * max(flow, LEAST_FLOW)
    _spread(work, first, end, at, density_at(work, first, end, at), reach, shares)
    _scale(work, first, end, shares)


@compiled_for_loop
def insertion(
    grid: Grid, work: Work, zone: int, density: float, flow: float, spread: float, shares: FloatArray
) -> None:
    """Shares of each box in a flow [m3/s] that comes to rest where its density belongs.

    `flow` counts the water it took along; `spread` is the law's factor s. Water heavier than the whole column
    lies along the bed, lighter water at the surface, also where the column is mixed.
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    level = rest_level(work, first, end, density)
    _spread(work, first, end, level, density, spread**3 * max(flow, LEAST_FLOW), shares)
    _scale(work, first, end, shares)


@compiled_for_loop
def drawn_by_plume(
    grid: Grid, work: Work, zone: int, lowest: float, flow: float, spread: float, shares: FloatArray
) -> None:
    """Turn what a plume entrains beside each layer into the layers that this water comes from.

    `shares` goes in as the first and comes out as the second. Water flows to a rising plume by the same law
    as to an intake, with the plume's whole flow [m3/s]: a diffuser, at `lowest`, just over a layer's edge so
    also draws from under it.
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    reach = spread**3 * max(flow, LEAST_FLOW)
    one, sum_of = work.potential, work.gain
    for box in range(first, end):
        sum_of[box] = 0.0
    for sink in range(first, end):
        if shares[sink] > 0.0:
            z = 0.5 * (min(max(work.bottom[sink], lowest), work.top[sink]) + work.top[sink])
            _spread(work, first, end, z, density_at(work, first, end, z), reach, one)
            _scale(work, first, end, one)
            for box in range(first, end):
                sum_of[box] += shares[sink] * one[box]
    for box in range(first, end):
        shares[box] = sum_of[box]


@compiled_for_loop
def mixed(shares: FloatArray, first: int, end: int, work: Work) -> None:
    """Concentrations of water taken from boxes `first` to `end` in the given shares, into work.mixture."""
    work.mixture[0, :] = 0.0
    for box in range(first, end):
        add_row(work.mixture, 0, shares[box], work.content, box)


@compiled_for_loop
def mixture_density(work: Work) -> float:
    """Density of the water in work.mixture [kg/m3]."""
    solids = 0.0
    for constituent in range(FIRST_CLASS, work.solids_end[0]):
        solids += work.mixture[0, constituent]
    return pond_density(work.mixture[0, HEAT], work.mixture[0, SALT], solids)
