# ruff: noqa: E501 (docstrings carry the sums by hand)
"""Quantities of a small design counted by hand, and what they cost at invented prices."""

from __future__ import annotations

import csv
import io
import math
import tomllib

import pytest

from pondsim.design.costs import Run, check_names, estimate, short_text
from pondsim.design.quantities import quantities
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario, read_section
from pondsim.scenario.settings import Prices
from tests.cli.common import DEMO, call
from tests.line_for_tests import PARTS, line_scenario, line_text
from tests.scenarios_for_tests import write_design

FT, LB = 0.3048, 0.45359237
DESIGN = {
    "gravity_line": 'nominal = "12 in"\npipe = "pvc_sewer_sdr35"\nlength = "80 ft"\nstub = "2 ft"\n'
    'fittings = ["2 45 degree elbow", "gate valve", "45 degree elbow"]',
    "wet_well": PARTS["wet_well"]
    + '[wet_well.structure]\nwall = "6 in"\ntop = "13 ft"\nbase_thickness = "1 ft"\ntop_thickness = "1 ft"\n'
    'ring_height = "3 ft"\ngravel = "1 ft"\nfabric = true\ngroundwater = "3 ft"',
    "trench": 'station = ["0 ft", "80 ft"]\nbed = ["7 ft", "7 ft"]\nhard = ["6 ft", "6 ft"]\nbottom_width = "2 ft"\n'
    'muck_slope = 4\nfirm_slope = 1\nbedding = "0 in"\nsump_depth = "1 ft"\nsump_length = "6 ft"\nswell = "25 %"',
    "layout": 'wire = "120 ft"',
}
AIR = """
[[aeration]]
name = "pool air"
zone = "deep pool"
elevation = "1 ft"
diffusers = 4
air_flow = "1.5 scfm"
tubing_length = "150 ft"
tubing_diameter = "0.5 in"
"""


@pytest.fixture
def design(tmp_path):
    return read_scenario(write_design(tmp_path, line_text(None, **DESIGN) + AIR))


def test_a_small_design_counted_by_hand(design):
    """Pipe 80 ft, 2 of them in the wall. Trench: inside bottom 4.5 ft, wall 0.36 in, so floor at 4.47 ft: 1.53 ft firm and
    1 ft muck. Well 6 ft, wall 6 in: base 7 ft across; walls 12 - 1 = 11 ft high: 4 rings of 3 ft; pit 7 + 2 x 2 = 11 ft
    across, from 13 ft down to -1 ft; stone 1 ft thick, 9 ft across."""
    found = {(item.group, item.name): item for item in quantities(design)}

    def amount(group, name):
        return found.pop((group, name)).amount

    pipe = "12 in PVC gravity sewer pipe SDR 35"
    assert amount("gravity line", f"{pipe}, in the trench") == pytest.approx(78 * FT)
    assert amount("gravity line", f"{pipe}, stub in the wall") == pytest.approx(2 * FT)
    assert amount("gravity line", "12 in 45 degree elbow") == 3
    assert amount("gravity line", "12 in gate valve") == 1
    assert amount("intake", "grate") == pytest.approx(8 * FT**2)
    assert amount("discharge", "6 in PVC schedule 40") == pytest.approx(150 * FT)
    assert amount("discharge", "6 in long radius elbow") == 4
    assert amount("discharge", "6 in swing check valve") == 1
    assert amount("discharge", "trench of the discharge") == pytest.approx(150 * FT)
    bore = 11.78 / 12
    firm = 6 - (5 - bore / 2 - 0.36 / 12)
    section = firm * (2 + firm) + (2 + 2 * firm + 4)
    assert amount("trench", "trench under water, in place") == pytest.approx(80 * section * FT**3)
    assert amount("trench", "sump at the intake, in place") == pytest.approx(12 * FT**3)
    outside = 12.5 / 12
    stone = (2 * outside / 2 - math.pi * outside**2 / 8) * 80
    assert amount("trench", "bedding stone") == pytest.approx(1600 * stone * FT**3)
    back = 80 * section - stone - 80 * math.pi * outside**2 / 4
    assert amount("trench", "backfill, in place") == pytest.approx(back * FT**3)
    hauled = (80 * section + 12 - back) * 1.25
    assert amount("trench", "spoil hauled, loose") == pytest.approx(hauled * FT**3)
    assert amount("wet well", "pit of the well, shored, in place") == pytest.approx(
        math.pi / 4 * 121 * 14 * FT**3
    )
    taken = math.pi / 4 * (49 * 12 + 49 * 1 + 81 * 1)  # shell from the floor at 1 ft to grade, base, stone
    back = math.pi / 4 * 121 * 14 - taken
    assert amount("wet well", "backfill around the well, in place") == pytest.approx(back * FT**3)
    assert amount("wet well", "spoil of the pit hauled, loose") == pytest.approx(1.25 * taken * FT**3)
    assert amount("wet well", "ring 72 in, 3 ft high") == 4
    assert amount("wet well", "base slab") == pytest.approx(math.pi / 4 * 49 * FT**3)
    assert amount("wet well", "top slab with cover") == 1
    bed = math.pi / 4 * 81
    assert amount("wet well", "stone under the base") == pytest.approx(1600 * bed * FT**3)
    assert amount("wet well", "filter fabric") == pytest.approx((bed + 4 * math.sqrt(bed)) * FT**2)
    assert amount("wet well", "float") == 2
    assert amount("pump", "pump") == 1
    assert amount("pump", "wire") == pytest.approx(120 * FT)
    assert amount("waterfall", "lip") == pytest.approx(5 * FT)
    assert amount("aeration, pool air", "air source") == 1
    assert amount("aeration, pool air", "diffuser, fine") == 4
    assert amount("aeration, pool air", "0.5 in tubing") == pytest.approx(600 * FT)
    assert not found  # nothing else is counted


