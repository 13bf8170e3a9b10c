"""What several commands share: options, cautions, running a file, writing a file."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.errors import ScenarioError
from pondsim.words import CAUTIONS  # noqa: F401  (commands take it from here)

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.scenario.settings import Scenario

COMPILE_SECONDS = 25  # what the first run of a new version takes, about: 21 s on an idle machine of 2025
WORTH_A_PROCESS = 4.0  # s of work left above which more processes pay for their start

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
    from pondsim.scenario.read import read  # noqa: PLC0415
    from pondsim.simulate import run  # noqa: PLC0415

    reading = read(path)
    for note in reading.notes:
        click.echo(wrapped(f"Remark: {path.name}: {note}."), err=True)
    say_when_compiling()
    return run(reading.scenario, reading.text, report)


def all_results(paths: list[Path]) -> list[xr.Dataset]:
    """Results of several files, in order; long runs share two processes once the first has been timed."""
    for path in paths:
        check_readable(path)
    began = time.monotonic()
    with progress(f"{paths[0].stem} ") as report:
        results = [results_of(paths[0], report)]
    left = (time.monotonic() - began) * len(paths[1:])
    if left > WORTH_A_PROCESS and len(paths) > 2 and (os.cpu_count() or 1) > 1:
        return results + _in_processes(paths[1:])
    for path in paths[1:]:
        with progress(f"{path.stem} ") as report:
            results.append(results_of(path, report))
    return results


def check_readable(path: Path) -> None:
    """Read a scenario file and its weather: the fourth design's slip shows before the first is run."""
    if path.suffix != ".nc":
        from pondsim.scenario.read import read  # noqa: PLC0415

        check_weather(read(path).scenario)


def check_weather(scenario: Scenario) -> None:
    """Read the weather file and the rain, if there are any, for their faults."""
    if scenario.rain is not None or scenario.drainage:
        from pondsim.engine.forcing import build_forcing  # noqa: PLC0415

        build_forcing(scenario)
    elif scenario.weather.file is not None:
        from pondsim.site.weather import weather_series  # noqa: PLC0415

        weather_series(scenario.weather, scenario.period, scenario.place)


def _in_processes(paths: list[Path]) -> list[xr.Dataset]:
    import multiprocessing  # noqa: PLC0415
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415

    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max_workers=2, mp_context=spawn) as pool:
        return list(pool.map(results_of, paths))


def write_text(path: Path, text: str) -> None:
    """Write a text file whole or not at all."""
    write_all({path: text})


def write_all(texts: dict[Path, str]) -> None:
    """Write text files, all of them whole or none: each is put in its place once all are written."""
    from pondsim.results import check_writable  # noqa: PLC0415

    partials = {path: path.with_name(f".{path.name}.{os.getpid()}.part") for path in texts}
    path = Path()
    try:
        for path, text in texts.items():
            check_writable(path)
            partials[path].write_text(text, encoding="utf-8", newline="")
        for path, partial in partials.items():
            os.replace(partial, path)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror})") from error
    finally:
        for partial in partials.values():
            partial.unlink(missing_ok=True)


def wrapped(text: str, width: int = 80, indent: str = "") -> str:
    """A paragraph in lines of at most `width` letters."""
    return str(click.wrap_text(text, width, initial_indent=indent, subsequent_indent=indent))


def json_text(value: Any) -> str:
    """JSON with no NaN in it."""
    import json  # noqa: PLC0415

    return json.dumps(value, indent=2, allow_nan=False, ensure_ascii=False) + "\n"
