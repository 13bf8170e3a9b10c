"""JSON Schema of a scenario file, drawn from the same keys that read it: for editors and for other programs.

The schema describes one file. A design file may leave out whatever its site file gives, so keys are required
only in lists that are replaced whole (``[[inflow]]``).
"""

from __future__ import annotations

from typing import Any

from pondsim.scenario.convert import si_unit
from pondsim.scenario.fittings_table import fitting_table
from pondsim.scenario.keys import Key, is_named, keys_of
from pondsim.scenario.settings import Scenario
from pondsim.unit_words import WORDS
from pondsim.units import NUMBER, to_si

QUANTITY = rf"^\s*{NUMBER}\s*[A-Za-z%$°µμ/1].*$"
PLAIN = rf"^\s*{NUMBER}\s*%?\s*$"
HOURS = r"^\s*\d{1,2}:\d{2}\s*(-|–|to)\s*\d{1,2}:\d{2}\s*$"
SEASON = r"^\s*\d{1,2}-\d{1,2}\s*to\s*\d{1,2}-\d{1,2}\s*$"


def json_schema() -> dict[str, Any]:
    """The schema as a plain dict (draft 2020-12)."""
    schema = _section(Scenario, required=False)
    site = {"type": "string", "description": "site file this design lies over, relative to this file"}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "pondsim scenario",
        "description": "A site file, or a design file laid over one.",
        **schema,
        "properties": {"site": site, **schema["properties"]},
    }


def _section(section: type, *, required: bool) -> dict[str, Any]:
    keys = keys_of(section)
    schema: dict[str, Any] = {
        "type": "object",
        "properties": {name: _value(key) for name, key in keys.items()} | _old_names(keys),
        "additionalProperties": False,
    }
    needed = [name for name, key in keys.items() if key.required]
    if required and needed:
        schema["required"] = needed
    elif is_named(section):
        schema["required"] = ["name"]
    return schema


def _old_names(keys: dict[str, Key]) -> dict[str, Any]:
    """Keys by their old names, which are still read."""
    return {
        key.was: {**_value(key), "deprecated": True, "description": f"old name of {name}"}
        for name, key in keys.items()
        if key.was and key.was_shown
    }


def _value(key: Key) -> dict[str, Any]:
    schema = _BY_KIND[key.kind](key)
    words = [key.doc.strip()]
    if key.kind in ("quantity", "numbers", "months", "integer") and None not in (key.least, key.most):
        words.append(f"from {key.least} to {key.most}")
    schema["description"] = "; ".join(word.rstrip(".") for word in words if word)
    if not key.required and key.default is not None and key.kind not in ("section", "sections", "sources"):
        schema["default"] = list(key.default) if isinstance(key.default, tuple) else key.default
    return schema


def _number(key: Key) -> dict[str, Any]:
    unit = si_unit(key)
    _, first, second = WORDS[unit]
    if unit != "1":
        return {"type": "string", "pattern": QUANTITY, "examples": [first, second]}
    number: dict[str, Any] = {"type": "number"}
    if key.least is not None:
        number["minimum"] = to_si(str(key.least), "1")
    if key.most is not None:
        number["maximum"] = to_si(str(key.most), "1")
    return {"anyOf": [number, {"type": "string", "pattern": PLAIN}], "examples": [float(first), second]}


def _list(items: dict[str, Any], least: int = 0, most: int | None = None) -> dict[str, Any]:
    limits = {"minItems": least, **({} if most is None else {"maxItems": most})}
    return {"type": "array", "items": items, **limits}


def _months(key: Key) -> dict[str, Any]:
    twelve = _list(_number(key), 12, 12)
    return {"anyOf": [_number(key), twelve]} if key.single else twelve


def _name(key: Key) -> dict[str, Any]:
    first = r"[^\W_]" if key.digit_first else r"[^\W\d_]"
    name = {"type": "string", "pattern": rf"^{first}([\w \-]{{0,38}}[\w\-])?$"}
    return name if key.count == 1 else _list(name, key.count or 0, key.count)


def _spans(pattern: str) -> dict[str, Any]:
    span = {"type": "string", "pattern": pattern}
    return {"anyOf": [span, _list(span, 1)]}


def _fitting() -> dict[str, Any]:
    names = "|".join(fitting_table())
    return {"type": "string", "pattern": rf"^\s*(\d{{1,3}}\s*x?\s+)?({names})s?\s*$"}


def _sources(key: Key) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": {"type": ["string", "object"], "minLength": 1}}


def _subsection(key: Key) -> dict[str, Any]:
    return _section(key.section, required=False) if key.section else {}


def _sections(key: Key) -> dict[str, Any]:
    if key.section is None:
        return {}
    one = _section(key.section, required=not key.lone and not is_named(key.section))
    return {"anyOf": [one, _list(one)]} if key.lone else _list(one)


_BY_KIND = {
    "quantity": _number,
    "numbers": lambda key: _list(_number(key), 1),
    "months": _months,
    "point": lambda key: _list(_number(key), 2, 2),
    "integer": lambda key: {"type": "integer", "minimum": key.least, "maximum": key.most},
    "text": lambda key: {"type": "string", "minLength": 1},
    "texts": lambda key: _list({"type": ["string", "number"], "minLength": 1}),
    "name": _name,
    "choice": lambda key: {"enum": list(key.choices)},
    "flag": lambda key: {"type": "boolean"},
    "instant": lambda key: {"type": "string", "examples": ["2025-06-03 14:00", "2025-06-03"]},
    "instants": lambda key: _list({"type": "string", "examples": ["2025-06-03 14:00", "2025-06-03"]}),
    "hours": lambda key: _spans(HOURS),
    "season": lambda key: _spans(SEASON),
    "file": lambda key: {"type": "string", "minLength": 1},
    "fittings": lambda key: _list(_fitting()),
    "sources": _sources,
    "section": _subsection,
    "sections": _sections,
}
