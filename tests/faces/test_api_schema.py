"""The interface keeps what it says: described answers, types made of it, and no wish however odd is our own fault."""

from __future__ import annotations

import importlib.util
import pathlib
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import content_type_conformance, response_schema_conformance

from tests.faces.web_fixture import Browser, FixtureWorkbench

ROOT = pathlib.Path(__file__).parents[2]
CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance]
app = Browser(FixtureWorkbench()).app
interface = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers={"host": "127.0.0.1"})
QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.function_scoped_fixture]


@interface.parametrize()
@settings(
    max_examples=4,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=QUIET,
    derandomize=True,
)
def test_no_wish_is_answered_with_our_own_fault(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHECKS, headers={"host": "127.0.0.1"})


@pytest.mark.long
@interface.parametrize()
@settings(max_examples=300, deadline=None, suppress_health_check=QUIET)
def test_no_wish_of_very_many_is_answered_with_our_own_fault(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHECKS, headers={"host": "127.0.0.1"})


def operations() -> list[tuple[str, dict[str, Any]]]:
    return [
        (f"{method} {path}", operation)
        for path, methods in app.openapi()["paths"].items()
        for method, operation in methods.items()
    ]


def test_every_address_is_summarised_and_says_what_it_answers() -> None:
    assert len(operations()) > 10
    for where, operation in operations():
        assert len(operation["summary"].split()) > 2, where
        done = next(answer for status, answer in operation["responses"].items() if status.startswith("2"))
        for content in done["content"].values():
            assert content["schema"], where
        refused = operation["responses"]["default"]["content"]["application/json"]["schema"]
        assert refused == {"$ref": "#/components/schemas/Problems"}, where


def test_what_the_table_of_answers_names_exists() -> None:
    from volplane.faces.web.interface import _ANSWERS, _FILES, _TAKES_A_FILE

    known = {where for where, _ in operations()}
    assert set(_ANSWERS) | set(_FILES) | set(_TAKES_A_FILE) <= known


def test_the_types_of_the_client_are_those_of_the_interface() -> None:
    path = ROOT / "tools" / "make_api_types.py"
    spec = importlib.util.spec_from_file_location("make_api_types", path)
    assert spec is not None
    assert spec.loader is not None
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    assert maker.TYPES.read_text(encoding="utf-8") == maker.types_of(app.openapi())
