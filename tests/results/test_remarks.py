"""Records and their words: each code has its own, made of its numbers; runs tell theirs once."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import numpy as np
import pytest

import pondsim
from pondsim.comparison import compare
from pondsim.comparison.notes import remarks_by_design
from pondsim.comparison.remarks import WORDS, records_data, sentence
from pondsim.comparison.remarks_on_designs import DESIGN_WORDS
from pondsim.records import Record
from tests.results.ponds import small_pond


def test_remarks_name_their_designs_where_they_are_not_of_all():
    """Two storms of two designs: four runs, two titles."""
    told = ("until June 27", "until June 26", "until June 27", "until June 26")
    runs = [small_pond(remarks=f"Ice lay.\n{text}\n") for text in told]
    assert list(remarks_by_design(runs, ["old", "new", "old", "new"])) == [
        "Ice lay.",
        '"old": until June 27',
        '"new": until June 26',
    ]
    assert list(remarks_by_design(runs[:1], ["old"])) == ["Ice lay.", "until June 27"]


CODE = re.compile("[a-z][a-z_]+")


def texts_of(function):
    return {one.value for one in ast.walk(function) if isinstance(one, ast.Constant)}


def makers():
    """Code of every record that the package makes: texts of the functions that make it and that they call."""
    found: dict[str, set[str]] = {}
    for path in (Path(pondsim.__file__).parent).rglob("*.py"):
        functions = [
            one
            for one in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(one, ast.FunctionDef)
        ]
        texts = {one.name: texts_of(one) for one in functions}
        for function in functions:
            calls = [one for one in ast.walk(function) if isinstance(one, ast.Call)]
            called = {ast.unparse(call.func) for call in calls}
            there = texts[function.name].union(*(texts[name] for name in called & set(texts)))
            for call in calls:
                if ast.unparse(call.func) == "Record" and isinstance(call.args[0], ast.Constant):
                    found.setdefault(call.args[0].value, set()).update(there)
    found.pop("")  # a line of an old file, which is a text already
    return found


class Asked(dict):
    """Numbers, times or names of a record: every key is there, and those that words ask for are kept."""

    def __init__(self, value, keys):
        super().__init__({"2025-07": value})
        self.value, self.keys_asked = value, keys

    def __missing__(self, key):
        self.keys_asked.add(key)
        return self.value

    def __contains__(self, key):
        return True

    def get(self, key, default=None):
        return self[key]


MAKERS = makers()


def test_every_record_that_the_package_makes_has_words_and_no_words_are_of_a_code_gone():
    assert set(MAKERS) == set(WORDS) | set(DESIGN_WORDS)
    assert not set(WORDS) & set(DESIGN_WORDS)
    assert all(CODE.fullmatch(code) for code in MAKERS)


@pytest.mark.parametrize("code", sorted(MAKERS))
def test_words_ask_for_nothing_that_the_record_does_not_hold(code):
    """Words are made with every number there is to ask for; each must be a text where the record is made."""
    asked: set[str] = set()
    record = Record(code, "note", "arm")
    numbers, times, names = Asked((0.5, "m"), asked), Asked("2025-07-04T06:00", asked), Asked("x", asked)
    for name, value in (("numbers", numbers), ("times", times), ("names", names)):
        object.__setattr__(record, name, value)
    for system in ("us", "si"):
        text = sentence(record, system)
        assert text.endswith((".", "?")) and "{" not in text
    assert asked <= MAKERS[code]


def test_records_for_machines_hold_code_numbers_and_text():
    record = Record("few_layers", "caution", numbers={"layers": (4, "1"), "least": (6, "1")})
    (found,) = records_data([record])
    assert found["code"] == "few_layers" and found["numbers"] == {"layers": [4, "1"], "least": [6, "1"]}
    assert found["text"].startswith("pond.layers = 4: with fewer than 6 layers")
    with pytest.raises(ValueError, match="no severity"):
        Record("few_layers", "alarm")


def test_every_limit_of_the_sheet_has_a_code_of_its_own():
    """Each code stands in one place only, so a machine can tell limits apart that share their words."""
    codes = [
        call.args[0].value
        for path in (Path(pondsim.__file__).parent / "design").glob("*.py")
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call)
        and ast.unparse(call.func) in ("judged", "_limit", "Limit", "held")
        and isinstance(call.args[0], ast.Constant)
    ]
    assert len(codes) == len(set(codes)) > 60
    assert all(CODE.fullmatch(code) for code in codes) and not set(codes) & set(MAKERS)


@pytest.mark.parametrize(("hottest", "told"), [(39.1, True), (36.9, False), (np.nan, False)])
def test_water_at_the_outlet_hotter_than_ponds_get_is_remarked(hottest, told):
    """39.1 degC are 102.4 degF; from memory measured shallow ponds rarely exceed 37 degC."""
    ponds = [small_pond(days=2, title="existing"), small_pond(days=2, title="loop")]
    warmth = np.full(ponds[0].sizes["time"], min(hottest, 30.0))
    warmth[20] = hottest
    ponds[0]["outlet_water_temperature"] = ("time", warmth)
    said = [note for note in compare(ponds).notes if "hottest water at the outlet" in note]
    assert bool(said) == told
    if told:
        assert said[0].startswith('The hottest water at the outlet, 102 degF (39 degC) in "existing",')
