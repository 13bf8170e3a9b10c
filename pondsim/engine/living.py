"""Grown algae, phosphorus, the stores of the bed and dye, in the order in which they act."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.engine.events import Events
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import bed_stores, grown_algae, light, phosphorus
from pondsim.processes.living_rows import LivingRows
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid

USUAL_RATIO = 1.0 / 40.0  # kg of chlorophyll per kg of algal carbon


@dataclass(frozen=True, eq=False)
class LivingSettings(Bundle):
    """Settings of all that only a pond with grown algae, or with dye, has."""

    rows: LivingRows
    grown: grown_algae.GrownSettings
    phosphorus: phosphorus.PhosphorusSettings
    stores: bed_stores.StoreSettings


def living_settings(scenario: Scenario, rows: LivingRows) -> LivingSettings:
    """Settings of a scenario."""
    return LivingSettings(
        rows=rows,
        grown=grown_algae.grown_settings(scenario, rows),
        phosphorus=phosphorus.phosphorus_settings(scenario, rows),
        stores=bed_stores.store_settings(scenario, rows),
    )


@compiled_for_loop
def update_light(
    settings: LivingSettings, of_light: light.LightSettings, grid: Grid, work: Work, events: Events, step: int
) -> None:
    """Warmth of the living, their chlorophyll, and how far the light reaches, for a hydraulic step.

    Light comes first, with chlorophyll as it often is: it decides how much of it the algae have.
    """
    grown_algae.update_warmth(settings.grown, work)
    bed_stores.update_warmth(settings.stores, work)
    grown_algae.set_chlorophyll(settings.grown, work, USUAL_RATIO)
    light.update_light(of_light, grid, work, events.shaded[step])
    grown_algae.adapt_chlorophyll(settings.grown, grid, work, events.daily_sun[step])
    light.update_light(of_light, grid, work, events.shaded[step])


@compiled_for_loop
def add_rates(
    settings: LivingSettings,
    grid: Grid,
    work: Work,
    events: Events,
    killed: FloatArray,
    step: int,
    rates: State,
) -> None:
    """What happens in the water where algae grow."""
    grown_algae.add_rates(settings.grown, grid, work, killed)
    phosphorus.add_rates(settings.phosphorus, work, rates)
    phosphorus.add_loads(settings.phosphorus, grid, work, events.loads[step], rates)
    if settings.rows.binder >= 0:
        phosphorus.add_binding(settings.phosphorus, grid, work, events.dosed[step])


@compiled_for_loop
def add_bed_rates(
    settings: LivingSettings, grid: Grid, work: Work, events: Events, step: int, rates: State
) -> None:
    """What the stores do; the share of the bed with oxygen stands in work.forth."""
    bed_stores.add_rates(settings.stores, work, rates)
    bed_stores.add_dredging(grid, work, events.dredged[step], rates)


@compiled_for_loop
def add_settled(settings: LivingSettings, grid: Grid, work: Work, events: Events, step: int) -> None:
    """What comes after the settling of solids: that of the living, and dye."""
    if settings.rows.grown == 1:
        bed_stores.take_in(settings.stores, work)
        bed_stores.lift(settings.stores, grid, work)
    if settings.rows.dye >= 0:
        phosphorus.add_dye(settings.phosphorus, grid, work, events.dyed[step])
