"""Readers fed with broken files for minutes: a track or a sentence, whatever is done to a file.

`VOLPLANE_FUZZ_SECONDS` is how long (600), `VOLPLANE_FUZZ_SEED` repeats a run. A failure names seed and round; that
round alone makes the same bytes again.
"""

from __future__ import annotations

import os
import random
import time

import numpy as np
import pytest

from tests.adapters.flights import glide
from tests.adapters.writers import WRITERS
from volplane.adapters.formats import sniff
from volplane.services.recordings import LEAST_FIXES, read_recording

WHOLE = [(written.file_name, written.write(glide(25))) for written in WRITERS]
TOKENS = [
    b"<", b">", b"/>", b"</gx:Track>", b"<gx:Track>", b"<when>", b"</when>", b"<coordinates>", b"<Placemark>", b"&amp;",
    b"<!DOCTYPE x>", b"<![CDATA[", b"]]>", b"<!--", b"{", b"}", b"[", b"]", b",", b":", b'"', b"null", b"true", b"-0",
    b"1e308", b"1e999", b"NaN", b"-Infinity", b"9" * 60, b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\n",
    b"\t", b";", b"|", b"$GPZDA,999999,99,99,9999,,*00\r\n", b"$GPRMC,,V,,,,,,,,,*00", b"B", b"I993599AAA0000BBB",
    b"HFDTE999999", b"HFALG:ELL", b"-999", b"+", b".", b"e", b"S", b"W", b"180", b"90", b"PK\x01\x02", b"PK\x05\x06",
    b"\x1f\x8b\x08", b"coordTimes", b"type", b"Point", b"2026-05-14T14:00:00Z", b"0000-00-00T99:99:99Z", "é".encode(),
]  # fmt: skip


def broken(data: bytes, chance: random.Random) -> bytes:
    """A file with one to twelve faults."""
    for _ in range(chance.randint(1, 12)):
        size = max(len(data), 1)
        at, length = chance.randrange(size), int(chance.expovariate(1 / 20.0)) + 1
        kind = chance.randrange(8)
        if kind == 0:
            data = data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
        elif kind == 1:
            data = data[:at] + chance.choice(TOKENS) + data[at + chance.choice((0, length)) :]
        elif kind == 2:
            data = data[:at] + data[at + length :]
        elif kind == 3:
            data = data[:at] + data[at : at + length] * chance.randint(2, 4) + data[at + length :]
        elif kind == 4:
            to = chance.randrange(size)
            piece, data = data[at : at + length], data[:at] + data[at + length :]
            data = data[:to] + piece + data[to:]
        elif kind == 5 and chance.random() < 0.2:
            data = data[:at]
        elif kind == 6:
            other = chance.choice(WHOLE)[1]
            start = chance.randrange(len(other))
            data = data[:at] + other[start : start + 4 * length] + data[at:]
        else:
            digit = data.find(b"%d" % chance.randrange(10), at)
            data = data if digit < 0 else data[:digit] + b"%d" % chance.randrange(10) + data[digit + 1 :]
    return data


def assert_answered(name: str, data: bytes) -> None:
    recording = read_recording(name, data, sniff.FORMATS, sniff.unwrapped)
    assert all("\n" not in problem.sentence() and problem.code for problem in recording.problems)
    track = recording.track
    if track is None:
        assert recording.problems
        return
    assert len(track.time_s) >= LEAST_FIXES
    assert np.all(np.diff(track.time_s) > 0.0)
    assert np.isfinite(track.start_unix_s)
    assert np.all(np.abs(track.latitude_deg) <= 90.0)
    assert np.all(np.abs(track.longitude_deg) <= 180.0)
    for each in ("altitude_m", "ground_speed_mps", "track_true_rad", "ias_mps", "heading_true_rad"):
        channel = getattr(track, each)
        assert channel is None or not np.isinf(channel).any()


def one_round(seed: str, number: int) -> None:
    """Break one file and read it."""
    chance = random.Random(f"{seed}/{number}")
    name, data = chance.choice(WHOLE)
    data = broken(data, chance)
    try:
        assert_answered(name if chance.random() < 0.8 else "lesson", data)
    except Exception as fault:
        raise AssertionError(f"VOLPLANE_FUZZ_SEED={seed}, round {number}, {name}: {fault!r}") from fault


def test_three_hundred_broken_files_are_answered() -> None:
    for number in range(300):
        one_round("always the same", number)


@pytest.mark.long
def test_broken_files_are_answered_for_minutes() -> None:
    seconds = float(os.environ.get("VOLPLANE_FUZZ_SECONDS", "600"))
    seed = os.environ.get("VOLPLANE_FUZZ_SEED") or str(random.SystemRandom().getrandbits(40))
    end = time.monotonic() + seconds
    number = 0
    while time.monotonic() < end:
        one_round(seed, number)
        number += 1
    print(f"{number:,} broken files were answered in {seconds:.0f} s, seed {seed}")
    assert number > 0
