"""Results of several designs -> the difference each makes to the existing pond, measure by measure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pondsim.comparison.entries import COARSEST, LINE_WORDS, Entry, entries
from pondsim.comparison.remarks import Remark, remarks_of
from pondsim.errors import ScenarioError
from pondsim.measures import criteria, step_hours

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Comparison", "Entry", "Row", "compare"]

AVERAGED_OVER = {"mean_30_day": 30, "mean_7_day": 7, "mean_minimum_7_day": 7}  # days
WEATHER = {
    "air_temperature": "air temperature",
    "wind_speed": "wind",
    "shortwave": "sun",
    "rain_intensity": "rain",
}
SAME = 1e-6  # places and levels may differ by so much, relative to their size


@dataclass(frozen=True)
class Row:
    """One measure, for every design.

    Attributes
    ----------
    key : name for machines, such as ``hours_below_3_top.far_arm``
    section : what it is, in words; rows of one section stand together
    label : zone, or what else tells the rows of a section apart
    unit : unit of `values`
    us, si : units shown to people
    values : one per design, existing pond first; None where there is no such number
    failing : whether a value falls short of the criterion
    good : 1 when more is better, -1 when less is, 0 when neither
    main : whether it belongs in the short table
    no_contest : whether a value is none that a design could be best by
    """

    key: str
    section: str
    label: str
    unit: str
    us: str
    si: str
    values: tuple[float | None, ...]
    failing: tuple[bool, ...]
    good: int
    main: bool
    no_contest: tuple[bool, ...] = ()

    @property
    def differences(self) -> tuple[float | None, ...]:
        """Each design less the existing pond, in `unit`."""
        first = self.values[0]
        return tuple(None if v is None or first is None else v - first for v in self.values)

    @property
    def best(self) -> tuple[bool, ...]:
        """Whether each value is the best of the row; none is where all are alike or it cannot be told."""
        out = self.no_contest or tuple(False for _ in self.values)
        known = [
            self.good * v for v, not_in in zip(self.values, out, strict=True) if v is not None and not not_in
        ]
        if not self.good or len(known) < 2 or max(known) == min(known):
            return tuple(False for _ in self.values)
        return tuple(
            v is not None and not not_in and self.good * v == max(known)
            for v, not_in in zip(self.values, out, strict=True)
        )


@dataclass(frozen=True)
class Comparison:
    """Designs side by side.

    Attributes
    ----------
    titles : one per design, existing pond first
    zones : names of the zones
    days : length of the run [d]
    start, end : first and last moment, as text
    rows : every measure
    notes : sentences a reader must know, such as a remark of a run
    remarks : what each run says of itself
    """

    titles: tuple[str, ...]
    zones: tuple[str, ...]
    days: float
    start: str
    end: str
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    remarks: tuple[tuple[Remark, ...], ...]

    def row(self, key: str) -> Row | None:
        """The row of that key; None where there is none, a mistyped key among them."""
        return next((row for row in self.rows if row.key == key), None)

    def value(self, key: str, design: int) -> float | None:
        """One number; None where there is none."""
        row = self.row(key)
        return row.values[design] if row else None


def compare(datasets: list[xr.Dataset]) -> Comparison:
    """Compare designs, measure by measure.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first.

    Returns
    -------
    Comparison
        Rows of numbers with their differences to the existing pond.

    Raises
    ------
    ScenarioError
        The runs differ in period, output step, pond or criterion, so that a difference would mean nothing.
    """
    if not datasets:
        raise ScenarioError("nothing to compare: name the existing pond and at least one design")
    for other in datasets[1:]:
        _refuse_unlike(datasets[0], other)
    times = datasets[0]["time"].values
    return Comparison(
        titles=_titles(datasets),
        zones=tuple(str(zone) for zone in datasets[0]["zone"].values),
        days=float((times[-1] - times[0]) / np.timedelta64(1, "s")) / 86400.0,
        start=_moment(times[0]),
        end=_moment(times[-1]),
        rows=_rows([entries(dataset) for dataset in datasets]),
        notes=_notes(datasets),
        remarks=tuple(remarks_of(dataset) for dataset in datasets),
    )


def _titles(datasets: list[xr.Dataset]) -> tuple[str, ...]:
    """Titles, with a number after those that occur again."""
    titles: list[str] = []
    for dataset in datasets:
        title = str(dataset.attrs.get("title", "untitled"))
        again = sum(1 for known in titles if known == title or known.startswith(f"{title} ("))
        titles.append(f"{title} ({again + 1})" if again else title)
    return tuple(titles)


def _moment(time: np.datetime64) -> str:
    return str(np.datetime_as_string(time, unit="m")).replace("T", " ")


def _refuse_unlike(first: xr.Dataset, other: xr.Dataset) -> None:
    a, b = first["time"].values, other["time"].values
    names = f'"{first.attrs.get("title", "")}" and "{other.attrs.get("title", "")}" cannot be compared: '
    if a[0] != b[0] or a[-1] != b[-1]:
        raise ScenarioError(
            f"{names}the first runs from {_moment(a[0])} to {_moment(a[-1])}, the second from "
            f"{_moment(b[0])} to {_moment(b[-1])}; give both the same [period]: "
            "in the site file, and not another in a design file"
        )
    if len(a) != len(b):
        raise ScenarioError(
            f"{names}results are kept every {step_hours(a):g} h in the first and every {step_hours(b):g} h "
            "in the second; give both the same period.output_step"
        )
    zones = [[str(zone) for zone in dataset["zone"].values] for dataset in (first, other)]
    if zones[0] != zones[1]:
        raise ScenarioError(
            f"{names}the first has the zones {', '.join(zones[0])}, the second {', '.join(zones[1])}; "
            "both must be designs of one site"
        )
    for key, words in (
        ("normal_pool_m", "normal pools"),
        ("latitude_deg", "latitudes"),
        ("longitude_deg", "longitudes"),
    ):
        one, two = (float(dataset.attrs.get(key, 0.0)) for dataset in (first, other))
        if abs(one - two) > SAME * max(1.0, abs(one)):
            raise ScenarioError(
                f"{names}their {words} differ ({one:g} and {two:g}); both must be of one site"
            )
    for key, words in (
        ("criterion", "judging.criterion"),
        ("fish_oxygen_mg_per_L", "judging.fish_oxygen"),
        ("fish_temperature_degC", "judging.fish_temperature"),
        ("renewed_within_d", "judging.renewed_within"),
    ):
        if first.attrs.get(key) != other.attrs.get(key):
            raise ScenarioError(f"{names}{words} is not the same in both; they must be judged alike")
    money = [str(dataset.attrs["currency"]) for dataset in (first, other) if "currency" in dataset.attrs]
    if len(set(money)) > 1:
        words = " and in ".join(money)
        raise ScenarioError(f"{names}their tariffs are in {words}; give both one tariff.currency")


def _rows(by_design: list[dict[str, Entry]]) -> tuple[Row, ...]:
    """Entries of all designs, joined by key; what a design does not have is None."""
    models: dict[str, Entry] = {}
    for design in by_design:
        for key, entry in design.items():
            models.setdefault(key, entry)
    sections = list(dict.fromkeys(entry.section for entry in models.values()))
    rows = [
        Row(
            key,
            model.section,
            model.label,
            model.unit,
            model.us,
            model.si,
            tuple(design[key].value if key in design else model.absent for design in by_design),
            tuple(design[key].failing if key in design else False for design in by_design),
            model.good,
            model.main,
            tuple(design[key].no_contest if key in design else False for design in by_design),
        )
        for key, model in models.items()
    ]
    return tuple(sorted(rows, key=lambda row: sections.index(row.section)))


def _not_judged(dataset: xr.Dataset) -> list[str]:
    """Means of the criteria that are longer than the whole days of the run."""
    times = dataset["time"].values
    first, last = times[0].astype("datetime64[D]"), times[-1].astype("datetime64[D]")
    whole = int((last - first) / np.timedelta64(1, "D")) - int(first < times[0])
    limits = criteria()[str(dataset.attrs.get("criterion", "warm_other"))].limits
    return [LINE_WORDS[line] for line in limits if AVERAGED_OVER.get(line, 1) > whole]


def _other_weather(datasets: list[xr.Dataset]) -> list[str]:
    """A sentence for every design that ran under other weather than the existing pond."""
    first, notes = datasets[0], []
    for title, other in zip(_titles(datasets)[1:], datasets[1:], strict=True):
        unlike = [
            words
            for name, words in WEATHER.items()
            if name in first and name in other and not np.allclose(first[name], other[name], equal_nan=True)
        ]
        if unlike:
            notes.append(
                f"{title} ran under other weather than {_titles(datasets)[0]} ({', '.join(unlike)}): "
                "the differences are not of the design alone."
            )
    return notes


def _notes(datasets: list[xr.Dataset]) -> tuple[str, ...]:
    notes: list[str] = []
    versions = {str(dataset.attrs.get("pondsim_version", "unknown")) for dataset in datasets}
    if len(versions) > 1:
        notes.append(
            f"These results come from different versions of pondsim ({', '.join(sorted(versions))}): "
            "run all designs again before relying on small differences."
        )
    step = step_hours(datasets[0]["time"].values)
    if step > COARSEST:
        notes.append(
            f"Results are kept every {step:g} h, too seldom for days failing, dawn lows and hours below: "
            'run with period.output_step = "1 h" for these.'
        )
    notes += _other_weather(datasets)
    missed = _not_judged(datasets[0])
    if missed:
        notes.append(f"Too short to judge by the {' and the '.join(missed)} of the criteria.")
    said: dict[str, list[str]] = {}  # remark: the designs it is of
    for title, dataset in zip(_titles(datasets), datasets, strict=True):
        for remark in remarks_of(dataset):
            said.setdefault(remark.text, []).append(title)
    for text, titles in said.items():
        named = ", ".join(f'"{title}"' for title in titles)
        notes.append(text if len(titles) == len(datasets) else f"{named}: {text}")
    gaps = [
        (float(np.max(gap)), name.removeprefix("balance_"))
        for dataset in datasets
        for name, gap in dataset.attrs.items()
        if str(name).startswith("balance_")
    ]
    if gaps:
        worst, what = max(gaps)
        notes.append(
            "Mass balance: water, heat, oxygen, salt and solids close; "
            f"the widest gap is {worst:.0e} ({what})."
        )
    return tuple(dict.fromkeys(notes))
