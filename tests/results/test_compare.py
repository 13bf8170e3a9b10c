"""Comparing designs: differences, findings, and runs that must not be compared."""

import numpy as np
import pytest

from pondsim.comparison import Row, compare
from pondsim.comparison.cells import cells, differences
from pondsim.comparison.findings import findings, worst_zone
from pondsim.comparison.head import head
from pondsim.comparison.names import length_text
from pondsim.comparison.remarks import remarks_of
from pondsim.comparison.verdict import verdict
from pondsim.errors import ScenarioError
from pondsim.records import Record, from_json, to_json
from tests.results.ponds import small_pond


def arm(low, pool=6.0):
    """Oxygen of the pool and of the arm, the same at all depths and hours."""
    return np.array([[[pool], [low]]])


def pair(**design):
    existing = small_pond(arm(2.0), title="existing")
    existing["oxygen_total"] = existing["oxygen_total"] * (existing["oxygen_pathway"] != "waterfall")
    return compare([existing, small_pond(arm(4.5), title="loop", pumped=0.02, **design)])


def test_each_row_holds_the_difference_to_the_existing_pond():
    comparison = pair()
    row = comparison.row("dawn_lowest_top.arm")
    assert row.values == pytest.approx((2.0, 4.5))
    assert differences(row, "si") == pytest.approx((0.0, 2.5))
    assert row.failing == (True, False)
    assert row.best == (False, True)
    assert comparison.value("hours_below_3_top.arm", 0) == pytest.approx(960.0)
    assert comparison.value("hours_below_3_bottom.arm", 1) == 0.0
    assert comparison.value("longest_below_5_top.arm", 1) == pytest.approx(960.0)
    assert comparison.value("days_failing_top.arm", 0) == 40
    assert comparison.value("nominal_turnover", 0) is None
    assert comparison.value("electricity", 1) == pytest.approx(960.0)
    assert comparison.value("fit_for_fish_mean", 0) == pytest.approx(2 / 3)
    assert comparison.value("nothing of the kind", 0) is None


def test_a_run_of_hours_is_told_in_hours():
    """Two hours are no 0 days; a day and a half is 36 h; whole days and seasons stay days."""
    told = {2.0 / 24.0: "2 h", 1.0: "1 day", 1.5: "36 h", 1.99: "2 days", 2.0: "2 days", 138.0: "138 days"}
    assert {days: length_text(days) for days in told} == told


def test_findings_say_share_of_the_bed_demand_and_both_kinds_of_turnover():
    """1 kg/d is 2.2 lb/d; the bed takes 10 kg/d, so 10 %; the arm's water is 6 d old."""
    comparison = pair()
    assert worst_zone(comparison) == "arm"
    before, after = findings(comparison)
    assert "Lowest dawn oxygen: arm, surface, 2.0 mg/L." in before
    assert "falls below the 1-day minimum on 40 of 40 days in arm" in before
    sediment = "10 % of what the sediment consumes, 22 lb/d (sediment oxygen demand);"
    assert f"2.2 lb/d of oxygen, {sediment}" in after
    # by hand: 1000 m3 of 2 d and 500 m3 of 6 d, (1000 (1 - exp(-3/2)) + 500 (1 - exp(-3/6))) / 1500 = 0.649
    assert "65 % of the water is replaced within 3 d; older than the rest: arm (6 d)" in after
    assert "At the run's mean flows, optimistic where water is stratified, mean water age since" in after
    assert "960 kWh in 40 days" in after
    assert "1 kg/d of oxygen" in findings(comparison, "si")[1]


def test_harm_is_said():
    """The pool falls from 6 to 3.5 mg/L: below 5 mg/L in all of 960 h, and lower at dawn; the arm gains."""
    existing, worse = small_pond(arm(4.0), title="a"), small_pond(arm(4.5, pool=3.5), title="b")
    text = findings(compare([existing, worse]))[1]
    lows = "It lowers the lowest dawn oxygen in pool (6.0 to 3.5 mg/L)."
    assert f"{lows} Also worse: mean oxygen at dawn, top, in pool (6.0 to 3.5 mg/L)." in text
    assert "Largest change" not in text  # by bands the mean moved most, but a lowest dawn kills fish


def test_a_supersaturated_pond_loses_oxygen_at_the_waterfall():
    pond = small_pond(title="loop", pumped=0.02)
    pond["oxygen_total"] = pond["oxygen_total"] * (1 - 2 * (pond["oxygen_pathway"] == "waterfall"))
    assert "removes 2.2 lb/d" in findings(compare([small_pond(), pond]))[1]


