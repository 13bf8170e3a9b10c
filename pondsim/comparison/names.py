"""How designs, days and amounts are named in sentences."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from pondsim.comparison.row import Comparison
from pondsim.measures.declared import MONEY

ASIDE = re.compile(r" \([^)]*\)|, of \d+")  # of a section: criterion and days judged


def title_of(comparison: Comparison, design: int) -> str:
    """The title in quotes."""
    return f'"{comparison.titles[design]}"'


def name_of(comparison: Comparison, design: int) -> str:
    """The title in quotes, and how many limits of its design sheet fail where any does."""
    sheet = comparison.sheets[design]
    failing = f" ({len(sheet.fails)} FAIL)" if sheet and sheet.fails else ""
    return f"{title_of(comparison, design)}{failing}"


def quoted(titles: Iterable[str]) -> str:
    """Titles in quotes, joined by commas."""
    return ", ".join(f'"{title}"' for title in titles)


def listed(words: Iterable[str]) -> str:
    """Words in a sentence: "a, b and c"; "" for none."""
    found = list(words)
    if not found:
        return ""
    *first, last = found
    return f"{', '.join(first)} and {last}" if first else last


def section_words(section: str) -> str:
    """The section of a measure within a sentence, without its criterion and the days judged."""
    words = ASIDE.sub("", section)
    return f"{words[0].lower()}{words[1:]}"


def money_text(amount: float, currency: str) -> str:
    """An amount as people write it: $1186, 1186 EUR."""
    return f"${amount:.0f}" if currency == MONEY else f"{amount:.0f} {currency}"


def range_text(values: Sequence[float], decimals: int) -> str:
    """The least and the largest of some numbers, once where they print alike."""
    low, high = (f"{value:.{decimals}f}" for value in (min(values), max(values)))
    return low if low == high else f"{low} to {high}"
