"""The declarations that the report shows: read whole, and true to each other."""

from __future__ import annotations

import re
from pathlib import Path

from pondsim.reporting.sources import limits, methods, references

ROOT = Path(__file__).parents[2]
BIB = (ROOT / "pondsim" / "data" / "references.bib").read_text(encoding="utf-8")


def test_every_entry_of_the_bibliography_is_read():
    assert set(references()) == set(re.findall(r"@\w+\{([\w.-]+),", BIB))
    for source in references().values():
        assert "{" not in source.citation and "\\" not in source.citation and "--" not in source.citation


def test_an_entry_reads_as_one_writes_it():
    found = references()
    assert found["allen1998"].citation == (
        "Allen, R. G.; Pereira, L. S.; Raes, D.; Smith, M. (1998). Crop Evapotranspiration. FAO, FAO "
        "Irrigation and Drainage Paper 56."
    )
    assert found["wuest1992"].citation.startswith("W\u00fcest, A.; Brooks, N. H.;")
    assert found["avery1978"].note == "from memory, not verified in text"


def test_every_method_names_known_sources_that_the_method_page_names_too():
    page = (ROOT / "docs" / "method.md").read_text(encoding="utf-8")
    for row in methods():
        assert row["topic"] and row["words"].endswith(".")
        for key in row["sources"]:
            assert key in references() and key in page, key


def test_limits_are_those_of_the_page():
    text = (ROOT / "docs" / "limits.md").read_text(encoding="utf-8").replace("*", "")
    page = re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", " ".join(text.split()))
    found = limits()
    assert len(found["left_out"]) > 8 and len(found["weak"]) > 8
    for row in found["left_out"]:
        assert f"{row['what']}{row['words']}".strip() in page.replace("`", "")
