"""Section on ice and snow."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import parameter


@dataclass(frozen=True)
class Ice:
    """Ice and snow in winter; without this section a run ends where the water freezes."""

    albedo: float = parameter("ice.albedo")
    snow_albedo: float = parameter("ice.snow_albedo")
    extinction: float = parameter("ice.extinction")
    snow_extinction: float = parameter("ice.snow_extinction")
    snow_density: float = parameter("ice.snow_density")
    bed_demand_share: float = parameter("ice.bed_demand_share")
    hole_radius: float = parameter("ice.hole_radius")
    snow_to_rain: float = parameter("ice.snow_to_rain")
    flooding_time: float = parameter("ice.flooding_time")
    mud_depth: float = parameter("ice.mud_depth")
    half_cover: float = parameter("ice.half_cover")
