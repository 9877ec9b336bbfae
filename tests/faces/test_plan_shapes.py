"""Every shape's plan as document and as text; runways compared; what a limit that binds says."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest

from tests.exercises import AIRFIELD, exercise_of
from tests.faces.test_documents_json import assert_valid
from tests.unit.test_shapes import NAMES, SHAPES
from volplane.domain.exercise.comparing import compare
from volplane.domain.exercise.exercise import Exercise, GateName, Obstacle, ShapeName
from volplane.domain.exercise.plan import Binding, Lever
from volplane.domain.exercise.solver import solve
from volplane.faces.cli.plan_report import plan_report
from volplane.faces.cli.sheet import Sheet
from volplane.faces.documents import plan_words
from volplane.faces.documents.comparison import verdict_text
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.wording import IMPERIAL, NO_BREAK_SPACE
from volplane.units import m_from_ft


def plain(text: str) -> str:
    return text.replace(NO_BREAK_SPACE, " ")


def document_of(exercise: Exercise, **extra: Any) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(json.dumps(plan_document(dataclasses.replace(solve(exercise), **extra))))
    return document


@pytest.mark.parametrize(("exercise", "gates"), SHAPES, ids=NAMES)
def test_the_plan_of_every_shape_is_valid_by_its_schema(exercise: Exercise, gates: tuple[GateName, ...]) -> None:
    document = document_of(exercise)
    assert_valid(document, "plan")
    assert [gate["name"] for gate in document["gates"]] == [str(gate) for gate in gates]
    assert document["exercise"]["shape"] == str(exercise.shape)
    assert document["ends_in"] == "touchdown"
    assert document["circles"] == (3 if exercise.shape is ShapeName.STEEP_SPIRAL else document["circles"])


@pytest.mark.parametrize(
    ("number", "said", "not_said"),
    [
        (0, ("Power-off 180 to runway 25", "from the low key", "low key to base key"), ("Half turn", "Upwind leg")),
        (1, ("90-degree approach to runway 25", "Begins on base,", "Turn to final"), ("Downwind", "Low key")),
        (2, ("Steep spiral to runway 25", "Three circles", "from the top of the spiral"), ()),
        (3, ("En route to runway 25", "to the key", "from the failure"), ()),
    ],
)
def test_the_report_of_a_shape_speaks_of_what_it_has(
    number: int, said: tuple[str, ...], not_said: tuple[str, ...]
) -> None:
    text = plain(" ".join(plan_report(solve(SHAPES[number][0]), IMPERIAL, Sheet()).split()))
    for words in said:
        assert words.lower() in text.lower(), words
    before_findings = text.split("Findings")[0]
    for words in not_said:
        assert words not in before_findings, words


def test_a_plan_over_a_practice_floor_says_that_it_ends_in_a_go_around() -> None:
    exercise = exercise_of(airfield=dataclasses.replace(AIRFIELD, practice_floor_msl_m=m_from_ft(3500.0)))
    document = document_of(exercise)
    assert_valid(document, "plan")
    assert document["ends_in"] == "go-around"
    assert document["phases"][-1]["name"] == "go-around"
    assert "nothing is landed on" in document["phases"][-1]["real"]
    heights = [row["height_ft"] for row in document["path"]]
    assert min(heights) > 0.0
    assert heights[-1] > min(heights)
    assert any("every exercise ends there in a go-around" in each["text"] for each in document["findings"])


def test_compared_runways_stand_in_the_document_with_a_reason_each() -> None:
    plan = solve(exercise_of())
    document = document_of(plan.exercise, comparison=compare(plan.exercise, plan))
    assert_valid(document, "plan")
    left, right = document["comparison"]
    assert (left["recommended"], right["recommended"]) == (True, False)
    # 240 degrees against 238.4: 8 kt on the nose
    assert plain(left["reason"]).startswith("Headwind 8 kt, crosswind 0 kt, published side, ")
    assert "not the published side" in right["reason"]
    assert "comparison" not in [each["key"] for each in document["not_observable"]]


def test_where_no_runway_is_recommended_another_day_is() -> None:
    compared = tuple(dataclasses.replace(each, is_recommended=False) for each in compare(exercise_of()))
    assert verdict_text(compared) == "None can be flown today without a stop: take another day or another field."


@pytest.mark.parametrize(
    ("binding", "sentence"),
    [
        (
            Binding("too-few-circles", {"circles": 2.0, "least": 3.0, "missing_m": m_from_ft(551.0)}),
            "A steep spiral has 3 circles at least; the entry allows only two circles: 560 ft missing.",
        ),
        (
            Binding("too-few-circles", {"circles": 0.0, "least": 3.0, "missing_m": m_from_ft(3000.0)}),
            "A steep spiral has 3 circles at least; the entry allows not one circle: 3,000 ft missing.",
        ),
        (
            Binding(
                "obstacle",
                {
                    "x_m": m_from_ft(-3000.0),
                    "y_m": m_from_ft(200.0),
                    "height_m": m_from_ft(120.0),
                    "clearance_m": m_from_ft(68.0),
                    "margin_m": m_from_ft(100.0),
                },
            ),
            "The path passes the obstacle of 120 ft 3,000 ft before the point, 200 ft to the left 60 ft over its top; "
            "100 ft is the margin.",
        ),
    ],
)
def test_a_limit_that_binds_is_said_with_its_figures(binding: Binding, sentence: str) -> None:
    assert plain(plan_words.binding_text(binding, IMPERIAL)) == sentence


@pytest.mark.parametrize(
    ("lever", "sentence"),
    [
        (Lever("entry_height", m_from_ft(2000.0), m_from_ft(2311.0), "length_m"), "2,320 ft instead of 2,000 ft"),
        (Lever("low_key_height", m_from_ft(1500.0), m_from_ft(1319.0), "length_m"), "1,310 ft instead of 1,500 ft"),
        (Lever("maximum_bank", 0.5235987756, 0.5462880559, "angle_rad"), "32° instead of 30°"),
        (Lever("distance_limit", 5556.0, 6019.0, "length_m"), "3.3 NM instead of 3.0 NM"),
    ],
)
def test_what_is_needed_is_rounded_so_that_it_still_helps(lever: Lever, sentence: str) -> None:
    assert plain(plan_words.lever_text(lever, IMPERIAL)).endswith(sentence)


def test_an_impossible_plan_with_an_obstacle_is_valid_too() -> None:
    document = document_of(exercise_of(obstacles=(Obstacle(-900.0, 0.0, 60.0),)))
    assert_valid(document, "plan")
    assert document["binding"]["code"] == "obstacle"
    assert {"reserve", "obstacle_margin"} <= {lever["key"] for lever in document["levers"]}
