"""The pages that lead the hand: runs what they show in a copy of the scenarios, and renews the output shown.

A fenced block of `sh` is run line by line; a block of `python` goes on where the last one ended; a block of `toml` under
a mark `<!-- file: NAME -->` is saved first; a block of `text` shows parts of what the last block that was run printed,
with a line `...` between the parts.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).parents[1]
ROOT = DOCS.parent
FIRST_HOURS = ("first_hour_designer.md", "first_hour_manager.md", "first_hour_consultant.md")
TRENCH = "from_pole_to_trench.md"
NOTEBOOK = "notebook.md"
READINGS = "readings.md"
BLOCK = re.compile(r"(?:<!-- file: (?P<file>\S+) -->\n)?```(?P<kind>\w+)\n(?P<text>.*?)```", re.DOTALL)
NUMBER = re.compile(r"[-+]?[0-9][0-9.]*|[-+]?\.[0-9]+")


class TutorialError(Exception):
    """A page that does not do what it says."""


@dataclass(frozen=True)
class Block:
    """A fenced block of a page."""

    kind: str
    text: str
    file: str | None
    start: int  # of the text within the page


def blocks(page: str) -> list[Block]:
    """The fenced blocks of a page in their order."""
    return [Block(b["kind"], b["text"], b["file"], b.start("text")) for b in BLOCK.finditer(page)]


def run_page(page: str, folder: Path) -> Iterator[tuple[Block, str]]:
    """Do what a page says in `folder`; every block of text with what its commands printed."""
    shutil.copytree(ROOT / "scenarios", folder / "scenarios")
    here, output = folder, ""
    names: dict[str, object] = {"__name__": "page"}
    for block in blocks(page):
        if block.kind == "toml" and block.file:
            (here / block.file).write_text(block.text, encoding="utf-8")
        elif block.kind == "sh":
            output = ""
            for line in block.text.splitlines():
                words = shlex.split(line, comments=True)
                if words[:1] == ["cd"]:
                    here = (here / words[1]).resolve(strict=True)
                elif words:
                    output += _printed(words, here)
        elif block.kind == "python":
            with contextlib.chdir(here), contextlib.redirect_stdout(io.StringIO()) as printed:
                exec(compile(block.text, "page", "exec"), names)
            output = printed.getvalue()
        elif block.kind == "text":
            yield block, output


def _printed(words: list[str], here: Path) -> str:
    if words[0] != "pondsim":
        raise TutorialError(f"{shlex.join(words)}: only cd and pondsim can be run on any system")
    path = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH")]))
    done = subprocess.run(
        [sys.executable, "-m", *words], cwd=here, capture_output=True, text=True, check=False,
        env=os.environ | {"PYTHONPATH": path},
    )  # fmt: skip
    if done.returncode:
        raise TutorialError(f"{shlex.join(words)} ends with {done.returncode}:\n{done.stderr}")
    return done.stdout


def parts(shown: str) -> list[str]:
    """What stands between the lines of dots."""
    return [part.strip("\n") for part in re.split(r"^\.\.\.\n?", shown, flags=re.MULTILINE) if part.strip()]


def found_in(shown: str, output: str) -> Iterator[tuple[re.Match[str], list[str]]]:
    """Where each part of a block stands in an output, numbers aside; with the numbers shown."""
    begin = 0
    for part in parts(shown):
        words = r"\s+".join(
            r"([-+]?[0-9.]+)".join(re.escape(piece) for piece in NUMBER.split(word)) for word in part.split()
        )
        match = re.compile(words).search(output, begin)
        if match is None:
            raise TutorialError(f"not printed, or not in this order:\n{part}\n\nprinted:\n{output}")
        yield match, NUMBER.findall(part)
        begin = match.end()


def renewed(page: str, folder: Path) -> str:
    """The page with the numbers and line ends that are printed now."""
    done = list(run_page(page, folder))
    for block, output in reversed(done):
        fresh = [  # whole lines
            output[output.rfind("\n", 0, m.start()) + 1 : output.find("\n", m.end())]
            for m, _ in found_in(block.text, output)
        ]
        dots = "...\n" if block.text.startswith("...") else ""
        text = dots + "\n...\n".join(fresh) + "\n" + ("...\n" if block.text.endswith("...\n") else "")
        page = page[: block.start] + text + page[block.start + len(block.text) :]
    return page


def main() -> None:
    """Renew all."""
    for name in (*FIRST_HOURS, TRENCH, NOTEBOOK, READINGS):
        with tempfile.TemporaryDirectory() as folder:
            path = DOCS / name
            path.write_text(renewed(path.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")


if __name__ == "__main__":
    main()
