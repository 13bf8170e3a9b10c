"""What members say, as data for JSON and rows for CSV."""

from __future__ import annotations

import io
import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from pondsim.cli._promise_text import NOT_KNOWN, SAFETY, sections_text
from pondsim.cli._promise_words import season_text, shown
from pondsim.ensemble.answer import Answer, DesignAnswer
from pondsim.ensemble.paired import Chance, Paired, worst_places
from pondsim.ensemble.study_file import unknowns_in
from pondsim.spreadsheet import SheetWriter

if TYPE_CHECKING:
    import xarray as xr

KIND = "pondsim promise 1"


def answer_data(study: xr.Dataset, answer: Answer, system: str) -> dict[str, Any]:
    """The whole answer as plain values; null for what does not exist."""
    said = sections_text(study, answer, system)
    return {
        "kind": KIND,
        "units": system,
        "existing": answer.existing,
        "season": season_text(study),
        "members": answer.members,
        "asked": answer.asked,
        "effective": _plain(answer.effective),
        "weighted": bool(study.attrs.get("weighted", 0)),
        "failures": list(answer.failures),
        "weather_years": list(answer.years),
        "confidence": answer.confidence,
        "unknowns": [asdict(one) for one in unknowns_in(study)],
        "designs": {
            one.title: {**said[one.title], **_design(study, answer, one, system)} for one in answer.designs
        },
        "decides": _decides(answer),
        "not_known": NOT_KNOWN,
        "safety": SAFETY,
    }


def _decides(answer: Answer) -> list[dict[str, Any]]:
    """What decides the difference of the first design, the largest share first."""
    return [
        {"unknown": one.unknown.name, "share": _plain(one.first)} for one in answer.designs[0].ranked.indices
    ]


def _design(study: xr.Dataset, answer: Answer, one: DesignAnswer, system: str) -> dict[str, Any]:
    return {
        "measures": {
            key: {
                "low": _plain(reach[0]),
                "median": _plain(reach[1]),
                "high": _plain(reach[2]),
                "better": None if better is None else _plain(better.share),
            }
            for key, (reach, better) in worst_places(study, one.design).items()
        },
        "ranked_measure": one.key,
        "indices": [
            {
                "unknown": i.unknown.name,
                "first": _plain(i.first),
                "low": _plain(i.low),
                "high": _plain(i.high),
            }
            for i in one.ranked.indices
        ],
        "pairs": [[first, second, _plain(share)] for first, second, share in one.ranked.pairs],
        "totals": {name: _plain(share) for name, share in one.ranked.totals.items()},
        "noise": _plain(one.ranked.noise),
        "rest": _plain(one.ranked.rest),
        "worth": [{**asdict(w), "low": _plain(w.low), "high": _plain(w.high)} for w in one.worth],
        "promised": None
        if one.promise is None
        else {
            "key": one.promise.measure.key,
            "amount": _plain(one.promise.amount),
            "unit": one.promise.measure.unit,
            "confidence": one.promise.confidence,
            "reached": _chance(one.promise.reached),
        },
        "monitoring": None
        if one.plan is None
        else {k: _plain(v) if isinstance(v, float) else v for k, v in asdict(one.plan).items()},
        "paired": [_row(row, system) | {"main": answer.in_short(row.measure)} for row in one.rows],
    }


def _row(row: Paired, system: str) -> dict[str, Any]:
    measure = row.measure
    values = [_plain(shown(measure, v, system)) for v in (row.existing, row.value)]
    apart = [_plain(shown(measure, v, system, apart=True)) for v in (row.difference, row.low, row.high)]
    return {
        "key": measure.key,
        "measure": measure.section,
        "place": measure.label,
        "unit": measure.shown_in(system),
        "existing": values[0],
        "design": values[1],
        "design_low": _plain(shown(measure, row.reach[0], system)),
        "design_high": _plain(shown(measure, row.reach[1], system)),
        "difference": apart[0],
        "low": apart[1],
        "high": apart[2],
        "better": _chance(row.better),
        "tie": _chance(row.tie),
        "worse": _chance(row.worse),
        "meets": _chance(row.meets),
        "existing_meets": _chance(row.existing_meets),
        "by_weather_year": [
            [_plain(shown(measure, value, system, apart=True)), count] for value, count in row.by_year
        ],
    }


def _chance(chance: Chance | None) -> list[float | None] | None:
    return None if chance is None else [_plain(part) for part in (chance.share, chance.low, chance.high)]


def _plain(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(f"{value:.6g}")


def answer_csv(answer: Answer, system: str) -> str:
    """A row for each measure of each design."""
    out = io.StringIO()
    writer = SheetWriter(out)
    ends = ("", " low", " high")
    chances = [
        f"{name}{end}" for name in ("better", "tie", "worse", "meets", "existing meets") for end in ends
    ]
    years = [f"difference, {year}" for year in answer.years]
    head = ("design", "key", "measure", "place", "unit", "existing", "value", "difference", "5 %", "95 %")
    writer.writerow([*head, *chances, *years])
    for one in answer.designs:
        for row in one.rows:
            data = _row(row, system)
            names = ("better", "tie", "worse", "meets", "existing_meets")
            cells = [part for name in names for part in (data[name] or [None] * 3)]
            numbers = [data[name] for name in ("existing", "design", "difference", "low", "high")]
            texts = [data[name] for name in ("key", "measure", "place", "unit")]
            by_year = [value for value, _ in data["by_weather_year"]]
            rest = ["" if n is None else f"{n:.6g}" for n in (*numbers, *cells, *by_year)]
            writer.writerow([one.title, *texts, *rest])
    return out.getvalue()
