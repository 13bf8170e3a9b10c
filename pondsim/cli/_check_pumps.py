"""`pondsim check DESIGN --pumps LIST`: every pump of a list on the line of the design, as text and data."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._check_text import hanging
from pondsim.cli._common import json_text, wrapped, write_text
from pondsim.cli._size_text import aligned
from pondsim.errors import Problem, ScenarioError
from pondsim.spreadsheet import SheetWriter
from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from pondsim.design.limits import Limit
    from pondsim.design.pump_list import PumpAt, PumpCheck
    from pondsim.scenario.settings import Scenario

ABOUT = (
    "Nothing was run: pondsim size flow shows whether a pump that passes does enough for the pond. Amps are "
    "informational; the licensed electrician sizes wire and protection."
)
Value = tuple[str, str, Any]  # head, kind of units ("" for a plain number), what it is of a pump at a level


def check_pumps(
    design: Path, pumps: Path, system: str, json_file: Path | None, csv_file: Path | None
) -> tuple[int, list[Problem]]:
    """Print the list; give how many pumps are without a FAIL, and the faults of those that cannot be used."""
    from pondsim.design.pump_list import check_pump  # noqa: PLC0415

    usable, problems = _read(design, pumps)
    if not usable:
        raise ScenarioError(problems)
    checks = tuple(check_pump(name, price, scenario) for name, price, scenario in usable)
    click.echo(pumps_text(checks, design, pumps, system))
    if json_file:
        write_text(json_file, json_text({"units": system, "pumps": _data(checks, system)}))
    if csv_file:
        write_text(csv_file, _csv(checks, system))
    return sum(check.verdict != "fail" for check in checks), problems


def _read(design: Path, pumps: Path) -> tuple[list[tuple[str, float | None, Scenario]], list[Problem]]:
    """Entries laid over the design, and the faults of those that cannot be."""
    from pondsim.scenario.overlay_list import read_items  # noqa: PLC0415
    from pondsim.scenario.read import read_scenario  # noqa: PLC0415
    from pondsim.scenario.vary import read_changed  # noqa: PLC0415

    if read_scenario(design).pump is None:
        raise ScenarioError(f"{design}: has no circulation loop, so there is no line to check a pump against")
    usable: list[tuple[str, float | None, Scenario]] = []
    problems: list[Problem] = []
    for item in read_items(pumps):
        try:
            usable.append((item.name, item.price, read_changed(design, item.changes).scenario))
        except ScenarioError as error:
            problems += error.problems
    return usable, list(dict.fromkeys(problems))


def pumps_text(checks: tuple[PumpCheck, ...], design: Path, pumps: Path, system: str) -> str:
    """The table, and under it what each pump breaks."""
    from pondsim.design.pump_list import shared  # noqa: PLC0415

    common = shared(checks)
    levels = " and ".join(", ".join(_pools(checks)).rsplit(", ", 1))
    parts = [
        wrapped(f"Pumps of {pumps} on the line of {design}: flow at {levels} pool, the rest at normal pool."),
        aligned(_rows(checks, system), left=1),
    ]
    if common:
        head = "All of them violate these limits, which belong to the line (see pondsim check):"
        parts.append("\n".join([wrapped(head), *(_broken(limit, system) for limit in common)]))
    for check in checks:
        lines = [hanging(f"{check.name}: {_about(check, system)}", "", "  ")]
        lines += [_broken(limit, system) for limit in check.broken if limit not in common]
        parts.append("\n".join(lines))
    return "\n\n".join([*parts, wrapped(ABOUT)])


def _about(check: PumpCheck, system: str) -> str:
    """What is said of a pump beside the table."""
    from pondsim.comparison.findings import money_text  # noqa: PLC0415

    said = [check.verdict.upper()]
    if check.price is not None:
        said.append(f"price {number_text(check.price, 6)}")
    if check.solids is not None:
        said.append(f"passes {display(check.solids, 'short_length', system)}")
    if check.full_load is not None:
        said.append(f"full load {number_text(check.full_load)} A each motor")
    if check.cost is not None:
        said.append(f"electricity by the timers {money_text(check.cost, check.currency)} in the period")
    return ", ".join(said)


def _broken(limit: Limit, system: str) -> str:
    from pondsim.cli._size_held import broken_line  # noqa: PLC0415

    return hanging(broken_line(limit, system), "  ", "       ")


def _columns(checks: tuple[PumpCheck, ...]) -> list[Value]:
    """Columns of the table after the flows; those of which no pump says anything are left out."""
    every: list[Value] = [
        ("head", "length", lambda one: one.pool.head),
        ("in pipe", "speed", _velocity),
        ("power", "power", lambda one: one.pool.electric_power),
        ("amps", "A", lambda one: one.current),
        ("NPSH over", "length", lambda one: one.npsh_margin),
        ("starts", "1/h", lambda one: one.pool.starts or None),
    ]
    return [one for one in every if any(one[2](check.normal) is not None for check in checks)]


def _velocity(one: PumpAt) -> float | None:
    """In the discharge, else on the way to the pump. [m/s]"""
    found = (one.pool.discharge_velocity, one.pool.gravity_velocity, one.pool.intake_velocity)
    return next((velocity for velocity in found if velocity is not None), None)


def _shown(value: float | None, kind: str, system: str) -> float | None:
    if value is None or kind in ("A", "1/h"):
        return value
    return float(from_si(value, display_unit(kind, system)))


def _pools(checks: tuple[PumpCheck, ...]) -> list[str]:
    return [at.pool.name.removesuffix(" pool") for at in checks[0].at]


def _rows(checks: tuple[PumpCheck, ...], system: str) -> list[list[str]]:
    columns = _columns(checks)
    pools = _pools(checks)
    units = [kind if kind in ("A", "1/h") else display_unit(kind, system) for _, kind, _ in columns]
    flow = display_unit("flow", system)
    rows = [
        ["", *pools, *(head for head, _, _ in columns), ""],
        ["", *(f"[{flow}]" for _ in pools), *(f"[{unit}]" for unit in units), ""],
    ]
    for check in checks:
        flows = [_flow(at, flow) for at in check.at]
        cells = [number_text(_nan(_shown(of(check.normal), kind, system))) for _, kind, of in columns]
        rows.append([check.name, *flows, *cells, check.verdict.upper()])
    return rows


def _nan(value: float | None) -> float:
    return float("nan") if value is None else value


def _flow(at: PumpAt, unit: str) -> str:
    return "stops" if at.pool.stops else number_text(from_si(at.pool.flow, unit))


def _data(checks: tuple[PumpCheck, ...], system: str) -> list[dict[str, Any]]:
    """Every number of every pump, in the units chosen; null where the file does not say enough."""
    from pondsim.cli._size_held import broken_data  # noqa: PLC0415

    found = []
    for check in checks:
        levels = {}
        for at in check.at:
            levels[at.pool.name] = {key: _plain(value) for key, value in _level(at, system).items()}
        found.append(
            {
                "name": check.name,
                "price": check.price,
                "verdict": check.verdict,
                "solids_passage": _plain(_shown(check.solids, "short_length", system)),
                "full_load_amperes": _plain(check.full_load),
                "cost_in_the_period": _plain(check.cost),
                "levels": levels,
                "breaks": [broken_data(limit, system) for limit in check.broken],
            }
        )
    return found


def _level(at: PumpAt, system: str) -> dict[str, float | bool | None]:
    pool = at.pool
    return {
        "runs": not pool.stops,
        "flow": _shown(pool.flow, "flow", system),
        "head": _shown(pool.head, "length", system),
        "discharge_velocity": _shown(pool.discharge_velocity, "speed", system),
        "gravity_velocity": _shown(pool.gravity_velocity, "speed", system),
        "intake_velocity": _shown(pool.intake_velocity, "speed", system),
        "electric_power": _shown(pool.electric_power, "power", system),
        "amperes": at.current,
        "npsh_margin": _shown(at.npsh_margin, "length", system),
        "starts_per_hour": pool.starts,
    }


def _plain(value: float | bool | None) -> float | bool | None:
    from pondsim.cli._size_text import plain  # noqa: PLC0415

    return value if isinstance(value, bool) else plain(value)


def _csv(checks: tuple[PumpCheck, ...], system: str) -> str:
    """One row per pump and level."""
    out = io.StringIO()
    writer = SheetWriter(out)
    keys = list(_level(checks[0].normal, system))
    own = ("name", "price", "verdict", "solids_passage", "full_load_amperes", "cost_in_the_period")
    writer.writerow([*own, "level", *keys])
    for entry in _data(checks, system):
        for level, values in entry["levels"].items():
            writer.writerow([*(entry[key] for key in own), level, *(values[key] for key in keys)])
    return out.getvalue()
