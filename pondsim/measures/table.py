"""Every measure of one run as a dataset, each with the declaration that says how it is read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.coordinates import indexed
from pondsim.measures import books, circulation, winter
from pondsim.measures.criteria import DAY_MINIMUM, LINES, Criterion, Verdict, criterion_of, day_minimum, judge
from pondsim.measures.declared import MONEY, Declaration, attributes_of, declarations, said
from pondsim.measures.fish import fit_for_fish
from pondsim.measures.leaving import leaving_measures, salt_measures
from pondsim.measures.living import living_measures, smell_limit
from pondsim.measures.places import at_station, reading_once
from pondsim.measures.series import dawn_minimum, hours_below, longest_run_below, peak_words, step_hours
from pondsim.measures.sun import sunrise_hour

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
Found = Iterator[tuple[str, Any]]  # name and values, by place where the measure has a dimension

COARSEST = 1.01  # h between results at which daily lows can still be judged
STATIONS = ("top", "mid", "bottom")
JUDGED_AT = ("top", "bottom")
BELOW = (2, 3, 5)  # mg/L


@reading_once()
def measures_of(dataset: xr.Dataset) -> xr.Dataset:
    """Every measure of a run.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.

    Returns
    -------
    xarray.Dataset
        A variable for each declared measure that the results can tell, with no dimension or one: zone,
        oxygen_pathway, settling_class, system or charge. Values are in the unit of the attribute ``unit``;
        NaN where there is no such number, an infinite time among them. Attributes: those of `Measure`, from
        which `measure_of` makes it again. Runs can be joined along a dimension of their own.

    Raises
    ------
    ScenarioError
        The results name a criterion that is not known.
    """
    import xarray as xr  # noqa: PLC0415  (heavy; only where results are at hand)

    verdicts = {station: judge(dataset, station) for station in JUDGED_AT}
    fine = step_hours(dataset["time"].values) <= COARSEST  # lows between coarser times are not seen
    found: dict[str, Any] = {}
    for part in (
        *([_criteria(verdicts), _dawn(dataset), _below(dataset)] if fine else []),
        _fish(dataset),
        _winter(dataset),
        _circulation(dataset),
        _budget(dataset),
        _solids(dataset),
        _electricity(dataset),
        _outlet(dataset),
        living_measures(dataset),
        leaving_measures(dataset),
        salt_measures(dataset),
    ):
        found.update(part)
    verdict = verdicts["top"]
    whose = day_minimum(dataset).removesuffix(DAY_MINIMUM)
    words = {
        "criterion": verdict.criterion.name,
        "judged_days": str(verdict.days),
        "smell": f"{smell_limit(dataset):g}",
        "minimum": f"{whose}{verdict.criterion.limits['minimum_1_day']:g}",
        **{f"windows_{line}": str(count) for line, count in verdict.windows.items()},
        **{f"limit_{line}": f"{limit:g}" for line, limit in verdict.criterion.limits.items()},
        "peak": peak_words(step_hours(dataset["time"].values)),
        "within": f"{float(dataset.attrs['renewed_within_d']):g}",
    }
    currency = str(dataset.attrs.get("currency", MONEY))
    days = books.run_days(dataset)
    data, places = {}, {"zone": [str(zone) for zone in dataset["zone"].values]}
    for name, declared in declarations().items():
        if name in found:
            values, by = found[name], declared.by
            if by and by != "zone":
                places.setdefault(by, list(values))
                values = [values[place] for place in places[by]]
            limit = _limit(declared, verdict.criterion)
            by_day = _by_day_minimum(name, declared)
            lent = verdict.criterion.lent and by_day
            level = words | {"limit": f"{whose if by_day else ''}{limit:g}"}
            measure = said(declared, level, np.nan if lent else limit, currency, days)
            data[name] = ((by,) if by else (), _finite(values), attributes_of(measure))
    return xr.Dataset(data, indexed(places))


def _finite(values: Any) -> Array:
    """Numbers, NaN in place of infinite ones."""
    numbers = np.asarray(values, dtype=float)
    return np.where(np.isfinite(numbers), numbers, np.nan)


def _limit(declared: Declaration, criterion: Criterion) -> float:
    if isinstance(declared.limit, str):
        return criterion.limits.get(declared.limit, np.nan)
    return np.nan if declared.limit is None else float(declared.limit)


def _by_day_minimum(name: str, declared: Declaration) -> bool:
    """Whether a measure is held against the 1-day minimum; no design is, where the minimum is lent."""
    return declared.limit == "minimum_1_day" or name.startswith("days_failing_")


def dawn_oxygen(dataset: xr.Dataset, station: str = "top") -> tuple[Array, Array]:
    """Days, and the lowest oxygen around sunrise by (day, zone). [mg/L]"""
    place = [float(dataset.attrs[key]) for key in ("latitude_deg", "longitude_deg", "utc_offset_h")]
    return dawn_minimum(
        dataset["time"].values,
        at_station(dataset, "dissolved_oxygen", station).values,
        lambda dates: sunrise_hour(dates, *place),
    )


def minimum_limit(dataset: xr.Dataset) -> float:
    """The one-day minimum of the criterion that the results name. [mg/L]"""
    return criterion_of(dataset).limits["minimum_1_day"]


def not_judged(dataset: xr.Dataset) -> list[str]:
    """Lines of the criterion whose mean is longer than the whole days of the run."""
    times = dataset["time"].values
    first, last = times[0].astype("datetime64[D]"), times[-1].astype("datetime64[D]")
    whole = int((last - first) / np.timedelta64(1, "D")) - int(first < times[0])
    return [line for line in criterion_of(dataset).limits if LINES[line][0] > whole]


def _criteria(verdicts: dict[str, Verdict]) -> Found:
    for station, verdict in verdicts.items():
        if verdict.days:
            yield f"days_failing_{station}", verdict.failing
            for line, lowest in verdict.lowest.items():
                yield f"{line}_{station}", lowest
                if LINES[line][0] > 1 and verdict.windows[line]:
                    yield f"windows_failing_{line}_{station}", verdict.failing_by_line[line]


def _dawn(dataset: xr.Dataset) -> Found:
    days, oxygen = dawn_oxygen(dataset)
    if len(days):
        yield "dawn_lowest_top", np.nanmin(oxygen, axis=0)
        yield "dawn_mean_top", np.nanmean(oxygen, axis=0)


def _below(dataset: xr.Dataset) -> Found:
    times = dataset["time"].values
    for station in STATIONS:
        oxygen = at_station(dataset, "dissolved_oxygen", station).values
        for limit in BELOW:
            yield f"hours_below_{limit}_{station}", hours_below(times, oxygen, limit)
            yield f"longest_below_{limit}_{station}", longest_run_below(times, oxygen, limit)


def _fish(dataset: xr.Dataset) -> Found:
    share = fit_for_fish(dataset)
    yield "fit_for_fish_mean", np.nanmean(share)
    yield "fit_for_fish_p10", np.nanpercentile(share, 10)
    yield "fit_for_fish_lowest", np.nanmin(share)
    yield "fit_for_fish_mean_by_zone", np.nanmean(fit_for_fish(dataset, by_zone=True), axis=0)


def _winter(dataset: xr.Dataset) -> Found:
    if "ice_thickness" in dataset:
        yield "days_with_ice", winter.days_with_ice(dataset)
        yield "thickest_ice", winter.thickest_ice(dataset)
        yield "oxygen_under_ice_lowest", winter.lowest_under_ice(dataset)


def _circulation(dataset: xr.Dataset) -> Found:
    yield "nominal_turnover", circulation.nominal_turnover_days(dataset)
    yield "renewed_share", circulation.renewed_share(dataset)
    yield "replaced_share", circulation.replaced_share(dataset)
    yield "days_since_waterfall", circulation.mean_age(dataset)
    yield "days_since_waterfall_by_zone", circulation.age_by_zone(dataset)
    yield "renewed_share_by_zone", circulation.renewed_share(dataset, by_zone=True)


def _budget(dataset: xr.Dataset) -> Found:
    yield "oxygen_budget_by_oxygen_pathway", books.oxygen_budget(dataset)


def _solids(dataset: xr.Dataset) -> Found:
    by_class, whole = books.solids_captured(dataset)
    yield "solids_captured", whole
    yield (
        "solids_captured_by_settling_class",
        {str(number): share for number, share in enumerate(by_class, start=1)},
    )
    yield "bed_growth_by_zone", books.bed_growth(dataset)


def _electricity(dataset: xr.Dataset) -> Found:
    """Energy, money where there is a tariff, hours, starts and trips."""
    systems = [str(system) for system in dataset["system"].values] if "system" in dataset.coords else []
    used = books.electricity(dataset)
    yield "electricity", used.pop("all")
    money = books.money(dataset)
    if money:
        yield "cost", money.pop("all")
        yield "cost_by_charge", money
    for name, found in (
        ("electricity_by_system", used),
        ("cost_energy_by_system", books.money_by_system(dataset)),
        ("hours_run_by_system", books.hours_run(dataset)),
        ("starts_by_system", books.switchings(dataset, "starts")),
        ("trips_by_system", books.switchings(dataset, "trips")),
    ):
        if found:
            yield name, {system: found.get(system, np.nan) for system in systems}


def _outlet(dataset: xr.Dataset) -> Found:
    totals = books.outlet_totals(dataset)
    yield "outlet_peak", totals["peak_m3_per_s"]
    yield "highest_surface", totals["highest_surface_m"]
    yield "lowest_surface", totals["lowest_surface_m"]
    splash, seepage = (totals.get(f"{name}_m3", 0.0) for name in ("splash", "seepage"))
    if splash:
        yield "lost_to_splash", splash
    if seepage:
        yield ("lost_to_seepage", seepage) if seepage > 0.0 else ("gained_through_bed", -seepage)
    yield "outlet_volume", totals["volume_m3"]
    yield "outlet_solids", totals["solids_kg"]
