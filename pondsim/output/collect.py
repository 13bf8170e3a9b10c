"""From the time loop's arrays to a described dataset."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import Any

import numpy as np
import xarray as xr

from pondsim import __version__
from pondsim.constants import DAY, ZERO_CELSIUS
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.errors import RunError
from pondsim.output.mass_balance import closures
from pondsim.output.meters import equipment_of, events_of, system_names
from pondsim.output.provenance import facts_of
from pondsim.physics.kinetics import temperature_factor
from pondsim.physics.oxygen import oxygen_saturation, standard_pressure
from pondsim.physics.tanks import steady_age
from pondsim.processes import constituents as s
from pondsim.processes.circulation import flow_at_normal_pool
from pondsim.processes.state import State, state_of
from pondsim.results import describe
from pondsim.scenario.settings import Scenario
from pondsim.site import drained
from pondsim.site.bill import bill_of
from pondsim.site.pond import FloatArray, box_limits, zone_area

KG_TO_MG_PER_L = 1e3
ROUNDING = 1e-12  # share of a sum over the run below which its growth in one step is rounding error
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


AREA_TOTALS = {  # variable: column of the totals of drainage areas
    "area_rain": drained.RAIN,
    "area_runoff": drained.RUNOFF,
    "area_losses": drained.LOSSES,
    "area_peak": drained.PEAK,
    "area_solids": drained.SOLIDS,
    "area_bod5": drained.BOD5_LOAD,
    "area_ammonium": drained.AMMONIUM_LOAD,
    "area_phosphorus": drained.PHOSPHORUS,
}


class _Shape:
    """Turns arrays over boxes into arrays over zones and layers, NaN where there is no box."""

    def __init__(self, model: Model) -> None:
        self.zone, self.layer = model.grid.box_zone, model.grid.box_layer
        self.size = (model.layout.zones, model.grid.interface.size - 1)

    def __call__(self, boxes: FloatArray) -> FloatArray:
        """(..., boxes) or (..., boxes, classes) to (..., zones, layers[, classes])."""
        lead = 1 if boxes.ndim > 1 else 0
        shaped = np.full((*boxes.shape[:lead], *self.size, *boxes.shape[lead + 1 :]), np.nan)
        where = (slice(None),) * lead + (self.zone, self.layer)
        shaped[where] = boxes
        return shaped


def dataset_of(
    scenario: Scenario, text: str, model: Model, season: Season, remarks: list[str], start_days: float
) -> xr.Dataset:
    """Results of a finished season as a described dataset.

    Parameters
    ----------
    scenario, text : the scenario and the text of its files
    model, season : after the last step
    remarks : plain sentences for the user
    start_days : days on which the starting state still shows

    Raises
    ------
    RunError
        A balance does not close.
    """
    shape = _Shape(model)
    stops = np.concatenate([[0.0], model.forcing.time[1:][model.forcing.output == 1]])
    states = [state_of(model.layout, row) for row in season.kept]
    amounts = np.stack([state.amounts for state in states])
    concentration = amounts / amounts[:, :, :1]
    concentration[:, :, s.OXYGEN] = _oxygen(concentration[:, :, s.OXYGEN], scenario.numerics.tolerance)
    box = ("time", "zone", "layer")
    data: dict[str, Any] = {"box_volume": (box, shape(amounts[:, :, s.WATER]))}
    for name, (constituent, factor, offset) in CONCENTRATIONS.items():
        data[name] = (box, shape(concentration[:, :, constituent] * factor + offset))
    data["suspended_solids"] = (
        (*box, "settling_class"),
        shape(concentration[:, :, s.FIRST_CLASS :] * KG_TO_MG_PER_L),
    )
    data |= _derived(scenario, model, season, shape, concentration, stops)
    data |= _bed(scenario, model, states, concentration)
    data |= _means(scenario, model, states, stops)
    data |= _ages(model, season, shape)
    data |= _site(scenario, model, stops)
    data |= _drainage(scenario, model, stops)
    data |= equipment_of(scenario, model, season)
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
        **({"drainage_area": [area.name for area in scenario.drainage]} if scenario.drainage else {}),
    }
    attributes = _attributes(scenario, model, text, remarks, start_days)
    attributes |= closures(states[0], states[-1]) | facts_of(scenario)
    attributes |= bill.attributes | {"events": events_of(scenario, season)}
    return describe(xr.Dataset(data | bill.data, coordinates, attributes))


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
    shape: _Shape,
    concentration: FloatArray,
    stops: FloatArray,
) -> dict[str, Any]:
    """What follows from the state: elevations, saturation, chlorophyll."""
    grid = model.grid
    box = ("time", "zone", "layer")
    limits = np.array(
        [
            [box_limits(grid, b, season.surface[row, grid.box_zone[b]]) for b in range(model.layout.boxes)]
            for row in range(stops.size)
        ]
    )
    pressure = float(standard_pressure(scenario.place.elevation))
    full = oxygen_saturation(concentration[:, :, s.HEAT], concentration[:, :, s.SALT], pressure)
    outputs = np.flatnonzero(model.forcing.output == 1)
    given = np.concatenate([model.forcing.chlorophyll[:1, :, 0], model.forcing.chlorophyll[outputs, :, 1]])
    lowest = grid.first_box[:-1]
    largest = int(np.argmax([zone_area(grid, z, grid.normal_pool) for z in range(lowest.size)]))
    return {
        "water_surface_elevation": (("time",), season.surface[:, largest]),
        "layer_bottom_elevation": (box, shape(limits[:, :, 0])),
        "layer_top_elevation": (box, shape(limits[:, :, 1])),
        "oxygen_saturation": (box, shape(full * KG_TO_MG_PER_L)),
        "chlorophyll": (box, shape(given[:, grid.box_zone] * 1e6)),
    }


def _bed(scenario: Scenario, model: Model, states: list[State], concentration: FloatArray) -> dict[str, Any]:
    """Deposit and demand of the bed by zone; the demand is what the bed asks for, met or not."""
    grid, settings = model.grid, model.bed
    mass = np.stack([state.bed_mass.sum(axis=1) for state in states])
    organics = np.stack([state.bed_organics for state in states])
    area = np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)])
    factor = temperature_factor(settings.theta, concentration[:, :, s.HEAT])
    bed = model.work.bed_area
    asked = (settings.demand[grid.box_zone] * bed + settings.organic_decay * organics) * factor
    demand = np.stack([asked[:, grid.box_zone == z].sum(axis=1) for z in range(area.size)], axis=1)
    wet = np.array([max(bed[grid.box_zone == z].sum(), 1e-6) for z in range(area.size)])
    return {
        "bed_mass": (("time", "zone"), mass),
        "bed_thickness": (("time", "zone"), mass / scenario.bed.dry_density / area),
        "bed_oxygen_demand": (("time", "zone"), demand / wet * 1e3 * DAY),
        "solids_in_kg": (("settling_class",), states[-1].solids_in - states[0].solids_in),
        "solids_out_kg": (("settling_class",), states[-1].solids_out - states[0].solids_out),
        "settling_velocity": (("settling_class",), model.solids.velocity),
    }


def _means(scenario: Scenario, model: Model, states: list[State], stops: FloatArray) -> dict[str, Any]:
    """Means over the step that ends at each output time; the first value is that of the second."""
    lines = np.stack([state.lines for state in states])
    pathways = np.stack([state.pathways for state in states])
    length = np.diff(stops)

    def mean(total: FloatArray) -> FloatArray:
        grown = np.diff(total, axis=0)
        grown[np.abs(grown) < ROUNDING * np.abs(total).max(axis=0)] = 0.0  # what stands still adds nothing
        rate = grown / length.reshape(-1, *([1] * (total.ndim - 1)))
        return np.concatenate([rate[:1], rate])

    data: dict[str, Any] = {
        name: (("time",), mean(lines[:, list(rows)].sum(axis=1))) for name, rows in RATES.items()
    }
    data["seepage"] = (("time",), -mean(lines[:, s.WATER_GROUND]))
    metered = slice(0 if scenario.pump else 1, None)  # the pump's place stays empty where there is none
    power = mean(np.stack([state.energy for state in states]))[:, metered]
    running = mean(np.stack([state.running for state in states]))[:, metered]
    data["air_flow"] = (("time", "unit"), mean(np.stack([state.air for state in states])))
    data["running_share"] = (("time", "system"), running)
    data["power_by_unit"] = (("time", "system"), power)
    data["power"] = (("time",), power.sum(axis=1))
    for name in ("solids_in", "solids_out"):
        data[f"{name}_rate"] = (("time",), mean(np.stack([getattr(state, name).sum() for state in states])))
    data["oxygen_rate"] = (("time", "oxygen_pathway"), mean(pathways.sum(axis=1)) * DAY)
    data["oxygen_total"] = (("zone", "oxygen_pathway"), pathways[-1] - pathways[0])
    return data


def _ages(model: Model, season: Season, shape: _Shape) -> dict[str, Any]:
    """Steady ages of the water at the mean flows of the season [d], and mean volumes [m3].

    Water that comes in is new; for the age since the waterfall, so is what comes over it. Where neither ever
    comes the age is infinite.
    """
    duration = float(model.forcing.time[-1])
    carried, pumped = season.sums.carried / duration, season.sums.pumped / duration
    volume = season.sums.held / duration
    fresh = season.sums.fresh / duration
    plain = ("zone", "layer")
    since_inflow = _steady(volume, carried + pumped, fresh)
    since_waterfall = _steady(volume, carried, fresh + pumped.sum(axis=0))
    if model.circulation.most_flow <= 0.0:
        since_waterfall = np.full(volume.size, np.inf)
    return {
        "mean_box_volume": (plain, shape(volume)),
        "steady_age_since_inflow": (plain, shape(since_inflow / DAY)),
        "steady_age_since_waterfall": (plain, shape(since_waterfall / DAY)),
    }


def _steady(volume: FloatArray, flows: FloatArray, fresh: FloatArray) -> FloatArray:
    """Steady ages; infinite where new water never comes."""
    reached = fresh > 0.0
    while True:
        further = reached | (flows[reached] > 0.0).any(axis=0)
        if (further == reached).all():
            break
        reached = further
    age = np.full(volume.size, np.inf)
    if reached.any():
        age[reached] = steady_age(volume[reached], flows[np.ix_(reached, reached)], fresh[reached])
    return age


def _site(scenario: Scenario, model: Model, stops: FloatArray) -> dict[str, Any]:
    grid, forcing = model.grid, model.forcing
    times = forcing.weather_first + forcing.weather_step * np.arange(len(forcing.weather))
    weather = np.stack([np.interp(stops, times, column) for column in forcing.weather.T])
    return {
        "zone_x": (("zone",), np.array([zone.centre[0] for zone in scenario.zone])),
        "zone_y": (("zone",), np.array([zone.centre[1] for zone in scenario.zone])),
        "zone_area": (
            ("zone",),
            np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)]),
        ),
        "air_temperature": (("time",), weather[0] - ZERO_CELSIUS),
        "shortwave": (("time",), weather[2]),
        "wind_speed": (("time",), weather[4]),
    }


def _drainage(scenario: Scenario, model: Model, stops: FloatArray) -> dict[str, Any]:
    """Rain, and what each drainage area made of it."""
    forcing = model.forcing
    length = np.diff(forcing.time)
    at = np.searchsorted(forcing.time, stops - 1e-6)

    def mean(values: FloatArray) -> FloatArray:
        total = np.cumsum(values * length.reshape(-1, *([1] * (values.ndim - 1))), axis=0)
        summed = np.concatenate([0.0 * values[:1], total])[at]
        rate = np.diff(summed, axis=0) / np.diff(stops).reshape(-1, *([1] * (values.ndim - 1)))
        return np.concatenate([rate[:1], rate])

    data: dict[str, Any] = {"rain_intensity": (("time",), mean(forcing.rain.mean(axis=1)))}
    count = len(scenario.drainage)
    if not count:
        return data
    data["area_flow"] = (("time", "drainage_area"), mean(forcing.inflow[:, -count:].mean(axis=2)))
    for name, column in AREA_TOTALS.items():
        data[name] = (("drainage_area",), forcing.area_totals[:, column])
    data["area_strip_keeps"] = (("drainage_area", "settling_class"), forcing.area_totals[:, drained.STRIP :])
    return data


def _attributes(
    scenario: Scenario, model: Model, text: str, remarks: list[str], start_days: float
) -> dict[str, Any]:
    judging, place = scenario.judging, scenario.place
    return {
        "title": scenario.title,
        "source": f"pondsim {__version__}",
        "pondsim_version": __version__,
        "scenario_text": text,
        "remarks": "\n".join(remarks),
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
        "fish_oxygen_mg_per_L": judging.fish_oxygen * KG_TO_MG_PER_L,
        "fish_temperature_degC": judging.fish_temperature - ZERO_CELSIUS,
        "renewed_within_d": judging.renewed_within / DAY,
    }
