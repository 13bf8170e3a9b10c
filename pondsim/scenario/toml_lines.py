"""Lines of the keys of a TOML text, which the standard reader does not tell.

The text must already have been read by ``tomllib``: this scanner looks for places, not for faults.
"""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"[ \t]*")
_STRINGS = (
    re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}', re.DOTALL),
    re.compile(r"'''.*?'{3,5}", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)
_PLAIN = re.compile(r"[^,\]}#\n]+")


def key_lines(text: str) -> dict[Path, int]:
    """Line of every key and section of a valid TOML text.

    The path of a key holds names and, within lists of tables, places counted from 0:
    ``("zone", 1, "area")``. Lines are counted from 1.
    """
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}  # entries so far of each [[list]]

    def scan(self) -> dict[Path, int]:
        section: Path = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                section = self._header()
            else:
                self._pair(section)
            self._skip(_BLANK)
        return self.lines

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"cannot read the text at line {self._line()}")
        self.at = match.end()
        return match[0]

    def _line(self) -> int:
        return self.text.count("\n", 0, self.at) + 1

    def _note(self, path: Path, line: int) -> None:
        for length in range(1, len(path) + 1):  # a dotted key also opens the sections it names
            self.lines.setdefault(path[:length], line)

    def _header(self) -> Path:
        line = self._line()
        double = self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        self._skip(_SPACE)
        names = self._dotted()
        self.at += 2 if double else 1
        path: Path = ()
        for name in names[:-1]:
            path = (*path, name)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        path = (*path, names[-1])
        if double:
            self._note(path, line)
            self.counts[path] = self.counts.get(path, 0) + 1
            path = (*path, self.counts[path] - 1)
        self._note(path, line)
        self.lines[path] = line  # a section may have been opened before by one of its own sections
        return path

    def _dotted(self) -> list[str]:
        names = []
        while True:
            quote = self.text[self.at]
            if quote == '"':
                names.append(self._skip(_STRINGS[2])[1:-1])
            elif quote == "'":
                names.append(self._skip(_STRINGS[3])[1:-1])
            else:
                names.append(self._skip(_BARE))
            self._skip(_SPACE)
            if self.text[self.at] != ".":
                return names
            self.at += 1
            self._skip(_SPACE)

    def _pair(self, section: Path) -> None:
        line = self._line()
        path = (*section, *self._dotted())
        self._note(path, line)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        first = self.text[self.at]
        if first == "{":
            self._inside("}", path)
        elif first == "[":
            self._inside("]", path)
        elif first in "\"'":
            for pattern in _STRINGS:
                match = pattern.match(self.text, self.at)
                if match:
                    self.at = match.end()
                    return
        else:
            self._skip(_PLAIN)

    def _inside(self, close: str, path: Path) -> None:
        """Pairs of an inline table, or items of a list."""
        self.at += 1
        item = 0
        self._skip(_BLANK)
        while self.text[self.at] != close:
            if close == "}":
                self._pair(path)
            else:
                self._note((*path, item), self._line())
                self._value((*path, item))
                item += 1
            self._skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self._skip(_BLANK)
        self.at += 1
