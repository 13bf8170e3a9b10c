"""Texts that several layers show, each written once."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Collection
from datetime import date

# What can hurt somebody, each a sentence.
CAUTION = {
    "electricity": (
        "Electricity near water kills: pumps, air sources and lights need ground-fault protection and a "
        "licensed electrician."
    ),
    "lockout": (
        "Timers, sensors and floats start equipment by themselves, also while somebody works on it: cut off "
        "and lock out first."
    ),
    "first start": (
        "The first start of aerators over oxygen-poor bottom water can kill the fish: begin with minutes a "
        "day, in cool weather, early in the afternoon, never at dawn, and read the oxygen at the top at dawn."
    ),
    "confined": "Wet wells and trenches are confined spaces and can cave in.",
    "entry": "Nobody enters a well without an air test, an attendant and retrieval gear; shore or slope "
    "every trench.",
    "intake": "Intakes can trap people and animals: grate, low velocity, fence.",
    "embankment": (
        "A pipe through a dam or slope can leak along its outside and wash it out, and a full trench or well "
        "can start a slide: seepage control, slope and dam safety are for a licensed engineer, by the rules "
        "of the state."
    ),
    "trench walls": (
        "Trench walls kill: from 5 ft of depth nobody stands in a trench without a box, shoring or slopes, "
        "and less where the soil is wet; a ladder within 25 ft from 4 ft on, spoil 2 ft back from the edge, "
        "a competent person looks each day (29 CFR 1926.650 to 652, from memory)."
    ),
    "lifting": (
        "Rings, slabs and pipe are lifted by rated gear; nobody stands under or beside a hanging load."
    ),
    "flotation": (
        "An empty well can float, most easily before its backfill is in and when it is pumped dry for a "
        "cleaning: keep water in it, or lower the groundwater first."
    ),
    "dewatering": (
        "Pumping groundwater out of a pit carries soil with it and can undermine what stands beside: wells "
        "or sumps with filters, clean discharge, a permit where one is required; backfill in layers, all "
        "round."
    ),
    "buried lines": "Have buried lines marked before anybody digs; in the US the call is free and required "
    "by law.",
    "thin ice": (
        "Ice is thin or open over running aerators, waterfalls, intakes and inlets, also under snow and for "
        "weeks after they stop: signs and a fence before the first frost, nobody on the ice, or switch off "
        "for the winter. No computed thickness says that ice bears."
    ),
    "dredging": (
        "Dredging leaves a bank under water that can slide: slopes, machines back from the edge, nobody "
        "wading where muck is soft. It needs permits, and the muck may be waste that needs a test and a "
        "place to go. Stirred up it clouds the water and takes oxygen for days, which can kill fish: a silt "
        "curtain, cool weather, a meter in the water."
    ),
    "treatment": (
        "Products for the water: the label is the law, with permit and licensed applicator where required. "
        "Alum can turn the water acid and kill fish: test a jar first, dose in parts."
    ),
    "cover": "A cover holds nobody: a fence or a float line, and open water left for who falls in.",
    "divers": (
        "No diver near a running intake: the pump is locked out first. Diving and work on or through a dam "
        "are for those licensed for it."
    ),
    "stamp": "A simulation does not replace an engineer's stamp.",
    "codes": "Local codes and licensed practice take precedence over every number here.",
}


def _all_in_one() -> str:
    first, *others = (CAUTION[key] for key in ("electricity", "first start", "confined", "stamp"))
    return " ".join([f"Cautions: {first[0].lower()}{first[1:]}", *others])


CAUTIONS = _all_in_one()  # where the equipment is not known


def cautions_for(
    *,
    pump: bool,
    air: bool,
    well: bool,
    pipes: bool,
    winter: bool = False,
    automatic: bool = False,
    work: Collection[str] = (),
) -> tuple[str, ...]:
    """Cautions for the equipment a design has and what it does to the pond; the last is for every design.

    Parameters
    ----------
    pump, air, well, pipes : bool
        Whether it has a pump, aeration units, a wet well, pipes in the ground.
    winter : bool
        Whether any of it runs in winter.
    automatic : bool
        Whether a timer, a sensor or a float starts any of it.
    work : collection of str
        What else is done: "dredging", "treatment", "dye", "cover".
    """
    wanted = {
        "electricity": pump or air,
        "lockout": automatic,
        "first start": air,
        "thin ice": winter,
        "intake": pump,
        "confined": well or pipes,
        "entry": well or pipes,
        "embankment": pipes,
        "dredging": "dredging" in work,
        "treatment": "treatment" in work or "dye" in work,
        "cover": "cover" in work,
        "codes": True,
        "stamp": True,
    }
    return tuple(CAUTION[key] for key, has in wanted.items() if has)


def site_work_cautions() -> tuple[str, ...]:
    """Cautions for digging, setting and starting, before those for every design."""
    order = (
        *("trench walls", "buried lines", "confined", "entry", "lifting", "flotation", "dewatering"),
        "divers",
        *("embankment", "electricity", "codes", "stamp"),
    )
    return tuple(CAUTION[key] for key in order)


MARKS = {  # how well a number is founded
    "P": "published",
    "J": "judgement",
    "M": "published, quoted from memory, not verified in text",
    "S": "stated by the user",
}


WHOLE_YEAR = 364.0, 367.0  # d, lengths of runs that are a year of electricity
DATE = re.compile(r"\s*(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T](\d{1,2}):(\d{2}))?")


def no_such_day(text: str) -> str:
    """What is wrong with the day or hour of 2025-02-30: "February 2025 has 28 days"; "" where nothing is."""
    found = DATE.match(text)
    if found is None:
        return ""
    year, month, day, hour, minute = (int(part or 0) for part in found.groups())
    if not 1 <= month <= 12:
        return f"there is no month {month}"
    if year and not 1 <= day <= (last := monthrange(year, month)[1]):
        return f"{date(year, month, 1):%B %Y} has {last} days"
    return "a day goes from 00:00 to 23:59" if hour > 23 or minute > 59 else ""


def counted(number: int, thing: str) -> str:
    """How many there are of a thing: "1 value", "3 values"."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def electricity_of(days: float) -> str:
    """Of how many days [d] of a year a sum counts the electricity, by the bill of a run."""
    if days < WHOLE_YEAR[0]:
        return f"the electricity of {days:.0f} days of a year; equipment that runs all year uses more"
    return "the electricity of a year" if days <= WHOLE_YEAR[1] else f"the electricity of {days:.0f} days"
