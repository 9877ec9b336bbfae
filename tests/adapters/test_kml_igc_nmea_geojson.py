"""What is particular to KML, IGC, NMEA 0183 and GeoJSON, beyond what every format has in common."""

from __future__ import annotations

import json

import numpy as np
import pytest

from tests.adapters.flights import START_UNIX_S, Fix, glide
from tests.adapters.writers import FOOT_M, b_line, igc, iso, kml_of, kml_track, nmea, sentence
from volplane.adapters.formats import geojson, kml
from volplane.adapters.formats import igc as igc_format
from volplane.adapters.formats import nmea as nmea_format
from volplane.domain.track.track import AltitudeSource

FIXES = glide(20)


def codes(problems: tuple[object, ...]) -> list[str]:
    return [problem.code for problem in problems]  # type: ignore[attr-defined]


def test_times_and_places_of_a_kml_track_may_alternate_and_a_lost_one_costs_its_own_fix_only() -> None:
    pairs = [
        f"<when>{iso(fix)}</when><gx:coord>{fix.longitude_deg} {fix.latitude_deg} {fix.second}</gx:coord>"
        for fix in FIXES
    ]
    pairs[5] = pairs[5].partition("<gx:coord>")[0]
    pairs[9] = pairs[9].partition("</when>")[2]
    track, problems = kml.read("a.kml", kml_of(f"<Placemark><gx:Track>{''.join(pairs)}</gx:Track></Placemark>"))
    assert track is not None
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [float(fix.second) for fix in FIXES if fix.second not in (5, 9)]
    assert codes(problems) == ["times-unpaired", "altitude-mode"]


def test_values_beside_a_kml_track_become_channels_by_what_their_names_mean() -> None:
    values = "".join(f"<gx:value>{100 + fix.second}</gx:value>" for fix in FIXES)
    beside = (
        f'<ExtendedData><SchemaData><gx:SimpleArrayData name="Indicated airspeed (kt)">{values}</gx:SimpleArrayData>'
        f'<gx:SimpleArrayData name="Oil temperature">{values}</gx:SimpleArrayData></SchemaData></ExtendedData>'
    )
    data = kml_track(FIXES).replace(b"</gx:Track>", beside.encode() + b"</gx:Track>")
    track, _ = kml.read("a.kml", data)
    assert track is not None
    assert track.ias_mps is not None
    assert track.ias_mps == pytest.approx([(100 + fix.second) * 1852.0 / 3600.0 for fix in FIXES])
    assert track.air_temperature_k is None


@pytest.mark.parametrize(
    "mode,altitude,source,code",
    [
        ("absolute", 300.0, AltitudeSource.GPS, []),
        ("clampToGround", 300.0, AltitudeSource.GPS, ["altitude-mode"]),
        ("clampToGround", 0.0, AltitudeSource.NONE, []),
        ("relativeToGround", 300.0, AltitudeSource.NONE, ["altitude-above-ground"]),
    ],
)
def test_altitudes_of_kml_are_what_their_mode_makes_them(
    mode: str, altitude: float, source: AltitudeSource, code: list[str]
) -> None:
    """KML 2.2 (OGC 07-147r2), altitudeMode: on the ground without one, above it, or absolute."""
    fixes = [Fix(fix.second, fix.latitude_deg, fix.longitude_deg, altitude / FOOT_M) for fix in FIXES]
    track, problems = kml.read("a.kml", kml_track(fixes).replace(b"absolute", mode.encode()))
    assert track is not None
    assert track.altitude_source is source
    assert codes(problems) == code


def test_a_drawn_line_without_times_is_no_recording() -> None:
    line = "<Placemark><LineString><coordinates>-40,44,300 -40.1,44.1,200</coordinates></LineString></Placemark>"
    track, problems = kml.read("a.kml", kml_of(line))
    assert track is None
    assert codes(problems) == ["no-fixes"]


def test_an_igc_record_goes_on_over_midnight() -> None:
    late = [Fix(fix.second + 35_990, fix.latitude_deg, fix.longitude_deg, fix.altitude_ft) for fix in FIXES]
    track, problems = igc_format.read("a.igc", igc(late))
    assert track is not None
    assert problems == ()
    assert track.start_unix_s == START_UNIX_S + 35_990
    np.testing.assert_array_equal(track.time_s, np.arange(20.0))


def test_damaged_b_lines_are_counted_and_the_first_is_named() -> None:
    lines = igc(FIXES).split(b"\r\n")
    lines[8] = lines[8][:20]
    lines[12] = lines[12].replace(b"W", b"Q")
    lines[14] = b"B996199" + lines[14][7:]
    track, problems = igc_format.read("a.igc", b"\r\n".join(lines))
    assert track is not None
    assert len(track.time_s) == 17
    assert [(each.place, each.found) for each in problems] == [("line 9", "3 of 20 B lines unreadable")]


@pytest.mark.parametrize(
    "datum,pressure_m,source,code",
    [
        ("GEO", 280, AltitudeSource.GPS, []),
        ("ELL", 280, AltitudeSource.PRESSURE, []),
        ("ELL", 0, AltitudeSource.GPS, ["altitude-above-ellipsoid"]),
        ("", 280, AltitudeSource.GPS, ["altitude-datum-open"]),
    ],
)
def test_the_altitude_of_an_igc_record_is_the_best_it_offers(
    datum: str, pressure_m: int, source: AltitudeSource, code: list[str]
) -> None:
    head = ["HFDTE140526", *([f"HFALGALTGPS:{datum}"] if datum else [])]
    data = "\r\n".join([*head, *(b_line(fix, pressure_m) for fix in FIXES), ""]).encode()
    track, problems = igc_format.read("a.igc", data)
    assert track is not None
    assert track.altitude_source is source
    assert codes(problems) == code


