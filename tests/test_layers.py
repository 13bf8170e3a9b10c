"""Which module may import which: rightwards only, and each library through one door."""

from __future__ import annotations

import ast
import inspect
from functools import cache
from pathlib import Path

import pytest

import pondsim
from pondsim.jit.kept import may_be_compiled

PACKAGE = Path(__file__).parent.parent / "pondsim"

# A module or folder of the package: what it may import beside itself. Each row names rows below it only.
# "scenario" means its frozen settings and the defaults, "*" anything below.
ARROWS: dict[str, set[str]] = {
    "__main__": {"cli"},
    "cli": {"*"},
    "starter": {"errors"},
    "sizing": {
        "ensemble",
        "simulate",
        "comparison",
        "measures",
        "scenario",
        "site",
        "units",
        "constants",
        "errors",
    },
    "ensemble": {
        *(
            "comparison",
            "measures",
            "simulate",
            "output",
            "results",
            "site",
            "scenario",
            "data",
            "jit",
            "records",
        ),
        *("coordinates", "units", "constants", "errors"),
    },
    "storm": {"simulate", "engine", "processes", "measures", "scenario", "constants", "errors"},
    # looking
    "reporting": {
        *("figures", "comparison", "measures", "results", "data", "spreadsheet", "units", "words", "errors"),
    },
    "figures": {"comparison", "measures", "design", "results", "units", "errors"},
    "comparison": {"measures", "records", "units", "errors"},
    "measures": {"data", "coordinates", "constants", "units", "errors"},
    # running
    "years": {"simulate", "scenario", "errors"},
    "simulate": {"output", "engine", "processes", "scenario", "records", "constants", "errors"},
    "output": {
        *("design", "results", "engine", "processes", "site", "physics", "scenario"),
        *("coordinates", "records", "units", "constants", "errors"),
    },
    "design": {"site", "physics", "scenario", "records", "units", "roots", "constants", "errors"},
    "results": {
        "data",
        "coordinates",
        "units",
        "errors",
    },  # the one bridge: results are read and judged with no model
    "engine": {"processes", "site", "physics", "scenario", "jit", "records", "constants", "errors"},
    "processes": {"site", "physics", "scenario", "jit", "constants"},
    # what is given
    "site": {"physics", "scenario", "jit", "records", "roots", "constants", "units", "words", "errors"},
    "scenario": {"data", "records", "units", "unit_words", "words", "constants", "errors"},
    "physics": {"jit", "constants"},
    # what serves every layer
    "jit": set(),
    "units": {"data", "unit_words", "errors"},
    "unit_words": set(),
    "data": set(),
    "roots": set(),
    "coordinates": set(),
    "constants": set(),
    "words": set(),
    "spreadsheet": set(),
    "records": set(),
    "errors": set(),
}

# Within engine/ too the arrows go one way: each row may import rows below it only.
ENGINE = (
    *("found", "season", "loop", "step", "control", "transfers", "initial", "bed_start", "digging", "model"),
    *("sources", "patterns", "moment", "forcing", "living", "events", "given_algae", "norm", "scheme"),
)

# Processes meet in the state; beside it they share this plumbing and nothing else.
SHARED = {"constituents", "living_rows", "state", "work", "levels", "transport", "sinking", "warmth"}
PLUMBING = {  # which of it the plumbing itself may use
    "constituents": set(),
    "living_rows": {"constituents"},
    "state": {"constituents", "living_rows"},
    "work": {"constituents", "living_rows"},
    "sinking": {"work"},
    "geometry": {"constituents", "state", "work"},
    "levels": {"constituents", "work"},
    "flows": {"work"},
    "transport": {"constituents", "state", "work", "levels"},
    "mixed_layer": {"constituents", "state", "work", "mixing"},
    "overshoot": {"constituents", "work", "mixing"},
    "warmth": {"constituents", "work"},
}

# What the engine may know of scenario files; reading them is for cli, laying values over them for sizing
# and ensemble.
KNOWN_OF_SCENARIO = {
    "pondsim.scenario.settings",
    "pondsim.scenario.defaults",
    "pondsim.scenario.fittings_table",
    "pondsim.scenario.dredging",
    "pondsim.scenario.in_period",
    "pondsim.scenario.keys",
    "pondsim.scenario.stated",
    "pondsim.scenario.pipe_tables",
}

READ_FILES = {"", "cli", "sizing", "ensemble", "scenario"}

DOORS = {  # library: modules or folders that may import it
    "pint": {"units"},
    "numba": {"jit"},
    "llvmlite": {"jit"},
    "matplotlib": {"figures"},
    "click": {"cli"},
    "jinja2": {"reporting"},
    "netCDF4": {"results"},
    "fluids": {"scenario"},
    "multiprocessing": {"ensemble"},
    "concurrent": {"simulate"},  # one thread beside the loop; many runs go through ensemble/runner.py
    "joblib": set(),
    "dask": {"ensemble"},
    "distributed": {"ensemble"},
}
PHYSICS_LIBRARIES = {"__future__", "math", "numpy", "pondsim", "typing"}


