"""The owner's summary: one printed page on one proposed design, to be signed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pondsim.comparison.bottom import bottom_text
from pondsim.comparison.findings import harm_text
from pondsim.comparison.head import head
from pondsim.comparison.idle import idle_text
from pondsim.comparison.lengths import days_text, length_text
from pondsim.comparison.limit_lines import fails_by_limit
from pondsim.comparison.names import listed
from pondsim.comparison.pond_work_words import work_of
from pondsim.comparison.verdict import NONE_JUDGED, none_judged, what_is_judged
from pondsim.comparison.water_age import old_water_text
from pondsim.figures.outages import outages_of
from pondsim.reporting.costs import Sums, check_sums, electricity_text, money, sums_by_title
from pondsim.reporting.equipment import items_to_build, work_to_do
from pondsim.reporting.promise import Promise
from pondsim.reporting.sheets import bounds_text, limits_of, value_text
from pondsim.reporting.smell import smell_sentence
from pondsim.reporting.starter_values import starter_notice
from pondsim.reporting.study import Study, fact, pond_name, study_of
from pondsim.reporting.summary_table import PROPOSED, summary_table, worst_zone_value
from pondsim.reporting.text import rendered
from pondsim.units import known_system, number_text
from pondsim.words import cautions_for

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.comparison import Row

MOST_ITEMS, MOST_LIMITS, MOST_NAMES = 9, 3, 4  # lines that have room on the page
START = "start_shows"  # code of the remark
NOTHING = "Nothing: this design has no equipment, and dredges, doses or covers nothing."
SIGNATURES = ("Prepared by", "Owner")


@dataclass(frozen=True)
class Summary:
    """What stands on the page, as plain texts."""

    heading: str
    about: str
    notices: tuple[str, ...]
    question: str
    answer: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lists: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    safety: str
    signatures: tuple[str, ...] = SIGNATURES


def summary(
    datasets: list[xr.Dataset],
    system: str = "us",
    sums: list[Sums] | None = None,
    promise: Promise | None = None,
    *,
    allow_differences: bool = False,
) -> str:
    """Make the owner's page.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results of the existing pond, of the proposed design, then of alternatives shown beside it.
    system : {"us", "si"}
        Units.
    sums : list, optional
        Costs of designs, as `read_sums` reads them.
    promise : Promise, optional
        Intervals over members.
    allow_differences : bool, default False
        Whether files that differ in more than equipment may be compared all the same.

    Returns
    -------
    str
        A page in HTML that prints on one sheet of letter or A4; nothing is written.

    Raises
    ------
    ScenarioError
        The results cannot be compared, or costs are of no design of the page.
    """
    study = study_of(datasets, known_system(system), promise, allow_differences=allow_differences)
    check_sums(study, sums or [])
    return rendered("summary", sheet=_summary(study, sums_by_title(study, sums or []), promise))


def _summary(study: Study, sums: dict[str, Sums], promise: Promise | None) -> Summary:
    comparison, title = study.comparison, study.titles[PROPOSED]
    pond = pond_name(study.datasets[0]) or study.titles[0]
    beside = [f"\u201c{name}\u201d" for name in study.titles[2:]]
    others = f" Beside it: {listed(beside)}." if beside else ""
    heads, rows = summary_table(study, promise)
    work = work_to_do(study.datasets[PROPOSED])
    lists = (
        ("To be built" if not work else "To be done and built", _to_build(study)),
        ("Cost", _cost(study, sums)),
        ("Design limits", _limits(study)),
        ("What could go wrong", _risks(study, promise)),
    )
    return Summary(
        heading=f"{pond}: {title}",
        about=f"Simulated {study.span}, {length_text(comparison.days)}.{others}",
        notices=(*starter_notice(study.datasets[0]), *head(comparison, study.system)),
        question=f"What would \u201c{title}\u201d change here, and what does it take to build and run it?",
        answer=_answer(study, promise),
        heads=heads,
        rows=rows,
        lists=tuple((name, texts) for name, texts in lists if texts),
        safety=_safety(study),
    )


def _answer(study: Study, promise: Promise | None) -> tuple[str, ...]:
    """Whether it meets the criteria, what it changes in the worst zone, what gets worse."""
    title = study.titles[PROPOSED]
    before, after = (worst_zone_value(study, "days_failing_top", design) for design in (0, PROPOSED))
    if before is None or after is None:
        return ("Whether the oxygen criteria are met cannot be judged from this run.",)
    fails, what = fails_by_limit(study.comparison, PROPOSED), what_is_judged(study.comparison)
    today = _today(study, fails=bool(fails))
    met = f"\u201c{title}\u201d meets {what}, as far as this run can judge{today}."
    if none_judged(study.comparison, [PROPOSED]):
        met = NONE_JUDGED
    elif fails:
        met = f"\u201c{title}\u201d does not meet {what}: it fails the {listed(fails)}{today}."
    texts = (
        met + _days_below(study, before, after),
        bottom_text(study.comparison, PROPOSED, "it"),
        harm_text(study.comparison, PROPOSED),
        idle_text(study.comparison, PROPOSED),
    )
    found = [text for text in texts if text]
    if promise and promise.sentences.get(title):
        found.append(promise.sentences[title])
    return tuple(found)


def _today(study: Study, *, fails: bool) -> str:
    """Whether the pond of today meets the same, beside a design that fails it or not."""
    if none_judged(study.comparison, [0]):
        return ""
    now = fails_by_limit(study.comparison, 0)
    if now:
        return f"; today's pond fails the {listed(now)}"
    return "; today's pond fails none" if fails else ", and so does today's pond"


def _days_below(study: Study, before: tuple[Row, float], after: tuple[Row, float]) -> str:
    """Days below the 1-day minimum in the worst zone, with the design and today; "" for none."""
    if not (after[1] or before[1]):
        return ""
    days = days_text(study.comparison.days)
    on = f"{after[1]:.0f} of {days} in {after[0].label}" if after[1] else f"none of {days} in any zone"
    worst = "the worst zone falls below it" if len(study.comparison.zones) > 1 else "it does so"
    today = f"{worst} on {before[1]:.0f}" if before[1] else "no zone does"
    return f" Oxygen falls below the {study.comparison.day_minimum} on {on}; today {today}."


def _to_build(study: Study) -> tuple[tuple[str, str], ...]:
    items = items_to_build(study.datasets[PROPOSED])
    found = [(item.name, item.words.in_(study.system)) for item in items]
    if len(found) > MOST_ITEMS:
        more = len(found) - MOST_ITEMS + 1
        found = [*found[: MOST_ITEMS - 1], ("", f"and {more} more parts: see the appendix")]
    return tuple(found) or (("", NOTHING),)


def _cost(study: Study, sums: dict[str, Sums]) -> tuple[tuple[str, str], ...]:
    """First cost, yearly cost and present worth; the electric bill of the run."""
    found = []
    one = sums.get(study.titles[PROPOSED])
    if one is None:
        found.append(("", "To build: not priced here (pondsim quantities, with your own prices)."))
    else:
        currency = str(one["currency"])
        found += [
            ("To build", money(one["first"], currency)),
            ("Each year", money(one["each_year"], currency) + _electricity_days(one)),
            (
                f"Present worth, {number_text(float(one['years']))} years",
                money(one["present_worth"], currency),
            ),
        ]
        found.append(("", electricity_text(one)))
        if one["not_priced"]:
            names = [str(name) for name in one["not_priced"]]
            rest = [f"and {len(names) - MOST_NAMES} more"] if len(names) > MOST_NAMES else []
            found.append(("", f"Not priced, so too low: {', '.join(names[:MOST_NAMES] + rest)}."))
    bill = study.comparison.row("cost")
    if bill is not None and bill.values[PROPOSED] is not None:
        extra = (bill.values[PROPOSED] or 0.0) - (bill.values[0] or 0.0)
        amount, more = money(bill.values[PROPOSED], bill.currency), money(extra, bill.currency)
        fixed = study.comparison.row("cost.fixed")
        meter = ", meter charge included" if fixed is not None and fixed.values[PROPOSED] else ""
        run = f"over the run of {length_text(study.comparison.days)}"
        found.append(("Electricity", f"{amount} {run}{meter}, {more} more than today"))
    return tuple(found)


def _electricity_days(sums: Sums) -> str:
    """Beside a sum of a year: the days whose electricity it holds, where they are known."""
    days = sums.get("electricity_days")
    return "" if days is None else f", with the electricity of {days_text(days)}"


def _limits(study: Study) -> tuple[tuple[str, str], ...]:
    """How many limits pass, and every one that does not."""
    limits = limits_of(study.datasets[PROPOSED])
    if not limits:
        return ()
    missed = [limit for limit in limits if limit["verdict"] != "pass"]
    passing = (fact(study.datasets[PROPOSED], "design_sheet") or {}).get("pass", 0)
    verdicts = [limit["verdict"] for limit in missed]
    fails, warns = verdicts.count("fail"), verdicts.count("warn")
    found = [("", f"{passing} limits pass, {fails} FAIL, {warns} WARN.")]
    for limit in missed[:MOST_LIMITS]:
        value, bounds = value_text(limit, study.system), bounds_text(limit, study.system)
        words = f"{limit['part']}, {limit['what']}: {value}, limit {bounds}"
        found.append((str(limit["verdict"]).upper(), words))
    if len(missed) > MOST_LIMITS:
        found.append(("", f"and {len(missed) - MOST_LIMITS} more: see the appendix"))
    return tuple(found)


def _risks(study: Study, promise: Promise | None) -> tuple[tuple[str, str], ...]:
    """What this run cannot exclude, or shows."""
    dataset, comparison = study.datasets[PROPOSED], study.comparison
    parts = {item.name.partition(":")[0] for item in items_to_build(dataset)}
    trips = [row for row in comparison.rows if row.key.startswith("trips.") and row.values[PROPOSED]]
    found = [f"{row.label} trips {row.values[PROPOSED]:.0f} times in this run." for row in trips[:2]]
    low = worst_zone_value(study, "dawn_lowest_top", PROPOSED)
    if low is not None and low[0].short(low[1]):
        found.append(f"Fish can die: oxygen falls to {low[1]:.1f} mg/L at dawn in {low[0].label}.")
    found += _start_text(study)
    found += [old for old in (old_water_text(comparison, PROPOSED),) if old]
    found += [f"Smell: {smelled}." for smelled in (smell_sentence(dataset),) if smelled]
    if outages := outages_of(dataset):
        found.append(f"Power failure: this run has one ({outages[0].when}), and its numbers include it.")
    elif parts & {"Pump", "Air"}:
        found.append("Power failure: everything stops at once. This run has none.")
    if "Intake" in parts:
        found.append("A clogged grate starves the pump: clean it and keep the alarm working.")
    if "Air" in parts:
        found.append(
            "The first start can bring water without oxygen to the surface: start with minutes a day, in "
            "cool weather, early in the afternoon, never at dawn."
        )
    found.append(
        f"Weather and unknowns: {promise.members} members give the interval above."
        if promise
        else f"One run at stated values, {study.span}, no interval: the real pond can do better or worse."
    )
    return tuple(("", text) for text in found)


def _start_text(study: Study) -> list[str]:
    """Until when the start shows in the results, by that of both runs in which it does so longer."""
    found = [one for own in study.comparison.remarks[: PROPOSED + 1] for one in own if one.code == START]
    longest = max(found, key=lambda one: one.record.number("days"), default=None)
    return [] if longest is None else [longest.text]


def _safety(study: Study) -> str:
    given = (fact(study.datasets[PROPOSED], "givens") or {}).get("equipment") or {}
    sections = {key.partition(".")[0] for key in given}
    sheet = fact(study.datasets[PROPOSED], "design_sheet") or {}
    runs = bool(sections & {"pump", "aeration"})  # in winter, by itself: where earlier results do not say
    return " ".join(
        cautions_for(
            pump="pump" in sections,
            air="aeration" in sections,
            well="wet_well" in sections,
            pipes=bool(sections & {"gravity_line", "discharge"}),
            winter=runs and sheet.get("winter", True),
            automatic=runs and sheet.get("automatic", True),
            work={one.code for one in work_of(study.datasets[PROPOSED])},
        )
    )
