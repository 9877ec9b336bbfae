"""Print the tables of docs/files.md, json.md and findings.md from the program's own data, between their marks.

    python tools/make_reference.py

A mark is a line such as `<!-- keys of airplane -->`, `<!-- fields of plan -->` or `<!-- thresholds of plan -->`; the
table runs to the next `<!-- end -->`. A test fails when a page is not what this prints.
"""

from __future__ import annotations

import pathlib
import re
import sys
from collections.abc import Iterator
from typing import Any

from volplane.adapters.toml.airfield_keys import AIRFIELD
from volplane.adapters.toml.airplane_keys import AIRPLANE
from volplane.adapters.toml.exercise_keys import EXERCISE
from volplane.adapters.toml.keys import table_rows
from volplane.adapters.toml.standard_keys import STANDARD
from volplane.adapters.toml.threshold_keys import threshold_rows
from volplane.faces.documents.quantities import schema

DOCS = pathlib.Path(__file__).resolve().parents[1] / "docs"
PAGES = ("files.md", "json.md", "findings.md")
FILES = {"airplane": AIRPLANE, "airfield": AIRFIELD, "exercise": EXERCISE, "standard": STANDARD}
_BLOCK = re.compile(r"<!-- (keys|fields|thresholds) of (\w+) -->\n.*?<!-- end -->", re.DOTALL)


def filled(text: str) -> str:
    """The page with every table written anew."""
    return _BLOCK.sub(lambda mark: f"<!-- {mark[1]} of {mark[2]} -->\n{_table(mark[1], mark[2])}\n<!-- end -->", text)


def _table(what: str, name: str) -> str:
    if what == "keys":
        head = ["| key | form | when missing | accepted | meaning |", "|---|---|---|---|---|"]
        return "\n".join([*head, *table_rows(FILES[name])])
    if what == "thresholds":
        head = ["| key | figure | raises | weight | when | status | source |", "|---|---|---|---|---|---|---|"]
        return "\n".join([*head, *threshold_rows()])
    head = ["| key | type | meaning |", "|---|---|---|"]
    return "\n".join([*head, *(f"| `{path}` | {form} | {meaning} |" for path, form, meaning in _fields(schema(name)))])


def _fields(part: dict[str, Any], path: str = "") -> Iterator[tuple[str, str, str]]:
    """Every field below a part of a schema: its path, its type, what it means."""
    for name, inner in part.get("properties", {}).items():
        place = f"{path}.{name}" if path else name
        yield place, _form(inner), inner.get("description", f"always `{inner.get('const')}`")
        yield from _fields(inner, place)
        if "items" in inner:
            yield from _fields(inner["items"], f"{place}[]")


def _form(part: dict[str, Any]) -> str:
    types = part.get("type", "string")
    form = " or ".join(types) if isinstance(types, list) else str(types)
    return f"{form}: {', '.join(part['enum'])}" if "enum" in part else form


def main() -> int:
    """Write the pages."""
    for name in PAGES:
        page = DOCS / name
        page.write_text(filled(page.read_text(encoding="utf-8")), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
