"""Whether the value of a key has a say: whether with another value a run would begin with something else."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.scenario.keys import Key
    from pondsim.scenario.settings import Scenario

ASKED_AFTER = {  # sections that a run asks after its loop
    *("tariff", "judging", "readings", "numerics", "pond", "period"),
}
SHARES = (1.25, 0.8)  # of a value, and
STEPS = (0.3, -0.3, 0.01, 30.0)  # beside it in SI, one of which most ranges allow
NO_ICE = 278.15  # K, 5 degC of the air, above which no pond freezes (judgement)
BY_LAW = {  # laws of the air's gases that use a key
    "gas_transfer.k600_cooling": {"wind and cooling"},
    "gas_transfer.surely_cooling": {"wind and cooling", "wind and renewal"},
}


def has_say(scenario: Scenario, key: str) -> bool:
    """Whether model, starting state or design sheet is another with another value of a key that stands there.

    True where no other value could be tried, as of a text, and of what is asked after the loop.
    """
    from pondsim.scenario.values import value_at, with_value  # noqa: PLC0415

    if is_off(scenario, key):
        return False
    if key.partition(".")[0] in ASKED_AFTER:
        return True
    before, tried = computed(scenario), 0
    for other in _others(_key(scenario, key), value_at(scenario, key)):
        try:
            after = computed(with_value(scenario, key, other))
        except ScenarioError:  # the other value is out of range, or does not fit other keys
            continue
        tried += 1
        if after != before:
            return True
    return not tried


def is_off(scenario: Scenario, key: str) -> bool:
    """Whether a process or law is off, so that the loop holds a value of it and never asks for that."""
    from pondsim.engine.model import build_model  # noqa: PLC0415
    from pondsim.ensemble.unknowns import acts_on_others  # noqa: PLC0415

    if acts_on_others(key, scenario):
        return True
    if key.startswith("ice."):
        return not may_freeze(scenario)
    if key.startswith("resuspension."):
        solids = build_model(scenario).solids
        return not (solids.waves or solids.at_return)
    return key in BY_LAW and scenario.gas_transfer.law not in BY_LAW[key]


def may_freeze(scenario: Scenario) -> bool:
    """Whether ice lies at the start, or some hour of the period is cool enough that it might form."""
    from pondsim.engine.model import build_model  # noqa: PLC0415
    from pondsim.site.weather import AIR_TEMPERATURE  # noqa: PLC0415

    coldest = float(build_model(scenario).forcing.weather[:, AIR_TEMPERATURE].min())
    return scenario.start.ice_thickness > 0.0 or coldest < NO_ICE


def computed(scenario: Scenario) -> list[Any]:
    """All that a run begins with: the numbers of its loop and its start, and the design sheet it keeps."""
    from pondsim.engine.found import bare_pond, layers_of_passes  # noqa: PLC0415
    from pondsim.engine.initial import start_state  # noqa: PLC0415
    from pondsim.engine.model import build_model  # noqa: PLC0415
    from pondsim.output.provenance import facts_of  # noqa: PLC0415

    model = build_model(scenario)
    of_start = scenario.start.spin_up if not scenario.start.profile else None
    of_bed = None
    if scenario.algae.mode == "grown":
        bare = bare_pond(scenario)
        of_bed = bare.bed.passes, layers_of_passes(bare), bare.numerics.tolerance
    facts = facts_of(scenario)["design_sheet"]
    return [*_numbers(model), *_numbers(start_state(scenario, model)), of_start, of_bed, facts]


def _numbers(one: Any) -> Iterator[Any]:
    if dataclasses.is_dataclass(one):
        for field in dataclasses.fields(one):
            yield from _numbers(getattr(one, field.name))
    elif isinstance(one, tuple | list):
        for part in one:
            yield from _numbers(part)
    elif hasattr(one, "tobytes"):
        yield one.shape, one.tobytes()
    elif isinstance(one, int | float | str | None):
        yield one


def _key(scenario: Scenario, key: str) -> Key | None:
    """What is declared of a dotted key that stands in the scenario."""
    from pondsim.scenario.keys import keys_of  # noqa: PLC0415
    from pondsim.scenario.values import value_at  # noqa: PLC0415

    stem, _, name = key.rpartition(".")
    holder = value_at(scenario, stem) if stem else scenario
    if isinstance(holder, tuple) and len(holder) == 1:
        (holder,) = holder
    return keys_of(type(holder)).get(name) if dataclasses.is_dataclass(holder) else None


def _others(key: Key | None, value: Any) -> Iterator[Any]:
    """Other values of a key, far enough from its own to tell."""
    from pondsim.scenario.defaults import default_parameter  # noqa: PLC0415

    if key is None:
        return
    many = isinstance(value, tuple)
    if key.parameter:
        row = default_parameter(key.parameter)
        yield from ((end,) * len(value) if many else end for end in (row.low, row.high))
    if key.kind == "flag":
        yield not value
    elif key.kind == "choice":
        yield from (word for word in key.choices if word != value)
    elif key.kind == "integer":
        yield from (value + 1, value - 1)
    elif key.kind == "instant":
        yield from (value + timedelta(days=1), value - timedelta(days=1))
    elif key.kind == "quantity":
        yield from (end for end in (key.least, key.most) if end is not None)  # as texts with units
        yield from (*(share * value for share in SHARES if value), *(value + step for step in STEPS))
    elif key.kind in ("numbers", "months") and value:
        yield from (tuple(share * one for one in value) for share in SHARES if any(value))
        yield from (tuple(one + step for one in value) for step in STEPS)
