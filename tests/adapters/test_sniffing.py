"""Any file at all: found by its content, taken out of its wrapping, or refused in one sentence; never an exception."""

from __future__ import annotations

import gzip
import hashlib
import pathlib
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adapters.flights import Fix, glide, point, table
from tests.adapters.flights import gpx as gpx_file
from volplane.adapters.formats import archives, sniff
from volplane.services import recordings
from volplane.services.recordings import Recording, read_recording

FILES = pathlib.Path(__file__).parent / "files"
WHOLE = {path.name: path.read_bytes() for path in sorted(FILES.iterdir())}


def opened(name: str, data: bytes) -> Recording:
    return read_recording(name, data, sniff.FORMATS, sniff.unwrapped)


def assert_refused(name: str, data: bytes, code: str) -> str:
    """One problem, in one sentence that names the file."""
    recording = opened(name, data)
    assert recording.track is None
    assert [problem.code for problem in recording.problems] == [code]
    sentence = recording.problems[0].sentence()
    assert sentence.startswith(name)
    assert "\n" not in sentence
    assert all((recording.problems[0].found, recording.problems[0].expected, recording.problems[0].remedy))
    return sentence


@pytest.mark.parametrize("name,expected", [("panel.csv", "CSV"), ("metric.csv", "CSV"), ("phone.gpx", "GPX")])
def test_the_content_decides_and_a_name_that_says_otherwise_is_noted(name: str, expected: str) -> None:
    said = opened(name, WHOLE[name])
    assert (said.format, said.sha256) == (expected, hashlib.sha256(WHOLE[name]).hexdigest())
    other = opened("lesson.gpx" if expected == "CSV" else "lesson.csv", WHOLE[name])
    assert other.track is not None
    assert other.format == expected
    assert "recording-other-extension" in [problem.code for problem in other.problems]
    unknown = opened("lesson", WHOLE[name])
    assert unknown.track is not None
    assert "recording-other-extension" not in [problem.code for problem in unknown.problems]


@pytest.mark.parametrize("name", ["panel.csv", "metric.csv", "phone.gpx", "handheld_10.gpx"])
def test_a_gzipped_file_gives_the_same_track(name: str) -> None:
    plain, packed = opened(name, WHOLE[name]), opened(f"{name}.gz", gzip.compress(WHOLE[name]))
    assert plain.track is not None
    assert packed.track is not None
    np.testing.assert_array_equal(plain.track.latitude_deg, packed.track.latitude_deg)
    codes = [[problem.code for problem in each.problems] for each in (plain, packed)]
    assert codes[0] == codes[1]
    assert plain.sha256 != packed.sha256  # the hash is that of the file as it was sent


def test_gzip_members_one_after_another_are_joined() -> None:
    half = len(WHOLE["phone.gpx"]) // 2
    data = gzip.compress(WHOLE["phone.gpx"][:half]) + gzip.compress(WHOLE["phone.gpx"][half:])
    recording = opened("phone.gpx.gz", data)
    assert recording.track is not None
    assert len(recording.track.time_s) == 40
    assert recording.problems == ()


