"""From which layers water is drawn, and in which it comes to rest."""

from __future__ import annotations

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import add_row
from pondsim.physics.water import pond_density
from pondsim.processes.constituents import FIRST_CLASS, HEAT, SALT
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid

INTRUSION = 0.02  # kg/m3, some 0.07 degC: spread of density in water that comes to rest (judgement)
LEAST_N2 = 1e-8  # 1/s2, so that an unstratified pond is drawn from over a finite height


@compiled_for_loop
def column_n2(work: Work, first: int, end: int, elevation: float) -> float:
    """Buoyancy frequency squared around an elevation of one column, not below LEAST_N2 [1/s2]."""
    box = first
    while box < end - 1 and work.top[box] < elevation:
        box += 1
    lower, upper = max(box - 1, first), min(box + 1, end - 1)
    if lower == upper:
        return LEAST_N2
    distance = 0.5 * (work.top[upper] + work.bottom[upper] - work.top[lower] - work.bottom[lower])
    gradient = (work.density[lower] - work.density[upper]) / max(distance, 1e-3)
    return max(GRAVITY / WATER_DENSITY * gradient, LEAST_N2)


@compiled_for_loop
def withdrawal(grid: Grid, work: Work, zone: int, elevation: float, flow: float, shares: FloatArray) -> None:
    """Shares of each box in what is drawn at an elevation: within (Q/N)^(1/3) above and below it.

    Source: fischer1979 (selective withdrawal; coefficient of order one).
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    reach = (max(flow, 0.0) / column_n2(work, first, end, elevation) ** 0.5) ** (1.0 / 3.0)
    total = 0.0
    for box in range(first, end):
        high = min(work.top[box], elevation + reach)
        low = max(work.bottom[box], elevation - reach)
        shares[box] = max(high - low, 0.0)
        total += shares[box]
    for box in range(first, end):
        shares[box] = shares[box] / total if total > 0.0 else 0.0
    if total <= 0.0:  # nothing within reach: the nearest end of the column
        shares[first if elevation < work.bottom[first] else end - 1] = 1.0


@compiled_for_loop
def insertion(grid: Grid, work: Work, zone: int, density: float, shares: FloatArray) -> None:
    """Shares of each box in water that comes to rest where its density belongs.

    It spreads over the layers whose density is its own to within INTRUSION: over the whole of a mixed
    column, into one or two layers of a stratified one. Water lighter or heavier than all goes to that end.
    The spread is smooth, so that a thousandth of a degree never moves it by a whole layer.
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    lightest, heaviest = work.density[first], work.density[first]
    for box in range(first, end):
        lightest = min(lightest, work.density[box])
        heaviest = max(heaviest, work.density[box])
    wanted = min(max(density, lightest), heaviest)
    total = 0.0
    for box in range(first, end):
        off = (work.density[box] - wanted) / INTRUSION
        shares[box] = work.thickness[box] / (1.0 + off * off) ** 2
        total += shares[box]
    for box in range(first, end):
        shares[box] /= total


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
    for constituent in range(FIRST_CLASS, work.mixture.shape[1]):
        solids += work.mixture[0, constituent]
    return pond_density(work.mixture[0, HEAT], work.mixture[0, SALT], solids)