def test_air_beside_a_waterfall_has_the_sediment_told_once():
    """1 kg/d by the waterfall and 0.5 by bubbles, 10 % and 5 % of the 10 kg/d that the bed takes."""
    pond = small_pond(title="loop and air", pumped=0.02)
    pond["oxygen_total"].loc["pool", "bubbles"] = 0.5 * 40.0
    said = findings(compare([small_pond(), pond]), "si")[1]
    assert (
        "The waterfall supplies 1 kg/d of oxygen and the aeration 0.5 kg/d, 10 % and 5 % of what the "
        "sediment consumes, 10 kg/d (sediment oxygen demand); "
        "their other effects come from the water they move."
    ) in said
    assert said.count("what the sediment consumes") == 1


def test_equal_titles_are_told_apart():
    assert compare([small_pond(), small_pond(), small_pond()]).titles == (
        "As it is",
        "As it is (2)",
        "As it is (3)",
    )


def test_a_run_shorter_than_a_day_has_no_dawns_but_no_crash_either():
    short = small_pond(days=1).isel(time=slice(0, 10))
    comparison = compare([short, short])
    assert comparison.row("dawn_lowest_top.pool") is None
    assert "cannot be judged" in findings(comparison)[0]


def test_notes_carry_remarks_versions_and_the_mass_balance():
    comparison = pair(remarks="The pond fell dry in arm.\n", pondsim_version="0.0.9")
    assert '"loop": The pond fell dry in arm.' in comparison.notes
    assert any("the largest error is 1e-09" in note for note in comparison.notes)
    assert any("different versions" in note for note in comparison.notes)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.isel(time=slice(24, None)), "give both the same \\[period\\]"),
        (lambda d: d.isel(time=slice(None, None, 2)), "period.output_step"),
        (lambda d: d.assign_coords(zone=["pool", "bay"]), "designs of one site"),
        (lambda d: d.assign_attrs(normal_pool_m=101.0), "normal pools differ"),
        (lambda d: d.assign_attrs(latitude_deg=41.0), "latitudes differ"),
        (lambda d: d.assign_attrs(criterion="cold_other"), "judging.criterion"),
        (lambda d: d.assign_attrs(fish_oxygen_mg_per_L=4.0), "judging.fish_oxygen"),
    ],
)
def test_runs_that_differ_in_more_than_their_design_are_refused(change, words):
    with pytest.raises(ScenarioError, match=words):
        compare([small_pond(), change(small_pond(title="other"))])


def test_nothing_to_compare():
    with pytest.raises(ScenarioError, match="nothing to compare"):
        compare([])


def test_coarse_results_are_not_judged_by_their_lows():
    """Every third hour only: no days failing, dawns or hours below, and a note that says what to do."""
    coarse = small_pond(days=40).isel(time=slice(0, None, 3))
    comparison = compare([coarse, coarse])
    assert comparison.row("days_failing_top.pool") is None
    assert comparison.row("hours_below_3_top.pool") is None
    assert any("period.output_step" in note for note in comparison.notes)
    assert len(findings(comparison)) == 2


def test_a_run_shorter_than_the_longest_mean_says_that_it_was_not_judged():
    notes = compare([small_pond(days=9)] * 2).notes
    assert "Too short to judge by the 30-day mean of the criteria." in notes
    shorter = compare([small_pond(days=5)] * 2).notes
    assert "Too short to judge by the 30-day mean and the 7-day mean minimum of the criteria." in shorter
    assert not any("30-day mean" in note for note in compare([small_pond(days=40)] * 2).notes)


def test_a_pump_that_lost_its_flow_is_told_in_the_paragraph():
    existing, design = small_pond(days=3), small_pond(days=3)
    short = Record("intake_short", "warning", "pump", {"cover": (0.15, "m")}, {"first": "2025-06-02T04:00"})
    design.attrs |= {"title": "Option B: waterfall, 400 gpm", "remarks": to_json([short])}
    comparison = compare([existing, design])
    said = "within 0.49 ft (0.15 m) of the intake's centerline, first on June 2: the pump loses its flow"
    assert said in findings(comparison)[1]
    assert any(
        note.startswith('"Option B: waterfall, 400 gpm": The water level') for note in comparison.notes
    )


