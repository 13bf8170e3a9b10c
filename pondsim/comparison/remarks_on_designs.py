"""What the files of a design and its sheet say of themselves before it is run, in words."""

from __future__ import annotations

from collections.abc import Callable

from pondsim.records import Record
from pondsim.units import display


def _old_name(record: Record, system: str) -> str:
    home, _, new = record.names["key"].rpartition(".")
    place = f" in line {record.number('line'):.0f}" if "line" in record.numbers else ""
    return (
        f"{home}.{record.names['old']}{place} of {record.names['file']} is now called {new}; the "
        "next version will not read the old name."
    )


def _list_replaced(record: Record, system: str) -> str:
    own, of_site = record.number("own"), record.number("of_site")
    return f"this design's {own:.0f} {record.names['key']} replaces the site's {of_site:.0f}."


def _period(record: Record) -> str:
    return " to ".join(f"{record.time(end):%Y-%m-%d %H:%M}" for end in ("start", "end"))


def _event_outside(record: Record, system: str) -> str:
    event = f"the {record.names['kind']} of {record.time('of'):%Y-%m-%d %H:%M}"
    return f"{event} lies outside the period, {_period(record)}, and is left out{_later(record)}."


def _later(record: Record) -> str:
    """That years of one bed take what is dated after the period into its own year."""
    return "; pondsim years runs later years" if record.number("later") else ""


def _events_outside(record: Record, system: str) -> str:
    out, given = record.number("out"), record.number("given")
    return (
        f"{out:.0f} of {given:.0f} {record.names['kind']} lie outside the period, {_period(record)}, and are "
        f"left out{_later(record)}."
    )


def _event_cut(record: Record, system: str) -> str:
    sides = [
        f"{verb} {side}" for verb, side in (("begins", "before"), ("ends", "after")) if record.number(side)
    ]
    event = f"the {record.names['kind']} of {record.time('of'):%Y-%m-%d %H:%M}"
    return f"{event} {' and '.join(sides)} the period and is cut to it."


def _dredged_before(record: Record, system: str) -> str:
    share = record.number("share")
    done = "counts as done" if share >= 1.0 else f"is {100.0 * share:.0f} % done"
    return (
        f"the dredging of {record.where} of {record.time('of'):%Y-%m-%d %H:%M} {done} at the start of the "
        f"period, of bed and muck alike: the bed is lowest at {_shown(record, 'bed', system, 5)} then."
    )


def _dredgings_add_up(record: Record, system: str) -> str:
    times = " and ".join(f"{record.time(one):%Y-%m-%d %H:%M}" for one in ("first", "second"))
    return (
        f"the dredgings of {record.where} of {times} overlap in time: they add up to "
        f"{_shown(record, 'depth', system)} and leave {100.0 * record.number('left'):.2g} % of the muck."
    )


def _dredged_hole(record: Record, system: str) -> str:
    return (
        f"{record.where} is dredged to {_shown(record, 'bed', system, 5)}, "
        f"{_shown(record, 'depth', system)} under normal pool, where it and its neighbors were "
        f"{_shown(record, 'around', system)} deep at most: check the depth; water in a hole stands still."
    )


def _few_layers(record: Record, system: str) -> str:
    return (
        f"pond.layers = {record.number('layers'):.0f}: with fewer than {record.number('least'):.0f} layers "
        "the water near the bed mixes more than in the real pond."
    )


def _shown(record: Record, name: str, system: str, digits: int = 3) -> str:
    return display(record.number(name), "length", system, digits)


def _shallow_pond(record: Record, system: str) -> str:
    return (
        f"The pond is {_shown(record, 'depth', system)} deep: a pond this shallow hardly stratifies, and its "
        "depths must be accurate to the inch."
    )


def _thin_layers(record: Record, system: str) -> str:
    return (
        f"The pond is {_shown(record, 'depth', system)} deep, in {record.number('layers'):.0f} layers: each "
        f"is thinner than {_shown(record, 'thinnest', system)}; fewer pond.layers are enough."
    )


def _renewal(record: Record, system: str) -> str:
    within = display(record.number("within"), "days", system)
    return within + (", daily mean," if record.number("share_of_day") < 1.0 else "")


