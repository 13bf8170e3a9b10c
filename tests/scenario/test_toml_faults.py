# ruff: noqa: E501 (one row is one slip and its whole message)
"""Texts that are no TOML: the key, its lines and the cure, not the words of the reader."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.tree import load

PUMP = '[pump]\nflow = "300 gpm"\n'
SLIPS = [  # text, line, words
    (PUMP + 'count = 2\nflow = "400 gpm"\n', 4, "pump.flow is given twice, in line 2 and in line 4; keep one of the two."),
    (PUMP + "[x]\na = 1\n" + PUMP, 5, "pump is given twice, in line 1 and in line 5; write all its keys under one [pump]."),
    ('[[zone]]\nname = "a"\n[zone]\n', 3, "zone is given twice, in line 1 and in line 3; once as a section, once as a list: write [[zone]] both times."),
    ('[[zone]]\nname = "a"\n[[zone]]\nname = "b"\nname = "c"\n', 5, "zone.name is given twice, in line 4 and in line 5; keep one of the two."),
    ("a.b = 1\na.b.c = 2\n", 2, "a.b.c and a.b in line 1 do not fit together: the one is a value, the other would lie within it."),
    ('[pump]\nflow = "300 gpm\nhead = "2 ft"\n', 2, 'pump.flow is missing a quote: "300 gpm; put text between two quotes, as "4 ft".'),
    ('[pump]\nflow = 300 gpm"\n', 2, 'pump.flow is missing a quote: 300 gpm"; put text between two quotes, as "4 ft".'),
    ('[pump]\nflow = "300 gpm # of its plate', 2, 'pump.flow is missing a quote: "300 gpm # of its plate; put text between two quotes, as "4 ft".'),
    ('stage = ["0 ft, "5 ft"]\n', 1, 'stage is missing a quote: ["0 ft, "5 ft"]; put text between two quotes, as "4 ft".'),
    ('stage = [\n"0 ft",\n"5 ft\n]\n', 3, 'stage is missing a quote: "5 ft; put text between two quotes, as "4 ft".'),
    ('title = "the "old" pond"\n', 1, 'title = "the "old" pond" goes on behind its end; a text stands between two quotes.'),
    ('title = """the pond\nb = 1\n', 1, 'title begins a text that is never closed; write """ behind it.'),
    ("[pump]\nflow =\ncount = 2\n", 2, 'pump.flow has no value; write such as flow = "4 ft", or take the line out.'),
    ("[pump]\nflow = # to be measured\n", 2, 'pump.flow has no value; write such as flow = "4 ft", or take the line out.'),
    ("[pump]\nflow =", 2, 'pump.flow has no value; write such as flow = "4 ft", or take the line out.'),
    ('[pump]\nflow "300 gpm"\n', 2, 'flow lacks its equals sign; write flow = "300 gpm".'),
    ('[pump]\nflow: "300 gpm"\n', 2, 'flow lacks its equals sign; write flow = "300 gpm".'),
    ("[pump]\nflow = 300 gpm # by the plate\n", 2, 'pump.flow = 300 gpm has no quotes; write flow = "300 gpm".'),
    ("pump flow = 3\n", 1, "pump flow is not a key: a key is one word; write pump_flow = 3."),
    ('[zone]\nstage = ["0 ft", "5 ft"\narea = ["1 m2"]\n', 3, "zone.stage is a list, begun in line 2, that lacks a comma or its closing ] before this place."),
    ('stage = ["0 ft" "5 ft"]\n', 1, "stage is a list that lacks a comma or its closing ] before this place."),
    ("[pump\nflow = 1\n", 1, "pump is the head of a section that is not closed; write [pump]."),
    ("[[zone]\nx = 1\n", 1, "zone is the head of a section that is not closed; write [[zone]]."),
    ("waves = True\n", 1, "waves = True; write waves = true, in small letters."),
    ('file = "C:\\data"\n', 1, 'file = "C:\\data" has a backslash; write a path with / in place of it.'),
    ("drop = \u201c3 ft\u201d\n", 1, 'drop = \u201c3 ft\u201d has curved quotes; write straight ones, as in drop = "4 ft".'),
    ("a = {b = 1\n}\n", 1, "a has braces that are not closed in their line; close them, or write [a] with a line for each key."),
    ("b = 1\na = " + "[" * 3000 + "]" * 3000, 2, "goes more than 12 levels deep here; no section or list of a scenario does."),
    ("a = " + "{b = " * 600 + "1" + "}" * 600, 1, "goes more than 12 levels deep here; no section or list of a scenario does."),
    ("b = 1\n" + ".".join("a" * 2000) + " = 1", 2, "goes more than 12 levels deep here; no section or list of a scenario does."),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "words"), SLIPS)
def test_a_slip_is_told_with_its_key_its_lines_and_the_cure(tmp_path, text, line, words):
    path = tmp_path / "slip.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load(path)
    assert str(caught.value) == f"{path}:{line}: {words}"


def test_a_file_of_another_kind_is_told_to_be_none(tmp_path):
    path = tmp_path / "rain.csv"
    path.write_text("time,rain [in]\n2025-07-01 00:00,0\n")
    with pytest.raises(ScenarioError) as caught:
        load(path)
    assert str(caught.value).startswith(f"{path}: is not a design file or list (TOML). Line 1: time lacks")


def test_ten_levels_are_read(tmp_path):
    path = tmp_path / "deep.toml"
    path.write_text("a.b.c.d.e.f.g.h.i.j = 1\n", encoding="utf-8")
    load(path)
