"""Years of one bed: it is handed on, and what is dated happens once."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.measures import year_numbers
from pondsim.processes import constituents as s
from pondsim.scenario.settings import Dredging, Load
from pondsim.years import by_year, in_year, run_years
from tests.engine.ponds import BEGIN, DAY, basin, steady_weather
from tests.engine.test_living import AREA, DEPTH, NO_LOSS, grown

PERIOD = {"days": 3.0, "weather": steady_weather(wind=4.0)}


def test_the_old_store_burns_off_year_after_year():
    """0.3/a with oxygen there: three runs of three days leave exp(-9 d x 0.3/a) of it."""
    decay = 30.0 / (365.25 * DAY)
    bed = NO_LOSS | {"oxygen_demand": 1e-3 / DAY, "old_decay": decay, "half_saturation": 1e-5}
    found = run_years(grown(basin("z", AREA, DEPTH), bed=bed, **PERIOD), 3)
    old = [one["bed_at_end"].values[s.OLD - s.FAST].sum() for one in found]
    assert np.diff(np.log(old)) == pytest.approx(-decay * 3.0 * DAY, rel=3e-3)
    assert found[-1]["bed_old_store"].values[0, 0] == pytest.approx(old[1] / AREA * 1e3, rel=1e-3)
    assert [one.attrs["year"] for one in found] == [2025, 2026, 2027]


def test_dredging_of_the_second_year_happens_then():
    """The stores fall to a tenth in the second run and stay as they are in the first and third."""
    bed = NO_LOSS | {"oxygen_demand": 1e-3 / DAY, "fast_decay": 1e-12}
    work = Dredging(date=datetime(2026, 7, 2), zone="z", depth=0.2, duration=DAY)
    found = run_years(grown(basin("z", AREA, DEPTH), bed=bed, dredging=(work,), **PERIOD), 3)
    fast = [one["bed_at_end"].values[0].sum() for one in found]
    assert fast[1] == pytest.approx(0.1 * fast[0], rel=1e-3)
    assert fast[2] == pytest.approx(fast[1], rel=1e-6)
    grew = [float(one["bed_thickness"].values[-1, 0] - one["bed_thickness"].values[0, 0]) for one in found]
    assert grew[1] == pytest.approx(-0.2, abs=0.005)


def test_a_leap_day_has_its_place_in_other_years():
    """February 29 becomes February 28; loads come every year unless told otherwise."""
    day = datetime(2028, 2, 29)
    load = Load(name="geese", zone="z", start=day, end=day + timedelta(days=3))
    pond = replace(grown(), load=(load,))
    assert in_year(pond, 3).load == (load,)
    assert in_year(pond, 3, forget_loads=True).load[0].start == datetime(2025, 2, 28)


def test_given_algae_have_no_years():
    pond = grown(algae={"mode": "given"})
    with pytest.raises(ScenarioError, match=r"algae\.mode"):
        run_years(pond, 2)
    with pytest.raises(ScenarioError, match="31 years were asked for"):
        run_years(grown(), 31)


def test_a_long_run_is_cut_by_calendar_year():
    """Numbers of each year: of 45 days before New Year and 40 after it."""
    from pondsim.simulate import run  # noqa: PLC0415

    pond = grown(days=3.0, weather=steady_weather(wind=4.0))
    found = run(pond, how_long_start_matters=False)
    times = np.datetime64("2025-11-17", "ns") + np.arange(found.sizes["time"]) * np.timedelta64(28, "h")
    parts = by_year(found.assign_coords(time=times))
    assert [part.attrs["year"] for part in parts] == [2025, 2026]
    assert sum(part.sizes["time"] for part in parts) == found.sizes["time"]
    assert BEGIN.year == 2025
    assert year_numbers(parts[0])["smell"] == 0.0
