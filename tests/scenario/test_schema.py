"""The JSON Schema accepts what the reader accepts and refuses plain slips."""

from __future__ import annotations

import tomllib
from pathlib import Path

import jsonschema
import pytest

from pondsim.scenario.read import read_scenario
from pondsim.scenario.schema import json_schema
from tests.scenarios_for_tests import minimal_design, minimal_site

FOLDER = Path(__file__).parents[2] / "scenarios"
SCENARIOS = sorted(path for path in FOLDER.rglob("*.toml") if path.name != "prices.toml")


@pytest.fixture(scope="module")
def validator():
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("text", [minimal_site(), minimal_design()])
def test_small_files_are_valid(validator, text):
    assert not list(validator.iter_errors(tomllib.loads(text)))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_scenarios_that_come_along_read_and_are_valid(validator, path):
    read_scenario(path)
    assert not list(validator.iter_errors(tomllib.loads(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('drop = "4 ft"', "drop = 4"),
        ('drop = "4 ft"', 'drop = "4"'),
        ('drop = "4 ft"', 'dorp = "4 ft"'),
        ("diffusers = 2", 'diffusers = "2"'),
        ("diffusers = 2", "diffusers = 0"),
        ('["20:00-08:00"]', '["8pm"]'),
        ("[pump]", "[[pump]]"),
        ('name = "pool air"\n', ""),
    ],
)
def test_slips_are_refused(validator, old, new):
    assert list(validator.iter_errors(tomllib.loads(minimal_design().replace(old, new))))


def test_an_inflow_must_be_whole(validator):
    assert list(validator.iter_errors(tomllib.loads('[[inflow]]\nzone = "cove"\n')))


def test_every_value_is_described():
    def walk(schema):
        for name, value in schema.get("properties", {}).items():
            assert value.get("description"), name
            walk(value)
            walk(value.get("items", {}))

    walk(json_schema())
