# ruff: noqa: E501 (docstrings carry the sums by hand)
"""The well as built against worked examples, and the trench counted by hand."""

from __future__ import annotations

import math

import pytest

from pondsim.design.held import all_limits
from pondsim.design.trench import YEAR, silting, trench_sheet
from pondsim.design.well import draining, well_built, well_built_limits
from tests.line_for_tests import PARTS, line_scenario
from tests.physics.tolerance import close_to

FT, LB = 0.3048, 0.45359237
PCF = LB / FT**3
GAL = 3.785411784e-3


def well(folder, text, structure, **parts):
    return line_scenario(folder, wet_well=f"{text}\n[wet_well.structure]\n{structure}", **parts)


RINGS = 'diameter = "72 in"\nbottom = "0 ft"\npump_off = "7 ft"'
BASE = 'wall = "7 in"\ntop = "10.667 ft"\nbase_thickness = "0.667 ft"\ntop_thickness = "0.667 ft"\n'
LIP = f'base_lip = "{(8 - 86 / 12) / 2} ft"\n'


@pytest.mark.parametrize(
    ("structure", "value"),
    [
        pytest.param(('groundwater = "10.667 ft"',), 0.938476, id="16.4"),
        pytest.param(
            ('groundwater = "10.667 ft"', 'grade = "10 ft"', 'backfill = "50 lb/ft3"'), 1.10996, id="16.5"
        ),
        pytest.param(('groundwater = "5.333 ft"',), 1.75057, id="16.6"),
    ],
)
def test_flotation_of_an_empty_well(tmp_path, structure, value):
    """72 in rings, 7 in wall, 10 ft high on a base of 8 ft: Archimedes, exact; no soil, soil on the lip, low water."""
    built = well_built(well(tmp_path, RINGS, BASE + LIP + "\n".join(structure)))
    assert built is not None
    assert built.safety == close_to(value, "0.2 %", "1")


def test_weight_of_a_manhole(tmp_path):
    """5 ft inside, wall 0.5, 23 ft deep, base 1, top 0.67 ft with a 3 ft opening, cover 500 lb: 34,514 lb, ACPA
    Design Data 41 as worked by hand in a published sheet: check 16.1."""
    built = well_built(
        well(
            tmp_path,
            'diameter = "5 ft"\nbottom = "1 ft"\npump_off = "7 ft"',
            'wall = "0.5 ft"\ntop = "23 ft"\nbase_thickness = "1 ft"\ntop_thickness = "0.67 ft"\n'
            'opening = "3 ft"\ncover_weight = "500 lb"',
        )
    )
    assert built is not None
    assert built.weight / LB == close_to(34514, 2, "lb")


@pytest.mark.parametrize(
    ("inches", "wall", "value"),
    [pytest.param(48, 5, 867.21, id="15.16"), pytest.param(72, 7, 1809.69, id="15.17")],
)
def test_weight_of_a_ring(tmp_path, inches, wall, value):
    """Pounds for each foot of ring, 150 lb/ft3; geometry, exact."""
    text = f'diameter = "{inches} in"\nbottom = "0 ft"\npump_off = "7 ft"'
    built = well_built(well(tmp_path, text, f'wall = "{wall} in"\ntop = "12 ft"'))
    assert built is not None
    assert built.walls * 150 * PCF / LB / (built.height / FT) == close_to(value, "0.1 %", "lb/ft")


@pytest.mark.parametrize(
    ("inches", "value"), [pytest.param(48, 12.5664, id="16.8"), pytest.param(72, 28.2743, id="16.9")]
)
def test_volume_of_a_ring(tmp_path, inches, value):
    """Cubic feet for each foot; geometry, exact."""
    scenario = line_scenario(tmp_path, wet_well=PARTS["wet_well"].replace("6 ft", f"{inches} in"))
    assert scenario.wet_well is not None
    assert scenario.wet_well.area / FT**2 == close_to(value, "0.05 %", "ft3/ft")


def test_a_vault_by_hand(tmp_path):
    """6 by 5 ft inside, wall 1 ft: shell 8 x 7 = 56 ft2, walls 26 ft2; 9 ft high; base 8 x 7 x 1 ft; top 56 x 1."""
    scenario = well(
        tmp_path,
        'length = "6 ft"\nwidth = "5 ft"\nbottom = "1 ft"\npump_off = "7 ft"',
        'wall = "1 ft"\ntop = "11 ft"\nbase_thickness = "1 ft"\ntop_thickness = "1 ft"\ngroundwater = "10 ft"\n'
        'gravel = "1 ft"\nfabric = true\nring_height = "3 ft"',
    )
    built = well_built(scenario)
    assert built is not None
    concrete = 26 * 9 + 56 + 56
    assert built.weight / LB == pytest.approx(150 * concrete)
    assert built.safety == pytest.approx(150 * concrete / (62.4 * 56 * 10), rel=1e-4)
    short = 1.2 * 62.4 * 560 - 150 * concrete
    assert built.missing / FT**3 == pytest.approx(max(short, 0) / (150 - 62.4), rel=1e-3)
    assert built.rings == 3
    assert built.gravel / FT**3 == pytest.approx(10 * 9)
    assert built.fabric / FT**2 == pytest.approx(90 + 4 * math.sqrt(90))


