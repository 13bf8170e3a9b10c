"""What waterfalls, pumps and aerators change in a stormwater pond, computed before anyone digs.

The verbs a notebook needs: `read_scenario`, `with_value`, `run`, `run_members`, `compare`, `report`, `save`
and `load`.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pondsim.comparison import compare
    from pondsim.ensemble.member import run_members
    from pondsim.reporting import report
    from pondsim.results import load, save
    from pondsim.scenario.read import read_scenario
    from pondsim.scenario.values import with_value
    from pondsim.simulate import run

__version__ = "0.3.0"

VERBS = {  # verb: the module that holds it; loaded when first used, so that `pondsim --help` stays quick
    "read_scenario": "pondsim.scenario.read",
    "with_value": "pondsim.scenario.values",
    "run": "pondsim.simulate",
    "run_members": "pondsim.ensemble.member",
    "compare": "pondsim.comparison",
    "report": "pondsim.reporting",
    "save": "pondsim.results",
    "load": "pondsim.results",
}

__all__ = [
    "__version__",
    "compare",
    "load",
    "read_scenario",
    "report",
    "run",
    "run_members",
    "save",
    "with_value",
]


def __getattr__(name: str) -> Any:
    if name in VERBS:
        return getattr(importlib.import_module(VERBS[name]), name)
    raise AttributeError(f"module 'pondsim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
