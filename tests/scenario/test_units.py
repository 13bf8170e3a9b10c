# ruff: noqa: E501 (one row is one text and its whole message)
"""Units: printed conversion factors, ways of writing, and the words of each refusal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.unit_words import WORDS
from pondsim.units import (
    DISPLAY,
    UnitError,
    _read_before,
    convert,
    convert_difference,
    display,
    from_si,
    number_text,
    read_by_pint,
    same_kind,
    show,
    si_unit_of,
    split,
    to_si,
)
from tests.scenarios_for_tests import minimal_site, write_site

SCENARIO = Path(__file__).parents[2] / "scenarios" / "campus" / "waterfall.toml"


@pytest.mark.parametrize(
    ("text", "si_unit", "expected", "half_digit"),
    [
        ("1 ft", "m", 0.3048, 1e-12),
        ("1 mi", "m", 1609.344, 1e-9),
        ("1 yd3", "m3", 0.7645549, 5e-8),
        ("1 gal", "m3", 3.785412e-3, 5e-10),
        ("1 gpm", "m3/s", 6.309020e-5, 5e-12),
        ("1 cfs", "m3/s", 2.831685e-2, 5e-9),
        ("1 cfm", "m3/s", 4.719474e-4, 5e-11),
        ("1 mgd", "m3/s", 4.381264e-2, 5e-9),
        ("1 lb", "kg", 0.45359237, 1e-12),
        ("1 ton", "kg", 907.1847, 5e-5),
        ("1 mph", "m/s", 0.44704, 1e-12),
        ("1 psi", "Pa", 6894.757, 5e-4),
        ("1 inHg", "Pa", 3386.389, 5e-4),
        ("1 atm", "Pa", 101325.0, 1e-9),
        ("1 hp", "W", 745.6999, 5e-5),
        ("1 kWh", "J", 3.6e6, 1e-6),
        ("1 deg", "rad", 1.745329e-2, 5e-9),
    ],
)
def test_factors_match_the_printed_ones(text, si_unit, expected, half_digit):
    """NIST Special Publication 811, appendix B.8; from memory, not verified."""
    assert to_si(text, si_unit) == pytest.approx(expected, abs=half_digit)


@pytest.mark.parametrize(
    ("text", "si_unit", "expected"),
    [
        ("1.5 g/m2/d", "kg/m2/s", 1.5e-3 / 86400),
        ("1.2 acre ft", "m3", 1.2 * 43560 * 0.3048**3),
        ("1.2 acre-ft", "m3", 1.2 * 43560 * 0.3048**3),
        ("1.2 ac-ft", "m3", 1.2 * 43560 * 0.3048**3),
        ("5 %", "1", 0.05),
        ("0.3", "1", 0.3),
        ("40 g/g", "1", 40.0),
        ("180 umol/m2/s", "mol/m2/s", 180e-6),
        ("4 %/m", "1/m", 0.04),
        ("0.5 1/m", "1/m", 0.5),
        ("0.5/m", "1/m", 0.5),
        ("6 mg/mg/h", "1/s", 6 / 3600),
        ("7 ft/h", "m/s", 7 * 0.3048 / 3600),
        ("1.705 m^0.5/s", "m^0.5/s", 1.705),
        ("1e-6 m2/s", "m2/s", 1e-6),
        ("-5 h", "s", -18000.0),
        ("12in", "m", 0.3048),
        ("3 feet", "m", 0.9144),
        ("3 ft²", "m2", 3 * 0.3048**2),
        ("5 mg/L", "kg/m3", 5e-3),
        ("50 µg/L", "kg/m3", 50e-6),
        ("0.6 W/m/K", "W/m/K", 0.6),
        ("0.6 W/m/degC", "W/m/K", 0.6),
    ],
)
def test_ways_of_writing(text, si_unit, expected):
    """By definition of the units."""
    assert to_si(text, si_unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("text", ["20 C", "20 degC", "20 °C", "68 F", "68 degF", "68 °F", "293.15 K"])
def test_temperatures_are_never_coulombs(text):
    """68 degF is 20 degC is 293.15 K, by definition."""
    assert to_si(text, "K") == pytest.approx(293.15, abs=1e-10)


@pytest.mark.parametrize("text", ["9 degF", "9 delta_degF", "5 degC", "5 delta_degC", "5 K"])
def test_a_difference_starts_at_no_zero(text):
    """9 degF of difference are 5 K, by definition."""
    assert to_si(text, "delta_K") == pytest.approx(5.0, abs=1e-12)


def test_a_difference_as_it_is_printed_is_read_in_a_file(tmp_path):
    """Printed differences lack "delta_", so both forms are one; out of range, each is told in its own unit."""
    spell = '\n[[weather.hot_spell]]\nstart = "2025-07-02"\nwarmer = "{}"\n'
    for text in ("9 degF", "9 delta_degF", show(5.0, "delta_degF"), show(5.0, "delta_degC")):
        found = read_scenario(write_site(tmp_path, minimal_site() + spell.format(text)))
        assert found.weather.hot_spell[0].warmer == pytest.approx(5.0)
    with pytest.raises(ScenarioError, match=r"write a temperature difference from 0 degF to 27 degF"):
        read_scenario(write_site(tmp_path, minimal_site() + spell.format("68 degF")))


def test_standard_air_is_counted_by_mass():
    """US standard air at 68 degF, 0.075 lb/ft3 = 1.2014 kg/m3, against 1.293 kg/m3 at 0 degC, 1 atm."""
    assert to_si("1 scfm", "standard_m3/s") == pytest.approx(4.719474e-4, abs=5e-11)
    assert convert(1.0, "Nm3", "standard_m3") == pytest.approx(1.293 / 1.2014, rel=4e-3)


@pytest.mark.parametrize(
    ("text", "si_unit", "message"),
    [
        ("4", "m", '"4" has no unit; write a length, such as "4 ft" or "1.2 m".'),
        ("4 gpm", "m", '"4 gpm" is a flow; write a length, such as "4 ft" or "1.2 m".'),
        ("300 GPM", "m3/s", '"300 GPM" has an unknown unit "GPM"; did you mean "gpm"?'),
        ("4 fet", "m", '"4 fet" has an unknown unit "fet"; did you mean "feet"?'),
        ("350 gals", "m3/s", '"350 gals" has an unknown unit "gals"; write a flow, such as "300 gpm" or "20 L/s".'),
        ("350 gals", "m3", '"350 gals" has an unknown unit "gals"; did you mean "gal"?'),
        ("5 ppm", "kg/m3", '"5 ppm" has an unknown unit "ppm"; did you mean "mg/L"?'),
        ("4 ms", "m", '"4 ms" has an unknown unit "ms"; did you mean "m"?'),
        ("four ft", "m", '"four ft" does not begin with a number; write a length, such as "4 ft" or "1.2 m".'),
        ("1,200 gpm", "m3/s", '"1,200 gpm" has a comma in its number; write it without, as in "1200 gpm" or "1.5 m".'),
        ("8 ft 6 in", "m", '"8 ft 6 in" has no readable unit "ft 6 in"; write a number and a unit, as in "8.5 ft".'),
        ("1 W/m K", "W/m/K", '"1 W/m K" has no readable unit "W/m K"; write one unit after each "/", as in "W/m/K".'),
        ("35 %", "rad", '"35 %" is a plain number or a share; write an angle, such as "40 deg" or "0.7 rad".'),
        ("9 delta_degF", "K", '"9 delta_degF" is a temperature difference; write a temperature, such as "68 degF" or "20 degC".'),
        ("1e999 m", "m", '"1e999 m" is too large a number; write a length, such as "4 ft" or "1.2 m".'),
    ],
)  # fmt: skip
def test_refusals_name_the_cure(text, si_unit, message):
    with pytest.raises(UnitError) as caught:
        to_si(text, si_unit)
    assert str(caught.value) == message


def test_free_air_is_not_standard_air():
    with pytest.raises(UnitError, match=r"is free air.*scfm.*Free cfm is 7 % and more apart"):
        to_si("4.5 cfm", "standard_m3/s")


def test_no_prefix_makes_a_new_unit():
    """Without prefixes a letter too many is a fault, not another unit."""
    for text in ("1 kft", "1 mgpm", "1 Mm", "1 ccfm"):
        with pytest.raises(UnitError):
            split(text)
            to_si(text, "m")


def test_every_kind_has_examples_that_read():
    for si_unit, (_, first, second) in WORDS.items():
        for example in (first, second):
            to_si(example, si_unit)
            assert si_unit_of(split(example)[1]) == si_unit


def test_back_from_si():
    assert from_si(293.15, "degF") == pytest.approx(68.0, abs=1e-9)
    assert np.allclose(from_si(np.array([273.15, 293.15]), "degC"), [0.0, 20.0])
    assert convert(1.0, "acre", "ft2") == pytest.approx(43560.0)
    assert same_kind("gpm", "L/s")
    assert not same_kind("cfm", "scfm")
    with pytest.raises(UnitError, match="different kinds"):
        convert(1.0, "ft", "gpm")


def test_shown_numbers():
    assert show(1.2192, "ft") == "4 ft"
    assert show(5.0, "delta_degF") == "9 degF"
    assert show(float("nan"), "ft") == "-"
    assert display(to_si("520 gpm", "m3/s"), "flow") == "520 gpm"
    assert display(293.15, "temperature", "si") == "20 degC"
    assert [number_text(number) for number in (123456.0, 0.00123, 0.0, -7.25)] == [
        "123000",
        "0.00123",
        "0",
        "-7.25",
    ]


def test_both_systems_show_the_same_kind():
    for us, si in DISPLAY.values():
        assert same_kind(us, si)


def test_a_scenario_in_common_units_is_read_without_the_unit_library():
    code = (
        "import sys; from pondsim.scenario.read import read_scenario;"
        f"read_scenario({str(SCENARIO)!r}); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_units_that_were_read_before_are_what_the_unit_library_makes_of_them():
    """Each row of units_read.json against pint, with the definitions of units.txt."""
    kept = _read_before()
    assert {*WORDS, *(unit for pair in DISPLAY.values() for unit in pair)} <= set(kept)
    for text, unit in kept.items():
        by_pint = read_by_pint(text)
        assert (unit.dimension, unit.difference) == (by_pint.dimension, by_pint.difference), text
        assert (unit.scale, unit.offset) == pytest.approx((by_pint.scale, by_pint.offset), rel=1e-14), text


@pytest.mark.parametrize("money", ["EUR", "€", "chf"])
def test_other_money_is_written_with_a_dollar_sign_and_named_apart(money):
    with pytest.raises(UnitError) as caught:
        to_si(f"0.14 {money}/kWh", "$/J")
    assert str(caught.value) == (
        f'"0.14 {money}/kWh" has an unknown unit "{money}"; write $ for money of any kind, and what it is '
        f'called as currency = "{money}".'
    )


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (5.0, "degC", "degF", 9.0),
        (-0.5, "degF", "K", -0.5 / 1.8),
        (5.0, "delta_degC", "delta_degF", 9.0),
        (2.0, "m", "ft", 2.0 / 0.3048),
        (0.0, "degC", "degF", 0.0),
    ],
)
def test_a_difference_has_no_zero_point(value, unit, to, expected):
    """NIST Special Publication 811, B.8: an interval of 1 degC is one of 1.8 degF; from memory, not verified."""
    assert convert_difference(value, unit, to) == pytest.approx(expected, rel=1e-12)


def test_a_difference_of_another_kind_is_refused():
    with pytest.raises(UnitError, match="different kinds"):
        convert_difference(1.0, "degC", "m")
