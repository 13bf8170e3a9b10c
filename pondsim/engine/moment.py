"""What holds at a moment: the weather, chlorophyll where it is given, and the levels of the water."""

from __future__ import annotations

from pondsim.engine.forcing import Forcing
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import algae
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import Grid
from pondsim.site.weather import RAIN, weather_at


@compiled_for_loop
def set_weather(forcing: Forcing, work: Work, step: int, time: float) -> None:
    """Weather and rain at a time [s] of a hydraulic step."""
    weather_at(time, forcing.weather_first, forcing.weather_step, forcing.weather, work.now)
    first, last = forcing.rain[step]
    start, end = forcing.time[step], forcing.time[step + 1]
    work.now[RAIN] = first + (time - start) / (end - start) * (last - first)


@compiled_for_loop
def set_chlorophyll(
    settings: algae.AlgaeSettings, grid: Grid, forcing: Forcing, work: Work, step: int, share: float
) -> None:
    """Given chlorophyll of every box, at a share of a hydraulic step."""
    given = forcing.chlorophyll
    for zone in range(given.shape[1]):
        first, last = given[step, zone, 0], given[step, zone, 1]
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            here = algae.profile_share(settings, work, box)
            work.chlorophyll[box] = here * (first + share * (last - first))


@compiled_for_loop
def level_of(grid: Grid, work: Work, zone: int, state: State) -> float:
    """Water surface elevation of a zone at the moment, from the water its pool holds [m].

    Under ice it is the ice's underside; water in a hole stands higher by `work.ice_load`.
    """
    pool = work.pool[zone]
    held = 0.0
    for box in range(grid.box_zone.size):
        if work.pool[grid.box_zone[box]] == pool:
            held += state.rows[s.WATER, box]
    return work.surface[zone] + (held - work.pool_volume[pool]) / work.pool_area[pool]


@compiled_for_loop
def head_of(grid: Grid, work: Work, zone: int, state: State) -> float:
    """Elevation at which the water of a zone stands in a hole of its ice, else its surface [m]."""
    return level_of(grid, work, zone, state) + work.ice_load[zone]
