"""What of a list to buy, as text; and a whole answer as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pondsim.cli._size_text import number_shown, plain, point_data, short, unit_shown, value_text
from pondsim.comparison.entries import Entry
from pondsim.sizing.one import Sizing
from pondsim.units import from_si, number_text

if TYPE_CHECKING:
    from pondsim.sizing.catalogue import Offer
    from pondsim.sizing.size import Size


def offers_table(offers: Sequence[Offer], entry: Entry, size: Size, system: str) -> list[list[str]]:
    """One row per candidate, heads first."""
    rows = [
        [
            "",
            f"{short(size)} [{size.unit(system)}]",
            f"reached [{unit_shown(entry, system)}]",
            "kWh",
            "price",
            "",
        ]
    ]
    for offer in offers:
        own, point = offer.candidate, offer.point
        rows.append(
            [
                own.name,
                "-" if own.size is None else size.text(own.size, system).split(" ")[0],
                number_text(number_shown(point.value, entry, system), 4) if point else "-",
                number_text(point.trial.energy, 4) if point else "-",
                "-" if own.price is None else number_text(own.price, 6),
                offer.fate,
            ]
        )
    return rows


def offer_sentences(offers: Sequence[Offer], sizing: Sizing, size: Size, system: str) -> list[str]:
    """What of the list to buy, in plain sentences."""
    from pondsim.sizing.catalogue import cheapest  # noqa: PLC0415

    if not offers:
        return ["No size meets it, so nothing of the list was run; --every runs all the same."]
    entry = sizing.target.entry
    meeting = [offer for offer in offers if offer.fate == "meets" and offer.point]
    if not meeting:
        return ["Nothing on the list meets it."]
    first, cheap = meeting[0], cheapest(offers)
    assert first.point is not None
    reached = value_text(first.point.value, entry, system)
    said = [f"The smallest on the list that meets it is {first.candidate.name}: {reached}."]
    missing = [offer for offer in offers if offer.fate == "misses" and _large_enough(offer, sizing)]
    if missing:
        said.append(
            f"{', '.join(offer.candidate.name for offer in missing)} would be large enough, but what else it "
            "brings makes it miss."
        )
    if cheap and cheap is not first:
        said.append(f"{cheap.candidate.name} meets it at a lower price.")
    return said


def _large_enough(offer: Offer, sizing: Sizing) -> bool:
    least, own = sizing.answer.size, offer.candidate.size
    return least is not None and own is not None and own >= least


def sizing_data(
    sizing: Sizing,
    size: Size,
    offers: Sequence[Offer],
    system: str,
    goal: str,
    said: list[str],
    notes: list[str],
) -> dict[str, Any]:
    """The whole answer as plain data, sizes and values in the units shown."""
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
                **(point_data(offer.point, entry, system) if offer.point else {}),
            }
            for offer in offers
        ],
        "notes": notes,
    }
