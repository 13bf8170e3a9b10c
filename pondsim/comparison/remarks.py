"""What a run says of itself, in words: the one place where a record becomes a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pondsim.comparison.lengths import SHORT_RUN, length_text
from pondsim.comparison.remarks_on_designs import DESIGN_WORDS
from pondsim.comparison.remarks_on_files import FILE_WORDS
from pondsim.comparison.remarks_on_weights import WEIGHT_WORDS
from pondsim.errors import ScenarioError
from pondsim.records import Record, from_json, plain
from pondsim.units import convert

if TYPE_CHECKING:
    import xarray as xr

# Records that change how the numbers of a design are read, and so belong in its paragraph.
IN_PARAGRAPH = {"intake_short", "below_low_pool", "zone_dry", "pump_tripped"}
DAY = 86400.0  # s
HOUR = 3600.0  # s


@dataclass(frozen=True)
class Remark:
    """One thing a run says of itself.

    Attributes
    ----------
    record : code, numbers and where; its code is "" for a line of a file that holds no records
    text : in a sentence or two
    """

    record: Record
    text: str

    @property
    def code(self) -> str:
        """What it is."""
        return self.record.code

    @property
    def in_paragraph(self) -> bool:
        """Whether it belongs in the paragraph of its design."""
        return self.code in IN_PARAGRAPH


def remarks_of(dataset: xr.Dataset) -> tuple[Remark, ...]:
    """What a run says of itself; a file of an older version holds plain lines, which stay as they are.

    Raises
    ------
    ScenarioError
        The attribute `remarks` is damaged.
    """
    text = str(dataset.attrs.get("remarks", ""))
    if not text.startswith("["):
        return tuple(Remark(Record(""), line.strip()) for line in text.splitlines() if line.strip())
    try:
        return tuple(Remark(one, sentence(one)) for one in from_json(text))
    except (ValueError, KeyError) as error:
        raise ScenarioError(
            f'the results of "{dataset.attrs.get("title", "")}" are damaged (attribute remarks); '
            "run the design again"
        ) from error


def sentence(record: Record, system: str = "us") -> str:
    """A record in words; one of a newer version of pondsim is shown by its code and numbers.

    `system` of units is for what is said of a design before it is run; the rest gives both.
    """
    own = WORDS.get(record.code)
    if own is not None:
        return own if isinstance(own, str) else own(record)
    of_design = DESIGN_WORDS.get(record.code)
    if of_design is not None:
        return of_design if isinstance(of_design, str) else of_design(record, system)
    numbers = [f"{name} {value:g} {unit}" for name, (value, unit) in record.numbers.items()]
    return " ".join([record.code.replace("_", " "), *filter(None, [record.where]), *numbers])


def records_data(records: Iterable[Record], system: str = "us") -> list[dict[str, Any]]:
    """Records for machines: code, severity, where, numbers, times and names as kept, and the text."""
    return [plain(record) | {"text": sentence(record, system)} for record in records]


def _length(record: Record, name: str) -> str:
    metres = record.number(name)
    return f"{convert(metres, 'm', 'ft'):.2f} ft ({metres:.2f} m)"


def _day(moment: datetime) -> str:
    return f"{moment:%B} {moment.day}"


def _minute(moment: datetime) -> str:
    return f"{_day(moment)} {moment:%H:%M}"


def _start_shows(record: Record) -> str:
    days, searched = record.number("days"), record.number("searched")
    at_least = "at least " if days * DAY >= searched - HOUR else ""
    until = (_minute if days < SHORT_RUN else _day)(record.time("until"))
    return (
        f"Results before {until} ({at_least}{length_text(days)}) still depend on the "
        "starting conditions somewhere in the pond; they are included in every count."
    )


def _intake_short(record: Record) -> str:
    cure = "Give it a float switch ([wet_well] pump_off)."
    if "pump_off" in record.numbers:
        cure = f"Check its float switch: pump off is at {_length(record, 'pump_off')}."
    return (
        f"The water level fell to within {_length(record, 'cover')} of the intake's centerline, first on "
        f"{_day(record.time('first'))}: the pump loses its flow, draws air and keeps using power, which "
        f"damages it. {cure}"
    )


def _below_low_pool(record: Record) -> str:
    return (
        f"The water level fell below low pool, first on {_day(record.time('first'))}; the lowest level was "
        f"{_length(record, 'below')} below it."
    )


def _pump_tripped(record: Record) -> str:
    trips = int(record.number("trips"))
    times = "once" if trips == 1 else f"{trips:,} times, failed restarts included"
    first = f", first on {_minute(record.time('first'))}" if "first" in record.times else ""
    return (
        f"The pump tripped {times}{first}: while it runs, it draws the wet well down below pump off "
        f"({_length(record, 'pump_off')}). The pond is too low, or the line to the well loses too much head."
    )


def _switchings_cut(record: Record) -> str:
    return (
        f"Of {record.number('switchings'):.0f} starts, stops and trips by control the results list the first "
        f"{record.number('listed'):.0f}."
    )


def _pump_stood(record: Record) -> str:
    return (
        f"The pump was off from {_minute(record.time('first'))} to {_minute(record.time('last'))}: turnover "
        "time, water age since the waterfall and the renewed share spread its flow evenly over the run, and "
        "are optimistic for that time."
    )


def _sensor_dry(record: Record) -> str:
    return (
        f"The oxygen sensor of {record.where} was above the water for "
        f"{record.number('duration') / HOUR:.0f} h: it read the air, so control requested nothing. Lower the "
        "sensor, or set it by its depth."
    )


def _bill_in_part(record: Record) -> str:
    parts = [f"{100.0 * share:.0f} % of {month}" for month, (share, _) in record.numbers.items()]
    return (
        f"The electricity bill covers {' and '.join(parts)}: demand and fixed charges of a partial month are "
        "counted by that share, and its peak power is that of the days run."
    )


def _zone_dry(record: Record) -> str:
    return (
        f"Zone {record.where} fell dry, first on {_day(record.time('first'))}; what is printed for it while "
        "it is dry describes a film of water and means nothing."
    )


def _above_bank_top(record: Record) -> str:
    return (
        f"The water rose above the bank top, first on {_day(record.time('first'))}; what leaves over the "
        "banks is not in the results."
    )


def _freeboard_used(record: Record) -> str:
    return (
        f"The water used {_length(record, 'used')} of the freeboard, first on {_day(record.time('first'))}."
    )


def _ice_lay(record: Record) -> str:
    metres = record.number("thickest")
    first, last = (str(record.times[end])[:10] for end in ("first", "last"))
    return (
        f"Ice lay on the pond from {first} to {last}, at most {convert(metres, 'm', 'in'):.0f} in "
        f"({100.0 * metres:.0f} cm) thick as the mean of {record.where}. "
        "No computed thickness says that ice bears."
    )


def _bed_overfed(record: Record) -> str:
    stated, fed = (record.number(name) * 1e3 * DAY for name in ("stated", "fed"))
    return (
        f"Sediment oxygen demand of {record.where}: {stated:.2g} g/m2/d is stated, but its own algae and "
        f"runoff feed {fed:.2g} g/m2/d. The run uses what they feed; check the stated value, or bed.passes."
    )


def _bed_of_short_period(record: Record) -> str:
    length = length_text(record.number("length") / DAY)
    return (
        f"The bed was filled by repeating a period of only {length}: compare only runs of the same "
        "period; another end changes earlier days too."
    )


def _resuspension(record: Record) -> str:
    waves, at_return = (bool(record.number(name)) for name in ("waves", "at_return"))
    fetch, least = (
        f"{convert(record.number(name), 'm', 'ft'):.0f} ft ({record.number(name):.0f} m)"
        for name in ("fetch", "least_fetch")
    )
    off = f"waves are off, since the fetch of {fetch} is below {least}"
    returned = "under the waterfall it is on" if at_return else "under the waterfall it is off"
    return (
        f"Resuspension of settled sediment: {f'waves are on, fetch {fetch}' if waves else off}; {returned}. "
        "Set both in [resuspension]."
    )


WORDS: dict[str, str | Callable[[Record], str]] = {
    **FILE_WORDS,
    **WEIGHT_WORDS,
    "start_shows": _start_shows,
    "intake_short": _intake_short,
    "below_low_pool": _below_low_pool,
    "pump_tripped": _pump_tripped,
    "switchings_cut": _switchings_cut,
    "pump_stood": _pump_stood,
    "sensor_dry": _sensor_dry,
    "bill_in_part": _bill_in_part,
    "zone_dry": _zone_dry,
    "ice_lay": _ice_lay,
    "ran_under_ice": (
        "Equipment ran under ice: over aerators, at the waterfall and at the intake ice is thin or open "
        "where nobody sees it. Signs and a fence, nobody on the ice."
    ),
    "above_bank_top": _above_bank_top,
    "freeboard_used": _freeboard_used,
    "bed_overfed": _bed_overfed,
    "bed_of_short_period": _bed_of_short_period,
    "resuspension": _resuspension,
    "chlorophyll_not_used": "Algae were grown: the chlorophyll that algae.chlorophyll states was not used.",
}
