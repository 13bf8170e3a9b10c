"""Which module may import which: rightwards only, and each library through one door."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from pondsim.compiled import NEVER_COMPILED

PACKAGE = Path(__file__).parent.parent / "pondsim"

# A module or folder of the package: what it may import beside itself. Each row names rows below it only.
# "scenario" means its frozen settings and the defaults, "*" anything below.
ARROWS: dict[str, set[str]] = {
    "__main__": {"cli"},
    "cli": {"*"},
    "starter": {"errors"},
    "sizing": {"run", "compare", "measures", "scenario", "site", "units", "constants", "errors"},
    # looking
    "report": {"figures", "compare", "measures", "results", "units", "words", "errors"},
    "figures": {"compare", "measures", "design", "results", "units", "errors"},
    "compare": {"measures", "units", "errors"},
    "measures": {"constants", "units", "errors"},
    # running
    "storm": {"run", "forcing", "scenario", "constants", "errors"},
    "run": {
        "run_remarks",
        "collect",
        "start",
        "season",
        "model",
        "forcing",
        "processes",
        "scenario",
        "constants",
        "errors",
    },
    "run_remarks": {"bill", "control", "season", "model", "processes", "scenario", "site", "constants"},
    "collect": {
        *("audit", "facts", "meters", "bill", "results", "season", "model", "processes", "site", "physics"),
        *("scenario", "constants", "errors"),
    },
    "facts": {"design", "givens", "scenario", "units"},
    "design": {"bill", "site", "physics", "scenario", "units", "constants", "errors"},
    "givens": {"scenario", "units"},
    "audit": {"processes", "errors"},
    "meters": {"season", "control", "model", "processes", "site", "scenario"},
    "bill": {"site", "scenario", "constants"},
    "results": {"units", "errors"},  # the one bridge: results are read and judged with no model
    "start": {"model", "processes", "site", "physics", "scenario", "constants", "errors"},
    "season": {"control", "carried", "model", "processes", "solver", "site", "bundle", "compiled"},
    "control": {"model", "processes", "site", "physics", "bundle", "compiled", "constants"},
    "carried": {"model", "processes", "site", "bundle", "compiled"},
    "model": {"forcing", "processes", "site", "scenario", "bundle", "compiled"},
    "forcing": {"site", "scenario", "bundle", "constants", "errors"},
    "processes": {"site", "physics", "scenario", "bundle", "compiled", "constants"},
    "solver": {"bundle", "compiled"},
    # what is given
    "site": {"physics", "scenario", "bundle", "compiled", "constants", "units", "pipe_tables", "errors"},
    "scenario": {"units", "pipe_tables", "constants", "errors"},
    "physics": {"compiled", "constants"},
    # what serves every layer
    "bundle": set(),
    "compiled": set(),
    "units": {"errors"},
    "pipe_tables": set(),
    "constants": set(),
    "words": set(),
    "errors": set(),
}

# Processes meet in the state; beside it they share this plumbing and nothing else.
SHARED = {"state", "work", "levels", "transport", "warmth"}
PLUMBING = {  # which of it the plumbing itself may use
    "state": set(),
    "work": set(),
    "geometry": {"state", "work"},
    "levels": {"work"},
    "flows": {"work"},
    "transport": {"state", "work", "levels"},
    "warmth": {"state", "work"},
}

# What the engine may know of scenario files; reading them is for cli.
KNOWN_OF_SCENARIO = {
    "pondsim.scenario.settings",
    "pondsim.scenario.defaults",
    "pondsim.scenario.fittings_table",
}

DOORS = {  # library: modules or folders that may import it
    "pint": {"units"},
    "numba": {"compiled", "bundle"},
    "llvmlite": {"bundle"},
    "matplotlib": {"figures"},
    "click": {"cli"},
    "jinja2": {"report"},
    "h5netcdf": {"results"},
    "fluids": {"pipe_tables"},
}
PHYSICS_LIBRARIES = {"__future__", "math", "numpy", "pondsim", "typing"}


def module_name(path: Path) -> str:
    parts = ["pondsim", *path.relative_to(PACKAGE).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}


def imports(path: Path) -> set[str]:
    """Modules a file imports, also inside functions; names taken from a module count as that module."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found.add(full if full in MODULES else str(node.module))
    return found


def layer(module: str) -> str:
    """First part after the package's name; the package itself is ''."""
    return module.partition(".")[2].partition(".")[0]


INNER = {name: {m for m in imports(path) if m.split(".")[0] == "pondsim"} for name, path in MODULES.items()}
WITH_PACKAGE_VERSION = {"cli", "collect"}  # these read pondsim.__version__


def test_every_layer_is_in_the_table_and_every_row_points_down():
    assert {layer(name) for name in MODULES} - {""} == set(ARROWS)
    order = list(ARROWS)
    for above, below in ARROWS.items():
        later = order[order.index(above) + 1 :]
        assert below - {"*"} <= set(later), above


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name)])
def test_imports_follow_the_arrows(name):
    own = layer(name)
    allowed = set(list(ARROWS)[list(ARROWS).index(own) :]) if "*" in ARROWS[own] else ARROWS[own] | {own}
    wrong = {m for m in INNER[name] if layer(m) not in allowed | {""}}
    assert not wrong
    if own not in WITH_PACKAGE_VERSION:
        assert "pondsim" not in INNER[name]


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) not in ("", "cli", "scenario")])
def test_only_commands_read_scenario_files(name):
    assert {m for m in INNER[name] if layer(m) == "scenario"} <= KNOWN_OF_SCENARIO


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) == "processes"])
def test_processes_do_not_import_each_other(name):
    own = name.rpartition(".")[2]
    used = {m.rpartition(".")[2] for m in INNER[name] if layer(m) == "processes"} - {own, "processes"}
    assert used <= PLUMBING.get(own, SHARED)


def test_compiled_code_reaches_no_folder_that_its_cache_leaves_out():
    for name in MODULES:
        if layer(name) not in {*NEVER_COMPILED, "", "__main__", "storm", "facts"}:
            assert not {layer(m) for m in INNER[name]} & NEVER_COMPILED, name


@pytest.mark.parametrize("library", DOORS)
def test_one_door_for_each_library(library):
    users = {
        layer(name) for name, path in MODULES.items() if library in {m.split(".")[0] for m in imports(path)}
    }
    assert users <= DOORS[library]


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) == "physics"])
def test_physics_stands_on_numpy_alone(name):
    assert {m.split(".")[0] for m in imports(MODULES[name])} <= PHYSICS_LIBRARIES
    assert {layer(m) for m in INNER[name]} <= {"physics", "compiled", "constants"}


@pytest.mark.parametrize("folder", ["compare", "measures", "report", "figures"])
def test_no_circle_of_imports_inside_a_folder(folder):
    """Followed from every module: none comes back to itself, the folder's own module included."""
    inside = {
        name: {m for m in INNER[name] if layer(m) == folder} for name in MODULES if layer(name) == folder
    }
    for name, first in inside.items():
        reached, ahead = set(), set(first)
        while ahead:
            reached |= ahead
            ahead = set().union(*(inside[one] for one in ahead)) - reached
        assert name not in reached, name


def test_nothing_is_printed_but_by_commands():
    for name, path in MODULES.items():
        if layer(name) == "cli":
            continue
        calls = [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.Call)]
        assert not [c for c in calls if isinstance(c.func, ast.Name) and c.func.id == "print"], name
