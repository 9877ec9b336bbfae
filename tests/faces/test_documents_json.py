"""The JSON documents: their keys as the contract names them, valid by their schema, never NaN, always the same."""

from __future__ import annotations

import copy
import dataclasses
import itertools
import json
import math
import re
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from tests.adapters.toml_texts import AIRPLANE, replaced
from tests.faces import fixtures
from tests.faces.documents_words import PlainWords
from volplane import units
from volplane.adapters.toml.airplane import read_airplane_file
from volplane.adapters.toml.source import NamedText
from volplane.domain.debrief.results import Debrief, Outcome
from volplane.domain.exercise.plan import Plan
from volplane.domain.geometry.airfield import RunwayUnknown, Side
from volplane.errors import FilesRefused
from volplane.faces.documents.check import check_document, check_text, contradiction_sentence
from volplane.faces.documents.debrief import debrief_document, limit_text, value_text
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.problems import problems_document
from volplane.faces.documents.quantities import as_text, in_trade_units, rounded, schema, utc
from volplane.faces.documents.wording import METRIC, NO_BREAK_SPACE
from volplane.services.checking import CheckedFile, contradictions, implied_sink_at_sea_level_mps

WORDS = PlainWords()


def closed(part: Any) -> Any:
    """The schema with every object closed, so that a key it does not describe is a fault."""
    if isinstance(part, dict):
        shut = {name: closed(value) for name, value in part.items()}
        if "properties" in shut and "required" in shut:
            shut["additionalProperties"] = False
        return shut
    return [closed(each) for each in part] if isinstance(part, list) else part


def assert_valid(document: dict[str, Any], name: str) -> None:
    described = schema(name)
    Draft202012Validator.check_schema(described)
    faults = [
        f"{fault.json_path}: {fault.message}" for fault in Draft202012Validator(closed(described)).iter_errors(document)
    ]
    assert faults == []
    assert json.loads(as_text(document)) == document


def plan_of(plan: Plan) -> dict[str, Any]:
    return plan_document(plan, words=WORDS)


def debrief_of(debrief: Debrief) -> dict[str, Any]:
    return debrief_document(debrief, words=WORDS)


@pytest.mark.parametrize(
    "plan",
    [
        fixtures.plan(),
        fixtures.plan(Side.RIGHT),
        fixtures.plan(feasible=False),
        fixtures.plan(findings=[fixtures.stop_finding()]),
        dataclasses.replace(fixtures.plan(), fine_pitch=None),
    ],
    ids=["left", "right", "infeasible", "stop", "no fine pitch"],
)
def test_a_plan_is_valid_by_its_schema(plan: Plan) -> None:
    assert_valid(plan_of(plan), "plan")


@pytest.mark.parametrize(
    "attempt",
    [
        fixtures.attempt(),
        fixtures.attempt(Side.RIGHT),
        fixtures.attempt(outcome=Outcome.WENT_AROUND),
        dataclasses.replace(
            fixtures.attempt(), verdict=None, glide=None, height_in_hand=None, wind=(), touchdown=None, budget=()
        ),
    ],
    ids=["landed", "right", "went around", "wind unknown"],
)
def test_a_debrief_is_valid_by_its_schema(attempt: Any) -> None:
    assert_valid(debrief_of(fixtures.debrief(attempt)), "debrief")


# keys as the contract lists them; more may be there
PLAN_KEYS = (
    "gates phases path ledger surplus_ft fine_pitch touchdown ways_to_lose_height speed_to_fly dispersion findings "
    "break_off feasible binding levers comparison"
).split()
GATE_KEYS = (
    "name height_ft altimeter_ft required_ft lowest_ft highest_ft x_ft y_ft distance_abeam_nm latitude_deg "
    "longitude_deg heading_true_deg heading_magnetic_deg track_true_deg time_s speed_kias"
).split()
PATH_KEYS = "time_s x_ft y_ft height_ft heading_true_deg track_true_deg bank_deg speed_kias configuration".split()
ATTEMPT_KEYS = (
    "start_utc end_utc runway pattern outcome headline verdict gates wind glide height_in_hand budget standin engine "
    "not_observable touchdown go_around maximum_bank_deg minimum_speed_kcas standard findings"
).split()


def test_the_plan_holds_every_key_of_the_contract() -> None:
    document = plan_of(fixtures.plan(feasible=False))
    assert set(PLAN_KEYS) <= set(document)
    assert set(GATE_KEYS) <= set(document["gates"][0])
    assert set(PATH_KEYS) <= set(document["path"][0])
    assert {"name", "from", "real", "flown"} <= set(document["phases"][0])
    assert {"item", "height_ft"} == set(document["ledger"][0])
    assert {"height_ft", "altimeter_ft", "speed_low_kias", "speed_high_kias", "bank_deg"} == set(document["break_off"])
    assert {"code", "severity", "text"} == set(document["findings"][0])
    assert {"key", "now", "needed", "unit"} == set(document["levers"][0])
    assert {"code", "text"} == set(document["binding"])


