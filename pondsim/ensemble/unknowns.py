"""What is not known of a pond and its designs, and a scenario with one draw of it laid over.

A range of defaults.toml stands around the default; where the scenario states another value, the range goes
with it in proportion. A range of the user's own holds as it is written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

import numpy as np

from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.weather_years import WeatherYear
from pondsim.errors import Problem, ScenarioError
from pondsim.output.provenance import Used, used_parameters
from pondsim.scenario.convert import span_text
from pondsim.scenario.defaults import default_parameter, default_parameters, default_texts
from pondsim.scenario.settings import Scenario
from pondsim.scenario.settings_unknowns import UnknownRange
from pondsim.scenario.values import value_at, with_value, with_values
from pondsim.site.runoff_quality import concentrations_of
from pondsim.units import split, to_si

Values = dict[str, Any]

# Sections whose rows bound, size or judge what the user builds: stated by him, not drawn.
STATED = {"intake", "gravity_line", "well_structure", "trench", "discharge", "pump", "judging"}
OF_EQUIPMENT = {  # of these sections only what nature or wear decides
    "waterfall": {"waterfall.water_quality"},
    "aeration": {
        "aeration.alpha",
        *(f"aeration.transfer_efficiency_{kind}" for kind in ("fine", "tubing", "coarse")),
    },
}
BY_RATIO = 3.0  # high over low from which a default range is drawn on a scale of ratios (judgement)
METHOD, WEATHER = "waterfall.method", "weather"
METHODS = ("avery_novak", "gameson", "nakasone")
FROM_LAND_USE = {
    f"stormwater.{name}": name for name in ("suspended_solids", "bod5", "ammonium", "phosphorus")
}  # what a drainage area sheds where its file does not say

OF_GIVEN = {  # parameters that act where algae are given, and idle where they grow
    *(f"algae.{name}" for name in ("chlorophyll", "photosynthesis", "photosynthesis_theta")),
    *(f"algae.{name}" for name in ("light_saturation", "respiration", "respiration_theta")),
    *("bed.organic_decay", "organic_matter.detritus_settling"),
}
OF_GROWN = {  # and the other way round; those of [phosphorus] too
    *(f"algae.{name}" for name in ("carbon_to_phosphorus", "growth", "growth_theta", "growth_light")),
    *(f"algae.{name}" for name in ("half_saturation", "growth_respiration", "maintenance", "mortality")),
    *(f"algae.{name}" for name in ("anoxic_mortality", "loss_theta", "excretion", "sinking", "seed")),
    *(f"bed.{name}" for name in ("fast_share", "slow_share", "fast_decay", "slow_decay", "old_decay")),
    *(f"bed.{name}" for name in ("anoxic_decay", "winter_share", "debt_ceiling")),
    *(f"bed.{name}" for name in ("pass_layers", "last_pass_layers", "pass_tolerance")),
    *(f"organic_matter.{name}" for name in ("grown_decay", "grown_settling", "anoxic_decay")),
    *("light.algae_extinction", "light.detritus_extinction"),
    *("stormwater.phosphorus", "stormwater.phosphorus_dissolved"),
}


def unknowns_of(scenarios: Sequence[Scenario], years: Sequence[WeatherYear]) -> list[Unknown]:
    """Everything that is drawn for some designs of one pond, in a fixed order.

    Parameters
    ----------
    scenarios : sequence of Scenario
        The existing pond first: its ``[unknowns]`` count.
    years : sequence of WeatherYear
        Weather years, drawn too where there are several.

    Raises
    ------
    ScenarioError
        A range of the user's that cannot be read, of a key that no design has.
    """
    given = scenarios[0].unknowns
    own = {
        one.key: _own(scenarios, one, f"unknowns.range.{place}") for place, one in enumerate(given.range, 1)
    }
    found: list[Unknown] = []
    if given.defaults:
        used = {use.name for scenario in scenarios for use in _used(scenario) if not _is_off(use)}
        found = [_default(name) for name in default_parameters() if name in used and _is_drawn(name)]
    found = [own.pop(one.name, one) for one in found]
    found += own.values()
    if given.defaults and METHOD not in own and any(scenario.waterfall for scenario in scenarios):
        found.append(_choice(METHOD, METHODS, (1.0,) * len(METHODS), "equation for the waterfall's oxygen"))
    if len(years) > 1:
        names, chances = tuple(one.name for one in years), tuple(one.chance for one in years)
        found.append(_choice(WEATHER, names, chances, "weather and storms of the year"))
    return found


def correlations_of(scenario: Scenario) -> dict[tuple[str, str], float]:
    """Correlations of the user's, by pairs of keys."""
    return {(pair.first, pair.second): pair.correlation for pair in scenario.unknowns.pair}


