"""Keys laid over a design: what they change, and what is said of those that cannot be laid."""

from __future__ import annotations

from pathlib import Path

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.overlay_list import read_items
from pondsim.scenario.read import read, read_scenario
from pondsim.scenario.values import value_at
from pondsim.scenario.vary import TAKEN_OUT, Change, read_changed
from pondsim.site.circulation_line import flow_at_normal_pool
from pondsim.site.equipment import unit_air
from pondsim.sizing.by_word import size_of
from pondsim.sizing.size import limits, within
from pondsim.sizing.size_hours import span_text
from tests.line_for_tests import line_text
from tests.scenarios_for_tests import write_design

FOOT = 0.3048  # m, exact
GPM = 231 * 0.0254**3 / 60  # m3/s, exact
SCFM = FOOT**3 / 60  # m3/s, exact
OPTION = Path("--from")
UNIT = '\n[[aeration]]\nname = "arm"\nzone = "cove"\nelevation = "6 ft"\ndiffusers = 1\nair_flow = "1 scfm"\n'


@pytest.fixture
def design(tmp_path):
    return write_design(tmp_path)


def changed(design, *pairs):
    return read_changed(design, [Change(key, value, OPTION) for key, value in pairs]).scenario


def test_only_what_is_laid_over_changes(design):
    before = read_scenario(design)
    after = changed(design, ("pump.flow", "450 gpm"), ("aeration.pool air.diffusers", 5))
    assert after.pump.flow == pytest.approx(450 * GPM, rel=1e-9)
    assert after.aeration[0].diffusers == 5
    assert (after.zone, after.waterfall, after.aeration[0].hours) == (
        before.zone,
        before.waterfall,
        before.aeration[0].hours,
    )
    assert read_scenario(design) == before == changed(design)


def test_keys_of_lists_and_of_sections_not_written(design):
    after = changed(
        design,
        ("zone.cove.bed_oxygen_demand", "3 g/m2/d"),
        ("inflow.1.volume", "1 acre-ft"),
        ("outlet.weir.width", "9 ft"),
        ("bed.half_saturation", "0.5 mg/L"),
    )
    assert after.zone[1].bed_oxygen_demand == pytest.approx(3e-3 / 86400)
    assert after.inflow[0].volume == pytest.approx(43560 * FOOT**3)
    assert value_at(after, "outlet.weir.width") == pytest.approx(9 * FOOT)
    assert after.bed.half_saturation == pytest.approx(0.5e-3)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("pump.flow", "3 ft", '--from: pump.flow = "3 ft" is a length; write a flow'),
        ("pump.flow", "9", '--from: pump.flow = "9" has no unit; write a flow'),
        ("waterfall.drop", "40 ft", '--from: waterfall.drop = "40 ft" is too high; write a length from 0 ft'),
        ("waterfall.dorp", "4 ft", '--from: waterfall.dorp is an unknown key; did you mean "drop"?'),
        ("waterfal.drop", "4 ft", 'is an unknown key (waterfal); did you mean "waterfall"?'),
        ("intake.zone", "bay", '--from: intake.zone = "bay" names no zone.'),
        ("intake.elevation", "11 ft", "--from: intake.elevation = 11 ft (3.3528 m) is not below"),
        ("aeration.pol air.air_flow", "1 scfm", 'names no aeration of this design; did you mean "pool air"?'),
        ("aeration.pool air", "1 scfm", "is a section; name one of its keys too."),
        ("pump.flow.least", "1 gpm", "is unknown: flow is one value and has no keys of its own."),
        ("rain.file", "x.csv", "cannot be set: the design has no [rain]; write it into the design first."),
        ("bloom_crash.1.duration", "1 d", "cannot be set: the design has no [[bloom_crash]]"),
    ],
)
def test_what_cannot_be_laid_over_names_its_source(design, key, value, words):
    with pytest.raises(ScenarioError) as caught:
        changed(design, (key, value))
    assert words in str(caught.value)
    assert str(caught.value).startswith("--from: ")


def test_flow_drop_and_any_key(design):
    for what, key, present in (
        ("flow", "pump.flow", 300 * GPM),
        ("drop", "waterfall.drop", 4 * FOOT),
        ("waterfall.width", "waterfall.width", 5 * FOOT),
    ):
        size = size_of(design, what)
        assert size.present == pytest.approx(present)
        after = read_changed(design, size.changes(0.7 * present, OPTION)).scenario
        assert value_at(after, key) == pytest.approx(0.7 * present, rel=1e-8)
        assert size.value_of(after) == pytest.approx(0.7 * present, rel=1e-8)


CURVE = """curve_flow = ["0 gpm", "200 gpm", "400 gpm", "600 gpm"]
curve_head = ["20 ft", "18 ft", "13 ft", "5 ft"]"""
PIPE = '\n[discharge]\ninside_diameter = "6 in"\nlength = "100 ft"\n'