def test_the_debrief_holds_every_key_of_the_contract() -> None:
    document = debrief_of(fixtures.debrief())
    assert {"sha256", "format", "start_utc", "end_utc", "fixes", "altitude_source", "problems"} <= set(
        document["recording"]
    )
    (attempt,) = document["attempts"]
    assert set(ATTEMPT_KEYS) <= set(attempt)
    assert {"name", "utc", "height_ft", "height_sd_ft", "planned_ft", "lowest_ft", "highest_ft", "within"} <= set(
        attempt["gates"][0]
    )
    assert {"item", "limit", "value", "met", "source"} <= set(attempt["standard"][0])


def test_heights_are_in_feet_and_the_ledger_still_sums_to_the_entry_height() -> None:
    plan = fixtures.plan()
    document = plan_of(plan)
    assert document["gates"][1]["height_ft"] == pytest.approx(plan.gates[1].height_m / 0.3048, abs=0.05)
    assert sum(item["height_ft"] for item in document["ledger"]) == pytest.approx(2500.0, abs=0.5)
    assert document["exercise"]["weight_lb"] == 3350.0
    assert document["exercise"]["qnh_inhg"] == 30.05
    assert document["exercise"]["utc"] == "2026-05-14T14:00:00.0Z"


def test_directions_of_the_path_are_true_and_turn_with_the_runway() -> None:
    # the landing direction is 238.4 degrees true: that is the heading at the high key and on final
    document = plan_of(fixtures.plan())
    assert document["path"][0]["heading_true_deg"] == pytest.approx(238.4, abs=0.5)
    assert document["path"][-1]["track_true_deg"] == pytest.approx(238.4, abs=0.5)
    low_key_s = document["gates"][1]["time_s"]
    there = min(document["path"], key=lambda row: abs(row["time_s"] - low_key_s))
    assert there["track_true_deg"] == pytest.approx(58.4, abs=2.0)
    # a left turn passes through headings south of the landing direction: 238.4 less 90 is 148.4
    quarter = min(document["path"], key=lambda row: abs(row["time_s"] - low_key_s / 2.0))
    assert quarter["track_true_deg"] == pytest.approx(148.4, abs=6.0)
    assert quarter["bank_deg"] < 0.0


def test_the_speed_of_the_path_is_what_the_dial_shows() -> None:
    # 108 kt true airspeed at 2,500 ft over a field at 940 ft, 18 degC and 30.05: 5.2 % less by the root of density
    first = plan_of(fixtures.plan())["path"][0]
    assert first["speed_kias"] == pytest.approx(108.0 * 0.946, abs=0.6)


def test_the_path_has_a_row_a_second_and_every_change_of_phase() -> None:
    plan = fixtures.plan()
    rows = plan_of(plan)["path"]
    times = [row["time_s"] for row in rows]
    assert times[0] == 0.0
    assert times[-1] == pytest.approx(plan.touchdown_time_s, abs=0.01)
    assert max(np.diff(times)) <= 1.01
    assert all(later > earlier for earlier, later in itertools.pairwise(times))
    assert {row["configuration"] for row in rows} == set(plan.path.configuration_names)


def test_what_is_null_has_a_reason() -> None:
    document = plan_of(dataclasses.replace(fixtures.plan(), fine_pitch=None))
    reasons = {entry["key"] for entry in document["not_observable"]}
    empty = {key for key, value in document.items() if value is None and key != "binding"}
    assert empty == reasons == {"ways_to_lose_height", "speed_to_fly", "dispersion", "comparison", "fine_pitch"}
    (attempt,) = debrief_of(fixtures.debrief())["attempts"]
    assert {"standin", "engine", "speed_kcas"} <= {entry["key"] for entry in attempt["not_observable"]}


def test_times_of_a_debrief_are_utc() -> None:
    document = debrief_of(fixtures.debrief())
    assert document["recording"]["start_utc"] == "2026-05-14T14:00:00.0Z"
    (attempt,) = document["attempts"]
    assert attempt["start_utc"] == "2026-05-14T14:02:17.0Z"  # 137 s after the recording's start
    assert attempt["touchdown"]["utc"] == attempt["end_utc"]
    assert attempt["findings"][0]["utc"] > attempt["gates"][1]["utc"]


def test_unknown_heights_in_hand_are_null_and_never_nan() -> None:
    (attempt,) = debrief_of(fixtures.debrief())["attempts"]
    series = attempt["height_in_hand"]["series"]
    assert any(row["in_hand_ft"] is None for row in series)
    assert "NaN" not in as_text(debrief_of(fixtures.debrief()))


