"""A kept debrief holds the figures it was made with, and can be made again from what is kept."""

from __future__ import annotations

import dataclasses
import json
import math
import pathlib
from collections.abc import Iterator

import numpy as np
import pytest

from tests.faces import fixtures
from tests.stores import ORIGINAL, file_store
from volplane import __version__, bootstrap
from volplane.adapters.store.store import SqlStore
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Attempt, Outcome, WindEstimate
from volplane.faces.cli.main import main
from volplane.faces.documents.debrief import debrief_document
from volplane.services import kept
from volplane.services.keeping import ChangedMeanwhile, keep_recording, keep_text
from volplane.services.keeping_debriefs import (
    DebriefOf,
    DebriefOptions,
    attempt_records,
    keep_debrief,
    records_below,
    replace_debrief,
)
from volplane.services.recomputing import recomputed
from volplane.services.safekeeping import StoreFinding

NOW_UNIX_S = 1_778_760_000.0
KEYS = iter(str(number) for number in range(100_000))


def new_key() -> str:
    return next(KEYS)


def rows_of(attempt: Attempt) -> tuple[kept.Record, ...]:
    """The rows of a debrief with one attempt."""
    return attempt_records("debrief", fixtures.debrief(attempt), new_key)


def attempt_row(attempt: Attempt) -> kept.KeptAttempt:
    """The row of an attempt itself."""
    row = rows_of(attempt)[0]
    assert isinstance(row, kept.KeptAttempt)
    return row


def test_the_rows_of_an_attempt_are_the_figures_of_its_debrief() -> None:
    attempt = fixtures.attempt()
    debrief = fixtures.debrief(attempt)
    row, *below = attempt_records("debrief", debrief, new_key)
    assert isinstance(row, kept.KeptAttempt)
    assert attempt.touchdown is not None
    assert attempt.verdict is not None
    assert row.outcome == "landed"
    assert row.touchdown_x_m == attempt.touchdown.x_m
    assert (row.verdict, row.in_hand_m) == (attempt.verdict.text.value, attempt.verdict.in_hand_m)
    assert row.start_unix_s == debrief.recording.start_unix_s + attempt.start_time_s
    gates = [each for each in below if isinstance(each, kept.KeptGate)]
    assert [(each.gate, each.height_m, each.planned_m) for each in gates] == [
        (gate.name.value, gate.height_m, gate.planned_m) for gate in attempt.gates
    ]
    items = [each for each in below if isinstance(each, kept.KeptStandardItem)]
    assert [(each.item, each.is_met) for each in items] == [(each.item, each.is_met) for each in attempt.standard]
    assert len(below) == len(gates) + len(items)
    assert {each.attempt for each in (*gates, *items)} == {row.key}


@pytest.mark.parametrize(
    "from_deg, headwind, crosswind",
    # by hand for a landing direction of 238.4 degrees: ahead, behind, from the left, from the right
    [(238.4, 5.0, 0.0), (58.4, -5.0, 0.0), (148.4, 0.0, 5.0), (328.4, 0.0, -5.0), (193.4, 3.5355339, 3.5355339)],
)
def test_the_wind_of_a_row_is_along_and_across_the_landing_direction(
    from_deg: float, headwind: float, crosswind: float
) -> None:
    attempt = fixtures.attempt()
    runway = dataclasses.replace(attempt.plan.exercise.runway, bearing_true_rad=math.radians(238.4))
    plan = dataclasses.replace(attempt.plan, exercise=dataclasses.replace(attempt.plan.exercise, runway=runway))
    wind = tuple(WindEstimate(height_m, math.radians(from_deg), 5.0, 1.0) for height_m in (100.0, 300.0))
    row = attempt_row(dataclasses.replace(attempt, plan=plan, wind=wind))
    assert row.headwind_mps == pytest.approx(headwind, abs=1e-6)
    assert row.crosswind_mps == pytest.approx(crosswind, abs=1e-6)


def test_what_was_not_observable_is_empty_and_never_a_number_that_is_none() -> None:
    attempt = fixtures.attempt()
    assert attempt.height_in_hand is not None
    dark = dataclasses.replace(
        attempt.height_in_hand, room_above_m=np.full_like(attempt.height_in_hand.room_above_m, np.nan)
    )
    row = attempt_row(
        dataclasses.replace(attempt, touchdown=None, verdict=None, wind=(), height_in_hand=dark, minimum_cas_mps=None)
    )
    empty = (row.touchdown_x_m, row.verdict, row.in_hand_m, row.headwind_mps, row.least_room_above_m)
    assert empty == (None,) * 5
    assert row.minimum_cas_mps is None


def test_a_go_around_keeps_its_height_and_whether_it_was_timely() -> None:
    attempt = fixtures.attempt(outcome=Outcome.WENT_AROUND)
    row = attempt_row(attempt)
    assert attempt.go_around is not None
    assert (row.go_around_height_m, row.is_timely) == (attempt.go_around.height_m, attempt.go_around.is_timely)


def test_options_come_back_as_they_were_written() -> None:
    wind = WindProfile(np.array([10.0, 900.0]), np.array([1.0, 0.1]), np.array([-2.0, 0.2]), 0.2)
    options = DebriefOptions(NOW_UNIX_S + 0.1, 101_325.7, 1519.5, wind)
    again = DebriefOptions.of_text(options.to_text())
    assert again.to_text() == options.to_text()
    assert (again.now_unix_s, again.qnh_pa, again.weight_kg) == (NOW_UNIX_S + 0.1, 101_325.7, 1519.5)
    assert again.wind is not None
    assert again.wind.wind_north_mps.tolist() == [-2.0, 0.2]
    assert DebriefOptions.of_text(DebriefOptions(1.0).to_text()) == DebriefOptions(1.0)


