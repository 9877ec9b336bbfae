"""The interface described: what each address takes and answers, as OpenAPI with the schemas of our documents.

Handlers answer with responses they made themselves, so FastAPI sees no types; they are put together here once, from the
published schemas, for whoever writes a program against the workbench and for the types of our own client.
"""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

Schema = dict[str, Any]
JSON = "application/json"
OF_A_KEPT_DOCUMENT = ("plan", "debrief", "problems")
_TEXT: Schema = {"type": "string"}
_BINARY: Schema = {"type": "string", "format": "binary"}


def _document(name: str, about: str, properties: Schema, required: tuple[str, ...]) -> Schema:
    named = {"schema": {"const": f"volplane/{name}/1"}, **properties}
    return {"type": "object", "description": about, "required": ["schema", *required], "properties": named}


_TEXTS: Schema = {"type": "object", "additionalProperties": _TEXT}
_SHAPES: dict[str, Schema] = {
    "Kept": _document("kept", "What was kept, and its page.", {"key": _TEXT, "href": _TEXT}, ("key", "href")),
    "Held": _document(
        "held",
        "What was measured and is held in memory, and its page.",
        {"name": _TEXT, "href": _TEXT},
        ("name", "href"),
    ),
    "View": _document(
        "view",
        "Pieces of a page by the id of the element they go into.",
        {"title": _TEXT, "fields": _TEXTS, "fragments": _TEXTS},
        ("fragments",),
    ),
    "Document": {
        "type": "object",
        "description": "A document; `schema` names its form and the form's number.",
        "required": ["schema"],
        "properties": {"schema": _TEXT},
    },
}
# the document that an operation answers with; every other one that answers JSON has a `Document`
_ANSWERS = {
    "post /api/exercises": "Kept",
    "post /api/exercises/{key}/keep": "Kept",
    "post /api/files/{kind}/{key}": "Kept",
    "post /api/airplanes/{key}/measurements": "Held",
    "post /api/exercises/{key}/debriefs": "Kept",
    "post /api/column-maps": "Kept",
    "delete /api/debriefs/{key}": "Kept",
    "get /api/exercises/{key}/runways": "View",
    "get /api/exercises/{key}/ways": "View",
    "get /api/airfields": "View",
    "get /api/exercises/{key}/view": "View",
    "get /api/exercises/{key}/drag": "View",
    "get /api/exercises/{key}/plan": "Plan",
    "get /api/debriefs/{key}": "Debrief",
}
_FILES = {
    "post /api/exercises/{key}/card": "application/pdf",
    "get /api/exercises/{key}/preview/{name}/{page}": "image/png",
    "get /api/debriefs/{key}/recording": "application/octet-stream",
}
# these take a file as their body
_TAKES_A_FILE = frozenset(
    {"post /api/airplanes/{key}/measurements", "post /api/exercises/{key}/debriefs", "post /api/columns"}
)
_MADE_WITH_A_NEW_THING = frozenset(
    {"post /api/exercises", "post /api/exercises/{key}/debriefs", "post /api/airplanes/{key}/measurements"}
)


def describe(app: FastAPI) -> None:
    """Let the application describe itself with types."""

    def described() -> Schema:
        if app.openapi_schema is None:
            app.openapi_schema = _described(get_openapi(title=app.title, version=app.version, routes=app.routes))
        return app.openapi_schema

    app.openapi = described  # type: ignore[method-assign]


def _described(interface: Schema) -> Schema:
    schemas = interface.setdefault("components", {}).setdefault("schemas", {})
    for foreign in ("HTTPValidationError", "ValidationError"):
        schemas.pop(foreign, None)
    schemas |= _SHAPES | {name.capitalize(): _published(name) for name in OF_A_KEPT_DOCUMENT}
    for path, operations in interface["paths"].items():
        for method, operation in operations.items():
            _describe(operation, f"{method} {path}")
    return interface


def _published(name: str) -> Schema:
    """A published schema."""
    folder = resources.files("volplane.faces.documents") / "schemas"
    schema: Schema = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
    schema.pop("$schema", None)
    schema.pop("$id", None)
    return schema


def _describe(operation: Schema, where: str) -> None:
    answers = operation["responses"]
    answers.pop("422", None)
    status = "201" if where in _MADE_WITH_A_NEW_THING else next(iter(answers), "200")
    about = answers.pop(next(iter(answers), "200"), {}).get("description", "Done")
    operation["responses"] = {
        status: {"description": about, "content": _content(where)},
        "default": {
            "description": "Refused, unknown or our own fault: each problem in a sentence",
            "content": {JSON: {"schema": _reference("Problems")}},
        },
    }
    if where in _TAKES_A_FILE:
        operation["requestBody"] = {"required": True, "content": {"application/octet-stream": {"schema": _BINARY}}}
        given = operation.setdefault("parameters", [])
        if not any(each["name"] == "file_name" for each in given):
            given.append({"name": "file_name", "in": "query", "required": False, "schema": _TEXT})


def _content(where: str) -> Schema:
    if where in _FILES:
        return {_FILES[where]: {"schema": _BINARY}}
    if where.endswith("/export/{ending}"):
        return {"*/*": {"schema": _BINARY}}
    return {JSON: {"schema": _reference(_ANSWERS.get(where, "Document"))}}


def _reference(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{name}"}
