"""A design with a circulation line for `pondsim check`, and its sheet as printed, read again."""

from __future__ import annotations

import re

from tests.line_for_tests import line_text
from tests.scenarios_for_tests import write_design

# Two pipes of which the velocities are known by hand, and a stated flow: nothing depends on a pump curve.
TWO_FEET = {
    "intake": 'zone = "deep pool"\nelevation = "5 ft"\ninside_diameter = "12 in"\ngrate_area = "8 ft2"',
    "gravity_line": 'inside_diameter = "12 in"\nlength = "80 ft"',
    "pump": 'flow = "705 gpm"\npower = "3 kW"',
    "discharge": 'inside_diameter = "7 in"\nlength = "150 ft"',
}


AIR = """
[[aeration]]
name = "pool air"
zone = "deep pool"
elevation = "1 ft"
diffusers = 2
source = "compressor"
source_flow = ["4.4 scfm", "3.9 scfm", "3.5 scfm", "3.0 scfm"]
source_pressure = ["0 psi", "5 psi", "10 psi", "20 psi"]
tubing_diameter = "0.5 in"
tubing_length = "200 ft"
"""


def write_line(folder, also=None, extra="", **parts):
    """A design file with a circulation line; its path."""
    return write_design(folder, line_text(also, **parts) + extra)


def words(output):
    """The output in one line, so that a break hides nothing."""
    return " ".join(output.split())


def row(output, begin):
    """Cells of a row of the table of operating points."""
    line = next(line for line in output.splitlines() if line.strip().startswith(begin))
    return line[41:].split()


def limit_of(output, what):
    """Verdict and the line of value and bounds of one limit."""
    lines = output.splitlines()
    place = next(n for n, line in enumerate(lines) if line.endswith(what))
    return re.search(r"\] (\w+) ", lines[place])[1], lines[place + 1].strip()
