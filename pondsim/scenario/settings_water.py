# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections on what happens in the water and the bed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from pondsim.scenario.fields import (
    choice,
    flag,
    instant,
    integer,
    months,
    numbers,
    parameter,
    quantity,
    sections,
    short_name,
)
from pondsim.scenario.settings_living import AlgaeKind, ChlorophyllReading

Months = tuple[float, ...]  # twelve values, January first


@dataclass(frozen=True)
class Bed:
    """Sediment oxygen demand."""

    oxygen_demand: float = parameter("bed.oxygen_demand")
    oxygen_demand_theta: float = parameter("bed.oxygen_demand_theta")
    half_saturation: float = parameter("bed.half_saturation")
    reduced_share: float = parameter("bed.reduced_share")
    organic_decay: float = parameter("bed.organic_decay")
    ammonium_release: float = parameter("bed.ammonium_release")
    heat_conductivity: float = parameter("bed.heat_conductivity")
    dry_density: float = parameter("bed.dry_density")
    fast_share: float = parameter("bed.fast_share")
    slow_share: float = parameter("bed.slow_share")
    fast_decay: float = parameter("bed.fast_decay")
    slow_decay: float = parameter("bed.slow_decay")
    old_decay: float = parameter("bed.old_decay")
    anoxic_decay: float = parameter("bed.anoxic_decay")
    winter_share: float = parameter("bed.winter_share")
    debt_ceiling: float = parameter("bed.debt_ceiling")
    ground_distance: float = parameter("bed.ground_distance")
    passes: int = integer(
        default=2,
        least=0,
        most=6,
        doc="runs of the period, without equipment, that fill the bed before it begins",
    )
    pass_layers: float = parameter("bed.pass_layers")
    last_pass_layers: float = parameter("bed.last_pass_layers")
    pass_tolerance: float = parameter("bed.pass_tolerance")


@dataclass(frozen=True)
class BottomOxygenDebt:
    """Sulfide, iron and methane: what the bed owes when it finds no oxygen."""

    oxidation: float = parameter("bottom_oxygen_debt.oxidation")
    half_saturation: float = parameter("bottom_oxygen_debt.half_saturation")


@dataclass(frozen=True)
class Mixing:
    """How water is stirred and exchanged."""

    wind_reduction: float = parameter("mixing.wind_reduction", was="wind_sheltering", was_shown=False)
    diffusivity_floor: float = parameter("mixing.diffusivity_floor")
    dissipation: float = parameter("mixing.dissipation")
    cooling_entrainment: float = parameter("mixing.cooling_entrainment")
    background_multiplier: float = parameter("mixing.background_multiplier")
    convective_diffusivity: float = parameter("mixing.convective_diffusivity")
    gravity_exchange: float = parameter("mixing.gravity_exchange")
    dispersion_multiplier: float = parameter("mixing.dispersion_multiplier")
    inflow_entrainment: float = parameter("mixing.inflow_entrainment")
    intrusion_spread: float = parameter("mixing.intrusion_spread")
    dispersion_at_rest: float = parameter("mixing.dispersion_at_rest")
    dispersion_per_wind: float = parameter("mixing.dispersion_per_wind")
    stopping_step: float = parameter("mixing.stopping_step")


@dataclass(frozen=True)
class GasTransfer:
    """Exchange of oxygen with the air."""

    law: str = choice(
        "wind",
        "wind and cooling",
        "wind and renewal",
        default="wind and cooling",
        doc="of the wind alone, or the larger of it and one of cooling by night",
    )
    k600_at_no_wind: float = parameter("gas_transfer.k600_at_no_wind")
    k600_cooling: float = parameter("gas_transfer.k600_cooling")
    surely_cooling: float = parameter("gas_transfer.surely_cooling")
    schmidt_number: str = choice("1992", "2014", default="2014", doc="year of the constants for oxygen")


@dataclass(frozen=True)
class Algae:
    """Algae of given amount, or grown from light, warmth and phosphorus.

    The keys of rates that follow `carbon_to_phosphorus` are those of the ordinary kind of grown algae.
    """

    mode: str = choice(
        "given",
        "grown",
        default="grown",
        doc="grown: computed, with phosphorus; given: chlorophyll as stated",
    )
    chlorophyll: Months = months(
        "kg/m3",
        default="parameter:algae.chlorophyll",
        least="0 ug/L",
        most="1000 ug/L",
        single=True,
        doc="one value or twelve",
    )
    photosynthesis: float = parameter("algae.photosynthesis")
    photosynthesis_theta: float = parameter("algae.photosynthesis_theta")
    light_saturation: float = parameter("algae.light_saturation")
    respiration: float = parameter("algae.respiration")
    respiration_theta: float = parameter("algae.respiration_theta")
    carbon_to_chlorophyll: float = parameter("algae.carbon_to_chlorophyll")
    reading: tuple[ChlorophyllReading, ...] = sections(ChlorophyllReading)
    readings: str | None = short_name(
        default=None, doc="name of [[readings]] whose chlorophyll is the given one, in place of algae.reading"
    )
    profile_depth: tuple[float, ...] = numbers(
        "m", default=(), least="0 m", most="100 m", doc="depths of profile_share, from the surface down"
    )
    profile_share: tuple[float, ...] = numbers(
        "1", default=(), least="0 %", most="1000 %", doc="given chlorophyll there over that near the top"
    )
    carbon_to_phosphorus: float = parameter("algae.carbon_to_phosphorus")
    growth: float = parameter("algae.growth")
    growth_theta: float = parameter("algae.growth_theta")
    growth_light: float = parameter("algae.growth_light")
    half_saturation: float = parameter("algae.half_saturation")
    growth_respiration: float = parameter("algae.growth_respiration")
    maintenance: float = parameter("algae.maintenance")
    mortality: float = parameter("algae.mortality")
    anoxic_mortality: float = parameter("algae.anoxic_mortality")
    loss_theta: float = parameter("algae.loss_theta")
    excretion: float = parameter("algae.excretion")
    sinking: float = parameter("algae.sinking")
    seed: float = parameter("algae.seed")
    respiration_half_saturation: float = parameter("algae.respiration_half_saturation")
    ammonium_half_saturation: float = parameter("algae.ammonium_half_saturation")
    feed_half_saturation: float = parameter("algae.feed_half_saturation")
    home_depth: float = parameter("algae.home_depth")
    kind: tuple[AlgaeKind, ...] = sections(AlgaeKind)


