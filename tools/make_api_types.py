"""Types of the client from the interface: `python tools/make_api_types.py` writes web/src/api.ts from OpenAPI.

With the word `check` it only says whether the file is the one it would write.
"""

from __future__ import annotations

import pathlib
import re
import sys
import tempfile
from typing import Any

ROOT = pathlib.Path(__file__).resolve().parents[1]
TYPES = ROOT / "web" / "src" / "api.ts"
HEAD = "// Made by tools/make_api_types.py from the workbench's own description of its interface. Do not edit.\n"
NAMED = {"string": "string", "number": "number", "integer": "number", "boolean": "boolean", "null": "null"}
Schema = dict[str, Any]


def main() -> None:
    """Write the types, or check them."""
    text = types_of(interface())
    if "check" not in sys.argv[1:]:
        TYPES.write_text(text, encoding="utf-8")
    elif TYPES.read_text(encoding="utf-8") != text:
        raise SystemExit("web/src/api.ts is not what the interface says: run python tools/make_api_types.py")


def interface() -> Schema:
    """What the application says about itself, over an empty store."""
    from volplane import bootstrap
    from volplane.faces.web.app import create_app

    with tempfile.TemporaryDirectory() as folder:
        store = bootstrap.open_store(str(pathlib.Path(folder) / "empty.sqlite"))
        described: Schema = create_app(bootstrap.House(store)).openapi()
        store.close()
    return described


def types_of(described: Schema) -> str:
    """The schemas that the client imports as exported types, in the order of their names."""
    schemas = described["components"]["schemas"]
    return HEAD + "".join(_declared(name, schemas[name]) for name in sorted(imported()))


def imported() -> set[str]:
    """The names that files of the client import from these types."""
    texts = (path.read_text(encoding="utf-8") for path in TYPES.parent.glob("*.ts"))
    lists = (found for text in texts for found in re.findall(r'import type \{([^}]*)\} from "\./api"', text))
    return {name.strip() for each in lists for name in each.split(",") if name.strip()}


def _declared(name: str, schema: Schema) -> str:
    about = " ".join(str(schema.get("description", "")).split())
    comment = f"/** {about} */\n" if about else ""
    return f"\n{comment}export type {name} = {_type(schema, '')};\n"


def _type(schema: Schema, indent: str) -> str:
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    if "const" in schema:
        return _literal(schema["const"])
    if "enum" in schema:
        return " | ".join(_literal(each) for each in schema["enum"])
    if choices := schema.get("anyOf") or schema.get("oneOf"):
        return " | ".join(dict.fromkeys(_type(each, indent) for each in choices))
    kind = schema.get("type")
    if isinstance(kind, list):
        return " | ".join(_type({**schema, "type": each}, indent) for each in kind)
    if kind == "array":
        inner = _type(schema.get("items", {}), indent)
        return f"readonly ({inner})[]" if " | " in inner and not inner.startswith("{") else f"readonly {inner}[]"
    return _object(schema, indent) if kind == "object" else NAMED.get(str(kind), "unknown")


def _object(schema: Schema, indent: str) -> str:
    properties: dict[str, Schema] = schema.get("properties", {})
    if not properties:
        more = schema.get("additionalProperties", {})
        return f"Readonly<Record<string, {_type(more, indent) if isinstance(more, dict) else 'unknown'}>>"
    required, inner = schema.get("required", ()), f"{indent}  "
    lines = [
        f"{inner}readonly {key}{'' if key in required else '?'}: {_type(value, inner)};\n"
        for key, value in properties.items()
    ]
    return f"{{\n{''.join(lines)}{indent}}}"


def _literal(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)


if __name__ == "__main__":
    main()
