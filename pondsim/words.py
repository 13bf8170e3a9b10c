"""Texts that several layers show, each written once."""

from __future__ import annotations

# What can hurt somebody, each a sentence.
CAUTION = {
    "electricity": (
        "Electricity near water kills: pumps, air sources and lights need ground-fault protection and a "
        "licensed electrician."
    ),
    "first start": (
        "The first start of aerators over oxygen-poor bottom water can kill the fish: begin with minutes a "
        "day, in cool weather, and watch the oxygen at the top."
    ),
    "confined": "Wet wells and trenches are confined spaces and can cave in.",
    "entry": "Nobody enters a well without air test, attendant and retrieval; shore or slope every trench.",
    "intake": "Intakes hold people and animals: grate, low velocity, fence.",
    "embankment": (
        "A pipe through a dam or slope can leak along its outside and wash it out, and a full trench or well "
        "can start a slide: seepage control, slope and dam safety are for a licensed engineer, by the rules "
        "of the state."
    ),
    "stamp": "A simulation does not replace an engineer's stamp.",
    "codes": "Local codes and licensed practice go before every number here.",
}


def _all_in_one() -> str:
    first, *others = (CAUTION[key] for key in ("electricity", "first start", "confined", "stamp"))
    return " ".join([f"Cautions: {first[0].lower()}{first[1:]}", *others])


CAUTIONS = _all_in_one()  # where the equipment is not known


def cautions_for(*, pump: bool, air: bool, well: bool, pipes: bool) -> tuple[str, ...]:
    """Cautions for the equipment a design has; the last is for every design.

    Parameters
    ----------
    pump, air, well, pipes : bool
        Whether it has a pump, aeration units, a wet well, pipes in the ground.
    """
    wanted = {
        "electricity": pump or air,
        "first start": air,
        "intake": pump,
        "confined": well or pipes,
        "entry": well or pipes,
        "embankment": pipes,
        "codes": True,
        "stamp": True,
    }
    return tuple(CAUTION[key] for key, has in wanted.items() if has)


MARKS = {  # how well a number is founded
    "P": "published",
    "J": "judgement",
    "M": "published, quoted from memory, not verified in text",
    "S": "stated by the user",
}
