"""Limits of the user's own as a results file keeps them: plain values in the units they are judged in."""

from __future__ import annotations

import json
from typing import Any

from pondsim.constants import ZERO_CELSIUS
from pondsim.scenario.settings import OwnLimit, Scenario, quantity_of

MG_PER_L = 1e3  # mg/L in kg/m3
JUDGED_AS = {  # quantity: factor and offset from the SI value
    "oxygen": (MG_PER_L, 0.0),
    "temperature": (1.0, -ZERO_CELSIUS),
    "suspended_solids": (MG_PER_L, 0.0),
    "phosphorus": (MG_PER_L, 0.0),
}


def own_limits_text(scenario: Scenario) -> str:
    """Attribute ``own_limits``: a list, each entry with the fields of `pondsim.measures.limits.Limit`."""
    return json.dumps([_limit(one) for one in scenario.judging.limit])


def _limit(limit: OwnLimit) -> dict[str, Any]:
    quantity = quantity_of(limit)[0]
    factor, offset = JUDGED_AS.get(quantity, (1.0, 0.0))
    return {
        "name": limit.name,
        "quantity": quantity,
        "value": round(getattr(limit, quantity) * factor + offset, 9),
        "statistic": limit.statistic,
        "days": limit.days,
        "days_needed": limit.days_needed or 0,
        "at": limit.at,
        "zone": limit.zone or "",
        "upper": limit.from_depth,
        "lower": limit.to_depth,
        "season": limit.season,
        "stage": limit.stage or "",
        "allowed_share": limit.allowed_share,
        "test": limit.test,
        "confidence": limit.confidence,
        "against": limit.against,
        "organic": limit.organic_counted,
    }
