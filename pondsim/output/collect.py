"""From the time loop's arrays to a described dataset."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from pondsim import __version__
from pondsim.constants import DAY, WATER_DENSITY, ZERO_CELSIUS
from pondsim.coordinates import indexed
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.errors import RunError
from pondsim.output.ages import ages_of
from pondsim.output.judging import own_limits_text
from pondsim.output.living import kind_names, living_of, store_names
from pondsim.output.mass_balance import closures
from pondsim.output.meters import equipment_of, events_of, system_names
from pondsim.output.over_time import Boxes, Shape, boxes_of, means_of, output_times, states_over_time
from pondsim.output.provenance import facts_of
from pondsim.output.readings import ReadingData
from pondsim.output.sampled import sampled_over_time
from pondsim.output.site_series import drainage_of, site_of
from pondsim.physics.ice import ICE_PER_WATER
from pondsim.physics.kinetics import temperature_factor
from pondsim.physics.oxygen import oxygen_saturation, standard_pressure
from pondsim.processes import constituents as s
from pondsim.processes.algae import profile_shares
from pondsim.processes.circulation import flow_at_normal_pool
from pondsim.processes.state import State, state_of
from pondsim.records import Record, to_json
from pondsim.results import describe
from pondsim.scenario.settings import Scenario
from pondsim.site.bill import bill_of
from pondsim.site.pond import FloatArray, zone_area

KG_TO_MG_PER_L = 1e3
NEGATIVE_OXYGEN = 5e-5  # kg/m3, five times the error of oxygen allowed per step
CONCENTRATIONS = {  # variable: constituent, factor, offset
    kept.output: (constituent, kept.factor, kept.offset)
    for constituent, kept in enumerate(s.BOXES)
    if kept.output
}
RATES = {  # variable: lines of the budget whose growth it is
    "inflow": (s.WATER_INFLOW,),
    "outflow": (s.WATER_OUTLET,),
    "rain": (s.WATER_RAIN,),
    "evaporation": (s.WATER_EVAPORATION,),
    "splash": (s.WATER_SPLASH,),
    "circulation_flow": (s.WATER_PUMPED,),
}


def dataset_of(
    scenario: Scenario,
    text: str,
    model: Model,
    season: Season,
    records: list[Record],
    start_days: float,
    inputs: NDArray[np.uint8] | None = None,
    readings: ReadingData | None = None,
) -> xr.Dataset:
    """Results of a finished season as a described dataset.

    Parameters
    ----------
    scenario, text : the scenario and the text of its files
    model, season : after the last step
    records : what the run says of itself
    start_days : days on which the starting state still shows
    inputs : archive of the files it was made from
    readings : of the pond, which ride along

    Raises
    ------
    RunError
        A balance does not close.
    """
    shape = Shape(model)
    stops = output_times(model)
    states = states_over_time(model.layout, season.kept)
    boxes = boxes_of(scenario, model, season)
    amounts = states.amounts
    concentration = amounts / amounts[:, :, :1]
    concentration[:, :, s.OXYGEN] = _oxygen(concentration[:, :, s.OXYGEN], scenario.numerics.tolerance)
    box = ("time", "zone", "layer")
    data: dict[str, Any] = {"box_volume": (box, shape(amounts[:, :, s.WATER]))}
    for name, (constituent, factor, offset) in CONCENTRATIONS.items():
        data[name] = (box, shape(concentration[:, :, constituent] * factor + offset))
    data |= _by_table(states, shape)
    data["suspended_solids"] = (
        (*box, "settling_class"),
        shape(concentration[:, :, s.FIRST_CLASS : model.layout.living.first] * KG_TO_MG_PER_L),
    )
    data |= _derived(scenario, model, season, shape, concentration, boxes)
    data |= _bed(scenario, model, states, concentration, boxes)
    data |= _ice(scenario, model, states) if scenario.ice else {}
    data |= living_of(scenario, model, season, shape, states, boxes, stops)
    data |= _means(scenario, states, stops)
    worth = model.work.worth[:, : model.layout.constituents]
    data |= sampled_over_time(states, stops, model.algae.oxygen_per_chlorophyll, model.layout.living, worth)
    data |= ages_of(model, season, shape)
    data |= site_of(scenario, model, stops)
    data |= drainage_of(scenario, model, stops)
    if inputs is not None:
        data["input_files"] = (("input_byte",), inputs)
    data |= equipment_of(scenario, model, season)
    readings = readings or ReadingData()
    bill = bill_of(scenario, model.control, season.control.meter, stops)
    coordinates = {
        "time": [np.datetime64(scenario.period.start + timedelta(seconds=float(t)), "ns") for t in stops],
        "zone": [zone.name for zone in scenario.zone],
        "layer": np.arange(shape.size[1]),
        "settling_class": np.arange(1, model.layout.classes + 1),
        "oxygen_pathway": list(s.OXYGEN_PATHWAYS),
        "unit": [unit.name for unit in scenario.aeration],
        "system": system_names(scenario)[0 if scenario.pump else 1 :],
        **bill.coordinates,
        **(
            {"algae_kind": kind_names(scenario), "bed_store": store_names()}
            if model.layout.living.grown
            else {}
        ),
        **readings.coordinates,
        **({"drainage_area": [area.name for area in scenario.drainage]} if scenario.drainage else {}),
    }
    attributes = _attributes(scenario, model, text, records, start_days)
    first, last = (state_of(model.layout, season.kept[row]) for row in (0, -1))
    attributes |= closures(first, last, model.work.worth[:, : model.layout.constituents])
    # A run of which only numbers stay (a member, a size that is tried) has neither text nor start days.
    attributes |= facts_of(scenario, sheet=bool(text) or math.isfinite(start_days))
    attributes |= bill.attributes | {"events": events_of(scenario, season)}
    attributes |= readings.attributes
    return describe(xr.Dataset(data | bill.data | readings.data, indexed(coordinates), attributes))


def _oxygen(computed: FloatArray, tolerance: float) -> FloatArray:
    """Oxygen as computed, with 0 where it falls below 0 by no more than the error allowed.

    Raises
    ------
    RunError
        It falls further, which would be a wrong curve.
    """
    most = NEGATIVE_OXYGEN * max(tolerance, 1.0)
    if float(computed.min()) < -most:
        raise RunError(
            f"oxygen of {computed.min() * KG_TO_MG_PER_L:.3f} mg/L was computed; no results were made. "
            "Run with a smaller numerics.tolerance"
        )
    return np.maximum(computed, 0.0)


def _derived(
    scenario: Scenario,
    model: Model,
    season: Season,
    shape: Shape,
    concentration: FloatArray,
    boxes: Boxes,
) -> dict[str, Any]:
    """What follows from the state: elevations, saturation, chlorophyll."""
    grid = model.grid
    box = ("time", "zone", "layer")
    pressure = float(standard_pressure(scenario.place.elevation))
    warmth, salt = (concentration[:, :, k].ravel() for k in (s.HEAT, s.SALT))  # compiles in half the time
    full = oxygen_saturation(warmth, salt, pressure).reshape(concentration.shape[:2])
    outputs = np.flatnonzero(model.forcing.output == 1)
    given = np.concatenate([model.forcing.chlorophyll[:1, :, 0], model.forcing.chlorophyll[outputs, :, 1]])
    depth = season.surface[:, grid.box_zone] - 0.5 * (boxes.bottom + boxes.top)
    near_top = given[:, grid.box_zone] * profile_shares(model.algae, depth)
    lowest = grid.first_box[:-1]
    largest = int(np.argmax([zone_area(grid, z, grid.normal_pool) for z in range(lowest.size)]))
    return {
        "water_surface_elevation": (("time",), (season.surface + season.floating)[:, largest]),
        "layer_bottom_elevation": (box, shape(boxes.bottom)),
        "layer_top_elevation": (box, shape(boxes.top)),
        "oxygen_saturation": (box, shape(full * KG_TO_MG_PER_L)),
        "chlorophyll": (box, shape(near_top * 1e6)),
    }


def _bed(
    scenario: Scenario, model: Model, states: State, concentration: FloatArray, boxes: Boxes
) -> dict[str, Any]:
    """Deposit and demand of the bed by zone; the demand is what the bed asks for, met or not."""
    grid, settings = model.grid, model.bed
    mass = states.bed_mass.sum(axis=2)
    area = np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)])
    factor = temperature_factor(settings.theta, concentration[:, :, s.HEAT])
    asked = settings.demand[grid.box_zone] * boxes.bed + settings.organic_decay * states.bed_organics
    demand = np.add.reduceat(asked * factor, grid.first_box[:-1], axis=1)
    return {
        "bed_mass": (("time", "zone"), mass),
        "bed_thickness": (("time", "zone"), mass / scenario.bed.dry_density / area),
        "bed_oxygen_demand": (("time", "zone"), demand / boxes.bed_of_zones(grid) * 1e3 * DAY),
        "solids_in_kg": (("settling_class",), states.solids_in[-1] - states.solids_in[0]),
        "solids_out_kg": (("settling_class",), states.solids_out[-1] - states.solids_out[0]),
        "settling_velocity": (("settling_class",), model.solids.velocity),
    }


def _by_table(states: State, shape: Shape) -> dict[str, Any]:
    """States of the bed and of zones whose row of the table of states names their variable."""
    of_bed = {
        kept.output: (("time", "zone", "layer"), shape(states.bed[:, row] * kept.factor + kept.offset))
        for row, kept in enumerate(s.BED)
        if kept.output
    }
    return of_bed | {
        kept.output: (("time", "zone"), states.zones[:, row] * kept.factor + kept.offset)
        for row, kept in enumerate(s.ZONES)
        if kept.output
    }


def _ice(scenario: Scenario, model: Model, states: State) -> dict[str, Any]:
    """Ice and snow by zone, as means over its area at normal pool."""
    grid = model.grid
    area = np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)])
    of_snow = WATER_DENSITY / model.ice.snow_density
    return {
        "ice_thickness": (("time", "zone"), states.zones[:, s.ICE] * ICE_PER_WATER / area),
        "snow_depth": (("time", "zone"), states.zones[:, s.SNOW] * of_snow / area),
    }


def _means(scenario: Scenario, states: State, stops: FloatArray) -> dict[str, Any]:
    """Means over the step that ends at each output time; the first value is that of the second."""
    lines, pathways = states.lines, states.pathways

    def mean(totals: FloatArray) -> FloatArray:
        return means_of(totals, stops)

    data: dict[str, Any] = {
        name: (("time",), mean(lines[:, list(rows)].sum(axis=1))) for name, rows in RATES.items()
    }
    data["seepage"] = (("time",), -mean(lines[:, s.WATER_GROUND]))
    metered = slice(0 if scenario.pump else 1, None)  # the pump's place stays empty where there is none
    power = mean(states.energy)[:, metered]
    running = mean(states.running)[:, metered]
    data["air_flow"] = (("time", "unit"), mean(states.air))
    data["running_share"] = (("time", "system"), running)
    data["power_by_unit"] = (("time", "system"), power)
    data["power"] = (("time",), power.sum(axis=1))
    for name in ("solids_in", "solids_out"):
        data[f"{name}_rate"] = (("time",), mean(getattr(states, name).sum(axis=1)))
    data["oxygen_rate"] = (("time", "oxygen_pathway"), mean(pathways.sum(axis=1)) * DAY)
    data["oxygen_total"] = (("zone", "oxygen_pathway"), pathways[-1] - pathways[0])
    return data


def _attributes(
    scenario: Scenario, model: Model, text: str, records: list[Record], start_days: float
) -> dict[str, Any]:
    judging, place = scenario.judging, scenario.place
    return {
        "title": scenario.title,
        "source": f"pondsim {__version__}",
        "pondsim_version": __version__,
        "scenario_text": text,
        "remarks": to_json(records),
        "start_dependence_days": start_days,
        "tolerance": scenario.numerics.tolerance,
        "hydraulic_step_s": scenario.numerics.hydraulic_step,
        "normal_pool_m": scenario.pond.normal_pool,
        "outlet_zone": scenario.outlet.zone if scenario.outlet else "",
        "latitude_deg": math.degrees(place.latitude),
        "longitude_deg": math.degrees(place.longitude),
        "utc_offset_h": place.utc_offset / 3600.0,
        "pump_flow_m3_per_s": flow_at_normal_pool(model.circulation),
        "criterion": judging.criterion,
        "own_limits": own_limits_text(scenario),
        "fish_oxygen_mg_per_L": judging.fish_oxygen * KG_TO_MG_PER_L,
        "smell_debt_mg_per_L": judging.smell_debt * KG_TO_MG_PER_L,
        "fish_temperature_degC": judging.fish_temperature - ZERO_CELSIUS,
        "renewed_within_d": judging.renewed_within / DAY,
    }
