"""What was marked on board stands in the exercise it falls into, and a table that cannot be read is answered."""

from __future__ import annotations

import dataclasses
import pathlib

import pytest

from tests.faces import fixtures
from volplane import bootstrap
from volplane.domain.debrief.results import Debrief, MarkerKind
from volplane.errors import FilesRefused


def utc_of(debrief: Debrief, time_s: float) -> str:
    import datetime

    return datetime.datetime.fromtimestamp(debrief.recording.start_unix_s + time_s, datetime.UTC).strftime("%H:%M:%S")


@pytest.fixture
def debrief() -> Debrief:
    return fixtures.debrief(dataclasses.replace(fixtures.attempt(), power_off_time_s=None))


def marked(debrief: Debrief, folder: pathlib.Path, text: str) -> Debrief:
    path = folder / "markers.csv"
    path.write_text(text, encoding="utf-8")
    return bootstrap.with_markers(debrief, path)


def test_markers_fall_into_their_exercise_and_tell_the_power_reduction(
    debrief: Debrief, tmp_path: pathlib.Path
) -> None:
    start_s = debrief.attempts[0].start_time_s
    rows = f"{utc_of(debrief, start_s + 5.0)}, Power off\n{utc_of(debrief, start_s + 40.0)}Z, gear\n23:59:59, gear\n"
    (attempt,) = marked(debrief, tmp_path, "utc, marker\n" + rows).attempts
    assert [each.kind for each in attempt.markers] == [MarkerKind.POWER_OFF, MarkerKind.GEAR]
    assert attempt.power_off_time_s == pytest.approx(start_s + 5.0, abs=1.0)


def test_a_recorded_power_reduction_is_not_overruled(debrief: Debrief, tmp_path: pathlib.Path) -> None:
    start_s = debrief.attempts[0].start_time_s
    known = dataclasses.replace(
        debrief, attempts=(dataclasses.replace(debrief.attempts[0], power_off_time_s=start_s + 2.0),)
    )
    (attempt,) = marked(known, tmp_path, f"utc, marker\n{utc_of(debrief, start_s + 9.0)}, power off\n").attempts
    assert attempt.power_off_time_s == start_s + 2.0


def test_who_took_over_is_told_first_with_the_height(debrief: Debrief, tmp_path: pathlib.Path) -> None:
    attempt = debrief.attempts[0]
    time_s = float(attempt.path.time_s[len(attempt.path.time_s) // 2])
    (found,) = marked(debrief, tmp_path, f"utc, marker\n{utc_of(debrief, time_s)}, my airplane\n").attempts
    first = found.findings[0]
    assert first.code == "taken-over"
    assert first.number("height_m") == pytest.approx(attempt.path.height_m[len(attempt.path.time_s) // 2], abs=15.0)


@pytest.mark.parametrize(
    "rows, said",
    [
        ("half past two, gear\n", "half past two"),
        ("14:03:10, flaps\n", "flaps"),
        ("", "titles only"),
    ],
)
def test_a_bad_marker_is_answered_in_a_sentence(debrief: Debrief, tmp_path: pathlib.Path, rows: str, said: str) -> None:
    with pytest.raises(FilesRefused, match=said):
        marked(debrief, tmp_path, "utc, marker\n" + rows)
