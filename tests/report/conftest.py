"""Results of the small pond and its design, run once, as files and as a page."""

from __future__ import annotations

import pytest

from pondsim.reporting import report
from pondsim.results import load, save
from pondsim.scenario.read import read
from pondsim.simulate import run
from tests.scenarios_for_tests import minimal_design, write_design

AS_IT_IS = 'site = "site.toml"\ntitle = "as it is"\n'


@pytest.fixture(scope="session")
def files(tmp_path_factory):
    """Paths of two results files: the existing pond, and a waterfall with night air."""
    folder = tmp_path_factory.mktemp("results")
    paths = []
    for name, text in (("existing", AS_IT_IS), ("design", minimal_design())):
        reading = read(write_design(folder, text))
        paths.append(folder / f"{name}.nc")
        save(run(reading.scenario, reading.text), paths[-1])
    return paths


@pytest.fixture(scope="session")
def runs(files):
    return [load(path) for path in files]


@pytest.fixture(scope="session")
def made(runs):
    return report(runs)
