# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections on tables of dated values: what their columns hold, how their clock runs; and readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pondsim.scenario.fields import (
    choice,
    file_name,
    instants,
    integer,
    quantity,
    sections,
    short_name,
    text,
    texts,
)


@dataclass(frozen=True)
class Column:
    """A column whose header is not of the form ``name [unit]``."""

    header: str = text(doc="the header as it stands in the file")
    holds: str = short_name(doc="what it holds: a name such as air_temperature or dissolved_oxygen")
    unit: str = text(doc='unit of its values, such as "degF" or "%"')


@dataclass(frozen=True)
class DatedFile:
    """How a CSV file of dated values is written."""

    header_line: int = integer(
        default=0, least=0, most=1000, doc="line of the header; 0: the first line that is no comment"
    )
    time_columns: tuple[str, ...] = texts(
        default=("time",), doc="header of the time column, or of a date and a time column"
    )
    time_format: str | None = text(
        default=None, doc='dates other than 2025-06-03 14:00: strptime codes, such as "%m/%d/%Y %H:%M"'
    )
    utc_offset: float | None = quantity(
        "s", default=None, least="-12 h", most="14 h", doc="of the file's clock; else place.utc_offset"
    )
    time_zone: str | None = text(
        default=None, doc='of a clock with daylight saving time, such as "America/New_York"'
    )
    time_is: str = choice(
        "start", "center", "end", default="center", doc="of the step that a value stands for"
    )
    gap_codes: tuple[str, ...] = texts(doc='what stands for a missing value, such as ["-9999", "ERR"]')
    ignore: tuple[str, ...] = texts(doc="headers of columns that are not read")
    column: tuple[Column, ...] = sections(Column)


@dataclass(frozen=True)
class Readings(DatedFile):
    """What an instrument or a notebook says of the pond; times may be uneven."""

    name: str = short_name(doc="of the instrument or the notebook")
    file: Path = file_name(doc="CSV file")
    zone: str = short_name(doc="zone of the instrument")
    depth: float | None = quantity(
        "m", default=None, least="0 ft", most="30 m", doc="below the water surface; or elevation"
    )
    elevation: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="of a fixed instrument; or depth"
    )
    gauge_zero: float = quantity(
        "m", default="0 ft", least="-500 m", most="9000 m", doc="elevation of the zero of a staff gauge"
    )
    services: tuple[datetime, ...] = instants(
        doc="times at which the instrument was cleaned or calibrated, local standard time"
    )
