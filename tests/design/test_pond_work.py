"""Dredging, doses, dye, covers and loads on paper: volumes by hand, prices, what counts, cautions."""

import pytest

from pondsim.design.costs import estimate
from pondsim.design.pond_work import pond_work
from pondsim.design.quantities import quantities
from pondsim.scenario.read import read_scenario, read_section
from pondsim.scenario.settings import Prices
from pondsim.words import CAUTION
from tests.cli.common import call
from tests.scenarios_for_tests import living_site, write_design

FT2_FT_IN_YD3 = 27.0
DREDGED = """
[[dredging]]
date = "2025-07-02"
zone = "deep pool"
depth = "2 ft"
full_from = "0 ft"
left = "20 %"
"""
OTHERS = """
[[treatment]]
start = "2025-07-03"
dose = "100 lb"
binds = "0.01 g/g"

[[dye]]
start = "2026-07-04"
extinction = "0.5 1/m"

[[cover]]
share = "20 %"
start = "2025-07-01"
end = "2025-08-01"

[[load]]
name = "geese"
zone = "cove"
start = "2025-07-01"
end = "2025-07-05"
phosphorus = "0.1 lb/d"
"""


def design_of(folder, more):
    return write_design(folder, 'site = "site.toml"\ntitle = "dredged"\n' + more, living_site())


def test_check_shows_what_is_done_to_water_and_bed(tmp_path):
    """2 ft from 20,000 ft2 at normal pool, 0 ft deepest before: 20,000 x 2/27 = 1,480 yd3, down to -2 ft."""
    text = " ".join(call("check", design_of(tmp_path, DREDGED + OTHERS)).output.split())
    for words in (
        "Dredging, deep pool: 2025-07-02 00:00 to 2025-07-07 00:00; 1480 yd3 in place",
        "deepest at -2 ft",
        "20 % of organic matter and phosphorus of the bed stay",
        "100 lb of product, binds 1 lb of phosphorus",
        "Dye, the whole pond: 2026-07-04 00:00; light extinction 0.152 per ft",
        "lies outside the period and does not count",
        "20 % of the surface; floats",
        "Load geese, cove",
        "0.1 lb/d phosphorus",
        *(CAUTION[key] for key in ("dredging", "treatment", "cover")),
    ):
        assert words in text
    bare = " ".join(call("check", design_of(tmp_path, "")).output.split())
    assert "Done to the water" not in bare and CAUTION["dredging"] not in bare


def test_a_second_dredging_goes_on_from_the_first(tmp_path):
    """Each takes 2 ft of 20,000 ft2, so the bed lies at -4 ft. One before the period counts as done."""
    early = DREDGED.replace("2025-07-02", "2024-07-02")
    scenario = read_scenario(design_of(tmp_path, early + DREDGED))
    first, second = pond_work(scenario)
    assert (first.names["counts"], second.names["counts"]) == ("before", "inside")
    assert second.number("volume") == pytest.approx(20000 * 2 * 0.3048**3)
    assert second.number("bed") == pytest.approx(-4 * 0.3048)
    assert [item.amount for item in quantities(scenario)] == [pytest.approx(20000 * 2 * 0.3048**3)]


def test_dredging_takes_the_price_of_the_dredge(tmp_path):
    """1,481.5 yd3 at $25 and $4,000 to bring the dredge: $41,037; nothing is dredged instead."""
    path = design_of(tmp_path, DREDGED)
    prices = tmp_path / "prices.toml"
    prices.write_text('[dredging]\nvolume = "300 yd3"\nprice = 25\nmobilization = 4000\n', encoding="utf-8")
    found = estimate(quantities(read_scenario(path)), read_section(prices, Prices), None)
    assert found.items == pytest.approx(25 * 20000 * 2 / FT2_FT_IN_YD3 + 4000)
    assert found.dredging is None and found.not_priced == ()
    own = '[[price]]\nitem = "muck dredged in deep pool, in place"\nunit = "yd3"\nprice = 10\n'
    prices.write_text(own, encoding="utf-8")
    done = call("quantities", path, "--prices", prices)
    assert done.exit_code == 0 and "$14,815" in done.output
