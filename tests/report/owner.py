"""A pond today and with its loop, with equipment, limits and costs, for the owner's page."""

from __future__ import annotations

import json

from tests.figures.readings import dawns_by_day
from tests.results.ponds import givens

EQUIPMENT = {
    "intake.zone": ["arm", ""],
    "intake.elevation": [98.0, "m"],
    "pump.hours": [[[0.0, 86400.0]], ""],
    "waterfall.zone": ["pool", ""],
    "waterfall.drop": [1.2192, "m"],
    "waterfall.lip": [101.2, "m"],
}


SHEET = {
    "pass": 7,
    "fail": [],
    "warn": [],
    "limits": [
        {"part": "pump", "what": "power", "kind": "power", "value": 900.0, "most": 2000.0, "verdict": "pass"},
        {
            "part": "intake",
            "what": "cover",
            "kind": "length",
            "value": 0.3048,
            "least": 0.6096,
            "verdict": "warn",
        },
    ],
    "line": [
        ["normal pool", "flow", "flow", 0.0315451, False],
        ["normal pool", "head of the pump", "length", 3.048, False],
    ],
    "pipes": ["", "", ""],
}
SUMS = {"title": "loop", "currency": "$", "years": 10, "first": 41200.0, "each_year": 2300.0}
SUMS |= {"present_worth": 58960.0, "without_interest": 64200.0, "equal_yearly": 7636.0, "not_priced": []}
SUMS |= {"per_kg_oxygen": None, "per_day_of_failure_avoided": None}


def ponds(**more):
    """Days 3, 4, 5 and 20 fall to 1.5 mg/L at dawn today, day 20 alone with the loop."""
    existing = dawns_by_day([3, 4, 5, 20], title="existing", pumped=0.0)
    loop = dawns_by_day([20], title="loop")
    known = {"givens": givens(equipment=EQUIPMENT), "design_sheet": json.dumps(SHEET)}
    return [existing, loop.assign_attrs(known | more)]