@dataclass(frozen=True)
class BloomCrash:
    """Algae that die at once, by themselves or by a treatment."""

    start: datetime = instant(doc="when the dying begins")
    killed_share: float = quantity("1", default="80 %", least="0 %", most="100 %", doc="of the algae reached")
    pond_share: float = quantity(
        "1", default="100 %", least="0 %", most="100 %", doc="of each zone named, by volume"
    )
    zones: tuple[str, ...] = short_name(default=(), count=None, doc="zones reached; all when left out")
    duration: float = quantity("s", default="2 d", least="1 h", most="30 d", doc="time the dying takes")
    recovery: float = quantity(
        "s", default="14 d", least="1 d", most="365 d", doc="time until the given amount is back"
    )


@dataclass(frozen=True)
class OrganicMatter:
    """Dead organic matter in the water."""

    bod_decay: float = parameter("organic_matter.bod_decay")
    detritus_settling: float = parameter("organic_matter.detritus_settling")
    grown_decay: float = parameter("organic_matter.grown_decay")
    grown_settling: float = parameter("organic_matter.grown_settling")
    anoxic_decay: float = parameter("organic_matter.anoxic_decay")
    decay_half_saturation: float = parameter("organic_matter.decay_half_saturation")


@dataclass(frozen=True)
class Nitrogen:
    """Ammonium and its oxidation."""

    nitrification: float = parameter("nitrogen.nitrification")
    half_saturation: float = parameter("nitrogen.half_saturation")


@dataclass(frozen=True)
class Light:
    """Sunlight in the water."""

    background_extinction: float = parameter("light.background_extinction")
    near_infrared_share: float = parameter("light.near_infrared_share")
    albedo: float = parameter("light.albedo")
    algae_extinction: float = parameter("light.algae_extinction")
    detritus_extinction: float = parameter("light.detritus_extinction")
    near_infrared_depth: float = parameter("light.near_infrared_depth")


@dataclass(frozen=True)
class Solids:
    """Settling classes, slowest first."""

    settling_velocity: tuple[float, ...] = numbers(
        "m/s",
        default=("0.03 ft/h", "0.3 ft/h", "1.5 ft/h", "7 ft/h", "65 ft/h"),
        least="0 m/s",
        most="1 m/s",
        doc="per class",
    )
    by_temperature: bool = flag(
        default=True, doc="water thickens as it cools, and all that settles sinks slower in it"
    )
    velocities_at: float = quantity(
        "K",
        default="25 degC",
        least="0 degC",
        most="40 degC",
        doc="temperature of the water in which all that settles has its stated velocity",
    )
    share: tuple[float, ...] = numbers(
        "1",
        default=("20 %", "20 %", "20 %", "20 %", "20 %"),
        least="0 %",
        most="100 %",
        doc="of the inflow, adding up to 1",
    )
    organic_share: float = parameter("solids.organic_share")
    shoreline_erosion: float = quantity(
        "kg/m/s", default="0 kg/m/yr", least="0 kg/m/yr", most="1000 kg/m/yr", doc="from eroding bank"
    )


@dataclass(frozen=True)
class Resuspension:
    """Mud stirred up again by waves and by the waterfall's return; off by default."""

    waves: bool = flag(default=False, doc="count waves even where the fetch is below 300 m")
    at_return: bool = flag(default=False, doc="count the stirring under the waterfall")
    critical_stress: float = quantity(
        "Pa", default="0.1 Pa", least="0.01 Pa", most="5 Pa", doc="stress at which mud lifts"
    )
    erosion_rate: float = quantity(
        "kg/m2/s", default="1e-5 kg/m2/s", least="0 kg/m2/s", most="0.01 kg/m2/s", doc="at twice that"
    )
    grain_size: float = quantity(
        "m", default="0.05 mm", least="0.001 mm", most="2 mm", doc="median, for the bed's roughness"
    )
    half_supply: float = parameter("resuspension.half_supply")
    bound_layer: float = parameter("resuspension.bound_layer")
    jet_friction: float = parameter("resuspension.jet_friction")
