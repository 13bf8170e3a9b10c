"""Texts that several layers show, each written once."""

from __future__ import annotations

CAUTIONS = (
    "Cautions: electricity near water kills: pumps, air sources and lights need ground-fault protection "
    "and a licensed electrician. The first start of aerators over oxygen-poor bottom water can kill the "
    "fish: begin with minutes a day, in cool weather, and watch the oxygen at the top. Wet wells and "
    "trenches are confined spaces and can cave in. A simulation does not replace an engineer's stamp."
)
MARKS = {"P": "published", "J": "judgement", "M": "published, quoted from memory, not verified in text"}