def _pump_renews_little(record: Record, system: str) -> str:
    return (
        f"The pump gives {100 * record.number('times'):.0f} % of the flow that would renew the pond within "
        f"{_renewal(record, system)}, even without dead zones."
    )


def _pump_renews_much(record: Record, system: str) -> str:
    return (
        f"The pump gives {record.number('times'):.0f} times the flow that renews the pond within "
        f"{_renewal(record, system)}: check the units."
    )


def _bed_assumed(record: Record, system: str) -> str:
    bed = _shown(record, "bed", system, 5)
    after = f" after dredging from {record.time('dug'):%Y-%m-%d}" if record.times else ""
    return (
        f"The bed under the intake is taken as the lowest of {record.where}{after}, {bed}; "
        "where it lies higher write intake.bed."
    )


def _short_circuit(record: Record, system: str) -> str:
    return f"Intake and waterfall are both in {record.where}: the water short-circuits."


def _shallow_diffuser(record: Record, system: str) -> str:
    return (
        f"{record.where}: its diffusers lie {_shown(record, 'depth', system)} deep; bubbles from there give "
        "little oxygen and lift little water."
    )


def _not_judged(record: Record, why: str) -> str:
    return f'The limit "{record.where}" cannot be judged: {why}.'


def _limit_out_of_season(record: Record, system: str) -> str:
    return _not_judged(record, "no day of its season lies in the period")


def _limit_without_intake(record: Record, system: str) -> str:
    return _not_judged(record, "this design has no intake")


def _limit_without_inflow(record: Record, system: str) -> str:
    return _not_judged(record, "the pond has no inflow")


def _limit_too_long(record: Record, system: str) -> str:
    return _not_judged(
        record,
        f"it averages {record.number('days'):.0f} days in a row, and the longest part of its season in the "
        f"period has {record.number('longest'):.0f}",
    )


def _limit_too_deep(record: Record, system: str) -> str:
    return _not_judged(
        record,
        f"{record.names.get('zone', 'every zone')} is at most {_shown(record, 'depth', system)} deep at "
        f"normal pool, and it is read from {_shown(record, 'from_depth', system)} down",
    )


def _plan_length_apart(record: Record, system: str) -> str:
    less = ", less riser and stub," if "riser" in record.numbers else ""
    plan, key = record.names["plan"], record.names["key"]
    return (
        f"{plan} is {_shown(record, 'plan', system)} long on the plan, {key}{less} is "
        f"{_shown(record, 'pipe', system)}: losses and pipe use the second, drawing and trench the first."
    )


DESIGN_WORDS: dict[str, str | Callable[[Record, str], str]] = {
    "old_name": _old_name,
    "list_replaced": _list_replaced,
    "event_outside": _event_outside,
    "events_outside": _events_outside,
    "event_cut": _event_cut,
    "dredged_before": _dredged_before,
    "dredgings_add_up": _dredgings_add_up,
    "dredged_hole": _dredged_hole,
    "load_brings_nothing": lambda record, _: f'the load "{record.where}" brings nothing: no amount is given.',
    "outage_stops_nothing": "The outages of this file stop nothing: the design has no pump and no air.",
    "few_layers": _few_layers,
    "start_guessed": "No measured profile to start from: the first days depend on a stated guess.",
    "weather_invented": "The weather is invented; for a real pond give an hourly weather file.",
    "no_outlet": "No outlet: the pond rises with every storm until the water goes over its banks.",
    "no_inflow": "No inflow except groundwater.",
    "shallow_pond": _shallow_pond,
    "thin_layers": _thin_layers,
    "pump_renews_little": _pump_renews_little,
    "pump_renews_much": _pump_renews_much,
    "bed_assumed": _bed_assumed,
    "short_circuit": _short_circuit,
    "shallow_diffuser": _shallow_diffuser,
    "limit_out_of_season": _limit_out_of_season,
    "limit_too_long": _limit_too_long,
    "limit_without_intake": _limit_without_intake,
    "limit_without_inflow": _limit_without_inflow,
    "limit_too_deep": _limit_too_deep,
    "plan_length_apart": _plan_length_apart,
}