def test_verdicts_on_the_well(tmp_path):
    found = {
        limit.what: limit for limit in all_limits(well(tmp_path, RINGS, BASE + 'groundwater = "10.667 ft"'))
    }
    floats = found["weight over uplift, pumped dry, highest groundwater"]
    assert floats.verdict == "fail"
    assert "concrete would hold it" in floats.note
    held = well(tmp_path, RINGS, BASE + 'base_lip = "2 ft"\nbackfill = "55 lb/ft3"\ngroundwater = "8 ft"')
    assert {one.what: one.verdict for one in well_built_limits(held, 0.03)}[floats.what] == "pass"


def test_a_line_without_a_valve_and_a_pressure_line_of_sewer_pipe(tmp_path):
    plain = line_scenario(
        tmp_path,
        gravity_line=PARTS["gravity_line"].replace(', "gate valve"', ""),
        discharge=PARTS["discharge"].replace("pvc_40", "pvc_sewer_sdr35"),
    )
    verdicts = {limit.what: limit.verdict for limit in all_limits(plain)}
    assert verdicts["a valve in the gravity line"] == "warn"
    assert verdicts["pipe made for pressure"] == "fail"


def test_opening_for_the_pipe(tmp_path):
    """12 in SDR 35 has a wall of 0.36 in: invert 3.02 ft over the floor, opening 3 ft over it: 0.01 ft too low."""
    line = PARTS["gravity_line"].replace("pvc_40", "pvc_sewer_sdr35") + 'outlet = "4.02 ft"'
    text = PARTS["wet_well"] + '[wet_well.structure]\nwall = "6 in"\ntop = "13 ft"\nknockout = "3 ft"'
    found = {one.what: one for one in all_limits(line_scenario(tmp_path, wet_well=text, gravity_line=line))}
    edge = found["underside of the gravity line over the edge of its opening"]
    assert edge.value == pytest.approx((0.02 - 0.03) * FT)
    assert edge.verdict == "warn"


def test_starts_and_draining(tmp_path):
    """5 ft well, 1.5 ft between floats, 300 gpm: 20.4 starts an hour (check 16.13); by hand 19.635 ft2 x 3 ft down
    to pump-off at 300 gpm, 6 ft below it."""
    text = 'diameter = "5 ft"\nbottom = "1 ft"\npump_off = "7 ft"\npump_on = "8.5 ft"'
    scenario = line_scenario(tmp_path, wet_well=text)
    flow = 300 * GAL / 60
    starts = next(one for one in well_built_limits(scenario, flow) if one.what == "water between the floats")
    assert starts.value == pytest.approx(19.635 * 1.5 * FT**3, rel=1e-4)
    assert "20 starts an hour; 750 gal would keep to 6" in starts.note
    found = draining(scenario, flow)
    assert found is not None
    assert found.own_pump == pytest.approx(19.635 * 3 * 7.48052 / 300 * 60, rel=1e-4)
    assert found.rest / GAL == pytest.approx(19.635 * 6 * 7.48052, rel=1e-4)


PROFILE = 'station = ["0 ft", "40 ft", "80 ft"]\nbed = ["6 ft", "7 ft", "12 ft"]\nhard = ["5 ft", "6 ft", "12 ft"]\n'
SHAPE = 'bottom_width = "2 ft"\nmuck_slope = 4\nfirm_slope = 1\ndry_slope = 1.5\nbedding = "0 ft"\n'
LEVEL = PARTS["gravity_line"].replace('nominal = "12 in"\npipe = "pvc_40"', 'inside_diameter = "12 in"')


def trench(folder, extra=""):
    return line_scenario(folder, gravity_line=LEVEL, trench=PROFILE + SHAPE + extra)


