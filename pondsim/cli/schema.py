"""`pondsim schema`: what editors need to complete the keys of a scenario file."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import json_text, new_file, write_text


@click.command("schema")
@click.option("-o", "--output", type=new_file, help="File to write; printed when left out.")
def command(output: Path | None) -> None:
    """Print the JSON Schema of scenario files, for editors that complete keys."""
    from pondsim.scenario.schema import json_schema  # noqa: PLC0415

    text = json_text(json_schema())
    if output is None:
        click.echo(text, nl=False)
    else:
        write_text(output, text)
        click.echo(f"Written to {output}.")
