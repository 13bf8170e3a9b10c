"""A page read back: its numbers by key, its headings, its texts, as a reader with no browser would."""

from __future__ import annotations

from html.parser import HTMLParser

from pondsim.reporting import page

VOID = {"wbr", "meta", "br", "link", "input", "img", "hr"}


def keep_parts(monkeypatch, *parts):
    """Let `report` make these parts only: most time goes into pictures that no one looks at."""
    assert set(parts) <= set(page.PARTS)
    monkeypatch.setattr(page, "PARTS", parts)


class Page(HTMLParser):
    """What stands in a page.

    Attributes
    ----------
    numbers : text of each number by key and system
    headings : level and text of every heading in order
    scripts : text of every script
    figures : for each figure, whether it has a drawing with a label and a caption
    text : all words that are shown
    tags : names of all tags
    """

    def __init__(self, html: str) -> None:
        super().__init__()
        self.stack: list[tuple[str, dict[str, str]]] = []
        self.numbers: dict[tuple[str, str], str] = {}
        self.headings: list[tuple[int, str]] = []
        self.scripts: list[str] = []
        self.ids: list[str] = []
        self.figures: list[dict[str, bool]] = []
        self.text = ""
        self.tags: set[str] = set()
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        given = {name: value or "" for name, value in attrs}
        self.tags.add(tag)
        if "id" in given:
            self.ids.append(given["id"])
        if tag not in VOID:
            self.stack.append((tag, given))
        if tag in ("h1", "h2", "h3"):
            self.headings.append((int(tag[1]), ""))
        if tag == "script":
            self.scripts.append("")
        if tag == "figure":
            self.figures.append({"drawing": False, "caption": False})
        if tag == "svg" and given.get("role") == "img" and given.get("aria-labelledby"):
            self.figures[-1]["drawing"] = True
        if tag == "figcaption":
            self.figures[-1]["caption"] = True

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.stack and self.stack[-1][0] == tag, f"</{tag}> closes {self.stack[-1:]}"
        self.stack.pop()

    def handle_data(self, data):
        inner = [tag for tag, _ in self.stack]
        if "script" in inner:
            self.scripts[-1] += data
            return
        if "style" in inner:
            return
        self.text += data
        if inner and inner[-1] in ("h1", "h2", "h3"):
            level, text = self.headings[-1]
            self.headings[-1] = (level, text + data)
        self._number(data)

    def _number(self, data):
        cell = next((given for tag, given in reversed(self.stack) if tag == "td"), None)
        if cell is None or "data-key" not in cell:
            return
        classes = [given.get("class", "") for tag, given in self.stack if tag == "span"]
        if "value" not in classes:
            return
        systems = [one for one in classes if one in ("us", "si")] or ["us", "si"]
        for system in systems:
            self.numbers[cell["data-key"], system] = data