def module_name(path: Path) -> str:
    parts = ["pondsim", *path.relative_to(PACKAGE).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def imports(path: Path) -> frozenset[str]:
    """Modules a file imports, also inside functions; names taken from a module count as that module."""
    found: set[str] = set()
    for node in nodes_of(path):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found.add(full if full in MODULES else str(node.module))
    return frozenset(found)


def layer(module: str) -> str:
    """First part after the package's name; the package itself is ''."""
    return module.partition(".")[2].partition(".")[0]


INNER = {name: {m for m in imports(path) if m.split(".")[0] == "pondsim"} for name, path in MODULES.items()}
WITH_PACKAGE_VERSION = {"cli", "output", "ensemble"}  # these read pondsim.__version__


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


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) not in READ_FILES])
def test_only_commands_sizing_and_members_read_scenario_files(name):
    assert {m for m in INNER[name] if layer(m) == "scenario"} <= KNOWN_OF_SCENARIO


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) == "processes"])
def test_processes_do_not_import_each_other(name):
    own = name.rpartition(".")[2]
    used = {m.rpartition(".")[2] for m in INNER[name] if layer(m) == "processes"} - {own, "processes"}
    assert used <= PLUMBING.get(own, SHARED)


def test_engine_imports_go_one_way():
    for name in MODULES:
        if layer(name) == "engine" and name != "pondsim.engine":
            own = name.rpartition(".")[2]
            used = {m.rpartition(".")[2] for m in INNER[name] if layer(m) == "engine"}
            assert used <= set(ENGINE[ENGINE.index(own) + 1 :]), name


def test_no_import_goes_in_a_circle():
    """Not even within a folder: leaving out modules that import nothing more must in the end leave none."""
    left = {name: {m for m in used if m in MODULES and m != name} for name, used in INNER.items()}
    left.pop("pondsim")  # the verbs, for type checkers
    while done := [name for name, used in left.items() if not used & set(left)]:
        for name in done:
            del left[name]
    assert not left, {name: used & set(left) for name, used in left.items()}


COMPILING = {"compiled", "compiled_for_loop", "inlined", "merged"}


def is_left_out(module):
    """Whether the fingerprint of the cache leaves a module out."""
    parts = tuple(module.split(".")[1:])
    return bool(parts) and not may_be_compiled(parts)


def from_left_out(tree):
    """Names in a file that come from modules which the fingerprint leaves out."""
    found = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and str(node.module).startswith("pondsim"):
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found[alias.asname or alias.name] = full if full in MODULES else str(node.module)
    return {name for name, module in found.items() if is_left_out(module)}


def is_compiled(node):
    return isinstance(node, ast.FunctionDef) and COMPILING & {ast.unparse(d) for d in node.decorator_list}


def reached_by_compiled(node):
    """Whether compiled code can depend on a statement of a file: compiled functions, numbers, tables."""
    return is_compiled(node) or isinstance(node, ast.Assign | ast.AnnAssign | ast.For | ast.If)


def test_compiled_code_reaches_nothing_that_its_cache_leaves_out():
    for name, path in MODULES.items():
        tree = nodes_of(path)[0]
        if is_left_out(name) or not layer(name):
            assert not any(map(is_compiled, tree.body)), name
            continue
        left_out = from_left_out(tree)
        for node in filter(reached_by_compiled, tree.body):
            # annotations and docstrings change no machine code
            parts = node.body if isinstance(node, ast.FunctionDef | ast.For | ast.If) else [node.value]
            named = {each.id for part in parts for each in ast.walk(part) if isinstance(each, ast.Name)}
            assert not named & left_out, f"{name}, line {node.lineno}"


@pytest.mark.parametrize("library", DOORS)
def test_one_door_for_each_library(library):
    users = {
        layer(name) for name, path in MODULES.items() if library in {m.split(".")[0] for m in imports(path)}
    }
    assert users <= DOORS[library]


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) == "physics"])
def test_physics_stands_on_numpy_alone(name):
    assert {m.split(".")[0] for m in imports(MODULES[name])} <= PHYSICS_LIBRARIES
    assert {layer(m) for m in INNER[name]} <= {"physics", "jit", "constants"}


def test_csv_is_written_in_one_place():
    """Where no cell can be a formula."""
    users = {
        name
        for name, path in MODULES.items()
        for node in nodes_of(path)
        if isinstance(node, ast.Attribute) and ast.unparse(node) in ("csv.writer", "csv.DictWriter")
    }
    assert users == {"pondsim.spreadsheet"}


def test_nothing_is_printed_but_by_commands():
    for name, path in MODULES.items():
        if layer(name) == "cli":
            continue
        calls = [n for n in nodes_of(path) if isinstance(n, ast.Call)]
        assert not [c for c in calls if isinstance(c.func, ast.Name) and c.func.id == "print"], name


def test_verbs_of_a_notebook_are_typed_and_no_module_has_the_name_of_one():
    assert set(pondsim.__all__) == {*pondsim.VERBS, "__version__"}
    assert (PACKAGE / "py.typed").is_file()
    for name in pondsim.VERBS:
        assert not (PACKAGE / f"{name}.py").exists() and not (PACKAGE / name).exists()
        verb = inspect.signature(getattr(pondsim, name))
        parts = [verb.return_annotation, *(one.annotation for one in verb.parameters.values())]
        assert inspect.Signature.empty not in parts, name
