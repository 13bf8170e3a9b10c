"""The user's own limits on made-up series whose answer is known by hand, and through files and commands."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pondsim.cli._tables import comparison_data, comparison_text
from pondsim.comparison import compare
from pondsim.comparison.limit_lines import limit_lines
from pondsim.comparison.verdict import verdict
from pondsim.errors import ScenarioError
from pondsim.measures.judged import judge_limits, limits_in_force
from pondsim.measures.limits import Limit, limits_text, own_limits
from pondsim.reporting import report
from pondsim.scenario.read import read_scenario
from tests.cli.common import SHORT, call, write_files
from tests.report.page_reader import Page
from tests.results.ponds import small_pond

HOURS = 24 * 40 + 1


def judged(limit, pond, existing=None):
    """The one own limit of a pond."""
    marked = pond.assign_attrs(own_limits=limits_text([limit]), criterion="own")
    return judge_limits(marked, existing)[0]


def by_hour(values):
    """A value for each hour, the same in every zone and layer."""
    return np.asarray(values, dtype=float)[:, None, None]


def day_night(day=6.0, night=4.0):
    """Half of each day at one value, half at another."""
    return by_hour(np.where(np.arange(HOURS) % 24 < 12, night, day))


def test_daily_minima_in_a_season_for_a_life_stage():
    """Nights at 4 mg/L, from July 1 (day 30) on at 3: of 20 days from June 21 the last ten fall below 3.5."""
    oxygen = day_night()
    oxygen[24 * 30 :] -= 1.0
    limit = Limit(
        name="spawning",
        quantity="oxygen",
        value=3.5,
        statistic="daily minimum",
        season=((6, 21, 7, 10),),
        stage="eggs",
    )
    result = judged(limit, small_pond(oxygen))
    assert result.meets is False
    worst = result.worst.judged
    assert (worst.judged, worst.failing, worst.worst) == (20, 10, 3.0)
    assert (str(worst.first), str(worst.last)) == ("2025-07-01", "2025-07-10")
    assert "Jun 21 to Jul 10, eggs" in limit.words()


def test_means_count_saturation_where_oxygen_is_above_it():
    """12 h at 20 mg/L and 12 at 4 average 12, but 6 where 8 is full: below a limit of 6.5."""
    limit = Limit(name="mean", quantity="oxygen", value=6.5, statistic="daily mean")
    assert judged(limit, small_pond(day_night(day=20.0))).worst.judged.worst == pytest.approx(6.0)
    week = Limit(name="week", quantity="oxygen", value=6.5, statistic="daily mean", days=7, days_needed=6)
    found = judged(week, small_pond(day_night(day=20.0))).worst.judged
    assert (found.judged, found.failing) == (34, 34)


def test_share_of_time_and_its_test():
    """A tenth of the hours below: at most 10 % is met by the plain share, 5 % is not."""
    hours = np.arange(HOURS)
    pond = small_pond(by_hour(np.where(hours % 10 == 0, 1.0, 6.0)))
    limit = {"name": "share", "quantity": "oxygen", "value": 3.0, "statistic": "instantaneous"}
    found = judged(Limit(**limit, allowed_share=0.101), pond)
    assert found.meets and found.worst.judged.failing == 97 and found.worst.judged.judged == HOURS
    assert judged(Limit(**limit, allowed_share=0.05), pond).meets is False
    # One spell of 96 h in 961 that forgets slowly is worth few readings: no proof of more than 5 %.
    spell = small_pond(by_hour(np.where(hours < 96, 1.0, 6.0)))
    tested = judged(Limit(**limit, allowed_share=0.05, test="binomial"), spell)
    assert tested.meets and tested.worst.judged.effective < 5.0 and tested.worst.chance > 0.1
    assert judged(Limit(**limit, allowed_share=0.05), spell).meets is False


def test_a_range_of_depths_in_one_zone():
    """Layers of 1 m at 6, 4 and 2 mg/L: the mean from 1 to 2 m is 4, of the top metre 6."""
    pond = small_pond(np.array([2.0, 4.0, 6.0])[None, None, :])
    deep = Limit(
        name="x", quantity="oxygen", value=4.5, statistic="daily minimum", zone="pool", upper=1.0, lower=2.0
    )
    result = judged(deep, pond)
    assert [one.place for one in result.places] == ["pool"]
    assert result.worst.judged.worst == pytest.approx(4.0)
    top = Limit(name="x", quantity="oxygen", value=4.5, statistic="daily minimum", zone="pool")
    assert judged(top, pond).worst.judged.worst == pytest.approx(6.0)


def test_temperature_by_the_seven_day_mean_of_daily_maxima():
    """Maxima of 26 degC for six days in a row and else 24: (6 x 26 + 24)/7 = 25.714 at the most."""
    warm = np.full(HOURS, 20.0)
    warm[12::24] = 24.0
    warm[24 * 10 + 12 : 24 * 16 : 24] = 26.0
    limit = Limit(name="7DADM", quantity="temperature", value=25.5, statistic="daily maximum", days=7)
    found = judged(limit, small_pond(temperature=by_hour(np.repeat(warm, 1)), oxygen=8.0))
    # the top is the mean of the top metre, the same in all layers here
    assert found.worst.judged.worst == pytest.approx((6 * 26.0 + 24.0) / 7)
    assert found.worst.judged.failing == 2  # the windows that begin or end one day beside the six


def test_a_rise_is_against_the_same_hour_of_the_existing_pond():
    """1.5 K warmer at every hour, though its mean over the season is no warmer than the existing hottest."""
    cool = small_pond(temperature=day_night(day=26.0, night=22.0))
    warm = small_pond(temperature=day_night(day=27.5, night=23.5), title="warm")
    limit = Limit(name="rise", quantity="temperature_rise", value=1.0, statistic="daily maximum")
    assert judged(limit, warm, cool).worst.judged.worst == pytest.approx(1.5)
    assert judged(limit, warm, cool).meets is False
    assert judged(limit, cool, cool).meets is True
    assert judged(limit, warm).meets is None  # nothing to hold it against


def leaving(pond, **values):
    """Water that leaves in the first twelve hours of every second day."""
    hours = np.arange(HOURS)
    flows = (hours % 48 > 0) & (hours % 48 <= 12)
    series = {name: np.where(flows, value, np.nan) for name, value in values.items()}
    made = pond.assign({f"outlet_{name}": ("time", value) for name, value in series.items()})
    return made.assign(outflow=("time", np.where(flows, 0.01, 0.0)))


def test_discharged_water_is_judged_on_the_days_it_flows():
    """Every second of 40 days: 20 judged, 20 not; a 7-day mean needs to be told how many days will do."""
    pond = leaving(small_pond(8.0), dissolved_oxygen=4.0)
    limit = {"name": "out", "quantity": "oxygen", "value": 5.0, "statistic": "daily minimum", "at": "outlet"}
    found = judged(Limit(**limit), pond).worst
    assert (found.place, found.judged.judged, found.judged.failing, found.judged.not_judged) == (
        "outlet",
        20,
        20,
        20,
    )
    assert judged(Limit(**limit, days=7), pond).meets is None
    assert judged(Limit(**limit, days=7, days_needed=3), pond).worst.judged.judged == 34
    once = judged(Limit(**limit | {"statistic": "instantaneous"}), pond).worst.judged
    assert (once.judged, once.failing) == (240, 240)


def test_removal_counts_the_algae_that_leave():
    """1000 kg come, 200 leave as sediment; 20 x 12 h of 0.01 m3/s at 6 mg/L carry 51.84 kg of algae away."""
    pond = leaving(small_pond(8.0), organic_solids=6.0)
    seconds = 3600.0 * (HOURS - 1)
    pond = pond.assign(
        {
            f"solids_{way}_rate": ("time", np.full(HOURS, kg / seconds))
            for way, kg in (("in", 1000.0), ("out", 200.0))
        }
    )
    limit = {"name": "removal", "quantity": "solids_removal", "value": 0.78, "statistic": "whole run"}
    assert judged(Limit(**limit), pond).worst.judged.worst == pytest.approx(1.0 - (200.0 + 51.84) / 1000.0)
    assert judged(Limit(**limit), pond).meets is False
    assert judged(Limit(**limit, organic=False), pond).meets is True


def test_water_fit_for_fish_is_a_share_of_the_volume():
    """6 mg/L above, 4 below: 1000 of 1500 m3 in whole layers, and half a layer between."""
    pond = small_pond(np.array([4.0, 6.0, 6.0])[None, None, :])
    limit = Limit(name="fish", quantity="fit_for_fish", value=0.5, statistic="instantaneous")
    result = judged(limit, pond)
    assert result.meets and result.places[0].place == "pond"


def test_federal_lines_stand_beside_own_ones_unless_all_are_own():
    limit = Limit(name="mine", quantity="oxygen", value=5.0, statistic="daily minimum")
    pond = small_pond(own_limits=limits_text([limit]))
    assert [one.name for one in limits_in_force(pond)] == [
        "30-day mean",
        "7-day mean minimum",
        "1-day minimum",
        "mine",
    ]
    assert [one.name for one in limits_in_force(pond.assign_attrs(criterion="own"))] == ["mine"]
    assert own_limits(pond) == (limit,)


def test_the_verdict_and_tables_say_which_line_fails():
    """Mean 5 mg/L: above the 1-day minimum and the mean minimum, below the 30-day mean and the own 6 mg/L."""
    own = limits_text([Limit(name="permit", quantity="oxygen", value=6.0, statistic="daily mean")])
    low, good = (small_pond(mg, title=title, own_limits=own) for mg, title in ((5.0, "old"), (7.0, "new")))
    comparison = compare([low, good])
    assert verdict(comparison).startswith(
        '"new" meets the oxygen criteria near the surface in every zone and every'
    )
    assert '"old" fails the 30-day mean and permit.' in verdict(comparison)
    lines = {one.title.partition(":")[0]: one for one in limit_lines(comparison)}
    assert lines["30-day mean"].answers[0] == (
        "fails in 2 of 2 zones, worst pool: 11 of 11 windows, Jun 30 to Jul 10, lowest 5 mg/L"
    )
    assert lines["permit"].answers[1].startswith("met: lowest pool: 7 mg/L, 0 of 40 days")
    assert "permit: oxygen, daily mean, at least 6 mg/L, every zone, 0 to 3.3 ft deep" in comparison_text(
        comparison
    ).replace("\n", " ")
    rows = comparison_data(comparison)["limits"]
    assert {row["limit"] for row in rows} >= {"permit", "1-day minimum"}
    json.dumps(rows, allow_nan=False)
    assert "Jun 30 to Jul 10" in Page(report([low, good]).html).text


def test_damaged_limits_are_refused():
    with pytest.raises(ScenarioError, match="own_limits"):
        own_limits(small_pond(own_limits='[{"name": 3}]'))


OWN = """
[judging]
criterion = "own"