PRICES = """
currency = "$"
[first]
mobilization = 1000
contingency = "10 %"
[yearly]
cleaning = 500
[worth]
rate = "5 %"
left = 6000
[[price]]
item = "12 in gate valve"
unit = "each"
price = 2000
[[price]]
item = "6 in PVC schedule 40"
unit = "ft"
price = 20
[[extra]]
item = "stone"
amount = 3
price = 400
[[replacement]]
item = "pump"
every = "4 yr"
price = 900
[dredging]
volume = "200 yd3"
price = 50
bulking = "40 %"
"""


def priced(folder, text):
    path = folder / "prices.toml"
    path.write_text(text, encoding="utf-8")
    return read_section(path, Prices)


def test_prices_times_quantities(design, tmp_path):
    """2000 + 150 x 20 + 3 x 400 = 6200; with 1000 and a tenth of both 7920. A year: 500 and a bill of 1200 energy, 300
    demand. Pump at 4 and 8 years. Present worth by the printed 5 % factors. 200 yd3 with 40 % swell: 24 loads (18.14)."""
    run = Run(1200.0, 300.0, 138.0, 1000.0, 20.0, "$")
    found = estimate(quantities(design), priced(tmp_path, PRICES), run)
    assert found.items == pytest.approx(6200)
    assert found.first == pytest.approx(7920)
    assert found.each_year == pytest.approx(2000)
    assert [(year, cost) for year, _, cost in found.replacements] == [(4, 900), (8, 900)]
    assert found.plain == pytest.approx(7920 + 20000 + 1800 - 6000)
    worth = 7920 + 2000 * 7.7217 + 900 * (0.8227 + 0.6768) - 6000 * 0.6139
    assert found.worth == pytest.approx(worth, abs=1.0)
    assert found.equal_yearly == pytest.approx(worth * 0.1295, abs=1.0)
    assert found.per_oxygen == pytest.approx(found.equal_yearly / 1000)
    assert found.per_day == pytest.approx(found.equal_yearly / 20)
    assert found.dredging is not None
    placed, loads, cost = found.dredging
    assert placed / 0.764554857984 == pytest.approx(280)
    assert loads == 24
    assert cost == pytest.approx(10000)
    assert "pump" in found.not_priced and "12 in gate valve" not in found.not_priced


