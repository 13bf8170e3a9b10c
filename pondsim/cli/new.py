"""`pondsim new`: a commented starter scenario."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("new")
@click.argument("directory", type=click.Path(path_type=Path))
def command(directory: Path) -> None:
    """Write a commented starter scenario into the new folder DIRECTORY.

    The pond in it is invented and runs as it stands. Each key says how to measure it, what is typical, and
    what a wrong guess costs. Nothing that exists is written over.
    """
    from pondsim.starter import write_starter  # noqa: PLC0415

    site, existing, *designs = write_starter(directory)
    click.echo(f"Written: {', '.join(path.name for path in (site, existing, *designs))} in {directory}.")
    click.echo("\nThe pond is invented. Next:")
    click.echo(f"  pondsim check {_word(designs[0])}")
    click.echo(f"  pondsim compare {' '.join(_word(path) for path in (existing, *designs))}")
    click.echo(
        f"Then replace {site.name} key by key with your own pond; its comments say how to measure each,\n"
        "and check after each change."
    )


def _word(path: Path) -> str:
    """A path as one word of a command line."""
    return f'"{path}"' if " " in str(path) else str(path)
