"""Start-up day of aerators and of the waterfall's oxygen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pondsim.design.waterfall import oxygen_efficiencies
from pondsim.physics.air_pipes import standard_from_free
from pondsim.physics.oxygen import oxygen_saturation, salinity_from_chloride, standard_pressure
from pondsim.physics.site_readings import bucket_air, pressure_left
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.site.air_line import AirPoint, air_point

GAUGE_ERROR = 0.25 * 6894.757  # Pa, 1/4 psi; judgement
BUCKET_ERROR = 0.07  # share: seconds, brim and bubbles beside it; judgement
AIR_LINE_ERROR = 0.15  # share of the computed loss of tubing and diffusers; judgement


@dataclass(frozen=True)
class AirFound:
    """One reading at an aeration unit.

    Attributes
    ----------
    unit : name
    what : "pressure" or "air of one diffuser"
    read, promised, error : pressure pressure left for the diffusers [Pa], or standard air [standard m3/s]
    verdict : "as promised", "fouled or throttled", "leak or worn source", "less air", "more air"
    """

    unit: str
    what: str
    read: float
    promised: float
    error: float
    verdict: str


def unit_named(scenario: Scenario, name: str) -> Aeration | None:
    """The unit of that name."""
    return next((unit for unit in scenario.aeration if unit.name == name), None)


def _point(unit: Aeration, scenario: Scenario, pond: float) -> AirPoint:
    return air_point(unit, scenario, pond - unit.elevation)


def by_air_gauge(unit: Aeration, scenario: Scenario, pond: float, pressure: float) -> AirFound:
    """Pressure pressure left for the diffusers at the gauge read, against clean ones at the designed air."""
    point = _point(unit, scenario, pond)
    lost = point.tubing + point.main_line
    left = float(pressure_left(pressure, lost, point.depth))
    off = math.hypot(GAUGE_ERROR, AIR_LINE_ERROR * (lost + point.diffuser))
    verdict = "as promised"
    if left > point.diffuser + off:
        verdict = "fouled or throttled"
    elif left < point.diffuser - off:
        verdict = "leak or worn source"
    return AirFound(unit.name, "pressure", left, point.diffuser, off, verdict)


def by_bucket(
    unit: Aeration, scenario: Scenario, pond: float, bucket: tuple[float, float, float], water: float
) -> AirFound:
    """Standard air of one diffuser; `bucket` is its volume [m3], seconds to fill and depth [m]."""
    volume, seconds, depth = bucket
    pressure = float(standard_pressure(scenario.place.elevation))
    air = float(standard_from_free(bucket_air(volume, seconds, depth), pressure, water))
    promised = _point(unit, scenario, pond).air_flow / unit.diffusers
    off = math.hypot(BUCKET_ERROR, 1.0 / seconds) * air
    verdict = "as promised"
    if abs(air - promised) > off + AIR_LINE_ERROR * promised:
        verdict = "less air" if air < promised else "more air"
    return AirFound(unit.name, "air of one diffuser", air, promised, off, verdict)


@dataclass(frozen=True)
class OxygenFound:
    """What the waterfall makes up of the deficit.

    Attributes
    ----------
    saturation : at the water's temperature and the place's air pressure [kg/m3]
    efficiency, error : by the two readings; None where the water above is near saturation [1]
    promised : by each published method at 28 degC [1]
    """

    saturation: float
    efficiency: float | None
    error: float
    promised: tuple[float, ...]


def oxygen_found(
    scenario: Scenario, above: float, below: float, water: float, meter: float, flow: float
) -> OxygenFound:
    """Efficiency of the waterfall from oxygen above and below it.

    Parameters
    ----------
    scenario : Scenario
        With a waterfall.
    above, below : float
        Dissolved oxygen over the lip and in the plunge pool. [kg/m3]
    water : float
        Its temperature. [K]
    meter : float
        Error of one reading. [kg/m3]
    flow : float
        Over the lip. [m3/s]

    Notes
    -----
    (below - above) / (saturation - above); both readings err apart. Raises: nothing.
    """
    assert scenario.waterfall is not None
    salt = float(salinity_from_chloride(scenario.start.chloride))
    saturation = float(oxygen_saturation(water, salt, float(standard_pressure(scenario.place.elevation))))
    promised = oxygen_efficiencies(scenario, scenario.waterfall, flow) if flow > 0.0 else (0.0,)
    deficit = saturation - above
    if deficit <= 2.0 * meter:
        return OxygenFound(saturation, None, 0.0, promised)
    efficiency = (below - above) / deficit
    error = meter / deficit * math.hypot(1.0, 1.0 - efficiency)
    return OxygenFound(saturation, efficiency, error, promised)
