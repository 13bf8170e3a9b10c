"""The designs that come along, from the command line."""

from __future__ import annotations

import json

import pytest

from pondsim.results import load
from tests.cli.common import DEMO, call

DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")


def shortened(folder, name):
    """A design over the first ten days, the first storm included; its paths lead to the demo's folder."""
    text = (DEMO / f"{name}.toml").read_text(encoding="utf-8")
    text = text.replace('site = "site.toml"', 'site = "site_short.toml"')
    site = (DEMO / "site.toml").read_text(encoding="utf-8")
    end = 'end = "2025-09-30 00:00"'
    assert end in site
    storms = site.split("[[inflow]]")
    early = [storms[0], *(part for part in storms[1:] if '"2025-05-' in part.split("volume")[0])]
    rest = storms[-1].partition("\n\n")[2]
    (folder / "site_short.toml").write_text(
        "[[inflow]]".join(early).replace(end, 'end = "2025-06-01 00:00"') + "\n" + rest, encoding="utf-8"
    )
    (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder / f"{name}.toml"


@pytest.mark.parametrize("name", DESIGNS)
def test_every_design_checks_without_a_fault(name):
    result = call("check", DEMO / f"{name}.toml")
    assert result.exit_code == 0, result.output
    assert "1.5" in next(line for line in result.output.splitlines() if "whole pond" in line)
    assert ("gpm against" in result.output) == name.startswith("waterfall")
    assert ("SOTR" in result.output) == ("air" in name)
