"""Whether the outlet and normal pool say the same level."""

from __future__ import annotations

from pondsim.design.limits import Limit
from pondsim.scenario.settings import Outlet, Scenario
from pondsim.units import show

SAME_LEVEL = 0.03  # m, 0.1 ft, by which levels of outlet and pool may differ; judgement


def level_of_outlet(outlet: Outlet) -> float:
    """Water surface above which water leaves: the lowest opening, or the tailwater over it [m]."""
    levels = [hole.elevation - 0.5 * hole.diameter for hole in outlet.orifice]
    levels += [weir.crest for weir in outlet.weir] + [spillway.crest for spillway in outlet.spillway]
    table = outlet.table
    if table is not None:
        levels.append([stage for stage, flow in zip(table.stage, table.flow, strict=True) if flow <= 0.0][-1])
    lowest = min(levels)
    return lowest if outlet.tailwater is None else max(lowest, outlet.tailwater)


def outlet_limits(scenario: Scenario) -> tuple[Limit, ...]:
    """A warning where the outlet stops running at another level than normal pool; else empty. SI."""
    if scenario.outlet is None:
        return ()
    level, pool = level_of_outlet(scenario.outlet), scenario.pond.normal_pool
    if abs(level - pool) <= SAME_LEVEL:
        return ()
    low = level < pool
    means = (
        "Without inflow the pond drains down to it, while areas, volumes and flows are given at normal pool. "
        "If that is meant, as for a drawdown, leave it; else correct one of them."
        if low
        else "Inflow fills the pond up to it before anything leaves. If that is meant, as where seepage "
        "keeps the water lower, leave it; else correct one of them."
    )
    return (
        Limit(
            "outlet_level",
            "outlet",
            "level at which the outlet stops running, over normal pool",
            level - pool,
            "length",
            0.0 if low else None,
            None if low else 0.0,
            "warn",
            "pond.normal_pool",
            f"Water leaves above {_elevation(level)}; pond.normal_pool is {_elevation(pool)}. {means}",
        ),
    )


def _elevation(value: float) -> str:
    return f"{show(value, 'ft', 5)} ({show(value, 'm', 5)})"
