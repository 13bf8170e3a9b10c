"""Energy that cannot be is refused: by the definitions of water power and of adiabatic compression."""

from __future__ import annotations

import pytest

from pondsim.design.air import limits as air_limits
from pondsim.design.circulation import limits
from pondsim.scenario.read import read_scenario
from tests.line_for_tests import PARTS, line_scenario, line_text
from tests.scenarios_for_tests import write_design

WATER_HP = 745.7 / 3960  # W for a gpm through a foot
STATED = 'flow = "400 gpm"\n'


def verdict(found, words):
    one = [limit for limit in found if words in limit.what]
    assert len(one) == 1, [limit.what for limit in found]
    return one[0].verdict


@pytest.mark.parametrize(("share", "wanted"), [(0.85, "pass"), (0.95, "fail"), (1.87, "fail")])
def test_power_of_a_curve_below_what_any_pump_needs(tmp_path, share, wanted):
    """gpm ft / 3960 is the water's horsepower; the shaft has it over `share`."""
    points = ((0, 28), (200, 26), (400, 22.5), (600, 17), (800, 9))
    power = ", ".join(f'"{max(flow * head, 4000) * WATER_HP / share:.1f} W"' for flow, head in points)
    pump = PARTS["pump"][: PARTS["pump"].index("curve_efficiency")] + f"curve_power = [{power}]"
    assert verdict(limits(line_scenario(tmp_path, pump=pump)), "highest efficiency") == wanted


@pytest.mark.parametrize(("share", "wanted"), [(0.9, "fail"), (1.1, "pass")])
def test_a_meter_below_the_power_of_the_lifted_water(tmp_path, share, wanted):
    """400 gpm against 10 ft."""
    also = f'total_head = "10 ft"\npower = "{share * 4000 * WATER_HP:.1f} W"'
    found = limits(line_scenario(tmp_path, pump=STATED + also, discharge=None))
    assert verdict(found, "metered power") == wanted


def test_a_meter_below_the_shaft(tmp_path):
    """Efficiency 50 %: the shaft has twice the water's power, the meter reads 1.5 times."""
    also = f'total_head = "10 ft"\nefficiency = 0.5\npower = "{1.5 * 4000 * WATER_HP:.1f} W"'
    assert verdict(limits(line_scenario(tmp_path, pump=STATED + also)), "of the shaft") == "fail"


@pytest.mark.parametrize(("head", "wanted"), [("3 ft", "warn"), ("20 ft", "warn")])
def test_a_stated_head_beside_a_described_line(tmp_path, head, wanted):
    """The lip alone stands 5 ft up; 150 ft of 6 in at 4.4 ft/s lose some feet, not fifteen."""
    found = limits(line_scenario(tmp_path, pump=f'{STATED}total_head = "{head}"'))
    assert verdict(found, "total_head as stated") == wanted


@pytest.mark.parametrize(
    ("head", "lip", "wanted"),
    [("2 ft", "", "fail"), ("4.9 ft", "", "fail"), ("5.1 ft", "", "pass"), ("5.1 ft", "16 ft", "fail")],
)
@pytest.mark.parametrize("described", [True, False])
def test_a_stated_head_lifts_at_least_to_the_lip(tmp_path, head, lip, wanted, *, described):
    """Water falls 5 ft to a pool at 10 ft, or from a lip at 16 ft: by energy no pump lifts with less head."""
    also = {"waterfall": f'lip = "{lip}"'} if lip else {}
    gone = {} if described else dict.fromkeys(("gravity_line", "wet_well", "discharge"))
    pump = f'{STATED}total_head = "{head}"'
    found = limits(line_scenario(tmp_path, pump=pump, also=also, **gone))
    assert verdict(found, "against the lift") == wanted
    (one,) = [limit for limit in found if "against the lift" in limit.what]
    assert one.least == pytest.approx(0.3048 * (6.0 if lip else 5.0), abs=0.05)


@pytest.mark.parametrize(("best", "wanted"), [(1, "warn"), (3, "pass"), (2, "warn")])
def test_far_from_the_best_point(tmp_path, best, wanted):
    """Pump and line agree near 570 gpm; the best point is at 200, 600 or 400 gpm: 2.9, 0.95, 1.4 of it."""
    shares = ["0 %", "40 %", "40 %", "40 %", "40 %"]
    shares[best] = "60 %"
    listed = ", ".join(f'"{one}"' for one in shares)
    pump = PARTS["pump"][: PARTS["pump"].index("curve_efficiency")] + f"curve_efficiency = [{listed}]"
    assert verdict(limits(line_scenario(tmp_path, pump=pump)), "best efficiency") == wanted


@pytest.mark.parametrize(("lip", "wanted"), [("14.95 ft", "pass"), ("15.5 ft", "warn"), ("17 ft", "fail")])
def test_lip_and_drop(tmp_path, lip, wanted):
    """Normal pool 10 ft, drop 5 ft; 300 gpm over 5 ft stand 0.12 ft over the lip."""
    found = limits(line_scenario(tmp_path, pump='flow = "300 gpm"', also={"waterfall": f'lip = "{lip}"'}))
    assert verdict(found, "water at the lip") == wanted


AIR = """
[[aeration]]
name = "pool air"
zone = "deep pool"
elevation = "1 ft"
diffusers = 2
"""


def ideal_power(scfm, psi):
    """W = m R T k/(k-1) ((p2/p1)^((k-1)/k) - 1); 0.075 lb/ft3, R 287.05, k 1.4, 20 degC, 14.7 psi."""
    mass = scfm * 0.3048**3 / 60 * 1.2014
    return mass * 287.05 * 293.15 * 3.5 * (((14.7 + psi) / 14.7) ** (1 / 3.5) - 1)


@pytest.mark.parametrize(("share", "wanted"), [(0.85, "fail"), (1.15, "pass")])
def test_a_source_below_adiabatic_compression(tmp_path, share, wanted):
    curve = 'source_flow = ["10 scfm", "5 scfm"]\nsource_pressure = ["5 psi", "10 psi"]\n'
    power = ", ".join(f'"{share * ideal_power(*one):.2f} W"' for one in ((10, 5), (5, 10)))
    path = write_design(tmp_path, line_text() + AIR + curve + f"source_power = [{power}]\n")
    assert verdict(air_limits(read_scenario(path)), "on the source's curve") == wanted