[[judging.limit]]
name = "permit"
oxygen = "5 mg/L"
statistic = "daily minimum"
at = "outlet"

[[judging.limit]]
name = "cool"
temperature = "82 degF"
statistic = "daily maximum"
days = 3
season = ["06-01 to 08-31"]
stage = "bass"

[[judging.limit]]
name = "rise"
temperature_rise = "2 delta_degF"
statistic = "daily maximum"
zone = "cove"

[[judging.limit]]
name = "removal"
solids_removal = "80 %"
statistic = "whole run"
"""


def test_limits_of_a_site_file_are_judged_in_a_comparison(tmp_path):
    design = write_files(tmp_path, SHORT)
    site = tmp_path / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + OWN, encoding="utf-8")
    result = call("compare", site, design, "--json", tmp_path / "all.json")
    assert result.exit_code == 0, result.output
    rows = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))["limits"]
    assert {row["limit"] for row in rows} == {"permit", "cool", "rise", "removal"}
    assert {row["place"] for row in rows if row["limit"] == "rise"} == {"cove"}
    rise = [row["worst"] for row in rows if row["limit"] == "rise"]
    assert rise[0] == 0.0 and rise[1] != 0.0
    text = " ".join(result.output.split())
    assert (
        "cool: temperature, 3-day mean of daily maxima, at most 82 degF, every zone, 0 to 3.3 ft deep" in text
    )
    assert max(len(line) for line in result.stdout.splitlines()) <= 80


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('oxygen = "5 mg/L"\ntemperature = "20 degC"', "has oxygen and temperature; write one of"),
        ("", "has nothing to judge; write one of oxygen"),
        ('oxygen = "5 mg/L"\nzone = "bay"', '"bay" is no zone; there are deep pool, cove'),
        ('oxygen = "5 mg/L"\nzone = "cove"\nat = "outlet"', 'stands beside at = "outlet"'),
        ('suspended_solids = "20 mg/L"', 'write "outlet" or "intake"'),
        ('oxygen = "5 mg/L"\nfrom_depth = "4 ft"', "to_depth = 3.2808 ft (1 m) is above from_depth"),
        ('oxygen = "5 mg/L"\ndays = 7\ndays_needed = 8', "days_needed = 8 is more than days = 7"),
        ('oxygen = "5 mg/L"\ntest = "binomial"', '"binomial" tests an allowed_share'),
        ('solids_removal = "80 %"', 'judged over the "whole run"'),
        ('fit_for_fish = "50 %"\nat = "outlet"', "fit_for_fish is judged in the pond"),
    ],
)
def test_limits_that_do_not_fit_are_told_with_their_line(tmp_path, text, told):
    own = f'\n[[judging.limit]]\nname = "permit"\nstatistic = "daily minimum"\n{text}\n'
    design = write_files(tmp_path)
    site = tmp_path / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + own, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read_scenario(design)
    assert told in str(caught.value)
    assert "site.toml:" in str(caught.value)