def test_a_window_without_an_upper_end_is_null() -> None:
    plan = fixtures.plan()
    gate = dataclasses.replace(plan.gates[0], highest_m=math.inf, altimeter_highest_msl_m=math.inf)
    document = plan_of(dataclasses.replace(plan, gates=(gate, *plan.gates[1:])))
    assert document["gates"][0]["highest_ft"] is None
    assert_valid(document, "plan")


def test_a_document_is_the_same_every_time_and_leaves_its_plan_alone() -> None:
    plan, debrief = fixtures.plan(), fixtures.debrief()
    before = copy.deepcopy(plan.path.x_m)
    assert as_text(plan_of(plan)) == as_text(plan_of(plan))
    assert as_text(debrief_of(debrief)) == as_text(debrief_of(debrief))
    assert np.array_equal(before, plan.path.x_m)


def test_units_of_the_reader_change_sentences_and_no_number() -> None:
    imperial, metric = plan_of(fixtures.plan()), plan_document(fixtures.plan(), METRIC, WORDS)
    assert imperial["gates"] == metric["gates"]
    assert imperial["findings"][0]["text"] != metric["findings"][0]["text"]


def test_both_cautions_stand_on_every_document() -> None:
    for document in (plan_of(fixtures.plan()), debrief_of(fixtures.debrief())):
        assert len(document["caution"]) == 2
        assert "not for navigation" in document["caution"][0]


def test_limits_of_a_standard_are_said_in_words() -> None:
    (item,) = fixtures.attempt().standard
    assert limit_text(item).replace(NO_BREAK_SPACE, " ") == "0 to 200 ft"
    assert value_text(item).replace(NO_BREAK_SPACE, " ") == "\u2212210 ft"
    bank = dataclasses.replace(item, limit_low=None, limit_high=math.radians(30), quantity="angle_rad")
    assert limit_text(bank) == "30° or less"
    high = dataclasses.replace(item, limit_low=units.m_from_ft(300), limit_high=None)
    assert limit_text(high).replace(NO_BREAK_SPACE, " ") == "300 ft or more"
    speed = dataclasses.replace(
        item, limit_low=-units.mps_from_kt(5), limit_high=units.mps_from_kt(10), quantity="speed_mps", value=None
    )
    assert limit_text(speed).replace(NO_BREAK_SPACE, " ") == "\u22125 to 10 kt"
    assert value_text(speed) == "\u2013"


# check and problems


def checked(airplane: str) -> CheckedFile:
    reading = read_airplane_file(NamedText("dunlin_tourer.toml", airplane))
    if reading.handbook is None:
        return CheckedFile("dunlin_tourer.toml", "airplane", None, (), reading.problems)
    implied = implied_sink_at_sea_level_mps(reading.handbook)
    return CheckedFile("dunlin_tourer.toml", "airplane", implied, contradictions(reading.handbook), ())


def test_a_check_names_the_implied_sink_and_what_contradicts_it() -> None:
    found = checked(replaced(AIRPLANE, "ratio = 9.6", 'ratio = 9.6\nsink = "850 fpm"'))
    document = check_document((found,))
    assert_valid(document, "check")
    assert document["implied_sink_fpm"] == pytest.approx(1149.8, rel=0.006)  # 109 kt over 9.6, arithmetic
    (contradiction,) = document["contradictions"]
    assert contradiction["keys"] == ["glide.sink", "glide.best_speed", "glide.ratio"]
    assert (contradiction["stated"], contradiction["unit"]) == (850.0, "fpm")
    assert contradiction["percent"] == pytest.approx(-25.7, abs=0.5)
    assert contradiction_sentence(found.contradictions[0]).replace(NO_BREAK_SPACE, " ") == (
        "glide.sink is 850 fpm, 26 % below what glide.best_speed and glide.ratio imply, 1,144 fpm. "
        "Check which of them is right."
    )
    assert "imply a sink of" in check_text((found,))


def test_a_check_of_a_broken_file_holds_its_problems() -> None:
    document = check_document((checked(replaced(AIRPLANE, '"68 kt"', '"68"')),))
    assert_valid(document, "check")
    assert document["implied_sink_fpm"] is None
    assert document["files"][0]["accepted"] is False
    (problem,) = document["problems"]
    assert problem["sentence"] == (
        'dunlin_tourer.toml, stall.clean (line 13): found "68" without a unit, expected a speed in kt, km/h, m/s or '
        'mph. Write "68 kt" or "125.9 km/h".'
    )
    assert "one problem" in check_text((checked("name ="),))


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            'approach_speed = "88 kt"',
            'approach_speed = "70 kt"',
            "landing_without_power.approach_speed is 70 kt, 3 % below what stall.landing allows, no less than 72 kt.",
        ),
        (
            'full_flap = "120 kt"',
            'full_flap = "80 kt"',
            "landing_without_power.approach_speed is 88 kt, 10 % above what limits.full_flap allows, at most 80 kt.",
        ),
    ],
)
def test_landing_speeds_that_do_not_fit_are_said_so(old: str, new: str, sentence: str) -> None:
    (found,) = checked(replaced(AIRPLANE, old, new)).contradictions
    assert contradiction_sentence(found).replace(NO_BREAK_SPACE, " ").startswith(sentence)


