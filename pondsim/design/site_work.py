"""Trench and well together, as the design sheet and its limits see them."""

from __future__ import annotations

from pondsim.design.limits import Limit
from pondsim.design.trench import trench_limits
from pondsim.design.well import well_built_limits
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import flow_at_normal_pool


def site_work_limits(scenario: Scenario) -> tuple[Limit, ...]:
    """Limits of trench, structure, floats and valve; empty where there is no loop. Raises: nothing."""
    flow = flow_at_normal_pool(scenario)
    if flow is None:
        return ()
    return (*trench_limits(scenario), *well_built_limits(scenario, flow))
