"""GPX 1.0 and 1.1, whole, cut, damaged and hostile."""

from __future__ import annotations

import pathlib

import numpy as np
import pytest

from tests.adapters.flights import SPEED_MPS, START_UNIX_S, TRACK_DEG, glide, metres_between, point
from tests.adapters.flights import gpx as gpx_file
from volplane.adapters.formats import gpx
from volplane.domain.track.track import AltitudeSource, Track

FILES = pathlib.Path(__file__).parent / "files"


def codes(data: bytes) -> list[str]:
    return [problem.code for problem in gpx.read("flight.gpx", data)[1]]


def read(data: bytes) -> Track:
    track, problems = gpx.read("flight.gpx", data)
    assert [problem.sentence() for problem in problems] == []
    assert track is not None
    return track


def test_the_log_of_a_phone_is_read_whole() -> None:
    track = read((FILES / "phone.gpx").read_bytes())
    fixes = glide(40)
    assert track.start_unix_s == START_UNIX_S
    np.testing.assert_allclose(track.time_s, np.arange(40.0))
    for place, fix in enumerate(fixes):
        where = (track.latitude_deg[place], track.longitude_deg[place])
        assert metres_between(*where, fix.latitude_deg, fix.longitude_deg) < 0.02
    assert track.altitude_m == pytest.approx([fix.altitude_ft * 0.3048 for fix in fixes], abs=0.006)
    assert track.altitude_source is AltitudeSource.GPS
    assert track.ground_speed_mps is None


def test_speed_course_and_segments_of_version_1_0_are_read_and_extensions_passed_over() -> None:
    """The extensions of this file hold a `time` of their own, which must not become the fix's."""
    track = read((FILES / "handheld_10.gpx").read_bytes())
    assert len(track.time_s) == 37
    assert np.diff(track.time_s).max() == 4.0  # the three fixes between the segments are missing, not invented
    assert track.ground_speed_mps == pytest.approx(np.full(37, SPEED_MPS), abs=0.001)
    assert track.track_true_rad == pytest.approx(np.full(37, np.radians(TRACK_DEG)))
    assert "2 segments were joined." in track.notes


def test_fractions_and_offsets_of_times_are_obeyed() -> None:
    """GPX 1.1 schema (TopoGrafix 2004), time as xsd:dateTime: 2003-04-05T18:22:16.184+01:00 is 17:22:16.184Z."""
    points = [
        '<trkpt lat="44" lon="-40"><time>2003-04-05T18:22:16.184+01:00</time></trkpt>',
        '<trkpt lat="44.001" lon="-40"><time>2003-04-05T17:22:18.684Z</time></trkpt>',
    ]
    track, _ = gpx.read("flight.gpx", gpx_file(points))
    assert track is not None
    # 2003-04-05T17:22:16Z is 1049563336 by `date -u +%s`
    assert track.start_unix_s == pytest.approx(1_049_563_336.184, abs=1e-6)
    assert track.time_s[1] == pytest.approx(2.5, abs=1e-6)


def test_a_prefix_on_every_element_changes_nothing() -> None:
    plain = (FILES / "phone.gpx").read_text()
    prefixed = plain.replace("xmlns=", "xmlns:g=").replace("</", "</g:")
    for tag in ("gpx ", "trk>", "trkseg>", "trkpt ", "ele>", "time>", "name>"):
        prefixed = prefixed.replace(f"<{tag}", f"<g:{tag}")
    assert gpx.recognises(prefixed.encode())
    np.testing.assert_array_equal(read(prefixed.encode()).latitude_deg, read(plain.encode()).latitude_deg)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "iso-8859-1"])
def test_any_encoding_xml_knows_is_read(encoding: str) -> None:
    text = (FILES / "phone.gpx").read_text().replace("Lesson", "Gleitübung")
    declared = "iso-8859-1" if encoding.startswith("iso") else encoding.removesuffix("-sig")
    data = text.replace("UTF-8", declared).encode(encoding)
    assert gpx.recognises(data)
    assert len(read(data).time_s) == 40


def test_blank_lines_before_the_declaration_are_forgiven() -> None:
    assert len(read(b"\r\n\r\n" + (FILES / "phone.gpx").read_bytes()).time_s) == 40


def test_missing_elevations_are_missing_and_not_nought() -> None:
    points = [point(fix, elevation=fix.second % 2 == 0) for fix in glide(20)]
    track = read(gpx_file(points))
    assert track.altitude_m is not None
    np.testing.assert_array_equal(np.isnan(track.altitude_m), [fix.second % 2 == 1 for fix in glide(20)])
    bare = read((FILES / "no_altitude.gpx").read_bytes())
    assert bare.altitude_m is None
    assert bare.altitude_source is AltitudeSource.NONE


