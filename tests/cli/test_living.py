"""Grown algae from the outside: run, years and report of a small pond."""

import json

import pytest
import xarray as xr

from pondsim.words import CAUTION
from tests.cli.common import call
from tests.scenarios_for_tests import living_site, write_site
from tests.storms_for_tests import LOT, NO_INFLOW, TWO_STORMS

# Two settling classes: with few rows the time loop is the one that other tests have compiled already.
GROWN = """
[algae]
mode = "grown"
chlorophyll = "40 ug/L"

[bed]
passes = 1

[solids]
settling_velocity = ["0.3 ft/h", "7 ft/h"]
share = ["50 %", "50 %"]

[judging]
smell_debt = "0.01 mg/L"

[start]
spin_up = "0 d"
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    text = living_site().replace('end = "2025-07-11"', 'end = "2025-07-06"')
    return write_site(tmp_path_factory.mktemp("grown"), text + GROWN)


@pytest.fixture(scope="module")
def ran(site):
    """A results file, and what the run said."""
    results = site.with_name("grown.nc")
    done = call("run", site, "-o", results)
    assert done.exit_code == 0, done.output
    return results, done.output


def test_a_run_says_that_given_chlorophyll_was_not_used(ran):
    results, said = ran
    assert "was not used" in " ".join(said.split())
    assert "a period of only 5 days: compare only runs of the same period" in " ".join(said.split())
    with xr.open_dataset(results, engine="netcdf4") as dataset:
        assert dataset.attrs["balance_phosphorus"] < 1e-12
        assert dataset.attrs["balance_organic_matter"] < 1e-12
        assert list(dataset["algae_kind"].values) == ["ordinary"]
        total = dataset["total_phosphorus"].values
        parts = sum(
            dataset[name].values
            for name in ("dissolved_phosphorus", "detritus_phosphorus", "phosphorus_on_solids")
        )
        algae = dataset["algal_carbon"].values.sum(-1) * 1e3 / 41.0
        assert total == pytest.approx(parts + algae, rel=1e-4, nan_ok=True)


def test_years_prints_a_column_for_each(site):
    done = call("years", site, "--years", "2", "--units", "si")
    assert done.exit_code == 0, done.output
    assert "sediment oxygen demand [g/m2/d]" in done.output
    period, head = [line for line in done.stdout.splitlines() if "2025" in line]
    assert period.endswith(": 2 years, the first from 2025-07-01 to 2025-07-06")
    assert head.split() == ["2025", "2026"]


def test_cautions_of_a_run_are_those_of_its_pond(ran):
    """No pump, no air and no pipe: nothing of aerators and trenches."""
    _, said = ran
    words = " ".join(said.split())
    assert CAUTION["codes"] in words and CAUTION["stamp"] in words
    for key in ("electricity", "first start", "confined", "entry"):
        assert CAUTION[key] not in words


def test_years_say_that_dredging_happens_once(site, tmp_path):
    work = '[[dredging]]\ndate = "2025-07-02"\nzone = "cove"\ndepth = "1 ft"\nduration = "1 d"\n'
    text = f'site = "{site}"\ntitle = "dredged"\n{work}'
    design = tmp_path / "dredged.toml"
    design.write_text(text, encoding="utf-8")
    done = call("years", design, "--years", "1", "--units", "si")
    assert done.exit_code == 0, done.output
    assert "Dredging is done once, on its date" in " ".join(done.output.split())
    grown = next(line for line in done.output.splitlines() if "bed growth" in line)
    assert float(grown.split()[-1]) >= 0.0
    assert "Dredging" not in call("years", site, "--years", "1").output


def test_years_of_given_algae_are_refused(tmp_path):
    done = call("years", write_site(tmp_path))
    assert done.exit_code == 2
    assert 'algae.mode = "grown"' in done.output


def test_a_name_near_a_short_word_leads_to_what_it_stands_for(ran):
    done = call("export", ran[0], "--variable", "oxygn")
    assert done.exit_code == 2
    assert "did you mean dissolved_oxygen?" in " ".join(done.output.split())


def test_the_report_shows_green_phosphorus_and_smell(ran):
    results, _ = ran
    page = results.with_suffix(".html")
    done = call("report", results, "-o", page)
    assert done.exit_code == 0, done.output
    text = page.read_text(encoding="utf-8")
    assert "Smell is counted where bottom oxygen debt above 0.01 mg/L" in text


STORMS = "".join(TWO_STORMS.partition("[[storm]]")[1:]) + LOT  # without the season's rain


def test_design_storms_on_grown_algae_reach_the_page(ran, tmp_path):
    """Storms of a pond whose algae are computed: what leaves holds phosphorus and algae, more of both."""
    text = living_site().replace(*NO_INFLOW).replace('end = "2025-07-11"', 'end = "2025-07-06"')
    site = write_site(tmp_path, text + GROWN + STORMS)
    told = call("storm", site, "--existing", site, "--storms", "all", "--json", tmp_path / "storms.json")
    assert told.exit_code == 0, told.output
    storms = json.loads((tmp_path / "storms.json").read_text(encoding="utf-8"))["storms"]
    small, large = (one["measures"][0] for one in storms)
    for key in ("organic_out", "phosphorus_out", "solids_out", "peak_out"):
        assert 0.0 < small[key] < large[key], key
    both = call("compare", site, site, "--storms", "2yr", "--set", "start.dissolved_phosphorus=90 ug/L")
    assert both.exit_code == 0 and 'Storm "2yr"' in both.stdout, both.output
    page = tmp_path / "page.html"
    done = call("report", ran[0], ran[0], "--storms", tmp_path / "storms.json", "-o", page)
    assert done.exit_code == 0, done.output
    assert "10yr" in page.read_text(encoding="utf-8")
