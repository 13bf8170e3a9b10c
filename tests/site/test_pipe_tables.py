"""Pipe one can buy, and what its fittings lose, against published tables."""

from __future__ import annotations

import fluids
import pytest
from fluids import fittings as library

from pondsim.scenario.fittings_table import entrance_table, fitting_table
from pondsim.scenario.pipe_tables import (
    KINDS,
    crane_friction,
    inside_diameter,
    inside_diameters,
    nearest_inches,
    outside_diameter,
)
from pondsim.site.pipe_run import fittings_coefficient

INCH = 0.0254


@pytest.mark.parametrize(
    ("kind", "nominal", "inside", "allowed"),
    [
        # steel, ASME B36.10, inside diameters of every handbook (from memory); the library has mm
        ("steel_40", 4, 4.026, 0.004),
        ("steel_40", 6, 6.065, 0.004),
        ("steel_40", 8, 7.981, 0.004),
        ("steel_40", 10, 10.020, 0.004),
        ("steel_40", 12, 11.938, 0.004),
        ("steel_80", 6, 5.761, 0.004),
        ("steel_80", 8, 7.625, 0.004),
        # PVC schedules: iron pipe outside diameters 6.625 and 12.750 in less two least walls of ASTM D1785,
        # 0.280, 0.406 and 0.432 in: from memory, not verified
        ("pvc_40", 6, 6.625 - 2 * 0.280, 5e-4),
        ("pvc_40", 12, 12.750 - 2 * 0.406, 5e-4),
        ("pvc_80", 6, 6.625 - 2 * 0.432, 5e-4),
        # SDR: wall = outside diameter / ratio, by definition, to the thousandth the tables round to
        ("pvc_sdr26", 8, 8.625 * (1 - 2 / 26), 0.0015),
        ("pvc_sdr21", 12, 12.750 * (1 - 2 / 21), 0.0025),
        ("hdpe_sdr17", 10, 10.750 * (1 - 2 / 17), 0.0025),
        # ductile iron outside diameters 9.05 and 13.20 in of AWWA C900: from memory, not verified
        ("pvc_c900_dr18", 8, 9.05 * (1 - 2 / 18), 0.003),
        ("pvc_c900_dr25", 12, 13.20 * (1 - 2 / 25), 0.003),
    ],
)
def test_inside_diameter(kind, nominal, inside, allowed):
    assert inside_diameter(kind, nominal * INCH) / INCH == pytest.approx(inside, abs=allowed)


def test_every_kind_has_sizes_that_grow():
    for kind in KINDS:
        sizes = inside_diameters(kind)
        assert sizes
        assert list(sizes) == sorted(sizes)
        assert list(sizes.values()) == sorted(sizes.values())
        for nominal, inside in sizes.items():
            if nominal >= 2:  # smaller pipe is a good deal wider than its name
                assert 0.8 * nominal < inside / INCH < 1.12 * nominal, (kind, nominal)


def test_size_is_found_however_it_is_written():
    assert nearest_inches(12 * INCH) == nearest_inches(0.3048) == nearest_inches(1.0 * 0.3048) == 12.0
    with pytest.raises(KeyError):
        inside_diameter("pvc_40", 7 * INCH)


@pytest.mark.parametrize(("inches", "factor"), [(6.065, 0.0149), (12.0, 0.0129)])
def test_friction_factor_of_fittings(inches, factor):
    """0.0149 at 6 in and 0.0129 at 12 in for steel, checks.md topic 11."""
    assert crane_friction(inches * INCH) == pytest.approx(factor, abs=5.1e-5)


D = 0.3


def crane_bend(radius):
    """The library's row of Crane's table for a bend radius in diameters."""
    rows = dict(zip(library.bend_rounded_Crane_ratios, library.bend_rounded_Crane_fds, strict=True))
    return rows[radius] * library.ft_Crane(D)


LIBRARY = {  # loss coefficients of the library, which quotes Crane's TP-410, over its fT
    "gate valve": library.K_gate_valve_Crane(D, D, 0.0),
    "ball valve": library.K_ball_valve_Crane(D, D, 0.0),
    "globe valve": library.K_globe_valve_Crane(D, D),
    "swing check valve": library.K_swing_check_valve_Crane(D=D, angled=True),
    "clearway swing check valve": library.K_swing_check_valve_Crane(D=D, angled=False),
    "foot valve": library.K_foot_valve_Crane(D=D, style=1),
    "poppet foot valve": library.K_foot_valve_Crane(D=D, style=0),
    "standard elbow": 30.0 * library.ft_Crane(D),  # checks.md topic 11
    "long radius elbow": crane_bend(1.5),
    "sweep elbow": crane_bend(3.0),
    "mitre elbow": library.bend_miter(90.0, Di=D, method="Crane"),
    "45 degree mitre": library.bend_miter(45.0, Di=D, method="Crane"),
    "45 degree elbow": library.bend_rounded(D, 45.0, method="Crane standard"),
    "return bend": library.bend_rounded(D, 180.0, method="Crane standard"),
    "tee through": 20.0 * library.ft_Crane(D),  # checks.md topic 11
    "tee branch": 60.0 * library.ft_Crane(D),  # checks.md topic 11
}


