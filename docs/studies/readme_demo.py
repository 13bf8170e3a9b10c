"""The block of output in README.md: runs the designs and puts in what they print, shortened as it stands there.

Which paragraphs are shown whole and which blocks of the table, by the words they begin with; what is left out becomes a
line of three dots. `python docs/studies/readme_demo.py`, after which the slow test of tests/cli/test_demo.py passes.
"""

from __future__ import annotations

import re
from pathlib import Path

from common import CAMPUS, DOCS
from sessions import paragraph, pondsim

README = DOCS.parent / "README.md"
SHOWN = ("existing", "waterfall", "air_all_day")  # as in the command of README.md
PARAGRAPHS = ("No design meets", '"waterfall":')
BLOCKS = (  # of the table
    "Days below the 1-day minimum",
    "30-day windows below the mean",
    "Lowest oxygen at dawn, top",
)
MONEY = "Electricity cost"  # shown where the site has a tariff
DEMO = re.compile(r"(<!-- demo: [^\n]*\n```text\n).*?(```\n<!-- end of demo -->)", re.DOTALL)


def blocks_of(table: list[str]) -> list[tuple[str, list[str]]]:
    """Blocks of a table: the head of each, and its lines."""
    blocks: list[tuple[str, list[str]]] = []
    for line in table:
        if not line.startswith(" ") or not blocks:
            blocks.append((line, []))
        blocks[-1][1].append(line)
    return blocks


def shortened(output: str) -> str:
    """The paragraphs, the head and the chosen blocks of the first table."""
    words = [paragraph(output, begin) for begin in PARAGRAPHS]
    lines = output.splitlines()
    period = next(i for i, line in enumerate(lines) if re.match(r"\d{4}-\d\d-\d\d \d\d:\d\d to ", line))
    first = next(i for i, line in enumerate(lines) if line.startswith(BLOCKS[0]))
    again = (i for i in range(first + 1, len(lines)) if lines[i].startswith(BLOCKS[0]))
    kept: list[str] = []
    missing = {*BLOCKS, MONEY} if f"\n{MONEY}" in output else set(BLOCKS)
    for head, block in blocks_of(lines[first : next(again, len(lines))]):
        begin = next((word for word in missing if head.startswith(word)), None)
        if begin:
            missing.remove(begin)
            kept += [line for line in block if line.strip()]
        elif kept and kept[-1] != "...":
            kept.append("...")
    if missing:
        raise SystemExit(f"no longer printed: {sorted(missing)}")
    head_of_table = lines[period:first]
    body = "\n".join([*head_of_table, *kept]).removesuffix("\n...")
    return "\n\n".join([*words, body])


def renew(readme: Path, output: str) -> None:
    """Put the shortened output between the marks."""
    new, count = DEMO.subn(
        lambda found: f"{found[1]}{shortened(output)}\n{found[2]}", readme.read_text(encoding="utf-8")
    )
    if count != 1:
        raise SystemExit(f"{readme}: the marks of the demo were found {count} times, once is wanted")
    readme.write_text(new, encoding="utf-8")


if __name__ == "__main__":
    renew(README, pondsim(CAMPUS, "compare", *(f"{name}.toml" for name in SHOWN)))
