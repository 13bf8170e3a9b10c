"""Lines of keys, on a text with everything the format allows."""

from __future__ import annotations

import tomllib

from pondsim.scenario.toml_lines import key_lines

TEXT = """\
# [not.a.section]
title = "a = [b] # no comment"
a.b.c = 1

[pond] # comment with ]
"quoted key" = 'single # one'
text = \"\"\"
[inside]
x = 1 \\"\\"\\" \"\"\"
list = [ # comment, with ]
  "1 ft",
  "2 ft", # another
]
inline = { one = 1, two = { three = [1, 2] } }

[[zone]]
name = "first"
[zone.extra]
depth = 3

[[zone]]
name = "second"
[[zone.part]]
id = 1
[[zone.part]]
id = 2

[weather.synthetic]
seed = 1
[weather]
tables = [{ a = 1 },
          { a = 2 }]
"""


def test_each_key_has_its_line():
    lines = key_lines(TEXT)
    expected = {
        ("title",): 2,
        ("a", "b", "c"): 3,
        ("pond",): 5,
        ("pond", "quoted key"): 6,
        ("pond", "text"): 7,
        ("pond", "list"): 10,
        ("pond", "list", 1): 12,
        ("pond", "inline", "two", "three"): 14,
        ("zone", 0): 16,
        ("zone", 0, "name"): 17,
        ("zone", 0, "extra", "depth"): 19,
        ("zone", 1): 21,
        ("zone", 1, "part", 1, "id"): 26,
        ("weather", "synthetic", "seed"): 29,
        ("weather",): 30,
        ("weather", "tables", 1, "a"): 32,
    }
    assert {path: lines.get(path) for path in expected} == expected


def test_no_key_is_missed():
    """Every path of the standard reader has a line, and the line holds the last name of the path."""
    lines = key_lines(TEXT)
    rows = TEXT.splitlines()

    def walk(value, path):
        if path:
            assert path in lines, path
            if isinstance(path[-1], str):
                assert path[-1] in rows[lines[path] - 1]
        items = (
            value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        )
        for key, item in items:
            walk(item, (*path, key))

    walk(tomllib.loads(TEXT), ())


def test_empty_text():
    assert key_lines("") == {}
    assert key_lines("\n# nothing\n") == {}
