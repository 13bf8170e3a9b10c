"""The commands. Each has a file of its own, read only when it is asked for, so that help comes at once."""

from __future__ import annotations

import atexit
import gc
import importlib
import os
import re
import signal
import sys
from typing import Any, NoReturn

import click

from pondsim import __version__
from pondsim.cli._pipe import fault_of_output, outlast_readers
from pondsim.errors import PondsimError, ScenarioError

# Objects made between two looks for garbage: what imports leave behind is large, and never garbage.
RARELY = (500_000, 20, 20)
COMMANDS = {  # command: its line in the list of commands
    "new": "Write a commented starter scenario into a new folder.",
    "soundings": "Turn pole readings into areas, depths, muck and keys.",
    "check": "Read a design and show what it describes.",
    "trench": "Show trench, well and elevations, and draw them to scale.",
    "quantities": "Count what a design is made of, and price it with your prices.",
    "commission": "Start-up day: what readings mean, and where flow is lost.",
    "calendar": "Print the service calendar of a design as one page.",
    "readings": "Show readings of the pond, and by how much runs miss them.",
    "run": "Simulate one design and write a results file.",
    "compare": "Show what designs change against the existing pond.",
    "calibrate": "Weigh members by readings, and say what these taught.",
    "tonight": "Tell oxygen at the next dawn where there are readings.",
    "promise": "Say how sure a difference is and what may be promised.",
    "gridcheck": "Run designs more finely and show what moves.",
    "storm": "Show one storm: peaks, levels, solids, oxygen.",
    "years": "Run a season in several years over a bed that ages.",
    "size": "Find the smallest equipment that meets a target.",
    "plot": "Draw one picture of results files.",
    "report": "Write one page on results files, and its tables.",
    "summary": "Write one page for the owner, to print and sign.",
    "board": "Rank several ponds by gain per dollar, on one page.",
    "export": "Write series of a results file for a spreadsheet.",
    "schema": "Print the JSON Schema of scenario files.",
}
OF_COMPARE = ("--set", "--variants")
OF_LIBRARY = re.compile(r"(members|confidence|effective|held out|measure) = ")
INSTEAD = "write the values into a copy of the design file and name that"


class _Commands(click.Group):
    """Commands loaded on demand; errors meant for the user end in their text and an exit code."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"pondsim.cli.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            if args and args[0] not in COMMANDS:
                words = f"there is no command {args[0]!r}; the commands are {', '.join(COMMANDS)}"
                raise click.UsageError(words, ctx) from error
            raise

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        """From the command line: the process ends with the command, and its memory goes back as a whole.

        Without that Python looks through all of it for garbage as it ends, for half a second.
        """
        atexit.register(gc.freeze)
        outlast_readers()
        return super().__call__(*args, **kwargs)

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run a command; output that cannot be written ends in one line. A closed pipe stays quiet."""
        gc.set_threshold(*RARELY)
        try:
            return super().main(*args, **kwargs)
        except SystemExit as ended:
            if not ended.code and (fault := fault_of_output()):
                _fail(fault)
            raise
        except OSError as error:
            _forget_output()
            _fail(error)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except click.NoSuchOption as error:
            if error.option_name not in OF_COMPARE or error.ctx is None:
                raise
            words = f"{error.option_name} belongs to pondsim compare; for {error.ctx.info_name}, {INSTEAD}"
            raise click.UsageError(words, error.ctx) from None
        except PondsimError as error:
            click.echo(_by_option(str(error)), err=True)
            ctx.exit(2 if isinstance(error, ScenarioError) else 1)


def _by_option(text: str) -> str:
    """A fault with the option that was typed in place of the argument that the code below names."""
    found = OF_LIBRARY.match(text)
    return f"--{found[1].replace(' ', '-')} {text[found.end() :]}" if found else text


def _fail(error: OSError) -> NoReturn:
    """End with one line on what cannot be read or written."""
    where = f"{error.filename}: " if error.filename else "the output cannot be written: "
    click.echo(f"pondsim: {where}{error.strerror or error}", err=True)
    sys.exit(1)


def _forget_output() -> None:
    """Send what stdout still holds nowhere, so that Python's end does not fail on it again."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    except (OSError, ValueError, AttributeError):
        pass  # no stdout to forget


def _end_on_sigterm() -> None:
    """Turn SIGTERM into SystemExit, so that a file half written is removed on the way out."""

    def end(number: int, _frame: Any) -> None:
        sys.exit(128 + number)

    try:
        before = signal.signal(signal.SIGTERM, end)
    except ValueError:
        return  # called from another thread than the main one
    click.get_current_context().call_on_close(lambda: signal.signal(signal.SIGTERM, before or signal.SIG_DFL))


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(__version__, prog_name="pondsim")
def main() -> None:
    """Simulate what waterfalls, pumps and aerators change in a stormwater pond.

    Exit codes: 0 done, 1 the computation failed, 2 an input must be corrected.
    """
    _end_on_sigterm()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that lacks a letter must not stop a run