def drawn(scenario: Scenario, unknowns: Sequence[Unknown], values: Sequence[float]) -> Values:
    """What one draw sets in a scenario: SI values by dotted key.

    What a design does not have, such as the alpha of diffusers, is passed over.
    """
    found: Values = {}
    direct: Values = {}
    used: dict[str, list[Used]] = {}
    for use in _used(scenario):
        used.setdefault(use.name, []).append(use)
    for unknown, value in zip(unknowns, values, strict=True):
        if unknown.name == METHOD:
            if scenario.waterfall is not None:
                found[METHOD] = unknown.options[int(value)]
        elif unknown.name in default_parameters():
            for use in used.get(unknown.name, []):
                found[use.key] = _laid(scenario, use, unknown, float(value))
        elif unknown.shape != "choice" and _has(scenario, unknown.name):
            direct[unknown.name] = float(value)
    return found | direct


def with_draw(scenario: Scenario, values: Mapping[str, Any]) -> Scenario:
    """The scenario with the values of one draw."""
    return with_values(scenario, values) if values else scenario


def _laid(scenario: Scenario, use: Used, unknown: Unknown, value: float) -> Any:
    """A drawn value at one place: as it is, or in proportion to what stands there."""
    row = default_parameter(use.name)
    months = isinstance(use.value, tuple)
    if unknown.own and not months and use.key.rpartition(".")[2] == unknown.name.rpartition(".")[2]:
        return value
    reference = row.value
    if unknown.own:
        whole = float(np.mean(use.value)) if months else value_at(scenario, unknown.name)
        reference = whole if isinstance(whole, float) else row.value
    if reference == 0.0:
        return (value,) * len(use.value) if months else value
    ratio = value / reference
    scaled = [min(max(one * ratio, row.least), row.most) for one in (use.value if months else (use.value,))]
    return tuple(scaled) if months else scaled[0]


def _used(scenario: Scenario) -> Iterator[Used]:
    """Parameters at each place, and what drainage areas shed; none that only the other algae have."""
    for use in used_parameters(scenario):
        if not acts_on_others(use.name, scenario):
            yield use
    for area in scenario.drainage:
        shed = concentrations_of(area)
        for name, field in FROM_LAND_USE.items():
            if not acts_on_others(name, scenario):
                yield Used(name, getattr(shed, field), area.name, f"drainage.{area.name}.{field}")


def acts_on_others(name: str, scenario: Scenario) -> bool:
    """Whether a parameter acts on given algae alone where these grow, or the other way round."""
    if scenario.algae.mode == "grown":
        return name in OF_GIVEN
    return name in OF_GROWN or name.startswith("phosphorus.")


def _is_drawn(name: str) -> bool:
    section = name.partition(".")[0]
    asked = default_parameter(name).drawn
    return asked and section not in STATED and name in OF_EQUIPMENT.get(section, {name})


def _is_off(use: Used) -> bool:
    """Whether a value is 0: a draw goes in proportion, so what a file turns off stays off."""
    return use.value == 0.0 or (isinstance(use.value, tuple) and not any(use.value))