def test_records_travel_as_json_and_damaged_ones_are_an_error():
    pond = small_pond(days=3)
    records = [
        Record("bill_in_part", numbers={"2025-07": (0.25, "1")}),
        Record("zone_dry", "warning", 'arm: "north", old', times={"first": "2025-07-04T06:00"}),
        Record("of_a_newer_version", "caution", "arm", {"depth": (0.5, "m")}),
    ]
    pond.attrs["remarks"] = to_json(records)
    assert from_json(pond.attrs["remarks"]) == records
    assert [remark.text for remark in remarks_of(pond)] == [
        "The electricity bill covers 25 % of 2025-07: demand and fixed charges of a partial month are "
        "counted by that share, and its peak power is that of the days run.",
        'Zone arm: "north", old fell dry, first on July 4; what is printed for it while it is dry describes '
        "a film of water and means nothing.",
        "of a newer version arm depth 0.5 m",
    ]
    half = '[{"code": "pump_stood", "severity": "note"}'
    for damaged in ("[", "[1]", '[{"code": "zone_dry"}]', half, f"{half}]", "[" * 9999):
        pond.attrs["remarks"] = damaged
        with pytest.raises(ScenarioError, match=r"damaged \(attribute remarks\)"):
            remarks_of(pond)


def test_lowest_water_stands_in_the_table():
    pond = small_pond(days=3)
    row = compare([pond, pond]).row("lowest_surface")
    assert row is not None
    assert row.values[0] == pytest.approx(float(pond["water_surface_elevation"].min()))


def test_other_weather_is_told():
    """Wind half as strong in the second run: only the wind is named."""
    first, second = small_pond(days=9), small_pond(days=9)
    for pond in (first, second):
        pond["wind_speed"] = ("time", np.full(pond.sizes["time"], 3.0))
    assert head(compare([first, second])) == []
    second["wind_speed"] = 0.5 * second["wind_speed"]
    assert head(compare([first, second])) == [
        '"As it is (2)" differs from "As it is" in more than equipment: wind.'
    ]


def four(lows=(1.0, 2.5, 2.5, 2.0), powers=(0.0, 100.0, 200.0, 50.0), bad_days=(20, 10, 15, 35), length=40):
    """Designs of which so many days fall to `low` in the arm; else 8 mg/L, and constant power."""
    ponds = []
    for k, (low, power, days) in enumerate(zip(lows, powers, bad_days, strict=True)):
        oxygen = np.full((24 * length + 1, 2, 3), 8.0)
        oxygen[: 24 * days, 1] = low
        pond = small_pond(oxygen, days=length, title=("existing", "loop", "loop and air", "air")[k])
        pond["power"] = ("time", np.full(pond.sizes["time"], power))
        ponds.append(pond)
    return ponds


def test_what_the_sediment_consumes_is_named_by_the_two_lines_of_the_budget_that_it_adds_up():
    """10 kg/d by the bed itself, 7 by what it let out: of 17 kg/d the 1 kg/d of the waterfall is 5.9 %."""
    ponds = [small_pond(arm(2.0), title="existing"), small_pond(arm(4.5), title="loop", pumped=0.02)]
    lines = [
        str(line).replace("respiration", "bottom_debt_oxidation")
        for line in ponds[0]["oxygen_pathway"].values
    ]
    comparison = compare([pond.assign_coords(oxygen_pathway=lines) for pond in ponds])
    rows = {row.label: row.values[1] for row in comparison.rows if row.key.startswith("oxygen_budget.")}
    assert rows["sediment oxygen demand"] == -10.0 and rows["bottom oxygen debt"] == -7.0
    said = "5.9 % of what the sediment consumes, 17 kg/d (sediment oxygen demand 10, bottom oxygen debt 7);"
    assert said in findings(comparison, "si")[1]


def test_the_verdict_names_the_best_its_price_and_who_pays_more_for_less():
    """100 W over 40 d is 96 kWh; the counts of failing days are those of the table."""
    comparison = compare(four())
    today, least, more, most = [comparison.value("days_failing_top.arm", k) for k in range(4)]
    said = verdict(comparison)
    assert said.startswith("No design meets the oxygen criteria near the surface in every zone")
    assert (
        f'"loop" has the fewest days below the 1-day minimum, {least:.0f} ("existing": {today:.0f}).' in said
    )
    lows = (
        '"loop" and "loop and air" tie for the highest minimum dawn oxygen, 2.5 mg/L ("existing": 1.0 mg/L).'
    )
    assert lows in said
    saved = f"is below the 1-day minimum on {today - least:.0f} days fewer."
    assert f'"loop" uses 96 kWh more than "existing" and {saved}' in said
    alone = verdict(compare([small_pond(title="existing"), small_pond(title="same")]))
    assert '("existing":' not in alone  # it is not held against itself
    dearer = f"is below the 1-day minimum on {more:.0f} days instead of {least:.0f}"
    dear = '"loop and air" uses 96 kWh more than "loop" and performs worse in its worst zone'
    assert f"{dear}: it {dearer}." in said
    assert most > today
    assert f'"air" is below the 1-day minimum on {most - today:.0f} days more than "existing"' in said
    assert "no interval" in said