def test_sizes_start_from_what_curves_deliver_and_take_their_place(tmp_path):
    """The curve meets a lift of 4 ft and 100 ft of pipe between its points."""
    text = write_design(tmp_path).read_text().replace('flow = "300 gpm"', CURVE)
    source = 'source = "blower"\nrated_flow = "3 scfm"\nrated_pressure = "4 psi"'
    text = text.replace('air_flow = "1.5 scfm"', source) + PIPE
    design = write_design(tmp_path, text)
    scenario = read(design).scenario
    flow, air = size_of(design, "flow"), size_of(design, "air")
    assert 200 * GPM < flow.present < 600 * GPM and flow.present == flow_at_normal_pool(scenario)
    assert air.present == pytest.approx(2 * unit_air(scenario.aeration[0], scenario))
    after = read_changed(design, flow.changes(350 * GPM, OPTION)).scenario
    assert after.pump.curve_flow == () and flow.value_of(after) == pytest.approx(350 * GPM)
    after = read_changed(design, air.changes(2 * SCFM, OPTION)).scenario
    assert after.aeration[0].air_flow == pytest.approx(SCFM) and after.aeration[0].rated_flow is None


def test_a_stated_head_grows_with_the_drop(tmp_path):
    text = write_design(tmp_path).read_text().replace('"300 gpm"', '"300 gpm"\ntotal_head = "12 ft"')
    design = write_design(tmp_path, text)
    size = size_of(design, "drop")
    after = read_changed(design, size.changes(6 * FOOT, OPTION)).scenario
    assert after.pump.total_head == pytest.approx(14 * FOOT)
    assert any("12 ft" in note for note in size_of(design, "flow").notes)


def test_air_of_all_units_goes_by_one_factor(tmp_path):
    """Two diffusers with 1.5 scfm and one with 1 are 4 scfm; twice that is 3 and 2 through each."""
    text = write_design(tmp_path).read_text() + UNIT
    design = write_design(tmp_path, text)
    size = size_of(design, "air")
    assert size.present == pytest.approx(4 * SCFM)
    after = read_changed(design, size.changes(8 * SCFM, OPTION)).scenario
    assert [unit.air_flow / SCFM for unit in after.aeration] == pytest.approx([3.0, 2.0])
    assert size.value_of(after) == pytest.approx(8 * SCFM)
    one = size_of(design, "air", "arm")
    after = read_changed(design, one.changes(2 * SCFM, OPTION)).scenario
    assert [unit.air_flow / SCFM for unit in after.aeration] == pytest.approx([1.5, 2.0])


def test_hours_lie_around_the_middle_of_the_timer(design):
    """20:00 to 08:00 has its middle at 02:00."""
    size = size_of(design, "hours", "pool air")
    assert size.present == 12 * 3600.0
    for hours, text in ((6, "23:00-05:00"), (12, "20:00-08:00"), (24, "00:00-24:00"), (4.5, "23:45-04:15")):
        assert size.changes(hours * 3600.0, OPTION)[0].value == [text]
    after = read_changed(design, size.changes(4.5 * 3600.0, OPTION)).scenario
    assert size.value_of(after) == 4.5 * 3600.0
    around = size_of(design, "hours", "pump", "14:30")
    assert around.changes(3600.0, OPTION)[0] == Change("pump.hours", ["14:00-15:00"], OPTION)


@pytest.mark.parametrize("middle", [0.0, 3.3 * 3600, 23.99 * 3600])
@pytest.mark.parametrize("length", [60.0, 3601.0, 40000.0, 86300.0])
def test_spans_are_as_long_as_asked_to_the_minute(middle, length):
    first, last = span_text(middle, length).split("-")
    start, end = (60 * int(t[:2]) + int(t[3:]) for t in (first, last))
    assert (end - start) % 1440 == round(length / 60)


@pytest.mark.parametrize(
    ("what", "unit", "middle", "words"),
    [
        ("flo", None, None, 'flo: cannot be sized; did you mean "flow"?'),
        ("waterfall.zone", None, None, "waterfall.zone: is not a number"),
        ("waterfall.dorp", None, None, 'did you mean "drop"?'),
        ("air", "pol air", None, '--unit: "pol air" names no unit of'),
        ("flow", "pool air", None, "--unit: goes with air and hours"),
        ("hours", None, None, "--unit: the design has a pump and air; write --unit pump"),
        ("hours", "pump", None, "pump.hours is all day; say around which hour with --middle"),
        ("hours", "pump", "25:00", '--middle: "25:00" is not a time of day'),
        ("drop", None, "02:00", "--middle: goes with hours"),
    ],
)
def test_what_cannot_be_sized(design, what, unit, middle, words):
    with pytest.raises(ScenarioError) as caught:
        size_of(design, what, unit, middle)
    assert words in str(caught.value)