def test_fixes_without_a_height_have_none_and_further_digits_are_obeyed() -> None:
    lines = [f"{b_line(fix)[:24]}V0028000000{5}{7}50" for fix in FIXES]
    head = ["HFDTE140526", "I033636LAD3737LOD3839TDS"]
    track, _ = igc_format.read("a.igc", "\r\n".join([*head, *lines, ""]).encode())
    plain, _ = igc_format.read("a.igc", "\r\n".join([head[0], *(line[:35] for line in lines), ""]).encode())
    assert track is not None
    assert plain is not None
    assert track.altitude_source is AltitudeSource.PRESSURE
    assert track.start_unix_s == plain.start_unix_s + 0.5
    assert track.latitude_deg - plain.latitude_deg == pytest.approx(np.full(20, 0.5e-3 / 60.0), rel=1e-6)
    assert track.longitude_deg - plain.longitude_deg == pytest.approx(np.full(20, -0.7e-3 / 60.0), rel=1e-6)


def test_a_damaged_sentence_costs_itself_only() -> None:
    lines = nmea(FIXES).split(b"\r\n")
    lines[10] = lines[10].replace(b"GPGGA", b"GPGGB")
    lines[20] = lines[20].replace(b".", b",", 1)
    lines[30] = lines[30].partition(b"*")[0]
    track, problems = nmea_format.read("a.nmea", b"\r\n".join(lines))
    assert track is not None
    assert len(track.time_s) == 20  # the other sentence of the second still has the place
    assert track.altitude_m is not None
    assert np.flatnonzero(np.isnan(track.altitude_m)).tolist() == [5, 10, 15]
    assert [each.found for each in problems] == ["2 of 39 sentences damaged, 1 of them without a checksum"]


@pytest.mark.parametrize("is_first", [False, True])
def test_speed_and_course_without_a_time_belong_to_their_moment(is_first: bool) -> None:
    lines: list[str] = []
    for fix in FIXES:
        gga = nmea([fix]).decode().split("\r\n")[0]
        vtg = sentence(f"GPVTG,{200 + fix.second},T,,M,{100 + fix.second},N,,K")
        lines += [vtg, gga] if is_first else [gga, vtg]
    lines.append(sentence("GPZDA,140019.00,14,05,2026,00,00"))
    track, _ = nmea_format.read("a.nmea", "\r\n".join([*lines, ""]).encode())
    assert track is not None
    assert track.start_unix_s == START_UNIX_S
    assert track.track_true_rad is not None
    assert np.degrees(track.track_true_rad) == pytest.approx([200.0 + fix.second for fix in FIXES])


def test_a_log_over_midnight_takes_the_day_from_the_sentences_that_name_it() -> None:
    late = [Fix(fix.second + 35_990, fix.latitude_deg, fix.longitude_deg, fix.altitude_ft) for fix in FIXES]
    lines = nmea(late).decode().split("\r\n")
    # only the first second says the day
    kept = [line for place, line in enumerate(lines) if "GGA" in line or place == 1]
    track, problems = nmea_format.read("a.nmea", "\r\n".join([*kept, ""]).encode())
    assert track is not None
    assert problems == ()
    assert track.start_unix_s + track.time_s == pytest.approx(START_UNIX_S + 35_990 + np.arange(20.0))


def feature(properties: dict[str, object], kind: str, coordinates: object) -> bytes:
    return json.dumps(
        {"type": "Feature", "properties": properties, "geometry": {"type": kind, "coordinates": coordinates}}
    ).encode()


PLACES = [[fix.longitude_deg, fix.latitude_deg, 300.0] for fix in FIXES]


@pytest.mark.parametrize(
    "properties,kind,coordinates",
    [
        ({"coordinateProperties": {"times": [iso(fix) for fix in FIXES]}}, "LineString", PLACES),
        ({"times": [START_UNIX_S + fix.second for fix in FIXES]}, "LineString", PLACES),
        ({"times": [int(1000 * (START_UNIX_S + fix.second)) for fix in FIXES]}, "LineString", PLACES),
        ({"coordTimes": [[iso(fix) for fix in FIXES[:9]], [iso(fix) for fix in FIXES[9:]]]}, "MultiLineString",
         [PLACES[:9], PLACES[9:]]),
    ],
)  # fmt: skip
def test_times_of_a_geojson_line_are_found_where_people_put_them(
    properties: dict[str, object], kind: str, coordinates: object
) -> None:
    track, problems = geojson.read("a.json", feature(properties, kind, coordinates))
    assert track is not None
    assert codes(problems) == ["altitude-above-ellipsoid"]
    assert track.start_unix_s == START_UNIX_S
    assert len(track.time_s) == 20


def test_a_geojson_line_without_times_and_strange_values_are_refused_in_a_sentence() -> None:
    for properties, coordinates, code in (
        ({}, PLACES, "no-times"),
        ({"times": [None] * 20}, PLACES, "no-times"),
        ({"times": ["x", [], {}, True]}, [[], "a", None, {"b": 1}], "no-times"),
        ({"times": 3}, {"a": 1}, "no-fixes"),
    ):
        track, problems = geojson.read("a.json", feature(properties, "LineString", coordinates))  # type: ignore[arg-type]
        assert track is None
        assert code in codes(problems)
