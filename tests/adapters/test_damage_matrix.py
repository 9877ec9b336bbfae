"""Every format with every kind of damage: a track with what is odd about it, or one sentence; never an exception."""

from __future__ import annotations

import gzip
import io
import random
import zipfile
from collections.abc import Callable

import numpy as np
import pytest

from tests.adapters.flights import Fix, glide
from tests.adapters.writers import FOOT_M, WRITERS, Written
from volplane.adapters.formats import sniff
from volplane.services.recordings import LEAST_FIXES, Recording, read_recording

FIXES = glide(120)
WHOLE = {written.file_name: written.write(FIXES) for written in WRITERS}
PACKED = ("lesson.kmz", "lesson.csv.gz")


def lines_of(data: bytes) -> list[bytes]:
    return data.splitlines(keepends=True)


def flipped(data: bytes) -> bytes:
    """A bit wrong in one byte of two thousand, behind the first lines."""
    damaged = bytearray(data)
    chance = random.Random(7)
    for _ in range(max(1, len(data) // 2000)):
        damaged[chance.randrange(len(data) // 5, len(data))] ^= 1 << chance.randrange(8)
    return bytes(damaged)


def without_lines(data: bytes) -> bytes:
    """A line of ten lost, behind the first tenth."""
    lines = lines_of(data)
    return b"".join(line for place, line in enumerate(lines) if place < len(lines) // 10 or place % 10)


def doubled_lines(data: bytes) -> bytes:
    """A line of ten written twice."""
    lines = lines_of(data)
    return b"".join(
        line * (2 if place > len(lines) // 10 and place % 10 == 0 else 1) for place, line in enumerate(lines)
    )


def shuffled(data: bytes) -> bytes:
    """Twenty lines in the middle in another order."""
    lines = lines_of(data)
    middle = len(lines) // 2
    block = lines[middle : middle + 20]
    random.Random(3).shuffle(block)
    return b"".join([*lines[:middle], *block, *lines[middle + 20 :]])


def with_noughts(data: bytes) -> bytes:
    """A block of noughts where the power failed, in the third quarter and at the end."""
    place = 3 * len(data) // 4
    return data[:place] + bytes(64) + data[place + 64 :] + bytes(512)


DAMAGE: dict[str, Callable[[bytes], bytes]] = {
    "cut in the middle": lambda data: data[: len(data) // 2],
    "cut near the end": lambda data: data[:-37],
    "bits flipped": flipped,
    "lines lost": without_lines,
    "lines doubled": doubled_lines,
    "a block shuffled": shuffled,
    "ends of lines CRLF": lambda data: data.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"),
    "ends of lines CR": lambda data: data.replace(b"\r\n", b"\n").replace(b"\n", b"\r"),
    "a byte order mark": lambda data: b"\xef\xbb\xbf" + data,
    "noughts": with_noughts,
    "garbage behind": lambda data: data + b"\x00\xff garbage <<< }} ,,, $GP" * 20,
    "only the head": lambda data: data[: min(len(data) // 10, 200)],
    "empty": lambda data: b"",
    "gzip": gzip.compress,
    "gzip that is cut": lambda data: gzip.compress(data)[: -len(gzip.compress(data)) // 3],
}
# what leaves every fix as it was; a mark before an archive makes it something else
HARMLESS = ("ends of lines CRLF", "ends of lines CR", "a byte order mark", "gzip")
# what spoils a few fixes and no more, in formats whose lines stand for themselves
A_FEW = ("bits flipped", "lines lost", "lines doubled", "a block shuffled", "noughts", "cut near the end")
BY_LINES = ("lesson.csv", "lesson.igc", "lesson.nmea")


def opened(name: str, data: bytes) -> Recording:
    return read_recording(name, data, sniff.FORMATS, sniff.unwrapped)


def assert_answered(recording: Recording, fixes: list[Fix]) -> None:
    """One sentence and more, or a track whose fixes are the flight's."""
    for problem in recording.problems:
        assert "\n" not in problem.sentence()
        assert problem.found
        assert problem.remedy
    if recording.track is None:
        assert recording.problems
        return
    track = recording.track
    assert len(track.time_s) >= LEAST_FIXES
    assert np.all(np.diff(track.time_s) > 0.0)
    assert np.all(np.abs(track.latitude_deg) <= 90.0)
    assert np.all(np.abs(track.longitude_deg) <= 180.0)


@pytest.mark.parametrize("damage", DAMAGE)
@pytest.mark.parametrize("written", WRITERS, ids=lambda written: written.file_name)
def test_damage_gives_a_track_with_problems_or_a_sentence(written: Written, damage: str) -> None:
    recording = opened(written.file_name, DAMAGE[damage](WHOLE[written.file_name]))
    assert_answered(recording, FIXES)


@pytest.mark.parametrize("damage", HARMLESS)
@pytest.mark.parametrize("name", [each for each in WHOLE if each not in PACKED])
def test_what_is_no_damage_changes_nothing(name: str, damage: str) -> None:
    whole, other = opened(name, WHOLE[name]), opened(name, DAMAGE[damage](WHOLE[name]))
    assert whole.track is not None
    assert other.track is not None
    np.testing.assert_array_equal(other.track.time_s, whole.track.time_s)
    np.testing.assert_array_equal(other.track.latitude_deg, whole.track.latitude_deg)
    np.testing.assert_array_equal(other.track.altitude_m, whole.track.altitude_m)


@pytest.mark.parametrize("damage", A_FEW)
@pytest.mark.parametrize("name", BY_LINES)
def test_a_few_spoiled_lines_cost_a_few_fixes_and_the_others_stay_true(name: str, damage: str) -> None:
    """NMEA is held to it by its checksum; in the other two a flipped digit can only be told by its neighbours."""
    track = opened(name, DAMAGE[damage](WHOLE[name])).track
    assert track is not None
    assert len(track.time_s) >= 95
    truth = {fix.second: fix for fix in FIXES}
    assert track.altitude_m is not None
    seconds = np.round(track.start_unix_s - 1_778_767_200.0 + track.time_s).astype(int).tolist()
    wrong = sum(
        abs(height - truth[second].altitude_ft * FOOT_M) > 1.0 if second in truth else True
        for second, height in zip(seconds, track.altitude_m.tolist(), strict=True)
        if np.isfinite(height)
    )
    assert wrong <= (0 if name == "lesson.nmea" or damage != "bits flipped" else 6)


@pytest.mark.parametrize("name", [each for each in WHOLE if each not in ("track.kml", "lesson.kmz", "line.geojson")])
def test_a_file_that_is_cut_gives_the_flight_up_to_the_cut(name: str) -> None:
    """Where all times stand before all places, or behind them, half a file holds no half of a flight."""
    track = opened(name, WHOLE[name][: 2 * len(WHOLE[name]) // 3]).track
    assert track is not None
    assert len(track.time_s) >= 60


@pytest.mark.parametrize("name", ["track.kml", "lesson.kmz"])
def test_a_track_of_kml_that_is_cut_late_gives_the_places_before_the_cut(name: str) -> None:
    recording = opened(name, WHOLE[name][: int(0.85 * len(WHOLE[name]))])
    assert recording.track is not None
    assert {"recording-damaged", "times-unpaired"} <= {problem.code for problem in recording.problems}


@pytest.mark.parametrize("name", WHOLE)
def test_a_wrong_extension_is_said_and_does_no_harm(name: str) -> None:
    other = "lesson.gpx" if not name.endswith(".gpx") else "lesson.igc"
    recording = opened(other, WHOLE[name])
    assert recording.track is not None
    assert len(recording.track.time_s) == len(FIXES)
    assert "recording-other-extension" in {problem.code for problem in recording.problems}


def test_a_zip_directory_that_points_before_the_beginning_is_answered() -> None:
    """Found by feeding broken files: a wrong start of the directory made the file's own place negative."""
    data = bytearray(WHOLE["lesson.kmz"])
    end = data.rindex(b"PK\x05\x06")
    data[end + 16 : end + 20] = (8_000_000).to_bytes(4, "little")
    recording = opened("lesson.kmz", bytes(data))
    assert recording.track is None
    assert [problem.code for problem in recording.problems] == ["recording-damaged"]


def test_zip_archives_that_hold_no_single_recording_are_refused_in_a_sentence() -> None:
    for entries, code in (
        ({"notes.docx": b"x"}, "recording-binary"),
        ({"a.gpx": WHOLE["lesson.gpx"], "b.gpx": WHOLE["lesson.gpx"]}, "recording-refused"),
        ({"a.gpx": gzip.compress(WHOLE["lesson.gpx"])}, "recording-refused"),
    ):
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            for name, content in entries.items():
                archive.writestr(name, content)
        recording = opened("some.zip", packed.getvalue())
        assert recording.track is None
        assert [problem.code for problem in recording.problems] == [code]


def test_one_recording_of_any_format_in_a_zip_archive_is_read() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("lesson.igc", WHOLE["lesson.igc"])
    recording = opened("lesson.zip", packed.getvalue())
    assert recording.track is not None
    assert (recording.format, len(recording.track.time_s)) == ("IGC", len(FIXES))