def test_a_site_alone_has_nothing_to_size(design):
    for what in ("flow", "drop", "air", "hours"):
        with pytest.raises(ScenarioError, match=r"has no \["):
            size_of(design.parent / "site.toml", what)


def test_ranges(design):
    size = size_of(design, "flow")
    assert limits(size, "200 gpm", "30 L/s") == pytest.approx((200 * GPM, 0.03))
    assert limits(size, None, None) == pytest.approx((100 * GPM, 1500 * GPM))
    assert within(50.0, 100.0, 1500.0) == (50.0, 500.0)  # a design outside practice stays inside the range
    for start, end, words in (
        ("3 ft", None, '--from: flow = "3 ft" is a length'),
        (None, "many", '--to: flow = "many" does not begin with a number'),
        ("40 L/s", "300 gpm", "--from: the search range is 40 L/s to 300 gpm;"),
        ("100 L/s", None, "--from: the search range is 100 L/s to 94.6 L/s;"),  # 1500 gpm
    ):
        with pytest.raises(ScenarioError) as caught:
            limits(size, start, end)
        assert words in str(caught.value)
    with pytest.raises(ScenarioError, match="--from: is needed"):
        limits(size_of(design, "pump.power"), None, None)


def test_another_pump_does_not_take_over_the_machine_of_the_design(tmp_path):
    path = write_design(tmp_path, line_text(also={"pump": 'nameplate_power = "1 hp"\ncount = 2'}))
    listed = tmp_path / "list.toml"
    listed.write_text('[[pump]]\nname = "A"\nrated_flow = "300 gpm"\nrated_head = "20 ft"\n')
    (item,) = read_items(listed)
    pump = read_changed(path, item.changes).scenario.pump
    assert (pump.nameplate_power, pump.curve_efficiency, pump.count) == (None, (), 2)


def test_another_place_has_no_bed_of_the_old_one(tmp_path):
    path = write_design(tmp_path, line_text(also={"intake": 'bed = "1 ft"'}))
    listed = tmp_path / "list.toml"
    listed.write_text('[[pair]]\nname = "A"\nintake.zone = "cove"\nintake.elevation = "6 ft"\n')
    (item,) = read_items(listed)
    intake = read_changed(path, item.changes).scenario.intake
    assert (intake.zone, intake.bed) == ("cove", None)


def test_a_list_of_things_to_buy(tmp_path, design):
    path = tmp_path / "list.toml"
    path.write_text(
        '[[pump]]\nname = "A"\nprice = 2400\nflow = "320 gpm"\nwaterfall.drop = "5 ft"\n'
        '[[blower]]\nname = "B"\nair = "6 scfm"\naeration."pool air".power = "300 W"\n'
    )
    first, second = read_items(path, ("air",))
    assert (first.name, first.price, second.price) == ("A", 2400.0, None)
    assert [(c.key, c.value, c.line) for c in first.changes if c.value is not TAKEN_OUT] == [
        ("pump.flow", "320 gpm", 4),
        ("waterfall.drop", "5 ft", 5),
    ]
    assert [(c.key, c.value) for c in second.words] == [("air", "6 scfm")]
    after = read_changed(design, [*first.changes, *second.changes]).scenario
    assert after.waterfall.drop == pytest.approx(5 * FOOT)
    assert after.aeration[0].power == 300.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the list is empty."),
        ("[pump]\nname = 'A'\n", "list.toml:1: pump is not a list of entries; write [[pump]] above each."),
        ("[[pump]]\nflow = '3 gpm'\n", 'list.toml:1: pump.name is missing; write such as name = "A 300".'),
        ("[[pump]]\nname = 'A'\n", "list.toml:1: pump changes nothing"),
        ("[[pump]]\nname = 'A'\nprice = '9'\nflow = '3 gpm'\n", "list.toml:3: pump.price is not a price"),
        (2 * "[[pump]]\nname = 'A'\nflow = '3 gpm'\n", "A stands 2 times; name each once."),
    ],
)
def test_a_bad_list(tmp_path, text, words):
    path = tmp_path / "list.toml"
    path.write_text(text)
    with pytest.raises(ScenarioError) as caught:
        read_items(path)
    assert words in str(caught.value)


def test_another_way_to_say_one_thing_takes_the_place_of_the_first(design):
    """A weather file stands in for synthetic weather, as it does between a design and its site."""
    file = design.parent / "weather.csv"
    file.write_text("time\n")
    assert read_scenario(design).weather.synthetic is not None
    after = changed(design, ("weather.file", str(file)))
    assert (after.weather.file, after.weather.synthetic) == (file, None)
