# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Section on the pond's outlet: weirs, orifices, a table, a spillway."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import number, numbers, quantity, section, sections, short_name


@dataclass(frozen=True)
class Weir:
    """Level crest over which water leaves."""

    crest: float = quantity("m", least="-500 m", most="9000 m", doc="elevation")
    width: float = quantity("m", least="0.01 m", most="200 m", doc="length of crest")
    coefficient: float = quantity(
        "m^0.5/s", default="1.705 m^0.5/s", least="1 m^0.5/s", most="2.4 m^0.5/s", doc="Q = C b H^1.5"
    )


@dataclass(frozen=True)
class Orifice:
    """Round hole through which water leaves."""

    elevation: float = quantity("m", least="-500 m", most="9000 m", doc="of its center")
    diameter: float = quantity("m", least="0.01 m", most="5 m", doc="inside")
    coefficient: float = number(default=0.6, least=0.3, most=1.0, doc="discharge coefficient")


@dataclass(frozen=True)
class Spillway:
    """Emergency spillway: a wide level crest of grass or rock, above the others."""

    crest: float = quantity("m", least="-500 m", most="9000 m", doc="elevation")
    width: float = quantity("m", least="0.1 m", most="500 m", doc="length of crest")
    coefficient: float = quantity(
        "m^0.5/s", default="1.45 m^0.5/s", least="1 m^0.5/s", most="2 m^0.5/s", doc="Q = C b H^1.5"
    )


@dataclass(frozen=True)
class OutletTable:
    """Flow of an outlet by water surface elevation, in place of weirs and orifices."""

    stage: tuple[float, ...] = numbers("m", least="-500 m", most="9000 m", doc="elevations, lowest first")
    flow: tuple[float, ...] = numbers("m3/s", least="0 m3/s", most="500 m3/s", doc="at each, from 0")


@dataclass(frozen=True)
class Outlet:
    """Where water leaves the pond; without it nothing does but evaporation and seepage."""

    zone: str = short_name(doc="zone it is in")
    weir: tuple[Weir, ...] = sections(Weir, lone=True)
    orifice: tuple[Orifice, ...] = sections(Orifice, lone=True)
    table: OutletTable | None = section(OutletTable, default=None)
    spillway: tuple[Spillway, ...] = sections(Spillway, lone=True)
    tailwater: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="water below the outlet; free when left out"
    )