def _default(name: str) -> Unknown:
    row = default_parameter(name)
    by_ratio = row.low > 0.0 and row.high >= BY_RATIO * row.low
    shape = "log-uniform" if by_ratio else "uniform"
    return Unknown(
        name,
        row.low,
        row.high,
        row.value,
        shape,
        unit=row.si_unit,
        shown=row.unit,
        about=row.about,
        source=f"{row.source} [{row.mark}]",
    )


def _choice(name: str, options: tuple[str, ...], chances: tuple[float, ...], about: str) -> Unknown:
    high = float(len(options) - 1)
    return Unknown(
        name, 0.0, high, 0.0, "choice", options, chances, about=about, source="stated or judgement"
    )


def _has(scenario: Scenario, key: str) -> bool:
    return isinstance(value_at(scenario, key), float)


def _own(scenarios: Sequence[Scenario], one: UnknownRange, where: str) -> Unknown:
    """A range of the user's, in SI; each end is read as the key itself is."""
    row = default_parameters().get(one.key)
    if row is None and not any(_has(scenario, one.key) for scenario in scenarios):
        raise _fault(
            f"{where}.key", f'= "{one.key}" is not a number that these designs have or defaults.toml names.'
        )
    if all(acts_on_others(one.key, scenario) for scenario in scenarios):
        grow = scenarios[0].algae.mode == "grown"
        which = "given algae only, and these grow" if grow else "grown algae only, and these are given"
        raise _fault(f"{where}.key", f'= "{one.key}" acts on {which}; take it out, or change algae.mode.')
    texts = {"low": one.low, "high": one.high}
    if one.likely is not None:
        texts["likely"] = one.likely
    numbers = {name: _si(scenarios, one.key, text, f"{where}.{name}") for name, text in texts.items()}
    low, high = numbers["low"], numbers["high"]
    if not low < high:
        raise _fault(f"{where}.low", f'= "{one.low}" is not below high = "{one.high}".')
    if one.shape == "log-uniform" and low <= 0.0:
        raise _fault(f"{where}.low", f'= "{one.low}" has no ratio to high; log-uniform wants more than 0.')
    likely = numbers.get("likely", _middle(scenarios, one.key, low, high))
    if not low <= likely <= high:
        raise _fault(f"{where}.likely", "is not between low and high.")
    unit, shown, about = (row.si_unit, row.unit, row.about) if row else ("", split(one.low)[1], one.key)
    return Unknown(
        one.key, low, high, likely, one.shape, (), (), own=True, unit=unit, shown=shown, about=about,
        source=one.source,
    )  # fmt: skip


def _middle(scenarios: Sequence[Scenario], key: str, low: float, high: float) -> float:
    values = [value_at(scenario, key) for scenario in scenarios]
    known = [value for value in values if isinstance(value, float)]
    return min(max(known[0], low), high) if known else 0.5 * (low + high)


def _si(scenarios: Sequence[Scenario], key: str, text: str, where: str) -> float:
    """An end of a range, checked against what the key may be."""
    row = default_parameters().get(key)
    try:
        if row is not None:
            value = to_si(text, row.si_unit)
            if not row.least <= value <= row.most:
                least, most = default_texts(key)["allowed"]
                span = span_text(least, most, row.si_unit, split(text)[1])
                raise _fault(where, f'= "{text}" is outside what {key} may be, {span}.')
            return float(value)
        for scenario in scenarios:
            with suppress(KeyError):
                if _has(scenario, key):
                    return float(value_at(with_value(scenario, key, text), key))
    except ScenarioError as error:
        if error.problems and error.problems[0].key == where:
            raise
        raise _fault(where, f"cannot be used: {error}") from None
    except ValueError as error:
        raise _fault(where, f"= {error}") from None
    raise _fault(where, "cannot be read.")


def _fault(key: str, message: str) -> ScenarioError:
    return ScenarioError(Problem(None, None, key, message))
