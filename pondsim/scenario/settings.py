# ruff: noqa: RUF009 (each call makes one dataclass field)
"""What a scenario file may say: every section and key, its unit, range and default.

The classes are what a scenario becomes: frozen, in SI. One class is one TOML section; a tuple of classes is
a list of sections (``[[zone]]``). A key with no default must be given. ``parameter`` takes unit, default,
range and source from defaults.toml.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pondsim.scenario.fields import key_sources, section, sections, text
from pondsim.scenario.settings_air import Aeration
from pondsim.scenario.settings_carried import BaseFlow, Inflow, Profile, Start
from pondsim.scenario.settings_circulation import (
    Discharge,
    GravityLine,
    Intake,
    Pump,
    Waterfall,
    WetWell,
)
from pondsim.scenario.settings_control import (
    QUARTER,
    Demand,
    Outage,
    Rate,
    Seasons,
    SetPoint,
    Spans,
    Tariff,
    in_season,
)
from pondsim.scenario.settings_ice import Ice
from pondsim.scenario.settings_limits import JUDGED, OwnLimit, quantity_of
from pondsim.scenario.settings_living import (
    AlgaeKind,
    ChlorophyllReading,
    Cover,
    Dredging,
    Dye,
    Load,
    Phosphorus,
    Treatment,
)
from pondsim.scenario.settings_outlet import Orifice, Outlet, OutletTable, Spillway, Weir
from pondsim.scenario.settings_prices import Price, Prices
from pondsim.scenario.settings_readings import Column, DatedFile, Readings
from pondsim.scenario.settings_run import Judging, Numerics
from pondsim.scenario.settings_runoff import (
    BufferStrip,
    ChannelFlow,
    DesignStorm,
    Drainage,
    LandCover,
    Rain,
    ShallowFlow,
    SheetFlow,
    Storm,
    SyntheticRain,
)
from pondsim.scenario.settings_shelter import Shelter
from pondsim.scenario.settings_site import (
    Connection,
    FillFrom,
    Ground,
    HotSpell,
    Months,
    Period,
    Place,
    Pond,
    SyntheticWeather,
    Weather,
    Zone,
    lowest_bed,
)
from pondsim.scenario.settings_site_work import Layout, Trench, WellStructure
from pondsim.scenario.settings_unknowns import Unknowns
from pondsim.scenario.settings_water import (
    Algae,
    Bed,
    BloomCrash,
    BottomOxygenDebt,
    GasTransfer,
    Light,
    Mixing,
    Nitrogen,
    OrganicMatter,
    Resuspension,
    Solids,
)

__all__ = [
    "JUDGED",
    "QUARTER",
    "Aeration",
    "Algae",
    "AlgaeKind",
    "BaseFlow",
    "Bed",
    "BloomCrash",
    "BottomOxygenDebt",
    "BufferStrip",
    "ChannelFlow",
    "ChlorophyllReading",
    "Column",
    "Connection",
    "Cover",
    "DatedFile",
    "Demand",
    "DesignStorm",
    "Discharge",
    "Drainage",
    "Dredging",
    "Dye",
    "FillFrom",
    "GasTransfer",
    "GravityLine",
    "Ground",
    "HotSpell",
    "Ice",
    "Inflow",
    "Intake",
    "Judging",
    "LandCover",
    "Layout",
    "Light",
    "Load",
    "Mixing",
    "Months",
    "Nitrogen",
    "Numerics",
    "OrganicMatter",
    "Orifice",
    "Outage",
    "Outlet",
    "OutletTable",
    "OwnLimit",
    "Period",
    "Phosphorus",
    "Place",
    "Pond",
    "Price",
    "Prices",
    "Profile",
    "Pump",
    "Rain",
    "Rate",
    "Readings",
    "Resuspension",
    "Scenario",
    "Seasons",
    "SetPoint",
    "ShallowFlow",
    "SheetFlow",
    "Shelter",
    "Solids",
    "Spans",
    "Spillway",
    "Start",
    "Storm",
    "SyntheticRain",
    "SyntheticWeather",
    "Tariff",
    "Treatment",
    "Trench",
    "Unknowns",
    "Waterfall",
    "Weather",
    "Weir",
    "WellStructure",
    "WetWell",
    "Zone",
    "in_season",
    "lowest_bed",
    "quantity_of",
]


@dataclass(frozen=True)
class Scenario:
    """A whole scenario: the site file with a design file laid over it.

    `stated` is not a key: it holds every key that stands in the files, with its source or "" (see stated.py).
    """

    title: str = text(doc="one line that names the design in tables")
    period: Period = section(Period)
    place: Place = section(Place)
    pond: Pond = section(Pond)
    zone: tuple[Zone, ...] = sections(Zone, least=1)
    connection: tuple[Connection, ...] = sections(Connection)
    weather: Weather = section(Weather)
    inflow: tuple[Inflow, ...] = sections(Inflow)
    base_flow: tuple[BaseFlow, ...] = sections(BaseFlow)
    rain: Rain | None = section(Rain, default=None)
    storm: tuple[Storm, ...] = sections(Storm)
    drainage: tuple[Drainage, ...] = sections(Drainage)
    ground: Ground = section(Ground, default={})
    outlet: Outlet | None = section(Outlet, default=None)
    bed: Bed = section(Bed, default={})
    bottom_oxygen_debt: BottomOxygenDebt = section(BottomOxygenDebt, default={})
    mixing: Mixing = section(Mixing, default={})
    gas_transfer: GasTransfer = section(GasTransfer, default={})
    algae: Algae = section(Algae, default={})
    bloom_crash: tuple[BloomCrash, ...] = sections(BloomCrash)
    phosphorus: Phosphorus = section(Phosphorus, default={})
    treatment: tuple[Treatment, ...] = sections(Treatment)
    dye: tuple[Dye, ...] = sections(Dye)
    cover: tuple[Cover, ...] = sections(Cover)
    dredging: tuple[Dredging, ...] = sections(Dredging)
    load: tuple[Load, ...] = sections(Load)
    organic_matter: OrganicMatter = section(OrganicMatter, default={})
    nitrogen: Nitrogen = section(Nitrogen, default={})
    light: Light = section(Light, default={})
    solids: Solids = section(Solids, default={})
    resuspension: Resuspension = section(Resuspension, default={})
    ice: Ice | None = section(Ice, default=None)
    start: Start = section(Start, default={})
    readings: tuple[Readings, ...] = sections(Readings)
    intake: Intake | None = section(Intake, default=None)
    gravity_line: GravityLine | None = section(GravityLine, default=None)
    wet_well: WetWell | None = section(WetWell, default=None)
    pump: Pump | None = section(Pump, default=None)
    trench: Trench | None = section(Trench, default=None)
    discharge: Discharge | None = section(Discharge, default=None)
    waterfall: Waterfall | None = section(Waterfall, default=None)
    layout: Layout | None = section(Layout, default=None)
    aeration: tuple[Aeration, ...] = sections(Aeration)
    outage: tuple[Outage, ...] = sections(Outage)
    tariff: Tariff | None = section(Tariff, default=None)
    judging: Judging = section(Judging, default={})
    numerics: Numerics = section(Numerics, default={})
    unknowns: Unknowns = section(Unknowns, default={})
    sources: tuple[tuple[str, str], ...] = key_sources(
        doc="where values come from, by their key; a value without one is stated by the user"
    )
    stated: Mapping[str, str] = field(default_factory=dict, kw_only=True, compare=False, repr=False)
