"""What flights teach is adopted by somebody with a reason, never twice from the same flights, and can be taken back."""

from __future__ import annotations

import pathlib

import pytest

from tests.learning_flights import BEGIN_UNIX_S, DAY_S
from tests.services.test_learning_from_files import ALL_DAY, WEIGHT_KG, lesson_track
from tests.stores import file_store
from volplane import bootstrap
from volplane.adapters.formats import csv
from volplane.adapters.store.store import SqlStore
from volplane.services import kept
from volplane.services.adopting import (
    adopt,
    adoptions,
    airplane_before_adoptions,
    keep_teaching_flight,
    learned_so_far,
    take_back,
)
from volplane.services.keeping import (
    AdoptionNeedsReason,
    ChangedMeanwhile,
    NothingLearned,
    keep_recording,
    keep_text,
    present_text,
)
from volplane.services.learning import ConfigurationFlown, Learned

NAME = "dunlin_tourer.toml"
TEXT = """\
name = "Dunlin Tourer"
[weights]
maximum = "1500 kg"
[glide]   # by the handbook
best_speed = "105 kt"
ratio = 9.6
[stall]
clean = "68 kt"
landing = "60 kt"
[[configuration]]
name = "clean, propeller fine"
propeller = "fine"
extra_drag = 0.5
"""
AIRPLANE = kept.FileKind.AIRPLANE


@pytest.fixture
def store(tmp_path: pathlib.Path) -> SqlStore:
    """A store with the airplane's file."""
    opened = file_store(tmp_path)
    keep_text(opened, AIRPLANE, NAME, TEXT, BEGIN_UNIX_S)
    return opened


def remember(store: SqlStore, seed: int, *, day: int = 0) -> kept.TeachingFlight:
    """Keep the recording of a lesson on a day, all of them under the same name, and learn from it."""
    track = lesson_track(seed, start_s=day * DAY_S)
    data = csv.write(track)
    recording = keep_recording(store, "track.csv", data, "CSV", BEGIN_UNIX_S, start_unix_s=track.start_unix_s)
    begin, end = ALL_DAY[0].start_unix_s + day * DAY_S, ALL_DAY[0].end_unix_s + day * DAY_S
    flown = [ConfigurationFlown(begin, end, ALL_DAY[0].configuration)]
    return keep_teaching_flight(store, NAME, recording, WEIGHT_KG, BEGIN_UNIX_S, configurations=flown)


def learned(store: SqlStore) -> Learned:
    """What all remembered flights teach."""
    texts = bootstrap.AirplaneTexts()
    with store.snapshot() as reader:
        return learned_so_far(reader, NAME, texts.read, bootstrap.read_recording)


def adopted(store: SqlStore, reason: str = "six mornings say so") -> kept.Adoption:
    """What the flights teach, adopted."""
    texts = bootstrap.AirplaneTexts()
    now = BEGIN_UNIX_S + DAY_S
    return adopt(store, NAME, learned(store).glide, reason, texts, code_version="0.1.0", now_unix_s=now)


def test_remembered_flights_teach_the_glide_each_with_its_own_air(store: SqlStore) -> None:
    for seed in range(3):
        remember(store, seed, day=seed)
    found = learned(store)
    assert found.barred == ()
    assert found.glide.flights_count == 3
    assert found.glide.best_ratio > 9.6
    assert [each.glide.flights_count for each in found.history] == [1, 2, 3]


def test_an_adopted_glide_is_a_new_state_of_the_file_and_the_old_one_stays(store: SqlStore) -> None:
    remember(store, 1)
    adoption = adopted(store)
    now = present_text(store, AIRPLANE, NAME)
    airplane = bootstrap.AirplaneTexts().read(NAME, now.text)
    assert airplane.glide.best_ratio == pytest.approx(adoption.best_ratio, abs=0.005)
    assert "# by the handbook" in now.text
    ((then),) = adoptions(store, NAME)
    assert (then.before.text, then.after) == (TEXT, now)
    assert (then.adoption.reason, then.adoption.flights) == ("six mornings say so", 1)


def test_flights_that_were_adopted_are_not_counted_twice(store: SqlStore) -> None:
    remember(store, 1)
    before = learned(store)
    adopted(store)
    assert learned(store).glide.best_ratio == before.glide.best_ratio
    remember(store, 2, day=1)
    adopted(store, "one more")
    with store.snapshot() as reader:
        started_from = airplane_before_adoptions(reader, NAME, bootstrap.AirplaneTexts().read)
    assert started_from.glide.best_ratio == 9.6


def test_a_glide_written_by_hand_after_an_adoption_counts(store: SqlStore) -> None:
    remember(store, 1)
    adopted(store)
    keep_text(store, AIRPLANE, NAME, TEXT.replace("9.6", "9.9"), BEGIN_UNIX_S + 2 * DAY_S)
    with store.snapshot() as reader:
        started_from = airplane_before_adoptions(reader, NAME, bootstrap.AirplaneTexts().read)
    assert started_from.glide.best_ratio == 9.9


def test_an_adoption_can_be_taken_back_and_stays_in_the_history(store: SqlStore) -> None:
    remember(store, 1)
    adopted(store)
    ((then),) = adoptions(store, NAME)
    again = take_back(store, then, BEGIN_UNIX_S + 2 * DAY_S)
    assert present_text(store, AIRPLANE, NAME) == again
    assert (again.text, again.number) == (TEXT, 3)
    assert len(adoptions(store, NAME)) == 1


def test_nothing_is_adopted_without_a_flight_or_without_a_reason(store: SqlStore) -> None:
    with pytest.raises(NothingLearned, match="0 flights taught nothing about dunlin_tourer"):
        adopted(store)
    remember(store, 1)
    with pytest.raises(AdoptionNeedsReason, match="no reason given"):
        adopted(store, "  ")
    assert adoptions(store, NAME) == ()
    assert present_text(store, AIRPLANE, NAME).number == 1


def test_a_flight_is_remembered_once(store: SqlStore) -> None:
    remember(store, 1)
    with pytest.raises(ChangedMeanwhile, match="teaching_flight"):
        remember(store, 1)