@pytest.mark.parametrize("name", LIBRARY)
def test_fitting_against_the_library(name):
    assert fittings_coefficient(((1, name),), D) == pytest.approx(LIBRARY[name], rel=1e-4)


@pytest.mark.parametrize(("diameter", "lengths"), [(0.15, 45.0), (0.2, 45.0)])
def test_butterfly_valve(diameter, lengths):
    """To 8 in; the library's form."""
    expected = library.K_butterfly_valve_Crane(D=diameter, style=0)
    assert fittings_coefficient(((1, "butterfly valve"),), diameter) == pytest.approx(expected, rel=1e-4)
    assert fitting_table()["butterfly valve"].friction_lengths == lengths


def test_every_fitting_is_held_against_something():
    assert set(fitting_table()) == {*LIBRARY, "butterfly valve"}


def test_entrances():
    """Crane, as the library gives it: flush, projecting, rounded to 0.1 and to 0.15 diameters and more."""
    expected = {
        "sharp": library.entrance_sharp(method="Crane"),
        "projecting": library.entrance_distance(D, t=0.003, l=D, method="Crane"),
        "rounded": fluids.fittings.entrance_rounded(D, 0.1 * D, method="Crane"),
        "bell": fluids.fittings.entrance_rounded(D, 0.2 * D, method="Crane"),
    }
    assert {name: row.loss for name, row in entrance_table().items()} == pytest.approx(expected)


def test_fittings_add_up():
    one = fittings_coefficient(((1, "standard elbow"),), 0.2)
    assert fittings_coefficient(((3, "standard elbow"), (1, "gate valve")), 0.2) == pytest.approx(
        3 * one + 8 / 30 * one
    )
    assert fittings_coefficient((), 0.2) == 0.0


@pytest.mark.parametrize(
    ("kind", "nominal", "inside", "allowed"),
    [
        # ASTM D3034 Table 1: outside diameters, and the walls of 4 and 15 in, read in a trade article; others
        # from memory: checks 15.1 to 15.8
        pytest.param("pvc_sewer_sdr35", 4, 3.975, 0.001, id="15.1"),
        pytest.param("pvc_sewer_sdr35", 6, 5.915, 0.001, id="15.2"),
        pytest.param("pvc_sewer_sdr35", 8, 7.920, 0.001, id="15.3"),
        pytest.param("pvc_sewer_sdr35", 10, 9.900, 0.001, id="15.4"),
        pytest.param("pvc_sewer_sdr35", 12, 11.780, 0.001, id="15.5"),
        pytest.param("pvc_sewer_sdr26", 8, 7.754, 0.002, id="15.7"),
        pytest.param("pvc_sewer_sdr26", 12, 11.538, 0.002, id="15.8"),
        # corrugated polyethylene: the nominal size is the inside diameter (read)
        ("pe_corrugated", 15, 15.0, 0.001),
    ],
)
def test_gravity_pipe(kind, nominal, inside, allowed):
    assert inside_diameter(kind, nominal * INCH) / INCH == pytest.approx(inside, abs=allowed)


@pytest.mark.parametrize("nominal", [15, 18])
def test_gravity_pipe_of_15_and_18_in_is_that_of_the_library(nominal):
    """The library's irrigation pipe of ratio 35 has the diameters of sewer pipe from 15 in on."""
    sizes, inside, outside, *_ = fluids.piping.schedule_lookup["DR35D2241PIP"]
    row = list(sizes).index(nominal)
    assert inside_diameter("pvc_sewer_sdr35", nominal * INCH) == pytest.approx(inside[row] / 1e3, abs=5e-5)
    assert outside_diameter("pvc_sewer_sdr35", nominal * INCH) == pytest.approx(outside[row] / 1e3, abs=5e-5)


def test_walls_of_sdr_26_follow_the_ratio():
    """Wall = outside diameter / 26 by definition of the ratio, to a thousandth of an inch and a half."""
    for size, inside in inside_diameters("pvc_sewer_sdr26").items():
        over = outside_diameter("pvc_sewer_sdr26", size * INCH)
        assert (over - inside) / 2 / INCH == pytest.approx(over / 26 / INCH, abs=0.0015)
