"""What several commands share: options, cautions, running a file, writing a file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

import click

from pondsim.errors import RunError, ScenarioError
from pondsim.words import CAUTIONS  # noqa: F401  (commands take it from here)

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.measures.bands import Bands
    from pondsim.records import Record
    from pondsim.scenario.read import Reading
    from pondsim.scenario.settings import Scenario

READINGS = "pondsim.readings"  # where a command keeps the design files it has read
COMPILE_SECONDS = 25  # what the first run of a new version takes, about: 21 s on an idle machine of 2025

units_option = click.option(
    "--units",
    "system",
    type=click.Choice(["us", "si"]),
    default="us",
    show_default=True,
    help="Units of what is printed and drawn.",
)
existing_file = click.Path(exists=True, dir_okay=False, path_type=Path)
new_file = click.Path(dir_okay=False, path_type=Path)


@contextmanager
def progress(label: str) -> Iterator[Callable[[float], None] | None]:
    """A progress bar on a terminal, nothing anywhere else; gives a function of the share done, 0 to 1."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=1000, label=label, file=sys.stderr, width=30) as bar:
        done = 0

        def report(share: float) -> None:
            nonlocal done
            now = min(1000, int(1000 * share))
            bar.update(now - done)
            done = now

        yield report


def say_when_compiling() -> None:
    """One line on stderr when the next run must compile first."""
    from pondsim.jit.compiled import is_compiled  # noqa: PLC0415
    from pondsim.jit.kept import is_kept  # noqa: PLC0415

    if not is_compiled():
        once = "once, " if is_kept() else ""
        click.echo(f"Compiling the time loop ({once}about {COMPILE_SECONDS} s) ...", err=True)


def results_of(path: Path, report: Callable[[float], None] | None = None) -> xr.Dataset:
    """Results of a scenario file by running it, or of a results file by reading it."""
    if path.suffix == ".nc":
        from pondsim.results import load  # noqa: PLC0415

        return load(path)
    from pondsim.simulate import run  # noqa: PLC0415

    reading = read_design(path)
    say_when_compiling()
    with naming(reading.scenario):
        return run(reading.scenario, reading.text, report)


@contextmanager
def naming(scenario: Scenario) -> Iterator[None]:
    """Name the design in the message of a run that fails, as where one of several freezes."""
    try:
        yield
    except RunError as error:
        raise RunError(f"{scenario.title}: {error}") from error


@contextmanager
def of_file(path: Path | None) -> Iterator[None]:
    """Name the file in the message of what is wrong with what was read from it."""
    try:
        yield
    except ScenarioError as error:
        if path is None or any(problem.file for problem in error.problems):
            raise
        raise ScenarioError([replace(problem, file=path) for problem in error.problems]) from None


def all_results(paths: list[Path]) -> list[xr.Dataset]:
    """Results of several files, in order. All are read before any is run, so that a slip shows at once."""
    from pondsim.results import load  # noqa: PLC0415

    readings = {place: read_design(path) for place, path in enumerate(paths) if path.suffix != ".nc"}
    for reading in readings.values():
        check_weather(reading.scenario)
    loaded = {place: load(path) for place, path in enumerate(paths) if place not in readings}
    ran = dict(zip(readings, run_together(list(readings.values())), strict=True))
    return [loaded[place] if place in loaded else ran[place] for place in range(len(paths))]


def run_together(readings: list[Reading]) -> list[xr.Dataset]:
    """Results of scenarios, as many at once as there are processors, under one progress bar.

    How long the start matters costs a second run over its first weeks; it is a trait of the pond, so among
    designs of one pond the first alone looks.
    """
    from pondsim.ensemble.runner import run_tasks  # noqa: PLC0415
    from pondsim.simulate import run  # noqa: PLC0415

    if readings:
        say_when_compiling()
    shares, lock = [0.0] * len(readings), Lock()
    with progress("Simulating ") as report:

        def run_one(place: int) -> xr.Dataset:
            def tell(share: float) -> None:
                with lock:
                    shares[place] = share
                    if report:
                        report(sum(shares) / len(shares))

            one = readings[place]
            with naming(one.scenario):
                return run(one.scenario, one.text, tell, how_long_start_matters=place == 0)

        return run_tasks(run_one, range(len(readings)))


def reading_of(path: Path) -> Reading:
    """A design file, read once in a command."""
    from pondsim.scenario.read import read  # noqa: PLC0415

    command = click.get_current_context(silent=True)
    known: dict[Path, Reading] = {} if command is None else command.meta.setdefault(READINGS, {})
    if path not in known:
        known[path] = read(path)
    return known[path]


def read_design(path: Path) -> Reading:
    """A design file; remarks on it go to stderr."""
    from pondsim.comparison.remarks import sentence  # noqa: PLC0415

    reading = reading_of(path)
    for note in reading.notes:
        click.echo(wrapped(f"Remark: {path.name}: {sentence(note)}"), err=True)
    return reading


def read_bands_file(path: Path) -> Bands:
    """Bands of ties from a file of `pondsim gridcheck --json`."""
    from pondsim.measures.bands import read_bands  # noqa: PLC0415

    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise ScenarioError(f"{path}: cannot be read ({error})") from error
    return read_bands(text, str(path))


def check_weather(scenario: Scenario) -> tuple[Record, ...]:
    """Read weather, rain and readings for their faults; what is to be said of them."""
    read: tuple[Record, ...] = ()
    if scenario.readings:
        from pondsim.output.readings import readings_of  # noqa: PLC0415

        read = readings_of(scenario).records
    if scenario.rain is not None or scenario.drainage:
        from pondsim.engine.forcing import build_forcing  # noqa: PLC0415

        return (*build_forcing(scenario)[1], *read)
    from pondsim.site.weather import weather_series  # noqa: PLC0415

    return (*weather_series(scenario.weather, scenario.period, scenario.place).records, *read)


def write_text(path: Path, text: str) -> None:
    """Write a text file whole or not at all."""
    write_all({path: text})


def write_all(contents: Mapping[Path, str | bytes]) -> None:
    """Write files, all of them whole or none: each is put in its place once all are written."""
    from pondsim.results import check_writable, written_beside  # noqa: PLC0415

    path = Path()
    try:
        with ExitStack() as stack:
            for path, content in contents.items():
                check_writable(path)
                partial = stack.enter_context(written_beside(path))
                partial.write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror})") from error


@contextmanager
def made_folder(folder: Path) -> Iterator[None]:
    """Make a folder unless it is there; if what follows fails, one that was made goes again."""
    made = not folder.exists()
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise ScenarioError(f"{folder}: this folder cannot be made ({error.strerror})") from error
    try:
        yield
    except BaseException:
        if made:
            with suppress(OSError):  # what else lies in it stays
                folder.rmdir()
        raise


def wrapped(text: str, width: int = 80, indent: str = "") -> str:
    """A paragraph in lines of at most `width` letters."""
    return str(click.wrap_text(text, width, initial_indent=indent, subsequent_indent=indent))


def json_text(value: Any) -> str:
    """JSON with no NaN in it."""
    import json  # noqa: PLC0415

    return json.dumps(value, indent=2, allow_nan=False, ensure_ascii=False) + "\n"