def test_a_speed_the_positions_contradict_is_left_out_and_said() -> None:
    """A speed element in km/h, as some programs write it against the schema."""
    points = [point(fix, f"<speed>{SPEED_MPS * 3.6:.2f}</speed>") for fix in glide(40)]
    track, problems = gpx.read("flight.gpx", gpx_file(points))
    assert track is not None
    assert track.ground_speed_mps is None
    assert [problem.code for problem in problems] == ["ground-speed-contradicts"]


def test_a_cut_file_gives_what_stands_before_the_cut() -> None:
    track, problems = gpx.read("flight.gpx", (FILES / "phone_cut.gpx").read_bytes())
    assert track is not None
    assert 20 <= len(track.time_s) < 40
    assert [problem.code for problem in problems] == ["recording-damaged"]
    assert "the end of the file in the middle" in problems[0].found


def test_damage_in_the_middle_gives_what_stands_before_and_names_the_line() -> None:
    lines = (FILES / "phone.gpx").read_bytes().split(b"\n")
    lines[20] = lines[20].replace(b"</time>", b"</tim\0e>")
    track, problems = gpx.read("flight.gpx", b"\n".join(lines))
    assert track is not None
    assert len(track.time_s) == 17  # line 21 holds the eighteenth fix
    assert [(problem.code, problem.place) for problem in problems] == [("recording-damaged", "line 21")]


@pytest.mark.parametrize(
    "head",
    [
        "<!DOCTYPE gpx>\n",
        '<!DOCTYPE gpx [<!ENTITY a "x"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>\n',
        '<!DOCTYPE gpx SYSTEM "file:///etc/hostname">\n',
        '<!DOCTYPE gpx [<!ENTITY % p SYSTEM "http://example.org/p"> %p;]>\n',
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("padding", [0, 200_000])
def test_document_types_and_entities_are_refused(head: str, encoding: str, padding: int) -> None:
    """Also where they stand beyond the first bytes, or in an encoding in which they cannot be seen as plain bytes."""
    text = gpx_file([point(fix) for fix in glide(20)], head=f"<!--{' ' * padding}-->{head}").decode()
    data = text.replace("UTF-8", encoding).encode(encoding)
    track, problems = gpx.read("flight.gpx", data)
    assert track is None
    assert [problem.code for problem in problems] == ["document-type-refused"]


def test_elements_without_bottom_and_tags_without_end_are_refused() -> None:
    deep = gpx_file(["<a>" * 100_000])
    assert codes(deep) == ["recording-refused"]
    long_tag = gpx_file([f'<trkpt lat="{"4" * 8_000_000}" lon="-40">'])
    assert codes(long_tag) == ["recording-refused"]
    long_text = gpx_file([point(fix, f"<desc>{'x' * 300_000}</desc>") for fix in glide(12)])
    assert len(read(long_text).time_s) == 12


def test_more_fixes_than_a_lesson_can_have_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpx, "MOST_FIXES", 30)
    assert codes(gpx_file([point(fix) for fix in glide(40)])) == ["recording-refused"]


@pytest.mark.parametrize(
    "points,code",
    [
        ([], "no-fixes"),
        (['<trkpt lat="44" lon="-40"><ele>300</ele></trkpt>'] * 12, "no-times"),
        (["</trkseg></trk><wpt lat='44' lon='-40'/><trk><trkseg>"], "no-fixes"),
        (['<trkpt lat="north" lon="-40"><time>2026-05-14T14:00:00Z</time></trkpt>'] * 12, "no-fixes"),
        (["<trkpt><time>2026-05-14T14:00:00Z</time></trkpt>"] * 12, "no-fixes"),
    ],
)
def test_a_file_without_a_flight_is_refused_in_a_sentence(points: list[str], code: str) -> None:
    track, problems = gpx.read("flight.gpx", gpx_file(points))
    assert track is None
    assert [problem.code for problem in problems] == [code]


def test_a_hole_in_the_recording_is_written_as_a_new_segment() -> None:
    """GPX 1.1 schema, trkseg: "start a new Track Segment" where reception was lost."""
    time_s = np.array([0.0, 1.0, 2.0, 60.0, 61.0])
    track = Track(START_UNIX_S, time_s, 44.0 + time_s * 1e-4, -40.0 + 0.0 * time_s, None, AltitudeSource.NONE)
    text = gpx.write(track).decode()
    assert text.count("<trkseg>") == 2
    assert "<ele>" not in text


def test_the_date_line_is_written_as_the_schema_wants_it() -> None:
    """GPX 1.1 schema, longitudeType: -180 <= longitude < 180."""
    time_s = np.arange(3.0)
    longitude = np.array([179.9999, 179.99999999, -179.9999])
    track = Track(START_UNIX_S, time_s, 0.0 * time_s + 10.0, longitude, None, AltitudeSource.NONE)
    text = gpx.write(track).decode()
    assert 'lon="180' not in text
    assert read(text.encode()).longitude_deg == pytest.approx([179.9999, -180.0, -179.9999])