def test_a_refusal_is_a_document_of_problems() -> None:
    document = problems_document(RunwayUnknown("18", "Quill Meadow", ("25", "07")))
    assert_valid(document, "problems")
    assert document["problems"][0]["sentence"] == (
        'Runway "18"; expected a runway of Quill Meadow. Write "25" or "07".'
    )
    files = problems_document(FilesRefused(checked("name =").problems))
    assert_valid(files, "problems")
    assert files["problems"][0]["file"] == "dunlin_tourer.toml"


# numbers


def test_numbers_are_rounded_alike_and_nought_has_no_sign() -> None:
    assert rounded(-0.04, 1) == 0.0
    assert math.copysign(1.0, rounded(-0.04, 1) or 0.0) == 1.0
    assert rounded(math.nan, 1) is None
    assert rounded(math.inf, 1) is None
    assert rounded(None, 1) is None


def test_a_moment_is_rounded_to_a_tenth_and_carries_over() -> None:
    assert utc(1778767199.96) == "2026-05-14T14:00:00.0Z"
    assert utc(1778767200.25) == "2026-05-14T14:00:00.3Z"
    assert utc(math.nan) is None
    assert re.fullmatch(r"1969-12-31T23:59:59.9Z", utc(-0.1) or "")


@pytest.mark.parametrize(
    ("value", "quantity", "expected"),
    [
        (30.48, "length_m", (100.0, "ft")),
        (51.44444, "speed_mps", (100.0, "kt")),
        (5.08, "sink_mps", (1000.0, "fpm")),
        (math.pi / 4, "angle_rad", (45.0, "deg")),
        (45.359237, "mass_kg", (100.0, "lb")),
        (288.15, "temperature_k", (15.0, "degC")),
        (4.0, "delay_s", (4.0, "s")),
        (9.6, "ratio", (9.6, "1")),
        (None, "length_m", (None, "ft")),
    ],
)
def test_a_quantity_named_by_a_word_comes_in_trade_units(
    value: float | None, quantity: str, expected: tuple[float | None, str]
) -> None:
    assert in_trade_units(value, quantity) == expected


def test_every_field_of_every_schema_is_described() -> None:
    def undescribed(part: Any, path: str) -> list[str]:
        found: list[str] = []
        for name, inner in part.get("properties", {}).items():
            if "description" not in inner and "const" not in inner:
                found.append(f"{path}.{name}")
            found += undescribed(inner, f"{path}.{name}")
        if "items" in part:
            found += undescribed(part["items"], f"{path}[]")
        return found

    for name in ("plan", "debrief", "check", "problems"):
        assert undescribed(schema(name), name) == []


def test_the_programs_own_words_stand_in_a_debrief() -> None:
    document = debrief_document(fixtures.debrief())
    assert_valid(document, "debrief")
    (attempt,) = document["attempts"]
    assert attempt["headline"].endswith(".")
    assert all(finding["text"] for finding in attempt["findings"])
    assert all(entry["reason"] != entry["code"] for entry in attempt["not_observable"])


def test_the_ledger_as_printed_sums_to_the_entry_height_to_the_last_digit() -> None:
    plan = fixtures.plan()
    parts = [dataclasses.replace(plan.ledger[0], height_m=units.m_from_ft(100.04)) for _ in range(25)]
    document = plan_of(dataclasses.replace(plan, ledger=tuple(parts)))
    assert round(sum(item["height_ft"] for item in document["ledger"]), 6) == 2501.0


def test_the_demo_exercise_goes_from_files_to_a_document_in_the_programs_own_words() -> None:
    from tests.adapters.toml_texts import demo_text, sound
    from volplane.domain.exercise.solver import solve

    document = plan_document(solve(sound(demo_text("exercise.toml"))))
    assert_valid(document, "plan")
    assert [gate["name"] for gate in document["gates"]] == ["high key", "low key", "base key", "final"]
    assert round(sum(item["height_ft"] for item in document["ledger"]), 6) == document["gates"][0]["height_ft"]
    assert all(finding["text"].endswith(".") for finding in document["findings"])
    assert all(phase["flown"] for phase in document["phases"])
