"""Results of several designs side by side, measure by measure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pondsim.comparison.design_sheet import sheet_result
from pondsim.comparison.dredged import moved_beds
from pondsim.comparison.givens import EventCase, event_case, shape_of, unlike
from pondsim.comparison.notes import notes_of
from pondsim.comparison.refuse import moment_text, refuse_unlike
from pondsim.comparison.remarks import remarks_of
from pondsim.comparison.row import Comparison, rows_of
from pondsim.errors import ScenarioError
from pondsim.measures import (
    COARSEST,
    declarations,
    has_loop,
    joined,
    measures_of,
    running_ages,
    step_hours,
)
from pondsim.measures.books import hours_run, run_days
from pondsim.measures.criteria import criterion_of, day_minimum
from pondsim.measures.judged import judge_limits
from pondsim.measures.places import reading_once

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.measures.bands import Bands


@reading_once()
def compare(
    datasets: list[xr.Dataset], *, allow_differences: bool = False, bands: Bands | None = None
) -> Comparison:
    """Compare designs, measure by measure.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first.
    allow_differences : bool, default False
        Whether a verdict is wanted though the files differ in more than equipment: in the pond, its
        weather, its parameters.
    bands : Bands, optional
        Of a grid check of this pond, in place of the assumed bands of ties.

    Returns
    -------
    Comparison
        Rows of numbers with their differences to the existing pond, and in what else the files differ.

    Raises
    ------
    ScenarioError
        The runs differ in period, output step, zones or criterion, so that a difference would mean nothing,
        or the bands are of another pond or period.
    """
    if not datasets:
        raise ScenarioError("nothing to compare: name the existing pond and at least one design")
    for other in datasets[1:]:
        refuse_unlike(datasets[0], other)
    titles = titles_of(datasets)
    zones, start, end = scope_of(datasets[0])
    if bands:
        bands.refuse_other(zones, start, end, shape_of(datasets[0]))
    apart = tuple(unlike(datasets[0], dataset) for dataset in datasets)
    measures = joined([measures_of(dataset) for dataset in datasets])
    if not any(has_loop(dataset) for dataset in datasets):
        of_loop = [name for name, declared in declarations().items() if declared.of_loop]
        measures = measures.drop_vars(of_loop, errors="ignore")
    criterion = criterion_of(datasets[0])
    fine = step_hours(datasets[0]["time"].values) <= COARSEST
    judged = tuple(allow_differences or not one.of_pond for one in apart)
    return Comparison(
        titles=titles,
        zones=zones,
        days=run_days(datasets[0]),
        start=start,
        end=end,
        measures=measures,
        rows=rows_of(measures, judged, bands, moved_beds(datasets)),
        notes=(*_bands_on_trust(bands), *notes_of(datasets, titles)),
        remarks=tuple(remarks_of(dataset) for dataset in datasets),
        unlike=apart,
        event_of=tuple(_event_of(datasets, design) for design in range(len(datasets))),
        sheets=tuple(sheet_result(dataset) for dataset in datasets),
        judged=judged,
        criterion=criterion.name,
        day_minimum=day_minimum(datasets[0]),
        lent=criterion.limits["minimum_1_day"] if criterion.lent else None,
        limits=tuple(judge_limits(dataset, datasets[0]) if fine else () for dataset in datasets),
        systems=tuple(tuple(hours_run(dataset)) for dataset in datasets),
        ages=tuple(running_ages(dataset) for dataset in datasets),
        bands=bands,
    )


def _bands_on_trust(bands: Bands | None) -> Iterator[str]:
    if bands and bands.shape is None:
        yield (
            f"{bands.name} does not hold areas and volumes of its zones: whether its bands are of this pond "
            "is not checked. Run pondsim gridcheck again."
        )


def scope_of(dataset: xr.Dataset) -> tuple[tuple[str, ...], str, str]:
    """Zones, first and last moment of a run, as bands of ties name them."""
    times = dataset["time"].values
    zones = tuple(str(zone) for zone in dataset["zone"].values)
    return zones, moment_text(times[0]), moment_text(times[-1])


def titles_of(datasets: list[xr.Dataset]) -> tuple[str, ...]:
    """Titles, with a number after those that occur again."""
    titles: list[str] = []
    for dataset in datasets:
        title = str(dataset.attrs.get("title", "untitled"))
        again = sum(1 for known in titles if known == title or known.startswith(f"{title} ("))
        titles.append(f"{title} ({again + 1})" if again else title)
    return tuple(titles)


def _event_of(datasets: list[xr.Dataset], design: int) -> EventCase | None:
    """The first design before this one with the same equipment and other events."""
    cases = (event_case(k, datasets[k], datasets[design]) for k in range(design))
    return next((case for case in cases if case is not None), None)