def test_a_gzip_file_that_is_cut_gives_what_is_there() -> None:
    long = table("UTC,Lat,Lon,GPS alt (ft)", plain_row, fixes=glide(600))
    packed = gzip.compress(long)
    recording = opened("long.csv.gz", packed[: len(packed) // 2])
    assert recording.track is not None
    assert 100 < len(recording.track.time_s) < 599
    assert "recording-damaged" in [problem.code for problem in recording.problems]


def plain_row(fix: Fix) -> list[object]:
    return [f"2026-05-14T{fix.clock}Z", f"{fix.latitude_deg:.7f}", f"{fix.longitude_deg:.7f}", fix.altitude_ft]


def test_what_unpacks_to_more_than_a_recording_can_be_is_refused_without_unpacking_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(archives, "LARGEST_UNPACKED_BYTES", 3_000_000)
    taken: list[int] = []

    class Watched:
        """Counts what is taken out of the real unpacker."""

        def __init__(self, wbits: int) -> None:
            self._real = real(wbits=wbits)

        def decompress(self, data: bytes, most: int) -> bytes:
            out = self._real.decompress(data, most)
            taken.append(len(out))
            return out

        def __getattr__(self, name: str) -> object:
            return getattr(self._real, name)

    real = zlib.decompressobj
    monkeypatch.setattr(archives.zlib, "decompressobj", Watched)
    sentence = assert_refused("bomb.csv.gz", gzip.compress(bytes(50_000_000)), "recording-too-large")
    assert "3 MB" in sentence
    assert sum(taken) <= 3_000_000 + 2 * 1_048_576


def test_thousands_of_members_in_one_gzip_file_are_refused() -> None:
    assert_refused("members.gz", gzip.compress(b"") * 5000, "recording-too-large")


def test_gzip_inside_gzip_is_refused() -> None:
    assert_refused("twice.csv.gz", gzip.compress(gzip.compress(WHOLE["panel.csv"])), "recording-refused")


def test_files_over_the_limit_are_refused_before_anything_looks_at_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recordings, "LARGEST_FILE_BYTES", 1_000_000)
    looked: list[str] = []
    recording = read_recording(
        "large.csv", b"x" * 1_000_001, sniff.FORMATS, lambda name, data: (looked.append(name), (None, ()))[1]
    )
    assert recording.track is None
    assert [problem.code for problem in recording.problems] == ["recording-too-large"]
    assert looked == []


@pytest.mark.parametrize(
    "name,data,code,word",
    [
        ("empty.csv", b"", "recording-empty", "empty"),
        ("blank.gpx", b" \r\n\r\n", "recording-empty", "nothing"),
        ("noughts.csv", bytes(4096), "recording-empty", "nothing"),
        ("empty.csv.gz", gzip.compress(b""), "recording-empty", "nothing"),
        ("letter.txt", b"Dear Mara,\n\nthe lesson is at ten.\n", "no-titles", "titles"),
        ("letter", b"Dear Mara,\n\nthe lesson is at ten.\n", "recording-unknown", "no recording"),
        ("card.csv", b"%PDF-1.7\n1 0 obj\n", "recording-binary", "PDF"),
        ("lesson.gpx", b"PK\x03\x04\x14\x00\x00\x00\x08\x00", "recording-binary", "zip"),
        ("field.csv", b"\x89PNG\r\n\x1a\n\x00\x00", "recording-binary", "picture"),
        ("data.csv", bytes(range(256)) * 40, "recording-binary", "binary"),
        ("page.gpx", b"<!DOCTYPE html><html><body>Log in</body></html>", "recording-other-format", "web page"),
        ("track.kml", b'<?xml version="1.0"?><kml xmlns="x"></kml>', "no-fixes", "track"),
        ("other.gpx", b'<?xml version="1.0"?><notes><note/></notes>', "recording-other-format", "XML"),
        (
            "log.txt",
            b"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\n",
            "no-fixes",
            "sentences",
        ),
        ("flight.igc", b"AXXX001\r\nHFDTE140526\r\n", "no-fixes", "B lines"),
        ("track.json", b'{"type": "FeatureCollection", "features": []}', "no-fixes", "positions"),
        ("settings.json", b'{"units": "feet"}', "recording-other-format", "JSON"),
        ("damaged.gz", b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03garbage", "recording-damaged", "gzip"),
    ],
)
def test_what_is_no_recording_is_refused_in_one_sentence_that_says_what_it_is(
    name: str, data: bytes, code: str, word: str
) -> None:
    assert word.lower() in assert_refused(name, data, code).lower()


def test_nine_fixes_are_refused_and_ten_are_read() -> None:
    for format_of in (
        lambda fixes: gpx_file([point(fix) for fix in fixes]),
        lambda fixes: table("UTC,Lat,Lon,GPS alt (ft)", plain_row, fixes=fixes),
    ):
        assert_refused("short", format_of(glide(9)), "recording-too-short")
        assert opened("short", format_of(glide(10))).track is not None


@pytest.mark.parametrize("name", ["no_altitude.csv", "no_altitude.gpx"])
def test_a_recording_without_altitude_is_read_and_said(name: str) -> None:
    recording = opened(name, WHOLE[name])
    assert recording.track is not None
    assert recording.track.altitude_m is None
    assert [problem.code for problem in recording.problems] == ["recording-without-altitude"]


def test_altitudes_missing_here_and_there_are_counted() -> None:
    data = gpx_file([point(fix, elevation=fix.second % 4 != 0) for fix in glide(40)])
    found = {problem.code: problem.found for problem in opened("phone.gpx", data).problems}
    assert found == {"altitudes-missing": "10 of 40 fixes without an altitude"}


def test_a_block_of_noughts_where_the_power_failed_spoils_its_line_only() -> None:
    data = WHOLE["panel.csv"]
    lines = data.split(b"\r\n")
    lines[20] = lines[20][:30] + bytes(512)
    recording = opened("panel.csv", b"\r\n".join(lines) + bytes(512))
    assert recording.track is not None
    assert len(recording.track.time_s) == 39


TEXT = st.text(max_size=400).map(lambda text: text.encode("utf-8", errors="surrogatepass"))
PIECES = st.lists(
    st.sampled_from(
        [b"UTC,Latitude,Longitude,Alt (ft)\n", b"2026-05-14T14:00:00Z,44.0,-40.0,3000\n", b"<gpx>", b"<trkpt lat='1'",
         b" lon='2'>", b"</trkpt>", b"<time>", b"2026-05-14T14:00:00Z", b"\x1f\x8b\x08", b'"', b",", b";", b"\0", b"\n",
         b"\xff\xfe", b"\xef\xbb\xbf", b"<!DOCTYPE a>", b"&a;", b"1e999", b"-", b"9" * 500, b"nan"]
    ),
    max_size=40,
).map(b"".join)  # fmt: skip


def assert_answered(name: str, data: bytes) -> None:
    """A sound track or a reason, and nothing else."""
    recording = opened(name, data)
    if recording.track is None:
        assert recording.problems
        return
    track = recording.track
    assert len(track.time_s) >= recordings.LEAST_FIXES
    assert np.all(np.isfinite(track.latitude_deg) & (np.abs(track.latitude_deg) <= 90.0))
    assert np.all(np.isfinite(track.longitude_deg) & (np.abs(track.longitude_deg) <= 180.0))
    for name_of_channel in ("altitude_m", "ias_mps", "ground_speed_mps", "track_true_rad"):
        channel = getattr(track, name_of_channel)
        assert channel is None or not np.isinf(channel).any()
    assert all(problem.sentence() for problem in recording.problems)


@given(st.sampled_from(["a.csv", "a.gpx", "a", "a.gz"]), st.one_of(st.binary(max_size=600), TEXT, PIECES))
@settings(max_examples=300, deadline=None)
def test_any_bytes_are_answered(name: str, data: bytes) -> None:
    assert_answered(name, data)


EDITS = st.lists(
    st.tuples(
        st.sampled_from(["flip", "cut", "double", "insert", "drop"]),
        st.floats(0.0, 1.0),
        st.integers(1, 200),
        st.binary(min_size=1, max_size=8),
    ),
    min_size=1,
    max_size=6,
)


def edited(data: bytes, edits: list[tuple[str, float, int, bytes]]) -> bytes:
    """A file with damage of the kinds that recorders, cables and people do."""
    for kind, where, length, what in edits:
        at = int(where * len(data))
        rest = data[at + length :]
        data = {
            "flip": data[:at] + what + data[at + len(what) :],
            "cut": data[:at],
            "double": data[: at + length] + data[at:],
            "insert": data[:at] + what + data[at:],
            "drop": data[:at] + rest,
        }[kind]
    return data


@given(st.sampled_from(sorted(WHOLE)), EDITS)
@settings(max_examples=300, deadline=None)
def test_any_damage_to_a_sound_file_is_answered(name: str, edits: list[tuple[str, float, int, bytes]]) -> None:
    assert_answered(name, edited(WHOLE[name], edits))
