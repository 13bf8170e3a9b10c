"""Values laid over designs that change nothing: refused, with the reason and what to set in their place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import wrapped
from pondsim.cli._has_say import BY_LAW, has_say
from pondsim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from pondsim.scenario.settings import Scenario
    from pondsim.scenario.vary import Change

OF_STORMS = {"storm", "drainage", "rain"}  # sections that a storm asks though a season may not
BY_SECTION = {  # why a key of it has no say
    "ice": "the air never falls below 5 degC (41 degF) in this period, so that no ice forms.",
    "storm": "a design storm is run where --storms asks for it, and nowhere else.",
    "resuspension": "neither waves nor the waterfall's return stir up mud (resuspension.waves, at_return).",
}
Told = set[tuple[str, ...]]


def refuse_idle(
    paths: Sequence[Path],
    scenarios: Sequence[Scenario],
    changes: Sequence[Change],
    told: Told,
    *,
    storms: bool = False,
) -> None:
    """Refuse a value that changes nothing in any design; tell of one that is not that of all zones.

    Parameters
    ----------
    paths, scenarios : the designs, with the values laid over them
    changes : what was laid over
    told : what was looked at before; what is looked at is added
    storms : whether storms are run too, for which other keys have a say

    Raises
    ------
    ScenarioError
        No design makes use of the value; the message says what to set in its place.
    """
    from pondsim.scenario.old_names import new_key  # noqa: PLC0415
    from pondsim.scenario.values import value_at  # noqa: PLC0415

    every = sorted({change.key for change in changes})
    for change in changes:
        key, idle = new_key(change.key), []
        look = (key, *every)
        stand = [pair for pair in zip(paths, scenarios, strict=True) if value_at(pair[1], key) is not None]
        if look in told or not stand or (storms and key.partition(".")[0] in OF_STORMS):
            continue
        told.add(look)
        for path, scenario in stand:
            own = _own_keys(scenario, key)
            if not has_say(scenario, key):
                idle.append((path, _why(scenario, key, own)))
            elif own:
                _remark(path, f"{key} is not that of every zone: {', '.join(own)} stand in the design.")
        if len(idle) == len(stand):
            raise change.fault(f"changes nothing: {idle[0][1]}")
        for path, why in idle:
            _remark(path, f"{key} changes nothing: {why}")


def refuse_idle_size(scenario: Scenario, key: str) -> None:
    """Refuse to look for a value of a key that changes nothing; `scenario` has one of those looked at.

    Raises
    ------
    ScenarioError
        The run makes no use of the value; the message says what to size in its place.
    """
    from pondsim.scenario.old_names import new_key  # noqa: PLC0415

    key = new_key(key)
    if "." in key and not has_say(scenario, key):
        why = _why(scenario, key, _own_keys(scenario, key))
        raise ScenarioError(Problem(Path("size"), None, key, f"changes nothing: {why}"))


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
    return BY_SECTION.get(key.partition(".")[0], "the other keys of the design leave it no say.")


def _remark(path: Path, text: str) -> None:
    click.echo(wrapped(f"Remark: {path.name}: {text}"), err=True)