def test_trench_by_hand(tmp_path):
    """Level pipe, inside bottom 4.5 ft. At 0 ft: 0.5 ft firm, 1 ft muck; at 40 ft: 1.5 and 1; at 80 ft dry, 7.5 deep.
    Simpson over the evenly sloping stretch from 0 to 40 is exact for its quadratic sections."""
    sheet = trench_sheet(trench(tmp_path))
    assert sheet is not None

    def section(firm, muck):
        shoulder = 2 + 2 * firm
        return firm * (2 + firm), muck * (shoulder + 4 * muck)

    firm = [section(d, 1)[0] for d in (0.5, 1.0, 1.5)]
    muck = [section(d, 1)[1] for d in (0.5, 1.0, 1.5)]
    assert sheet.depth / FT == pytest.approx([1.5, 2.5, 7.5])
    assert sheet.invert / FT == pytest.approx([4.5] * 3)
    exact = 40 / 6 * (firm[0] + 4 * firm[1] + firm[2]) + 40 / 6 * (muck[0] + 4 * muck[1] + muck[2])
    first = sheet.prismoidal / FT**3
    # the second stretch, 40 to 80 ft: under water to the shore at 64 ft, dry beyond; the whole between its parts
    assert exact < first < exact + 40 * 7.5 * (2 + 1.5 * 7.5)
    assert sheet.shore / FT == pytest.approx(64)
    assert sheet.cover[:2] / FT == pytest.approx([9 - 5.5] * 2)
    assert sheet.under_intake / FT == pytest.approx(-1.5)
    assert sheet.deepest_dry / FT == pytest.approx(7.5)


def test_volume_of_an_even_trench(tmp_path):
    """Bed level at 7 ft, hard at 6 ft, 80 ft long: 1.5 x 3.5 + 1 x (5 + 4) = 14.25 ft2, 1140 ft3; loose a quarter more;
    bedding 6 in under and to the springline of a 12 in pipe, 2 ft wide: 2 x 1 - pi/8 ft2."""
    even = 'station = ["0 ft", "80 ft"]\nbed = ["7 ft", "7 ft"]\nhard = ["6 ft", "6 ft"]\n'
    scenario = line_scenario(tmp_path, gravity_line=LEVEL, trench=even + SHAPE)
    sheet = trench_sheet(scenario)
    assert sheet is not None
    assert sheet.firm / FT**3 == pytest.approx(1.5 * 3.5 * 80)
    assert sheet.muck / FT**3 == pytest.approx(9 * 80)
    assert sheet.dry == 0.0
    assert sheet.volume == pytest.approx(sheet.prismoidal)
    assert sheet.spoil / FT**3 == pytest.approx(1140 * 1.25)
    assert sheet.flatter / FT**3 == pytest.approx(80 * (6 - 4))
    assert sheet.overdig / FT**3 == pytest.approx(0.5 * 2 * 80)
    assert sheet.bedding / FT**3 == pytest.approx((2 * 0.5 - math.pi / 8) * 80)
    stone = line_scenario(
        tmp_path, gravity_line=LEVEL, trench=even + SHAPE.replace('bedding = "0 ft"', 'bedding = "6 in"')
    )
    deeper = trench_sheet(stone)
    assert deeper is not None
    assert deeper.bedding / FT**3 == pytest.approx((2 * 1.0 - math.pi / 8) * 80)
    assert deeper.depth / FT == pytest.approx([3.0, 3.0])


def test_bed_over_the_intake_fails(tmp_path):
    """The bed that the soundings know is that under the intake: 1.5 ft over the bottom of the pipe."""
    found = {one.what: one for one in all_limits(trench(tmp_path))}
    buried, clear = (
        "bottom of the pipe over the bed under it",
        "bed to the bottom of the intake's opening, as sounded",
    )
    assert found[buried].verdict == "fail"
    assert found[buried].value == pytest.approx(-1.5 * FT)
    assert found[clear].verdict == "warn"
    deep = {one.what: one.verdict for one in all_limits(trench(tmp_path, 'sump_depth = "3 ft"'))}
    assert deep[clear] == "pass"


def test_year_in_which_the_intake_is_buried(tmp_path):
    """Bed 2.5 ft under the opening, no pit: 2.5 ft / 0.5 in a year = 60 years, 36 to the last foot. A foot of sump
    without trapping and creep adds a foot / 0.5 in a year; cleaned yearly it never comes near."""
    free = PROFILE.replace('"6 ft"', '"2 ft"', 1).replace('"5 ft"', '"2 ft"', 1)
    extra = 'growth = "0.5 in/yr"\ntrapping = 1\ncreep = "0 ft2/yr"\n'
    drawn, foot, _ = silting(line_scenario(tmp_path, gravity_line=LEVEL, trench=free + SHAPE + extra))
    assert drawn.buried == pytest.approx(60)
    assert drawn.low == pytest.approx(36)
    assert foot.buried == pytest.approx(84)
    assert drawn.kept and drawn.after_a_year == pytest.approx(0.5 / 12 * FT)
    faster = silting(line_scenario(tmp_path, gravity_line=LEVEL, trench=free + SHAPE + extra), 5 * FT / YEAR)
    assert faster[0].buried == pytest.approx(0.5)
    assert not faster[0].kept
    assert silting(line_scenario(tmp_path, gravity_line=LEVEL, trench=free + SHAPE)) == ()