@pytest.fixture
def store(tmp_path: pathlib.Path) -> SqlStore:
    return file_store(tmp_path)


def keep_one(store: SqlStore) -> kept.KeptDebrief:
    """Keep a debrief of two attempts."""
    recording = keep_recording(store, "a.gpx", ORIGINAL, "GPX", NOW_UNIX_S)
    texts = [keep_text(store, kind, f"{kind}.toml", "x = 1", NOW_UNIX_S) for kind in list(kept.FileKind)[:3]]
    airplane, airfield, exercise = texts
    of = DebriefOf(exercise, airplane, airfield, DebriefOptions(NOW_UNIX_S), "0.1.0", NOW_UNIX_S)
    return keep_debrief(store, recording, fixtures.debrief(fixtures.attempt(), fixtures.attempt()), "{}", of)


def test_a_debrief_is_kept_with_all_its_rows_and_can_be_changed_afterwards(store: SqlStore) -> None:
    one = keep_one(store)
    assert store.get(kept.KeptDebrief, one.key) == one
    assert [each.number for each in store.find(kept.KeptAttempt, debrief=one.key)] == [1, 2]
    assert len(store.find(kept.KeptGate)) == 2 * len(fixtures.attempt().gates)


def test_a_debrief_that_was_made_again_takes_the_place_of_the_old_and_keeps_its_notes(store: SqlStore) -> None:
    one = keep_one(store)
    store.change([kept.Note("note", one.key, "late", NOW_UNIX_S)])
    later = NOW_UNIX_S + 1.0
    now = replace_debrief(store, one, fixtures.debrief(fixtures.attempt()), '{"a": 1}', "0.2.0", later)
    assert store.get(kept.KeptDebrief, one.key) == now
    assert (now.document, now.code_version, now.version) == ('{"a": 1}', "0.2.0", 2)
    with store.snapshot() as reader:
        assert len(records_below(reader.find, one.key)) == len(rows_of(fixtures.attempt()))
    assert len(store.find(kept.Note, debrief=one.key)) == 1
    with pytest.raises(ChangedMeanwhile, match="debrief"):
        replace_debrief(store, one, fixtures.debrief(), "{}", "0.3.0", later)
    assert store.get(kept.KeptDebrief, one.key) == now


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SqlStore]:
    """A store with one real debrief of the demo, wind and altimeter setting given by hand."""
    store = file_store(tmp_path_factory.mktemp("demo"))
    texts = bootstrap.demo_texts()
    kinds = (kept.FileKind.EXERCISE, kept.FileKind.AIRPLANE, kept.FileKind.AIRFIELD)
    exercise, airplane, airfield = (
        keep_text(store, kind, name, text, NOW_UNIX_S) for kind, (name, text) in zip(kinds, texts.items(), strict=True)
    )
    first = bootstrap.demo_recordings()[0]
    recording = keep_recording(store, first.file_name, first.data, "GPX", NOW_UNIX_S)
    options = DebriefOptions(NOW_UNIX_S, qnh_pa=101_700.0, weight_kg=1500.0)
    of = DebriefOf(exercise, airplane, airfield, options, __version__, NOW_UNIX_S)
    wish = bootstrap.library().exercise_held(texts, "exercise.toml")
    wish = dataclasses.replace(wish, weight_kg=1500.0, stated=wish.stated | {"weight"})
    debrief = bootstrap.debrief_bytes(first.file_name, first.data, wish, qnh_pa=101_700.0)
    keep_debrief(store, recording, debrief, json.dumps(debrief_document(debrief)), of)
    yield store
    store.close()


def found_by(store: SqlStore) -> list[StoreFinding]:
    """What making every debrief again finds."""
    with store.snapshot() as reader:
        again = recomputed(reader, bootstrap.debrief_again, debrief_document, __version__, lambda said: None)
    return [fault.finding for fault in again.faults]


def test_a_kept_debrief_made_again_says_word_for_word_the_same(
    demo: SqlStore, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "--database", demo.place, "--recompute"]) == 0
    assert "one debrief made again" in capsys.readouterr().out


def test_one_that_says_something_else_is_found_unless_another_version_made_it(demo: SqlStore) -> None:
    (one,) = demo.find(kept.KeptDebrief)
    other = json.loads(one.document)
    other["attempts"][0]["outcome"] = "discontinued"
    (changed,) = demo.change([dataclasses.replace(one, document=json.dumps(other))])
    assert found_by(demo) == [StoreFinding.RECOMPUTED_OTHERWISE]
    (older,) = demo.change([dataclasses.replace(changed, code_version="0.0.9")])
    assert found_by(demo) == []
    demo.change([dataclasses.replace(older, document=one.document, code_version=one.code_version)])


def test_one_whose_texts_cannot_be_used_any_more_is_found(demo: SqlStore) -> None:
    (one,) = demo.find(kept.KeptDebrief)
    broken = keep_text(demo, kept.FileKind.AIRPLANE, "broken.toml", 'name = "x"', NOW_UNIX_S)
    (changed,) = demo.change([dataclasses.replace(one, airplane_text=broken.key)])
    assert found_by(demo) == [StoreFinding.NOT_RECOMPUTABLE]
    demo.change([dataclasses.replace(changed, airplane_text=one.airplane_text)])
