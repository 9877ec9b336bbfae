"""Files made of values typed into a form: one value a key, written as a hand would write it.

Nothing is judged here. The readers say what is wrong with a value, and name the key it was typed for.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

_KEY = re.compile(r"(?:(?P<table>\w+)(?:\[(?P<row>\d+)\])?\.)?(?P<key>\w+)")
_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?")
# the keys whose value is a bare number, or a list of them
_BARE = frozenset({"ratio", "threshold"})


def text_of(values: Mapping[str, str]) -> str:
    """The text of a file by its keys: "name", "weights.maximum", "runway[1].length"; empty values are left out.

    Keys of one table stand together. :raises ValueError: a key is not of this form.
    """
    tables: dict[tuple[str, int], list[str]] = {("", 0): []}
    for path, typed in values.items():
        match = _KEY.fullmatch(path)
        if match is None:
            raise ValueError(f"no key of a file: {path}")
        if typed.strip():
            table = (match["table"] or "", int(match["row"] or 0))
            tables.setdefault(table, []).append(f"{match['key']} = {_value(match['key'], typed.strip())}")
    blocks = ["\n".join([*_header(*table), *lines]) for table, lines in tables.items() if lines]
    return "\n\n".join(blocks) + "\n"


def _header(table: str, row: int) -> list[str]:
    if not table:
        return []
    return [f"[[{table}]]" if row else f"[{table}]"]


def _value(key: str, typed: str) -> str:
    if key in _BARE:
        if _NUMBER.fullmatch(typed):
            return str(float(typed))
        parts = [part.strip() for part in typed.split(",")]
        if len(parts) == 2 and all(_NUMBER.fullmatch(part) for part in parts):
            return f"[{', '.join(str(float(part)) for part in parts)}]"
    return json.dumps(typed, ensure_ascii=False)
