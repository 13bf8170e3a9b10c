"""The pages as a site: one command builds it, and no warning is let pass."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def built(docs, out):
    """Run the command of docs/README.md."""
    pytest.importorskip("sphinx")
    pytest.importorskip("myst_parser")
    text = (ROOT / "docs" / "README.md").read_text(encoding="utf-8")
    found = re.search(r"<!-- docs command -->\n```sh\npython (.*) docs build/docs\n```", text)
    assert found, "docs/README.md has no docs command after its mark"
    command = [sys.executable, *found[1].split(), str(docs), str(out)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.slow
def test_pages_build_without_a_warning(tmp_path):
    done = built(ROOT / "docs", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    made = {path.stem for path in (tmp_path / "out").glob("*.html")}
    assert {path.stem for path in (ROOT / "docs").glob("*.md")} <= made


@pytest.mark.slow
@pytest.mark.parametrize(
    "wrong", ["[a](nowhere.md)", "[a](limits.md#no-such-heading)", "![a](figures/none.png)"]
)
def test_a_dead_link_fails_the_build(tmp_path, wrong):
    shutil.copytree(ROOT / "docs", tmp_path / "docs")
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    shutil.copy(ROOT / "README.md", tmp_path / "README.md")
    with (tmp_path / "docs" / "words.md").open("a", encoding="utf-8") as page:
        page.write(f"\n{wrong}\n")
    done = built(tmp_path / "docs", tmp_path / "out")
    assert done.returncode != 0
    assert "words.md" in done.stderr


def test_every_page_is_named_in_the_index():
    named = set(re.findall(r"\]\(([\w-]+\.md)\)", (ROOT / "docs" / "README.md").read_text(encoding="utf-8")))
    assert named == {path.name for path in (ROOT / "docs").glob("*.md")} - {"README.md"}