def test_a_run_of_a_few_days_divides_no_cost_of_a_year(design, tmp_path):
    """9 days say nothing of what a year gains; told to stand for a season of 12 such runs (108 d) they do."""
    run = Run(120.0, 30.0, 9.0, 100.0, 2.0, "$")
    found = estimate(quantities(design), priced(tmp_path, PRICES), run)
    assert found.per_oxygen is None and found.per_day is None
    assert found.short_of_year == pytest.approx(9.0)
    assert "stand for 9 days of a year" in short_text(found.short_of_year)
    often = estimate(
        quantities(design),
        priced(
            tmp_path,
            PRICES + "\n[yearly]\nruns_a_year = 12\n"
            if "[yearly]" not in PRICES
            else PRICES.replace("[yearly]", "[yearly]\nruns_a_year = 12"),
        ),
        run,
    )
    assert often.short_of_year is None
    assert often.per_oxygen == pytest.approx(often.equal_yearly / 1200)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            '"12 in gate valve"',
            '"12 in gait valve"',
            'price of "12 in gait valve": the design has no such item; it has "grate"',
        ),
        (
            "[[price]]",
            '[[price]]\nitem = "lip"\nunit = "ft"\nprice = 3\n\n'
            + '[[price]]\nitem = "lip"\nunit = "ft"\nprice = 4\n\n[[price]]',
            'price of "lip": given twice',
        ),
        ('unit = "ft"', 'unit = "yd3"', 'unit = "yd3" does not measure it; write ft or m'),
        ('unit = "each"', 'unit = "ft"', 'unit = "ft"; it is counted by each'),
        ('currency = "$"', 'currency = "CAD"', 'the prices are in "CAD", the bill of the run in "$"'),
    ],
)
def test_faults_of_prices(design, tmp_path, old, new, message):
    prices = priced(tmp_path, PRICES.replace(old, new, 1))
    with pytest.raises(ScenarioError) as caught:
        check_names([quantities(design)], prices)
        estimate(quantities(design), prices, Run(1.0, 0.0, 138.0, None, None, "$"))
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("price = 2000", "price = -3", "price.1.price = -3 is too low"),
        ('rate = "5 %"', "", "worth.rate is missing"),
        ('every = "4 yr"', 'every = "4"', 'replacement.1.every = "4" has no unit'),
        ("mobilization = 1000", "mobilisation = 1000", 'did you mean "mobilization"?'),
        ("price = 20\n", 'price = ""\n', "price.2.price"),
    ],
)
def test_faults_of_the_file(tmp_path, old, new, message):
    assert old in PRICES
    with pytest.raises(ScenarioError) as caught:
        priced(tmp_path, PRICES.replace(old, new, 1))
    assert message in str(caught.value)
    assert "prices.toml:" in str(caught.value)


def test_blank_prices_for_a_design_are_blank(tmp_path):
    blanks, rows = tmp_path / "prices.toml", tmp_path / "rows.csv"
    result = call("quantities", DEMO / "waterfall.toml", "--write-prices", blanks, "--csv", rows)
    assert result.exit_code == 0, result.output
    assert all("price" not in row for row in tomllib.loads(blanks.read_text(encoding="utf-8"))["price"])
    table = list(csv.DictReader(io.StringIO(rows.read_text(encoding="utf-8"))))
    assert {row["cost [$]"] for row in table} == {""}
    again = call("quantities", DEMO / "waterfall.toml", "--prices", blanks)
    assert again.exit_code == 0, again.output
    assert "NOT PRICED" in again.output and "ring 60 in" in again.output
    over = call("quantities", DEMO / "waterfall.toml", "--write-prices", blanks)
    assert over.exit_code == 2 and "is there already" in over.output


def test_the_invented_prices_of_the_demo_price_everything(tmp_path):
    result = call(
        "quantities", DEMO / "waterfall.toml", "--prices", DEMO / "prices.toml", "--csv", tmp_path / "bid.csv"
    )
    assert result.exit_code == 0, result.output
    assert "NOT PRICED" not in result.output
    said = " ".join(result.output.split())
    assert "Named there: stone of the waterfall." in said and "not counted: stone" not in said
    assert "LEFT OUT of every sum: electricity." in said
    table = list(csv.DictReader(io.StringIO((tmp_path / "bid.csv").read_text(encoding="utf-8"))))
    items = sum(float(row["cost [$]"]) for row in table if row["group"] != "sum")
    sums = {row["item"]: float(row["cost [$]"]) for row in table if row["group"] == "sum"}
    assert sums["contingency"] == pytest.approx(0.15 * (items + 4500), abs=0.5)
    assert "INVENTED" in (DEMO / "prices.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "message"),
    [
        ((DEMO / "existing.toml",), "has nothing to count"),
        ((DEMO / "waterfall.toml", "--existing", DEMO / "rain.csv"), "--existing stands alone"),
        ((DEMO / "waterfall.toml", "--prices", DEMO / "waterfall.toml"), "is an unknown"),
    ],
)
def test_faults_of_the_command(args, message):
    result = call("quantities", *args)
    assert result.exit_code == 2
    assert message in result.output


def test_stated_electricity_is_not_listed_as_left_out(tmp_path):
    text = (DEMO / "prices.toml").read_text(encoding="utf-8")
    path = tmp_path / "prices.toml"
    path.write_text(text.replace("[yearly]\n", "[yearly]\nelectricity = 1100\n"), encoding="utf-8")
    result = call("quantities", DEMO / "waterfall.toml", "--prices", path)
    assert result.exit_code == 0, result.output
    assert "electricity  " in result.output and "LEFT OUT" not in result.output


def test_prices_in_another_currency_than_the_tariff_are_refused(tmp_path):
    path = tmp_path / "prices.toml"
    path.write_text('currency = "CAD"\n', encoding="utf-8")
    result = call("quantities", DEMO / "waterfall.toml", "--prices", path)
    assert result.exit_code == 2
    assert 'currency = "CAD", that of the tariff is "$"' in result.output


def test_design_of_the_tests_is_sound(tmp_path):
    assert line_scenario(tmp_path, **DESIGN).trench is not None