def test_the_verdict_of_ponds_that_meet_the_criteria():
    said = verdict(compare(four(lows=(8.0, 8.0, 8.0, 8.0))))
    assert said.startswith("Every design meets the oxygen criteria")
    text = findings(compare(four(lows=(8.0, 8.0, 8.0, 8.0))))[1]
    assert "No zone falls below the 1-day minimum near the surface on any day" in text
    assert "stays 8.0 mg/L" in text
    assert verdict(compare(four(lows=(1.0, 8.0, 2.0, 2.0)))).startswith('"loop" meets the oxygen criteria')
    assert "cannot be judged" in verdict(compare([small_pond(days=40).isel(time=slice(0, None, 3))] * 2))


def test_the_verdict_counts_money_where_there_is_a_tariff():
    ponds = four()
    for pond, dollars in zip(ponds, (0.0, 10.0, 30.0, 5.0), strict=True):
        names = ("bill_energy_charge", "bill_demand_charge", "bill_fixed_charge")
        for name, value in zip(names, (dollars, 0.0, 0.0), strict=True):
            pond[name] = ("month", np.array([value]))
        pond.coords["month"] = ["2025-06"]
    assert '"loop and air" costs $20 more than "loop"' in verdict(compare(ponds))


def test_a_printed_difference_is_that_of_the_printed_numbers():
    """92.64 and 92.56 print as 92.6 both: no difference is left to print."""
    row = Row(
        key="k",
        section="s",
        unit="%",
        us="%",
        si="%",
        good=1,
        values=(92.64, 92.56, 92.66),
        no_contest=(False,) * 3,
    )
    assert [(cell.value, cell.change) for cell in cells(row, "us")] == [
        ("92.6", ""),
        ("92.6", "="),
        ("92.7", "+0.1"),
    ]


def switched(*, starts, trips=0.0, hours=900.0):
    """A pond of 40 days whose pump ran so."""
    pond = small_pond(title="Loop", pumped=0.01)
    ran = np.full(pond.sizes["time"], hours / 960.0)
    return pond.assign_coords(system=["pump"]).assign(
        running_share=(("time", "system"), ran[:, None]),
        power_by_unit=(("time", "system"), pond["power"].values[:, None]),
        starts=("system", [starts]),
        trips=("system", [trips]),
    )


@pytest.mark.parametrize(
    ("starts", "trips", "words"),
    [
        (1, 0, "It uses 960 kWh in 40 days."),
        (40, 0, "It uses 960 kWh in 40 days."),
        (17, 0, "It uses 960 kWh in 40 days; pump starts 17 times, runs 900 h."),
        (90, 88, '"Loop": Pump trips 88 times, starts 90 times and runs 900 of 960 h.'),
        (1, 1, '"Loop": Pump trips once, starts once and runs 900 of 960 h.'),
    ],
)
@pytest.mark.parametrize("system", ["us", "si"])
def test_findings_tell_of_starts_that_no_timer_makes(starts, trips, words, system):
    """1 kW through 40 days is 960 kWh; one start, or one a day, is what a timer makes."""
    design = switched(starts=starts, trips=trips)
    assert words in findings(compare([small_pond(), design]), system)[1]


def test_no_cost_is_marked_as_best_and_a_fixed_charge_alone_is_told():
    """The cheapest is the pond that nothing is done to; $90 for an idle meter applies either way."""
    ponds = four(powers=(0.0, 100.0, 200.0, 50.0))
    for pond, dollars in zip(ponds, (0.0, 10.0, 30.0, 5.0), strict=True):
        charges = (dollars, 0.0, 90.0)
        for name, value in zip(("energy", "demand", "fixed"), charges, strict=True):
            pond[f"bill_{name}_charge"] = ("month", np.array([value]))
        pond.coords["month"] = ["2025-06"]
    comparison = compare(ponds)
    assert comparison.row("cost").best == (False,) * 4
    assert "the fixed charge of the meter, $90, applies either way" in findings(comparison)[0]
