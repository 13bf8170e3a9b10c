"""What waterfalls, pumps and aerators change in a stormwater pond, computed before anyone digs.

The verbs a notebook needs: `read_scenario`, `run`, `compare`, `report`, `save`, `load`.
"""

from __future__ import annotations

import importlib
import sys
from types import ModuleType
from typing import Any

__version__ = "0.2.0"

VERBS = {  # verb: the module that holds it; loaded when first used, so that `pondsim --help` stays quick
    "read_scenario": "pondsim.scenario.read",
    "run": "pondsim.run",
    "compare": "pondsim.compare",
    "report": "pondsim.report",
    "save": "pondsim.results",
    "load": "pondsim.results",
}

__all__ = ["__version__", "compare", "load", "read_scenario", "report", "run", "save"]


def __getattr__(name: str) -> Any:
    if name in VERBS:
        return getattr(importlib.import_module(VERBS[name]), name)
    raise AttributeError(f"module 'pondsim' has no attribute {name!r}")


class _Package(ModuleType):
    """Keeps `pondsim.run` the verb when the module of the same name is imported."""

    def __dir__(self) -> list[str]:
        return sorted(__all__)

    def __setattr__(self, name: str, value: Any) -> None:
        if not (name in VERBS and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
