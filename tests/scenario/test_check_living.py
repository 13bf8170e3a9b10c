"""Faults of algae, phosphorus, and what people do to a pond."""

from datetime import datetime

import pytest

from tests.scenarios_for_tests import faults_of, living_site, minimal_site, write_site

GROWN = '\n[algae]\nmode = "grown"\n'
GIVEN = '\n[algae]\nmode = "given"\n'
BOOK = "book.csv"
DOSE = '\n[[treatment]]\nstart = "2025-07-02"\ndose = "100 kg"\nbinds = "0.01 g/g"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (GIVEN + DOSE, "treatment acts on what only grown algae have"),
        (
            GIVEN + '\n[[dredging]]\ndate = "2025-07-02"\nzone = "cove"\ndepth = "1 ft"\n',
            "dredging acts on what only",
        ),
        (GROWN + DOSE + 'zones = ["pond"]\n', 'treatment.1.zones = "pond" names no zone'),
        (
            '\n[[cover]]\nshare = "50 %"\nstart = "2025-07-05"\nend = "2025-07-04"\n',
            "cover.1.end is not after start",
        ),
        (
            GROWN + '\n[[load]]\nname = "geese"\nzone = "pond"\nstart = "2025-07-02"\nend = "2025-07-04"\n',
            'load.geese.zone = "pond" names no zone',
        ),
        (GIVEN + '\n[[algae.kind]]\nname = "blue"\n', "algae.kind is for algae that grow"),
        (
            GROWN + '\n[[algae.reading]]\ndate = "2025-07-01"\nchlorophyll = "20 ug/L"\n',
            "algae.reading holds given chlorophyll",
        ),
        (
            '\n[[algae.reading]]\ndate = "2025-07-01"\nchlorophyll = "20 ug/L"\n',
            "algae.reading has one entry",
        ),
        (
            "".join(
                f'\n[[algae.reading]]\ndate = "2025-07-0{day}"\nchlorophyll = "20 ug/L"\n' for day in (3, 2)
            ),
            "algae.reading.2.date is not after the one before it",
        ),
        ('\n[algae]\nprofile_depth = ["0 m", "1 m"]\nprofile_share = [1.0]\n', "has 1 value for 2 depths"),
        ('\n[algae]\nprofile_depth = ["1 m", "0 m"]\nprofile_share = [1.0, 0.5]\n', "does not go down"),
        ('\n[algae]\nchlorophyll = "20 ug/L"\n', 'write mode = "given" beside it'),
        ("\n[algae]\ngrowth_respiration = 0.7\nexcretion = 0.4\n", "nothing would grow"),
        ('\n[algae]\ngrowth = "3 1/d"\n', 'algae.growth = "3 1/d" is too high'),
        ("\n[bed]\nfast_share = 0.8\nslow_share = 0.3\n", "bed.slow_share and fast_share add up to 110 %"),
    ],
)
def test_faults(tmp_path, text, said):
    """Each names key and cure."""
    path = write_site(tmp_path, living_site() + text)
    assert any(said in line for line in faults_of(path)), faults_of(path)


@pytest.mark.parametrize("from_file", [False, True], ids=["list", "notebook"])
def test_dated_readings_become_given_chlorophyll(tmp_path, from_file):
    """Straight lines between the dates, the ends beyond; a day of the notebook with no value is left out."""
    from pondsim.engine.forcing import build_forcing  # noqa: PLC0415
    from pondsim.scenario.read import read_scenario  # noqa: PLC0415

    notebook = GIVEN + 'readings = "book"\n\n[[readings]]\nname = "book"\nzone = "cove"\ndepth = "1 ft"\n'
    notebook += f'file = "{BOOK}"\n'
    (tmp_path / BOOK).write_text(
        "time,chlorophyll [ug/L]\n2025-07-03 00:00,20\n2025-07-04 00:00,\n2025-07-05 00:00,60\n",
        encoding="utf-8",
    )
    dated = "".join(
        f'\n[[algae.reading]]\ndate = "2025-07-{day:02d}"\nchlorophyll = "{value} ug/L"\n'
        for day, value in ((3, 20), (5, 60))
    )
    site = living_site() + notebook if from_file else minimal_site() + dated
    scenario = read_scenario(write_site(tmp_path, site))
    forcing, _ = build_forcing(scenario)
    day = (scenario.period.start - datetime(2025, 7, 1)).days + forcing.time[:-1] / 86400.0
    for moment, value in ((0.0, 20.0), (2.0, 20.0), (3.0, 40.0), (4.0, 60.0), (9.0, 60.0)):
        step = int(abs(day - moment).argmin())
        assert forcing.chlorophyll[step, 0, 0] * 1e6 == pytest.approx(value, rel=1e-6)
