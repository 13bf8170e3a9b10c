"""Places of the files that commands write: no input is overwritten and no two outputs fall together."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from pondsim.cli._common import reading_of
from pondsim.errors import ScenarioError
from pondsim.results import check_writable


def inputs_of(paths: Iterable[Path]) -> list[Path]:
    """The files given and those they name: site file, weather and rain.

    Raises
    ------
    ScenarioError
        A scenario file has faults.
    """
    found: list[Path] = []
    for path in paths:
        found.append(path)
        if path.suffix == ".nc":
            continue
        reading = reading_of(path)
        found += dict.fromkeys(file for file, _ in reading.where.values())
        rain = reading.scenario.rain
        found += [file for file in (reading.scenario.weather.file, rain and rain.file) if file]
    return found


def check_places(outputs: Iterable[Path | None], inputs: Iterable[Path]) -> None:
    """Refuse outputs that cannot be written, are an input, or are one file, before long work begins.

    Parameters
    ----------
    outputs : iterable of Path or None
        Files to write; None for one not asked for.
    inputs : iterable of Path
        Design and results files of the command; the files they name are looked up.

    Raises
    ------
    ScenarioError
        Nothing has been written then.
    """
    wanted = [path for path in outputs if path is not None]
    for path in wanted:
        check_writable(path)
    for place, path in enumerate(wanted):
        if any(_same(path, other) for other in wanted[:place]):
            raise ScenarioError(f"{path}: two outputs would be this one file; give each a name of its own")
    read = inputs_of(inputs) if wanted else []
    for path in wanted:
        if any(_same(path, other) for other in read):
            raise ScenarioError(f"{path}: is an input of this command; choose another file to write")


def _same(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, by links of either kind too."""
    if one.resolve() == other.resolve():
        return True
    return one.exists() and other.exists() and one.samefile(other)
