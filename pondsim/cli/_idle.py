"""Whether a value laid over a design has a say: it has none where every zone states its own."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._common import wrapped
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.output.provenance import Used
    from pondsim.scenario.settings import Scenario
    from pondsim.scenario.vary import Change

# Sections of which a design sheet, a storm or a measure may ask where the loop does not.
ASKED_ELSEWHERE = {
    *("intake", "gravity_line", "wet_well", "pump", "trench", "discharge", "waterfall", "aeration"),
    *("judging", "drainage", "inflow", "base_flow", "rain", "storm"),
}
BY_LAW = {  # laws of the air's gases that use a key
    "gas_transfer.k600_cooling": {"wind and cooling"},
    "gas_transfer.surely_cooling": {"wind and cooling", "wind and renewal"},
}
Told = set[tuple[str, ...]]


def refuse_idle(
    paths: Sequence[Path], scenarios: Sequence[Scenario], changes: Sequence[Change], told: Told
) -> None:
    """Refuse a value that changes nothing in any design; tell of one that is not that of all zones.

    Parameters
    ----------
    paths, scenarios : the designs, with the values laid over them
    changes : what was laid over
    told : what was looked at before; what is looked at is added

    Raises
    ------
    ScenarioError
        No design makes use of the value; the message says what to set in its place.
    """
    from pondsim.scenario.old_names import new_key  # noqa: PLC0415

    every = sorted({change.key for change in changes})
    for change in changes:
        key, idle = new_key(change.key), []
        look = (key, *every)
        uses = [use_of(scenario, key) for scenario in scenarios]
        if look in told or not any(uses):
            continue
        told.add(look)
        for path, scenario, use in zip(paths, scenarios, uses, strict=True):
            own = _own_keys(scenario, key)
            if use is not None and not has_say(scenario, use):
                idle.append((path, _why(scenario, key, own)))
            elif use is not None and own:
                _remark(path, f"{key} is not that of every zone: {', '.join(own)} stand in the design.")
        if len(idle) == len([use for use in uses if use is not None]):
            raise change.fault(f"changes nothing: {idle[0][1]}")
        for path, why in idle:
            _remark(path, f"{key} changes nothing: {why}")


def use_of(scenario: Scenario, key: str) -> Used | None:
    """The parameter of a dotted key as used, where a run alone decides whether it has a say."""
    from pondsim.output.provenance import used_parameters  # noqa: PLC0415

    if key.partition(".")[0] in ASKED_ELSEWHERE:
        return None
    return next((use for use in used_parameters(scenario) if use.key == key), None)


def has_say(scenario: Scenario, use: Used) -> bool:
    """Whether the model or its starting state is another with another value of a parameter."""
    from pondsim.ensemble.unknowns import acts_on_others  # noqa: PLC0415
    from pondsim.scenario.defaults import default_parameter  # noqa: PLC0415
    from pondsim.scenario.values import with_value  # noqa: PLC0415

    if acts_on_others(use.name, scenario) or _is_off(scenario, use.key):
        return False
    row = default_parameter(use.name)
    months = isinstance(use.value, tuple)
    before = use.value[0] if months else use.value
    other = row.low if before != row.low else row.high
    with suppress(ScenarioError):  # the other value does not fit other keys
        changed = with_value(scenario, use.key, (other,) * len(use.value) if months else other)
        return _computed(changed) != _computed(scenario)
    return True


def _is_off(scenario: Scenario, key: str) -> bool:
    """Whether the process or the law of a key is off, so that the loop holds a value it never asks for."""
    from pondsim.engine.model import build_model  # noqa: PLC0415

    if key.startswith("resuspension."):
        solids = build_model(scenario).solids
        return not (solids.waves or solids.at_return)
    return key in BY_LAW and scenario.gas_transfer.law not in BY_LAW[key]


def _computed(scenario: Scenario) -> list[Any]:
    """Every number that the loop begins with."""
    from pondsim.engine.initial import start_state  # noqa: PLC0415
    from pondsim.engine.model import build_model  # noqa: PLC0415

    model = build_model(scenario)
    return [*_numbers(model), *_numbers(start_state(scenario, model))]


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


def _own_keys(scenario: Scenario, key: str) -> list[str]:
    """Keys of zones that state their own value of a parameter of the whole pond."""
    from pondsim.output.provenance import used_parameters  # noqa: PLC0415

    return [use.key for use in used_parameters(scenario) if use.name == key != use.key]


def _why(scenario: Scenario, key: str, own: Sequence[str]) -> str:
    from pondsim.ensemble.unknowns import acts_on_others  # noqa: PLC0415

    if own:
        return f"every zone states its own value. Set {', '.join(own)} in its place."
    if acts_on_others(key, scenario):
        grow = scenario.algae.mode == "grown"
        which = "given algae only, and these grow" if grow else "grown algae only, and these are given"
        return f"it acts on {which}."
    if key in BY_LAW:
        return f'gas_transfer.law = "{scenario.gas_transfer.law}" makes no use of it.'
    if key.startswith("resuspension."):
        return "neither waves nor the waterfall's return stir up mud (resuspension.waves, at_return)."
    return "the other keys of the design leave it no say."


def _remark(path: Path, text: str) -> None:
    click.echo(wrapped(f"Remark: {path.name}: {text}"), err=True)
