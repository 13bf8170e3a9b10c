"""`pondsim commission`: start-up day, what readings mean against what was promised."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, reading_of, units_option, write_text
from pondsim.cli._quantity import ELEVATION, Quantity
from pondsim.errors import ScenarioError
from pondsim.units import display

if TYPE_CHECKING:
    from pondsim.design.commission_air import AirFound, OxygenFound
    from pondsim.design.commission_values import Readings
    from pondsim.scenario.settings import Scenario


@click.command("commission")
@click.argument("design", type=existing_file)
@click.option("--pond", type=ELEVATION, help="Water surface of the pond that day.  [default: normal pool]")
@click.option("--lip", type=Quantity("m", "0 in", "3 ft"), help='Water over the crest, as "1.5 in".')
@click.option("--crest", type=click.Choice(["sharp", "broad"]), default="sharp", help="broad: natural stone.")
@click.option("--well-rise", help='Of the well just after a stop, as "3 in in 8 s".')
@click.option("--well-level", type=ELEVATION, help="Water in the well while it runs.")
@click.option("--gauge", type=Quantity("Pa", "-10 psi", "200 psi"), help='On the discharge, as "6 psi".')
@click.option("--gauge-elevation", type=ELEVATION, help="Where that gauge sits.")
@click.option("--amps", type=click.FloatRange(0.0, 2000.0), help="Mean of the lines at the pump's panel.")
@click.option("--volts", type=Quantity("V", "12 V", "1000 V"), help="Between lines.  [default: the design's]")
@click.option("--air", multiple=True, help='Gauge at a unit\'s header, as "pool air: 6 psi".')
@click.option("--bucket", multiple=True, help='One diffuser, as "pool air: 5 gal in 40 s at 1 ft".')
@click.option("--above", type=Quantity("kg/m3", "0 mg/L", "40 mg/L"), help="Oxygen above the waterfall.")
@click.option("--below", type=Quantity("kg/m3", "0 mg/L", "40 mg/L"), help="Oxygen below it.")
@click.option("--water", type=Quantity("K", "0 degC", "40 degC"), help='Its temperature, as "78 degF".')
@click.option(
    "--meter-error", type=Quantity("kg/m3", "0 mg/L", "3 mg/L"), default="0.2 mg/L", show_default=True,
    help="Of one oxygen reading.",
)  # fmt: skip
@click.option("--form", type=new_file, help="Write a form to fill in on paper (.txt).")
@units_option
def command(design: Path, form: Path | None, system: str, **given: object) -> None:
    """Compute the flow of DESIGN from each start-up reading, and find where flow is lost.

    Give any of the readings. Nothing is simulated.
    """
    from pondsim.cli._commission_text import commission_text, form_text  # noqa: PLC0415
    from pondsim.cli._places import check_places  # noqa: PLC0415

    check_places([form], [design])
    scenario = reading_of(design).scenario
    if scenario.pump is None and not scenario.aeration:
        raise ScenarioError(f"{design}: has no loop and no air to start up")
    readings = _readings(design, scenario, given)
    pond = readings.pond
    air = [*_air(scenario, given, pond), *_buckets(scenario, given, pond)]
    oxygen = _oxygen(scenario, given, readings)
    if form is not None:
        write_text(form, form_text(scenario, readings, system))
        click.echo(f"Form written to {form}.")
    water = any(
        one is not None for one in (readings.lip, readings.rise, readings.gauge, readings.amps, readings.well)
    )
    if form is None and not water and not air and oxygen is None:
        raise ScenarioError("no reading is given; give --lip, --well-rise, --gauge, --amps ..., or --form")
    if water or air or oxygen is not None:
        click.echo(commission_text(scenario, readings if water else None, air, oxygen, system))


def _readings(design: Path, scenario: Scenario, given: dict[str, object]) -> Readings:
    """What was read of the loop; faults where a reading lacks what it needs."""
    from pondsim.design.commission_values import Readings  # noqa: PLC0415

    rise, seconds = _pair(given["well_rise"], "--well-rise", ("m", "s"), '"3 in in 8 s"')
    loop = [name for name in ("lip", "well_rise", "gauge", "amps", "well_level") if given[name] is not None]
    if loop and scenario.pump is None:
        raise ScenarioError(f"{design}: has no loop; leave out --{loop[0].replace('_', '-')}")
    if scenario.wet_well is None and (rise is not None or given["well_level"] is not None):
        raise ScenarioError(f"{design}: has no wet well to read")
    if (given["gauge"] is None) != (given["gauge_elevation"] is None):
        raise ScenarioError("--gauge and --gauge-elevation belong together: the height counts as pressure")
    pump = scenario.pump
    volts = given["volts"] or (pump.volts if pump else None)
    if given["amps"] is not None and (pump is None or pump.phases is None or pump.power_factor is None):
        raise ScenarioError("--amps needs volts, phases and power_factor of [pump]: amps alone are no power")
    if given["amps"] is not None and volts is None:
        raise ScenarioError("--amps needs --volts, or volts of [pump]")
    pond = _pond_level(scenario, _number(given["pond"]))
    if rise is not None and scenario.wet_well is not None and rise > pond - scenario.wet_well.bottom:
        raise ScenarioError("--well-rise: is more than the depth of the well below the pond; read it again")
    return Readings(
        pond=pond,
        lip=_number(given["lip"]),
        broad=given["crest"] == "broad",
        rise=rise,
        time=seconds,
        gauge=_number(given["gauge"]),
        gauge_elevation=_number(given["gauge_elevation"]),
        well=_number(given["well_level"]),
        amps=_number(given["amps"]),
        volts=_number(volts),
        phases=pump.phases if pump else None,
        power_factor=pump.power_factor if pump else None,
    )


def _pond_level(scenario: Scenario, pond: float | None) -> float:
    """Water surface of the day; a fault where the pond would be empty or over its banks."""
    from pondsim.site.dredged import zones_at  # noqa: PLC0415

    lowest, top = min(zone.stage[0] for zone in zones_at(scenario, 0.0)), scenario.pond.bank_top
    if pond is None:
        return scenario.pond.normal_pool
    if not lowest < pond <= top:
        ends = f"{display(lowest, 'length', 'us', 5)}, and the bank top, {display(top, 'length', 'us', 5)}"
        raise ScenarioError(f"--pond: is not between the lowest bed, {ends}")
    return pond


def _number(value: object) -> float | None:
    return None if value is None else float(str(value))


def _pair(
    text: object, option: str, units: tuple[str, str], example: str
) -> tuple[float, float] | tuple[None, None]:
    """Two quantities with the word "in" between them, both above 0."""
    from pondsim.units import UnitError, to_si  # noqa: PLC0415

    if text is None:
        return None, None
    first, _, second = str(text).rpartition(" in ")
    try:
        one, two = to_si(first.strip(), units[0]), to_si(second.strip(), units[1])
    except UnitError as error:
        raise ScenarioError(f"{option}: {error} The whole is written as {example}.") from None
    if one <= 0.0 or two <= 0.0:
        raise ScenarioError(f'{option}: "{text}" is not above 0; write such as {example}')
    return one, two


def _named(scenario: Scenario, text: str, option: str) -> tuple[str, str]:
    """Name of a unit and what was read there."""
    name, colon, rest = text.partition(":")
    names = [unit.name for unit in scenario.aeration]
    if not colon or name.strip() not in names:
        known = f"units: {', '.join(names)}" if names else "the design has no aeration"
        raise ScenarioError(f'{option}: "{text}" names no unit; write "NAME: reading" ({known})')
    return name.strip(), rest.strip()


def _air(scenario: Scenario, given: dict[str, object], pond: float) -> list[AirFound]:
    from pondsim.design.commission_air import by_air_gauge, unit_named  # noqa: PLC0415
    from pondsim.units import UnitError, to_si  # noqa: PLC0415

    found = []
    for text in given["air"]:  # type: ignore[attr-defined]
        name, rest = _named(scenario, text, "--air")
        unit = unit_named(scenario, name)
        assert unit is not None
        try:
            pressure = to_si(rest, "Pa")
        except UnitError as error:
            raise ScenarioError(f"--air: {error}") from None
        found.append(by_air_gauge(unit, scenario, pond, pressure))
    return found


def _buckets(scenario: Scenario, given: dict[str, object], pond: float) -> list[AirFound]:
    from pondsim.design.commission_air import by_bucket, unit_named  # noqa: PLC0415
    from pondsim.units import UnitError, to_si  # noqa: PLC0415

    found = []
    for text in given["bucket"]:  # type: ignore[attr-defined]
        name, rest = _named(scenario, text, "--bucket")
        unit = unit_named(scenario, name)
        assert unit is not None
        filled, _, depth = rest.partition(" at ")
        volume, seconds = _pair(filled, "--bucket", ("m3", "s"), '"pool air: 5 gal in 40 s at 1 ft"')
        try:
            deep = to_si(depth.strip(), "m") if depth else 0.0
        except UnitError as error:
            raise ScenarioError(f"--bucket: {error}") from None
        assert volume is not None and seconds is not None
        water = _number(given["water"]) or 293.15
        found.append(by_bucket(unit, scenario, pond, (volume, seconds, max(deep, 0.0)), water))
    return found


def _oxygen(scenario: Scenario, given: dict[str, object], readings: Readings) -> OxygenFound | None:
    from pondsim.design.commission import best_flow, flows_of  # noqa: PLC0415
    from pondsim.design.commission_air import oxygen_found  # noqa: PLC0415
    from pondsim.site.circulation_line import flow_at_normal_pool  # noqa: PLC0415

    above, below, water = (_number(given[name]) for name in ("above", "below", "water"))
    if above is None and below is None:
        return None
    if above is None or below is None or water is None:
        raise ScenarioError(
            "--above, --below and --water belong together: saturation depends on the temperature"
        )
    if scenario.waterfall is None or scenario.pump is None:
        raise ScenarioError("--above: the design has no waterfall")
    best = best_flow(flows_of(scenario, readings))
    flow = best.flow if best is not None and best.flow else flow_at_normal_pool(scenario)
    return oxygen_found(scenario, above, below, water, _number(given["meter_error"]) or 0.0, flow or 0.0)
