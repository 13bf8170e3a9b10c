"""What of a list to buy, as text; and a whole answer as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pondsim.cli._size_text import cost_text, number_shown, plain, point_data, short, unit_shown, value_text
from pondsim.comparison.entries import Entry
from pondsim.sizing.one import Sizing
from pondsim.units import from_si, number_text

if TYPE_CHECKING:
    from pondsim.design.running import TimerBill
    from pondsim.sizing.catalogue import Offer
    from pondsim.sizing.size import Size


ABOUT_OFFERS = "~ by the timers at normal pool, not simulated. Sheet: verdicts of pondsim check with it."


def offers_table(
    offers: Sequence[Offer], bills: Sequence[TimerBill], entry: Entry, size: Size, system: str
) -> list[list[str]]:
    """One row per candidate, heads first; cost and sheet of every one, run or not."""
    from pondsim.cli._size_held import counts_text  # noqa: PLC0415
    from pondsim.design.held import all_limits  # noqa: PLC0415

    money = [bill.currency for bill in bills if bill.money is not None][:1]
    reached = f"reached [{unit_shown(entry, system)}]"
    rows = [["", f"{short(size)} [{size.unit(system)}]", reached, "kWh", *money, "price", "sheet", ""]]
    for offer, bill in zip(offers, bills, strict=True):
        own, point = offer.candidate, offer.point
        cost = running_cost(offer, bill)
        rows.append(
            [
                own.name,
                "-" if own.size is None else size.text(own.size, system).split(" ")[0],
                number_text(number_shown(point.value, entry, system), 4) if point else "-",
                _about(cost.kwh, estimated=cost.estimated),
                *([_about(cost.money, estimated=cost.estimated)] if money else []),
                "-" if own.price is None else number_text(own.price, 6),
                counts_text(all_limits(own.scenario)),
                offer.fate,
            ]
        )
    return rows


@dataclass(frozen=True)
class RunningCost:
    """Electricity [kWh] and money of a candidate over the period: by its run, or by the timers."""

    kwh: float
    money: float | None
    estimated: bool


def running_cost(offer: Offer, bill: TimerBill) -> RunningCost:
    """What a candidate costs to run: by its run where it was run and did not fail."""
    if offer.point and not offer.point.trial.failure:
        return RunningCost(offer.point.trial.energy, offer.point.trial.money, estimated=False)
    return RunningCost(bill.energy / 3.6e6, bill.money, estimated=True)


def _about(value: float | None, *, estimated: bool) -> str:
    text = "-" if value is None else number_text(value, 4)
    return f"~{text}" if estimated and text != "-" else text


def recommended(offers: Sequence[Offer]) -> list[Offer]:
    """The smallest of the list that meets the target, and the cheapest where that is another."""
    from pondsim.sizing.catalogue import cheapest  # noqa: PLC0415

    first = next((offer for offer in offers if offer.fate == "meets"), None)
    named = [offer for offer in (first, cheapest(offers)) if offer is not None]
    return named[:1] if len(named) == 2 and named[0] is named[1] else named


def offer_sentences(offers: Sequence[Offer], sizing: Sizing, size: Size, system: str) -> list[str]:
    """What of the list to buy, in plain sentences."""
    from pondsim.sizing.catalogue import cheapest  # noqa: PLC0415

    if not offers:
        return ["No size meets it, so nothing on the list was run; --every runs it anyway."]
    entry = sizing.target.entry
    meeting = [offer for offer in offers if offer.fate == "meets" and offer.point]
    if not meeting:
        return ["Nothing on the list meets it."]
    first, cheap = meeting[0], cheapest(offers)
    assert first.point is not None
    reached = value_text(first.point.value, entry, system)
    said = [
        f"The smallest on the list that meets it is {first.candidate.name}: {reached} for "
        f"{cost_text(first.point.trial)}."
    ]
    missing = [offer for offer in offers if offer.fate == "misses" and _large_enough(offer, sizing)]
    if missing:
        said.append(
            f"{', '.join(offer.candidate.name for offer in missing)} would be large enough, but its other "
            f"values make it miss the target."
        )
    if cheap and cheap is not first and cheap.point:
        said.append(f"{cheap.candidate.name} meets it at a lower price, for {cost_text(cheap.point.trial)}.")
    return said


def _large_enough(offer: Offer, sizing: Sizing) -> bool:
    least, own = sizing.answer.size, offer.candidate.size
    return least is not None and own is not None and own >= least


def sizing_data(
    sizing: Sizing,
    size: Size,
    offers: Sequence[Offer],
    bills: Sequence[TimerBill],
    system: str,
    goal: str,
    said: list[str],
    notes: list[str],
) -> dict[str, Any]:
    """The whole answer as plain data, sizes and values in the units shown."""
    from pondsim.design.held import all_limits, counts  # noqa: PLC0415

    entry, answer = sizing.target.entry, sizing.answer

    def shown(value: float | None) -> float | None:
        return None if value is None else plain(float(from_si(value, size.unit(system))))

    return {
        "sized": size.key,
        "size_unit": size.unit(system),
        "wanted": goal,
        "measure": sizing.target.measure,
        "measure_unit": unit_shown(entry, system),
        "kind": answer.kind,
        "size": shown(answer.size),
        "below": shown(answer.below),
        "largest": [shown(one) for one in answer.largest] if answer.largest else None,
        "as_designed": shown(size.present),
        "sentences": said,
        "runs": [{"size": shown(p.size), **point_data(p, entry, system)} for p in sizing.points],
        "catalogue": [
            {
                "name": offer.candidate.name,
                "size": shown(offer.candidate.size),
                "price": offer.candidate.price,
                "fate": offer.fate,
                "sheet": counts(all_limits(offer.candidate.scenario)),
                "timers_kwh": plain(bill.energy / 3.6e6),
                "timers_money": plain(bill.money),
                **(point_data(offer.point, entry, system) if offer.point else {}),
            }
            for offer, bill in zip(offers, bills, strict=True)
        ],
        "notes": notes,
    }
