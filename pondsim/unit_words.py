"""Words for units: what each measures, and what people write for it."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Sequence

# What each SI unit measures, in words, with two examples: for messages and for the schema.
WORDS = {
    "1": ("a plain number or a share", "0.3", "30 %"),
    "m": ("a length", "4 ft", "1.2 m"),
    "m2": ("an area", "1.5 acre", "600 m2"),
    "m3": ("a volume", "1.2 acre-ft", "1500 m3"),
    "s": ("a time", "12 h", "3 d"),
    "kg": ("a mass", "20 lb", "9 kg"),
    "m/s": ("a speed", "6 mph", "0.2 in/d"),
    "m2/s": ("a diffusivity", "1e-6 m2/s", "0.1 ft2/d"),
    "m2/s^3": ("a dissipation per mass", "1e-9 m2/s^3", "1e-8 ft2/s^3"),
    "m3/s": ("a flow", "300 gpm", "20 L/s"),
    "standard_m3/s": ("a flow of standard air", "4.5 scfm", "7 Nm3/h"),
    "kg/m3": ("a concentration", "5 mg/L", "40 ug/L"),
    "kg/m2/s": ("a rate per area", "2 g/m2/d", "1e-5 kg/m2/s"),
    "kg/m2": ("a mass per area", "1 g/m2", "9 lb/acre"),
    "W/m2": ("a heat flow per area", "20 W/m2", "100 W/m2"),
    "s/m": ("an inverse speed", "0.25 s/m", "0.1 s/m"),
    "m2/kg": ("an area per mass", "0.02 m2/mg", "0.15 m2/g"),
    "kg/m/s": ("a rate per length of bank", "20 kg/m/yr", "10 lb/ft/yr"),
    "kg/s": ("a mass flow", "6 lb/d", "3 kg/d"),
    "K": ("a temperature", "68 degF", "20 degC"),
    "delta_K": ("a temperature difference", "9 delta_degF", "5 delta_degC"),
    "rad": ("an angle", "40 deg", "0.7 rad"),
    "Pa": ("a pressure", "1 psi", "7 kPa"),
    "W": ("a power", "5 hp", "3.7 kW"),
    "J": ("an energy", "12 kWh", "40 MJ"),
    "V": ("a voltage", "230 V", "460 V"),
    "1/m": ("a share per depth", "0.5 1/m", "4 %/m"),
    "1/s": ("a rate per time", "0.2 1/d", "6 mg/mg/h"),
    "mol/m2/s": ("a light intensity", "180 umol/m2/s", "0.0002 mol/m2/s"),
    "W/m/K": ("a heat conductivity", "0.6 W/m/K", "1 W/m/K"),
    "$": ("an amount of money", "25 $", "25 USD"),
    "$/J": ("a price of energy", "0.14 $/kWh", "40 $/MWh"),
    "$/W": ("a price of power", "12 $/kW", "9 USD/hp"),
    "m^0.5/s": ("a weir coefficient", "1.705 m^0.5/s", "3.09 ft^0.5/s"),
}

# Units people read, by kind: for `us` and for `si`.
DISPLAY = {
    "length": ("ft", "m"),
    "short_length": ("in", "cm"),
    "area": ("acre", "m2"),
    "volume": ("acre-ft", "m3"),
    "deposit": ("yd3", "m3"),
    "tank": ("gal", "m3"),
    "flow": ("gpm", "L/s"),
    "storm_flow": ("cfs", "m3/s"),
    "concentration": ("mg/L", "mg/L"),
    "chlorophyll": ("ug/L", "ug/L"),
    "temperature": ("degF", "degC"),
    "temperature_difference": ("delta_degF", "delta_degC"),
    "flow_per_width": ("gpm/ft", "L/s/m"),
    "speed": ("ft/s", "m/s"),
    "wind": ("mph", "m/s"),
    "settling": ("ft/h", "m/h"),
    "mass": ("lb", "kg"),
    "mass_rate": ("lb/d", "kg/d"),
    "area_rate": ("g/m2/d", "g/m2/d"),
    "power": ("kW", "kW"),
    "energy": ("kWh", "kWh"),
    "hours": ("h", "h"),
    "days": ("d", "d"),
    "air_flow": ("scfm", "Nm3/h"),
    "free_air": ("cfm", "m3/h"),
    "mass_per_energy": ("lb/kWh", "kg/kWh"),
    "pressure": ("psi", "kPa"),
    "share": ("%", "%"),
    "angle": ("deg", "deg"),
    "money": ("$", "$"),
    "energy_price": ("$/kWh", "$/kWh"),
    "power_price": ("$/kW", "$/kW"),
}

# What people write for units that have another name here, or none.
HINTS = {"ppm": "mg/L", "ppb": "ug/L", "fps": "ft/s", "lpm": "L/min", "lps": "L/s", "sf": "ft2", "cf": "ft3"}
OTHER_MONEY = ("EUR", "EURO", "€", "GBP", "£", "CHF", "CAD", "AUD", "NZD")  # $ stands for any of them


def likely(name: str, names: Sequence[str], fits: Callable[[str], bool] = bool) -> str:
    """What an unknown unit likely meant, of `names` and `HINTS` the first that fits; "" where none does."""
    if name.upper() in OTHER_MONEY:
        return f'; write $ for money of any kind, and what it is called as currency = "{name}".'
    hinted = [HINTS[name.lower()]] if name.lower() in HINTS else []
    by_case = [known for known in names if known.lower() == name.lower()]
    same_start = [known for known in names if known[0].lower() == name[0].lower()]
    near = hinted or by_case or difflib.get_close_matches(name, same_start, 3, 0.6)
    found = next(filter(fits, near), None)
    return f'; did you mean "{found}"?' if found else ""
