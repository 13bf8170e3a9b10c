"""What a reader of a comparison must know: what was not judged, remarks of runs, the mass balance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.comparison.dredged import Moved, moved_beds
from pondsim.comparison.givens import given, givens_of
from pondsim.comparison.names import listed, quoted
from pondsim.comparison.remarks import remarks_of
from pondsim.measures import COARSEST, not_judged, step_hours
from pondsim.measures.judged import LINE_WORDS
from pondsim.measures.leaving import sampled
from pondsim.units import convert

if TYPE_CHECKING:
    import xarray as xr

BOOKS = {"redox": "oxygen and all oxygen demand"}  # balances that people call otherwise
HOT = 37.0  # degC that measured shallow ponds rarely exceed (from memory)


def notes_of(datasets: list[xr.Dataset], titles: tuple[str, ...]) -> tuple[str, ...]:
    """Every note, each once."""
    parts = (
        _of_files(datasets, titles),
        _of_judging(datasets),
        _low_pool(datasets),
        _of_warmth(datasets, titles),
        _of_beds(datasets, titles),
    )
    found = [note for part in parts for note in part]
    return tuple(dict.fromkeys([*found, *remarks_by_design(datasets, titles), *_balance(datasets)]))


def _of_files(datasets: list[xr.Dataset], titles: tuple[str, ...]) -> Iterator[str]:
    versions = {str(dataset.attrs.get("pondsim_version", "unknown")) for dataset in datasets}
    if len(versions) > 1:
        yield (
            f"These results come from different versions of pondsim ({', '.join(sorted(versions))}): "
            "run all designs again before relying on small differences."
        )
    silent = [t for t, dataset in zip(titles, datasets, strict=True) if givens_of(dataset) is None]
    if silent and len(titles) > 1:
        yield (
            f"The results of {quoted(silent)} do not hold all that was given, so not every difference of the "
            "files beside equipment can be named: run these designs again with this version."
        )


def _of_judging(datasets: list[xr.Dataset]) -> Iterator[str]:
    step = step_hours(datasets[0]["time"].values)
    if step > COARSEST:
        yield (
            f"Results are kept every {step:g} h, too coarse for days failing, dawn lows and hours below: "
            'run with period.output_step = "1 h" for these.'
        )
    missed = [LINE_WORDS[line] for line in not_judged(datasets[0])]
    if missed:
        yield f"Too short to judge by {listed(f'the {line}' for line in missed)} of the criteria."


def _low_pool(datasets: list[xr.Dataset]) -> Iterator[str]:
    """That the season never falls to low pool, so that no run shows the pond there."""
    low = given(datasets[0], "pond.low_pool")
    equipped = [one for one in datasets if (givens_of(one) or {"equipment": {}})["equipment"]]
    if low is None or not equipped:
        return
    lowest = min(float(np.nanmin(one["water_surface_elevation"].values)) for one in datasets)
    if lowest > low:
        yield (
            f"The water never falls to low pool ({_elevation(low)}); the lowest is {_elevation(lowest)}. Low "
            "pool is judged in the design sheet alone. To run the dry case, give every design "
            f'[start] water_surface = "{convert(low, "m", "ft"):.2f} ft" and a dry summer\'s rain and inflow.'
        )


def _of_warmth(datasets: list[xr.Dataset], titles: tuple[str, ...]) -> Iterator[str]:
    """That the hottest water at the outlet is hotter than measured ponds get, and where it comes from."""
    hottest = [sampled(dataset, "outlet", "water_temperature") for dataset in datasets]
    most = {
        title: float(np.nanmax(one))
        for title, one in zip(titles, hottest, strict=True)
        if one is not None and np.isfinite(one).any()
    }
    hot = max(most, key=lambda title: most[title], default=None)
    if hot is not None and most[hot] > HOT:
        fahrenheit = convert(most[hot], "degC", "degF")
        yield (
            f"The hottest water at the outlet, {fahrenheit:.0f} degF ({most[hot]:.0f} degC) in "
            f"{quoted([hot])}, is that of the thin layer at the surface in calm, clear hours. Measured "
            "shallow ponds rarely exceed 97 to 99 degF (36 to 37 degC; from memory), so take it as high; a "
            "warm-water discharge is judged only where [[judging.limit]] states a temperature at the outlet."
        )


def _of_beds(datasets: list[xr.Dataset], titles: tuple[str, ...]) -> Iterator[str]:
    """That the bottom of a zone is another one, and that what was dredged is no growth of the bed."""
    for text in beds_text(titles, moved_beds(datasets)):
        yield f"{text} Bed growth counts what settles, not what is dredged."


def beds_text(titles: Sequence[str], beds: Sequence[Moved]) -> Iterator[str]:
    """That the bottom of a zone is another one, once for each design of which it is so."""
    for title, moved in zip(titles, beds, strict=True):
        if moved:
            where = listed(f"{zone} {_higher(by)}" for zone, by in moved.items())
            yield (
                f"{quoted([title])}: the bed lies elsewhere than in {quoted([titles[0]])}, in {where}. "
                "Values of the bottom and of half depth there are of another elevation: they are shown, and "
                "not compared."
            )


def _higher(by: float) -> str:
    feet, metres = abs(convert(by, "m", "ft")), abs(by)
    return f"{feet:.1f} ft ({metres:.2f} m) {'higher' if by > 0.0 else 'lower'}"


def _elevation(metres: float) -> str:
    return f"{convert(metres, 'm', 'ft'):.2f} ft, {metres:.2f} m"


def remarks_by_design(datasets: Sequence[xr.Dataset], titles: Sequence[str]) -> Iterator[str]:
    """Remarks of the runs, each once with the designs it is of; a design may have several runs."""
    said: dict[str, dict[str, None]] = {}
    for title, dataset in zip(titles, datasets, strict=True):
        for remark in remarks_of(dataset):
            said.setdefault(remark.text, {})[title] = None
    for text, of in said.items():
        yield text if len(of) == len(set(titles)) else f"{quoted(list(of))}: {text}"


def _balance(datasets: list[xr.Dataset]) -> Iterator[str]:
    gaps: list[tuple[float, Any]] = [
        (float(np.max(gap)), str(name).removeprefix("balance_"))
        for dataset in datasets
        for name, gap in dataset.attrs.items()
        if str(name).startswith("balance_")
    ]
    if gaps:
        worst, what = max(gaps)
        yield (
            "Mass balance: water, heat, oxygen, salt and solids close; "
            f"the largest error is {worst:.0e} ({BOOKS.get(what, what.replace('_', ' '))})."
        )
