"""What a design builds, in lines of words, from what its results hold of the equipment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pondsim.comparison.pond_work_words import work_head, work_of, work_text
from pondsim.figures.style import unit_text
from pondsim.measures.limits import ALL_YEAR
from pondsim.reporting.blocks import Both
from pondsim.reporting.study import fact
from pondsim.units import display_unit, from_si, number_text
from pondsim.words import counted

if TYPE_CHECKING:
    import xarray as xr

DAY_S = 86400.0
NORMAL = "normal pool"
LOAD = "load"  # what animals bring is no work
Words = Callable[[str], str]  # a text in the units of a system


@dataclass(frozen=True)
class Point:
    """One number of the circulation line, with the pond at one level: SI, None where it is not known."""

    pool: str
    what: str
    kind: str
    value: float | None
    elevation: bool

    def text(self, system: str, *, unit: bool = False) -> str:
        """The value as people read it."""
        if self.value is None:
            return "-"
        shown = display_unit(self.kind, system)
        number = float(from_si(self.value, shown))
        words = f"{number:.2f}" if self.elevation else number_text(number)
        return f"{words} {unit_text(shown)}" if unit else words


@dataclass(frozen=True)
class Item:
    """A part to build or buy: its name, and what it is."""

    name: str
    words: Both


def line_of(dataset: xr.Dataset) -> list[Point]:
    """The circulation line at each level of the pond; empty where the results do not hold it."""
    sheet = fact(dataset, "design_sheet") or {}
    return [Point(*row) for row in sheet.get("line", [])]


def items_to_build(dataset: xr.Dataset) -> list[Item]:
    """Everything a design builds, after what is done to the pond itself, in the order of the water."""
    kept = (fact(dataset, "givens") or {}).get("equipment") or {}
    given = _Given({key: value for key, (value, _) in kept.items()})
    pipes = [*((fact(dataset, "design_sheet") or {}).get("pipes") or []), "", "", ""]
    found = [
        *_item("Intake", "intake", given, lambda s: _intake(given, s, pipes[0])),
        *_item("Gravity line", "gravity_line", given, lambda s: _pipe(given, "gravity_line", pipes[1], s)),
        *_item("Wet well", "wet_well", given, lambda s: _well(given, s)),
        *_item("Pump", "pump", given, lambda s: _pump(given, line_of(dataset), s)),
        *_item("Discharge", "discharge", given, lambda s: _pipe(given, "discharge", pipes[2], s)),
        *_item("Waterfall", "waterfall", given, lambda s: _waterfall(given, s)),
    ]
    units = dict.fromkeys(key.split(".")[1] for key in kept if key.startswith("aeration."))
    found += [Item(f"Air: {unit}", Both(_air(given, unit, "us"), _air(given, unit, "si"))) for unit in units]
    return work_to_do(dataset) + found


def work_to_do(dataset: xr.Dataset) -> list[Item]:
    """What is done to the water and the bed; what animals bring and what was dredged before is no work."""
    return [
        Item(work_head(one), Both(work_text(one, "us"), work_text(one, "si")))
        for one in work_of(dataset)
        if one.code != LOAD and one.names["counts"] != "before"
    ]


class _Given(dict[str, Any]):
    """Values by key; texts of those that are there, "" of the others."""

    def has(self, section: str) -> bool:
        return any(key.startswith(f"{section}.") for key in self)

    def elevation(self, key: str, system: str, words: str) -> str:
        return self._amount(key, "length", system, words, 2)

    def amount(self, key: str, kind: str, system: str, words: str = "{}") -> str:
        return self._amount(key, kind, system, words, None)

    def _amount(self, key: str, kind: str, system: str, words: str, decimals: int | None) -> str:
        value = self.get(key)
        if not isinstance(value, int | float):
            return ""
        unit = display_unit(kind, system)
        number = float(from_si(value, unit))
        text = number_text(number) if decimals is None else f"{number:.{decimals}f}"
        return words.format(f"{text} {unit}")


def _item(name: str, section: str, given: _Given, words: Words) -> list[Item]:
    if not given.has(section):
        return []
    return [Item(name, Both(words("us"), words("si")))]


def _joined(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _zone(given: _Given, section: str) -> str:
    zone = given.get(f"{section}.zone")
    return f"in {zone}" if zone else ""


def _intake(given: _Given, system: str, pipe: str) -> str:
    area, unit = given.get("intake.grate_area"), "ft2" if system == "us" else "m2"
    grate = "" if area is None else f"grate {number_text(float(from_si(area, unit)))} {unit[:-1]}\u00b2"
    centre = given.elevation("intake.elevation", system, "center of the pipe at {}")
    return _joined(_zone(given, "intake"), pipe, centre, grate)


def _pipe(given: _Given, section: str, name: str, system: str) -> str:
    bore = given.amount(f"{section}.inside_diameter", "short_length", system, "{} inside")
    length = given.amount(f"{section}.length", "length", system)
    parts = [length + (f" of {name}" if name else "") or name, bore]
    fittings = [f"{number} {what}" for number, what in given.get(f"{section}.fittings") or []]
    invert = given.elevation(f"{section}.outlet", system, "invert in the well at {}")
    return _joined(*parts, invert, ", ".join(fittings))


def _well(given: _Given, system: str) -> str:
    return _joined(
        given.amount("wet_well.diameter", "length", system, "{} inside diameter"),
        given.elevation("wet_well.bottom", system, "floor at {}"),
        given.elevation("wet_well.pump_off", system, "pump off at {}"),
        given.elevation("wet_well.alarm", system, "alarm at {}"),
    )


def _pump(given: _Given, line: list[Point], system: str) -> str:
    at = {point.what: point for point in line if point.pool == NORMAL}
    count = given.get("pump.count") or 1
    duty = given.amount("pump.flow", "flow", system)
    if "flow" in at and "head of the pump" in at:
        duty = (
            f"{at['flow'].text(system, unit=True)} against {at['head of the pump'].text(system, unit=True)}"
        )
    plate = given.get("pump.nameplate_power")
    power = ""
    if plate is not None:
        unit = "hp" if system == "us" else "kW"
        power = f"nameplate {number_text(float(from_si(plate, unit)))} {unit}"
    many = f"{count} pumps" if count > 1 else ""
    return _joined(many, f"{duty} at normal pool" if duty else "", power, _running(given, "pump", system))


def _waterfall(given: _Given, system: str) -> str:
    steps = given.get("waterfall.steps") or 1
    return _joined(
        _zone(given, "waterfall"),
        given.amount("waterfall.drop", "length", system, "drop {}")
        + (f" in {steps} steps" if steps > 1 else ""),
        given.amount("waterfall.width", "length", system, "lip {} wide"),
        given.elevation("waterfall.lip", system, "crest at {}"),
    )


def _air(given: _Given, unit: str, system: str) -> str:
    start = f"aeration.{unit}"
    count = given.get(f"{start}.diffusers")
    kind = given.get(f"{start}.kind") or ""
    bubbles = f"{kind}-bubble diffuser" if kind in ("fine", "coarse") else f"{kind} diffuser".strip()
    diffusers = counted(int(count), bubbles) if count else ""
    tubing = given.amount(f"{start}.tubing_length", "length", system, "{} of tubing")
    bore = given.amount(f"{start}.tubing_diameter", "short_length", system, ", {} inside")
    return _joined(
        _zone(given, start),
        diffusers,
        given.elevation(f"{start}.elevation", system, "at {}"),
        str(given.get(f"{start}.source") or ""),
        f"{tubing}{bore}" if tubing else "",
        _running(given, start, system),
    )


def _running(given: _Given, section: str, system: str) -> str:
    """When it runs: the timer's hours of the day, the reading that switches it, its season."""
    hours = given.get(f"{section}.hours") or []
    all_day = any(end - begin >= DAY_S for begin, end in hours)
    spans = ", ".join(f"{_clock(begin)} to {_clock(end)}" for begin, end in hours)
    words = "runs all day" if all_day else f"runs {spans}" if spans else ""
    if given.has(f"{section}.set_point"):
        words = _switched(given, f"{section}.set_point", system)
        words += f"; at most {spans}" if spans and not all_day else ""
    season = [span for span in given.get(f"{section}.season") or [] if tuple(span) != ALL_YEAR]
    days = " and ".join(f"{a:02d}-{b:02d} to {c:02d}-{d:02d}" for a, b, c, d in season)
    return _joined(words, f"only {days}" if days else "")


def _switched(given: _Given, section: str, system: str) -> str:
    """The sensor, where it hangs, and its two levels."""
    place = given.amount(f"{section}.depth", "length", system, ", {} under the surface")
    place = place or given.elevation(f"{section}.elevation", system, " at {}")
    on = given.amount(f"{section}.on_below", "concentration", system)
    off = given.amount(f"{section}.off_above", "concentration", system)
    zone = given.get(f"{section}.zone")
    return f"switched by the oxygen reading in {zone}{place}: on below {on}, off above {off}"


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60.0) % (24 * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
