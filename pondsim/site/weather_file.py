"""Weather files: which columns they have, and the table of one with every fault at its line."""

from __future__ import annotations

import math
from collections.abc import Collection
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pondsim.scenario.settings import DatedFile
from pondsim.site.dated_head import Faults, Form, Kind, si_unit_of_head
from pondsim.site.dated_table import Dated, read_dated
from pondsim.units import convert, from_si, to_si

FloatArray = NDArray[np.float64]

COLUMNS = {
    "air_temperature": Kind("K", "-60 degC", "55 degC", "degC"),
    "dew_point": Kind("K", "-70 degC", "40 degC", "degC"),
    "relative_humidity": Kind("1", "0 %", "102 %", "%"),
    "wind_speed": Kind("m/s", "0 m/s", "75 m/s", "mph"),
    "wind_direction": Kind("rad", "0 deg", "360 deg", "deg"),
    "solar_radiation": Kind("W/m2", "-20 W/m2", "1500 W/m2", "W/m2"),
    "cloud_cover": Kind("1", "0 %", "100 %", "%"),
    "pressure": Kind("Pa", "45 kPa", "110 kPa", "kPa"),
    "rain": Kind("m/s", "0 mm/h", "500 mm/h", "mm/h", or_unit="m"),
}
LIKELY = {
    "temp": "air_temperature",
    "temperature": "air_temperature",
    "rh": "relative_humidity",
    "wind": "wind_speed",
    "ghi": "solar_radiation",
    "radiation": "solar_radiation",
    "sky_cover": "cloud_cover",
    "precipitation": "rain",
    "date": "time",
    "datetime": "time",
}


def check_names(names: Collection[str], line: int, faults: Faults) -> None:
    """What the columns of a weather file, or of it and those that fill it, must hold together."""
    for name in ("air_temperature", "wind_speed"):
        if name not in names:
            example = f"{name} [{COLUMNS[name].unit}]"
            faults.add(line, name, f'is missing; the header needs a column "{example}"')
    moist = [name for name in ("dew_point", "relative_humidity") if name in names]
    if len(moist) != 1:
        faults.add(
            line, "", "needs one column of dew_point or relative_humidity" + (", not both" if moist else "")
        )
    if "solar_radiation" not in names and "cloud_cover" not in names:
        faults.add(line, "", "needs solar_radiation or cloud_cover, or both")


FORM = Form("weather file", COLUMNS, LIKELY, check_names)


def read_table(
    path: Path,
    given: DatedFile,
    start: datetime,
    utc_offset: float,
    wanted: tuple[float, float],
    faults: Faults,
    *,
    form: Form = FORM,
) -> Dated:
    """Read the rows of a weather file that a run needs; arguments and errors as of `read_dated`.

    Rain that stands as a depth in each step comes as its mean intensity. Values that cannot be are faults.
    """
    table = read_dated(path, given, form, start, utc_offset, faults, wanted)
    for name in table.columns:
        if si_unit_of_head(table.heads[name], COLUMNS[name]) != COLUMNS[name].si_unit:
            table.columns[name] /= table.step or math.nan
        values = table.columns[name]
        _check_range(table, name, values, given.gap_codes, faults)
        _check_shares(values, name, table.header(name), table.unit(name), table.header_line, faults)
    return table


def _check_range(table: Dated, name: str, values: FloatArray, codes: tuple[str, ...], faults: Faults) -> None:
    head, kind = table.heads[name], COLUMNS[name]
    least, most = (to_si(limit, kind.si_unit) for limit in (kind.least, kind.most))
    scale = table.step if si_unit_of_head(head, kind) != kind.si_unit else 1.0
    for row in np.flatnonzero(np.isfinite(values) & ((values < least) | (values > most))):
        low, high = (f"{float(from_si(limit * scale, head.unit)):.4g}" for limit in (least, most))
        read = float(convert(values[row] * scale, si_unit_of_head(head, kind), head.unit))
        hint = f'; if it marks a gap, write gap_codes = ["{read:.6g}"]' if is_likely_code(read) else ""
        message = f"{read:.6g} is outside what can be, {low} to {high} {head.unit}{hint}"
        faults.add(int(table.line[row]), head.text, message)


def is_likely_code(value: float) -> bool:
    """Whether an impossible value looks like the mark of a gap: all nines, or such as -6999."""
    digits = f"{abs(value):.6g}".replace(".", "")
    return abs(value) >= 99.0 and digits.lstrip("67").strip("9") == ""


def _check_shares(values: FloatArray, name: str, text: str, unit: str, line: int, faults: Faults) -> None:
    """Shares written under a head that says percent: air or sky of less than 1 % all through is none."""
    highest = float(np.nanmax(values, initial=0.0))
    if name in ("relative_humidity", "cloud_cover") and unit == "%" and 0.0 < highest <= 0.01:
        message = (
            f'never exceeds {100.0 * highest:.3g} %: these look like shares; write "{name} [1]" at the head'
        )
        faults.add(line, text, message)
