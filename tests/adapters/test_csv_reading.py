"""Tables by any hand: titles, units, separators, times. Each test writes the same flight differently."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.adapters.flights import (
    SINK_FPM,
    SPEED_KT,
    SPEED_MPS,
    START_UNIX_S,
    TOP_FT,
    TRACK_DEG,
    Fix,
    degrees_minutes,
    glide,
    table,
)
from volplane.adapters.formats import csv, words
from volplane.domain.track.track import AltitudeSource, Track
from volplane.services.recordings import Channel, Column, ColumnMap

PLAIN_TITLES = "UTC,Latitude (deg),Longitude (deg),GPS altitude (ft),Ground speed (kt)"
DEGREE = math.pi / 180.0


def plain(fix: Fix) -> list[object]:
    return [
        f"2026-05-14T{fix.clock}Z",
        f"{fix.latitude_deg:.7f}",
        f"{fix.longitude_deg:.7f}",
        f"{fix.altitude_ft:.1f}",
        SPEED_KT,
    ]


def assert_the_flight(track: Track | None, seconds: int = 60) -> Track:
    """Time, place and height of the invented flight within what was written."""
    assert track is not None
    fixes = glide(seconds)
    assert len(track.time_s) == len(fixes)
    assert track.start_unix_s == START_UNIX_S
    np.testing.assert_allclose(track.time_s, [fix.second for fix in fixes], atol=1e-3)
    np.testing.assert_allclose(track.latitude_deg, [fix.latitude_deg for fix in fixes], atol=2e-6)
    np.testing.assert_allclose(track.longitude_deg, [fix.longitude_deg for fix in fixes], atol=2e-6)
    assert track.altitude_m is not None
    np.testing.assert_allclose(track.altitude_m, [fix.altitude_ft * 0.3048 for fix in fixes], atol=0.2)
    return track


def read_clean(data: bytes, column_map: ColumnMap | None = None) -> Track:
    """A table that must be read without a word of complaint."""
    track, problems = csv.read("flight.csv", data, column_map)
    assert [problem.sentence() for problem in problems] == []
    assert track is not None
    return track


def codes(data: bytes) -> list[str]:
    return [problem.code for problem in csv.read("flight.csv", data)[1]]


def test_a_plain_table_is_read_whole() -> None:
    track = assert_the_flight(read_clean(table(PLAIN_TITLES, plain)))
    assert track.altitude_source is AltitudeSource.GPS
    assert track.ground_speed_mps == pytest.approx(np.full(60, SPEED_MPS))
    assert track.ias_mps is None


@pytest.mark.parametrize(
    "delimiter,end", [(",", "\r\n"), (";", "\n"), ("\t", "\r\n"), ("|", "\n"), (",", "\r")], ids=repr
)
def test_the_separator_and_the_end_of_lines_are_found(delimiter: str, end: str) -> None:
    titles = PLAIN_TITLES.replace(",", delimiter)
    assert_the_flight(read_clean(table(titles, plain, delimiter=delimiter, end=end)))


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_byte_order_marks_and_old_encodings_are_understood(encoding: str) -> None:
    titles = PLAIN_TITLES.replace("GPS altitude (ft)", "GPS-Höhe (ft)")
    data = table(titles, plain).decode().encode(encoding)
    assert_the_flight(read_clean(data))


def test_decimal_commas_and_metric_units_are_read() -> None:
    def row(fix: Fix) -> list[str]:
        cells = [
            f"14.05.2026 {fix.clock}+00:00",
            f"{fix.latitude_deg:.7f}",
            f"{fix.longitude_deg:.7f}",
            f"{fix.altitude_ft * 0.3048:.2f}",
            f"{SPEED_MPS * 3.6:.2f}",
        ]
        return [cells[0], *(cell.replace(".", ",") for cell in cells[1:])]

    data = table("Zeit;Breite;Länge;Höhe (m);Geschwindigkeit (km/h)", row, delimiter=";")
    track = assert_the_flight(read_clean(data))
    assert track.ground_speed_mps == pytest.approx(np.full(60, SPEED_MPS), abs=0.01)


def test_thousands_separators_and_units_behind_numbers_are_passed_over() -> None:
    def row(fix: Fix) -> list[object]:
        return [*plain(fix)[:3], f'"{fix.altitude_ft:,.0f} ft"', "105 kt"]

    fixes = [fix for fix in glide() if fix.second % 4 == 0]
    track = read_clean(table("UTC,Latitude,Longitude,GPS altitude,Ground speed", row, fixes=fixes))
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(TOP_FT * 0.3048)
    assert track.ground_speed_mps == pytest.approx(np.full(15, SPEED_MPS))


def test_a_preamble_a_row_of_units_and_local_time_with_its_offset_are_read() -> None:
    """A panel's log: words before the titles, units in a row of their own, the offset in a third column of times."""

    def row(fix: Fix) -> list[object]:
        local = f" {int(fix.clock[:2]) - 3:02}{fix.clock[2:]}"
        return ["2026-05-14", local, "-03:00", f"{fix.latitude_deg:.7f}", f"{fix.longitude_deg:.7f}", fix.altitude_ft]

    data = table(
        "#Local date, Local time, UTC offset, Lat, Lon, AltMSL",
        row,
        before=["Invented recorder, unit 7", "firmware 3.1, pilot Tobias Lund, remarks none"],
        below=["#yyyy-mm-dd, hh:mm:ss, hh:mm, degrees, degrees, ft msl"],
    )
    track = assert_the_flight(read_clean(data))
    assert track.altitude_source is AltitudeSource.GPS


def test_units_above_the_titles_are_seen_too() -> None:
    data = table(
        "UTC,Lat,Lon,GPS Alt,GS",
        plain,
        before=["recorder of Quill Meadow", "yyyy-mm-dd hh:mm:ss,deg,deg,ft,kt"],
    )
    assert_the_flight(read_clean(data))


@pytest.mark.parametrize(
    "titles,cells",
    [
        ("Time since 1970", lambda fix: [f"{START_UNIX_S + fix.second:.0f}"]),
        ("Unix time (ms)", lambda fix: [f"{(START_UNIX_S + fix.second) * 1000:.0f}"]),
        ("timestamp", lambda fix: [f"{(START_UNIX_S + fix.second) * 1e6:.0f}"]),
        ("Date time", lambda fix: [f"2026-05-14 {fix.clock}.000Z"]),
        ("Timestamp (UTC)", lambda fix: [f"5/14/2026 2:{fix.clock[3:]} PM"]),
        ("Date,UTC", lambda fix: ["140526", fix.clock.replace(":", "")]),
        ("Date (UTC),Time (UTC)", lambda fix: ["2026/05/14", f"{fix.clock}.00"]),
        ("Time", lambda fix: [f"2026-05-14T16:{fix.clock[3:]}+0200"]),
    ],
)
def test_every_way_to_write_the_time_gives_the_same_second(titles: str, cells: object) -> None:
    assert callable(cells)
    count = titles.count(",") + 1
    data = table(f"{titles},Latitude,Longitude,GPS altitude (ft)", lambda fix: [*cells(fix), *plain(fix)[1:4]])
    assert len(cells(glide(1)[0])) == count
    assert_the_flight(read_clean(data))


def test_times_of_day_go_on_over_midnight() -> None:
    def row(fix: Fix) -> list[object]:
        second = 86_400 - 30 + fix.second
        clock = f"{second // 3600 % 24:02}:{second // 60 % 60:02}:{second % 60:02}Z"
        return [clock, *plain(fix)[1:4]]

    data = table("Time,Latitude,Longitude,GPS altitude (ft)", row, before=["Date: 2026-05-13"])
    track = read_clean(data)
    assert track.start_unix_s == START_UNIX_S - 14 * 3600 - 30
    np.testing.assert_allclose(track.time_s, np.arange(60.0))


def test_elapsed_seconds_start_at_the_moment_named_above_the_titles() -> None:
    data = table(
        "Elapsed time (s),Latitude,Longitude,GPS altitude (ft)",
        lambda fix: [f"{fix.second}.0", *plain(fix)[1:4]],
        before=["Started 2026-05-14T14:00:00Z"],
    )
    assert_the_flight(read_clean(data))


def test_elapsed_seconds_without_a_date_are_read_and_said() -> None:
    data = table("t (ms),Time (s),lat,lon,GPS alt (ft)", lambda fix: ["x", fix.second, *plain(fix)[1:4]])
    track, problems = csv.read("flight.csv", data)
    assert track is not None
    assert track.start_unix_s == 0.0
    assert [problem.code for problem in problems] == ["date-missing"]


def test_local_time_without_a_zone_is_taken_as_utc_and_said() -> None:
    data = table(
        "Local time,Latitude,Longitude,GPS altitude (ft)", lambda fix: [f"2026-05-14 {fix.clock}", *plain(fix)[1:4]]
    )
    track, problems = csv.read("flight.csv", data)
    assert_the_flight(track)
    assert [problem.code for problem in problems] == ["zone-not-named"]


def test_a_date_that_could_be_read_two_ways_is_said() -> None:
    data = table(
        "Date,UTC,Latitude,Longitude,GPS altitude (ft)", lambda fix: ["05/04/2026", fix.clock, *plain(fix)[1:4]]
    )
    assert "date-order-open" in codes(data)


def test_coordinates_in_degrees_and_minutes_are_read() -> None:
    def row(fix: Fix) -> list[object]:
        place = [degrees_minutes(fix.latitude_deg, "NS"), degrees_minutes(fix.longitude_deg, "EW")]
        return [plain(fix)[0], *place, fix.altitude_ft]

    assert_the_flight(read_clean(table("UTC,Latitude,Longitude,GPS altitude (ft)", row)))


def test_longitudes_counted_eastward_all_the_way_round_are_brought_back() -> None:
    data = table(
        "UTC,Latitude,Longitude,GPS altitude (ft)",
        lambda fix: [*plain(fix)[:2], f"{fix.longitude_deg + 360.0:.7f}", fix.altitude_ft],
    )
    assert_the_flight(read_clean(data))


class Westerly:
    """A variation of 12 degrees west everywhere."""

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        return -12.0 * DEGREE


PANEL_TITLES = (
    "UTC;Lat;Lon;Alt GPS [ft];GndSpd [kt];TRK [deg T];IAS;TAS (mph);HDG (°M);Roll (deg);VSpd (fpm);OAT (°F);"
    "E1 MAP (in Hg);E1 RPM;Oil temp (F);Selected altitude (ft);Wind speed (kt);LatAc"
)


def panel(fix: Fix) -> list[object]:
    return [*plain(fix), TRACK_DEG, 105, 130, 250.4, -20.0, -SINK_FPM, 64.4, 14.5, 2300, 180, 9999, 12, 0.01]


def test_every_channel_of_a_panel_is_read_in_its_unit() -> None:
    track, problems = csv.read("panel.csv", table(PANEL_TITLES, panel, delimiter=";"), None, Westerly())
    assert problems == ()
    assert_the_flight(track)
    assert track is not None
    expected = {
        "ground_speed_mps": SPEED_MPS,
        "track_true_rad": TRACK_DEG * DEGREE,
        "ias_mps": SPEED_MPS,
        "tas_mps": 130 * 1609.344 / 3600.0,
        "heading_true_rad": TRACK_DEG * DEGREE,  # 250.4 magnetic, 12 west
        "bank_rad": -20.0 * DEGREE,
        "vertical_speed_mps": -900.0 * 0.3048 / 60.0,
        "air_temperature_k": 291.15,  # 18 degC
        "manifold_pressure_pa": 14.5 * 3386.389,
        "engine_speed_radps": 2300 * 2 * math.pi / 60.0,
    }
    for name, value in expected.items():
        assert getattr(track, name) == pytest.approx(np.full(60, value), rel=1e-6), name


def test_magnetic_headings_without_a_magnetic_model_are_left_out_and_said() -> None:
    track, problems = csv.read("panel.csv", table(PANEL_TITLES, panel, delimiter=";"))
    assert track is not None
    assert track.heading_true_rad is None
    assert track.track_true_rad is not None
    assert [problem.code for problem in problems] == ["variation-unknown"]


@pytest.mark.parametrize(
    "title,source",
    [
        ("GPS altitude (ft)", AltitudeSource.GPS),
        ("Altitude (ft)", AltitudeSource.GPS),
        ("alt_msl_ft", AltitudeSource.GPS),
        ("Pressure altitude (ft)", AltitudeSource.PRESSURE),
        ("Baro altitude [ft]", AltitudeSource.PRESSURE),
        ("Alt 1013 std (ft)", AltitudeSource.PRESSURE),
        ("Indicated altitude (feet)", AltitudeSource.INDICATED),
        ("AltInd (ft)", AltitudeSource.INDICATED),
        ("altitude_qnh_ft", AltitudeSource.INDICATED),
    ],
)
def test_the_words_tell_which_altitude_it_is(title: str, source: AltitudeSource) -> None:
    track = read_clean(table(f"UTC,Latitude,Longitude,{title}", lambda fix: plain(fix)[:4]))
    assert track.altitude_source is source


def test_a_barometric_altitude_beside_the_altimeters_setting_is_an_indicated_one() -> None:
    data = table("UTC,Latitude,Longitude,AltB (ft baro),Baro (inHg)", lambda fix: [*plain(fix)[:4], 30.05])
    assert read_clean(data).altitude_source is AltitudeSource.INDICATED


def test_a_gps_altitude_is_preferred_and_an_empty_one_is_passed_over() -> None:
    titles = "UTC,Latitude,Longitude,Pressure altitude (ft),GPS altitude (ft)"
    both = read_clean(table(titles, lambda fix: [*plain(fix)[:3], 9999, fix.altitude_ft]))
    assert both.altitude_source is AltitudeSource.GPS
    one = read_clean(table(titles, lambda fix: [*plain(fix)[:3], fix.altitude_ft, ""]))
    assert one.altitude_source is AltitudeSource.PRESSURE


@pytest.mark.parametrize("title", ["Height AGL (ft)", "Selected altitude (ft)", "Density altitude (ft)", "Oil (ft)"])
def test_other_heights_are_never_taken_for_an_altitude(title: str) -> None:
    track = read_clean(table(f"UTC,Latitude,Longitude,{title}", lambda fix: plain(fix)[:4]))
    assert track.altitude_m is None
    assert track.altitude_source is AltitudeSource.NONE


@pytest.mark.parametrize(
    "size,feet", [(1.0, True), (1852.0 / 1609.344, True), (1.852, False), (1852.0 / 3600.0, False)]
)
def test_units_nobody_names_are_found_from_the_positions_and_said(size: float, feet: bool) -> None:
    def row(fix: Fix) -> list[object]:
        altitude = fix.altitude_ft if feet else fix.altitude_ft * 0.3048
        return [*plain(fix)[:3], f"{altitude:.2f}", f"{SPEED_KT * size:.3f}"]

    track, problems = csv.read("flight.csv", table("UTC,Latitude,Longitude,GPS altitude,Speed", row))
    track = assert_the_flight(track)
    assert track.ground_speed_mps == pytest.approx(np.full(60, SPEED_MPS), rel=1e-4)
    assert [problem.code for problem in problems] == ["altitude-unit-not-named"]


def test_a_ground_speed_its_own_positions_contradict_is_left_out() -> None:
    data = table(PLAIN_TITLES.replace("(kt)", "(m/s)"), plain)
    track, problems = csv.read("flight.csv", data)
    assert track is not None
    assert track.ground_speed_mps is None
    assert [problem.code for problem in problems] == ["ground-speed-contradicts"]


def test_what_was_taken_as_what_is_noted() -> None:
    track = read_clean(table(PLAIN_TITLES, plain))
    assert '"GPS altitude (ft)" as GPS altitude in ft' in track.notes[-1]
    column_map = csv.columns_of(table(PLAIN_TITLES, plain))
    assert column_map is not None
    assert [(column.title, column.channel, column.unit) for column in column_map.columns] == [
        ("UTC", Channel.DATE_AND_TIME, ""),
        ("Latitude (deg)", Channel.LATITUDE, "deg"),
        ("Longitude (deg)", Channel.LONGITUDE, "deg"),
        ("GPS altitude (ft)", Channel.GPS_ALTITUDE, "ft"),
        ("Ground speed (kt)", Channel.GROUND_SPEED, "kt"),
    ]
    assert all(column.because for column in column_map.columns)


def test_a_column_map_rules_over_the_titles() -> None:
    def row(fix: Fix) -> list[object]:
        return [f"2026-05-14 10:{fix.clock[3:]}", *plain(fix)[1:4], fix.altitude_ft + 300.0]

    column_map = ColumnMap(
        (
            Column("when", Channel.DATE_AND_TIME, ""),
            Column("up", Channel.LATITUDE, "deg"),
            Column("across", Channel.LONGITUDE, "deg"),
            Column("high", Channel.INDICATED_ALTITUDE, "ft"),
        ),
        utc_offset_s=-4 * 3600.0,
    )
    data = table("when,up,across,high,GPS altitude (ft)", row)
    track = assert_the_flight(read_clean(data, column_map))
    assert track.altitude_source is AltitudeSource.INDICATED


def test_a_map_read_back_gives_the_same_track() -> None:
    data = table(PANEL_TITLES, panel, delimiter=";")
    shown = csv.columns_of(data)
    by_words, by_map = (csv.read("panel.csv", data, each, Westerly())[0] for each in (None, shown))
    assert by_words is not None
    assert by_map is not None
    for name in ("altitude_m", "ground_speed_mps", "ias_mps", "heading_true_rad", "manifold_pressure_pa"):
        np.testing.assert_array_equal(getattr(by_words, name), getattr(by_map, name))


def test_a_column_map_that_does_not_fit_is_said_and_passed_over() -> None:
    columns = (
        Column("UTC", Channel.DATE_AND_TIME, ""),
        Column("Latitude (deg)", Channel.LATITUDE, ""),
        Column("Longitude (deg)", Channel.LONGITUDE, "deg"),
        Column("GPS altitude (ft)", Channel.GPS_ALTITUDE, "kt"),
        Column("Speed", Channel.GROUND_SPEED, "kt"),
    )
    track, problems = csv.read("flight.csv", table(PLAIN_TITLES, plain), ColumnMap(columns))
    assert track is not None
    assert track.altitude_m is None
    assert [problem.code for problem in problems] == ["column-unit", "column-missing"]


def test_a_map_that_names_a_column_twice_is_no_map() -> None:
    column = Column("UTC", Channel.DATE_AND_TIME, "")
    with pytest.raises(ValueError, match="twice"):
        ColumnMap((column, column))


@pytest.mark.parametrize(
    "title,channel,unit",
    [
        ("alt_ft", Channel.GPS_ALTITUDE, "ft"),
        ("AltGPS (ft wgs84)", Channel.ELLIPSOID_ALTITUDE, "ft"),
        ("Pressure Alt", Channel.PRESSURE_ALTITUDE, ""),
        ("GPS Ground Speed(kts)", Channel.GROUND_SPEED, "kt"),
        ("speed_ms", Channel.GROUND_SPEED, "m/s"),
        ("groundspeed_kmh", Channel.GROUND_SPEED, "km/h"),
        ("KIAS", Channel.IAS, "kt"),
        ("True airspeed (km/h)", Channel.TAS, "km/h"),
        ("HDG (°M)", Channel.HEADING, "deg magnetic"),
        ("hdg_t", Channel.HEADING, "deg true"),
        ("Mag Heading", Channel.HEADING, "deg magnetic"),
        ("Track angle [rad]", Channel.TRACK, "rad"),
        ("V/S (ft/min)", Channel.VERTICAL_SPEED, "fpm"),
        ("Rate of climb (m/s)", Channel.VERTICAL_SPEED, "m/s"),
        ("OAT (deg C)", Channel.AIR_TEMPERATURE, "degC"),
        ("Outside air temp (°F)", Channel.AIR_TEMPERATURE, "degF"),
        ("E1 MAP (Hg)", Channel.MANIFOLD_PRESSURE, "inHg"),
        ("Manifold Pressure (in Hg)", Channel.MANIFOLD_PRESSURE, "inHg"),
        ("Engine RPM", Channel.ENGINE_SPEED, "rpm"),
        ("seconds_elapsed", Channel.ELAPSED_TIME, ""),
        ("Lcl Date", Channel.DATE, ""),
        ("UTCOfst", Channel.UTC_OFFSET, ""),
    ],
)
def test_a_title_means_what_a_pilot_would_read_in_it(title: str, channel: Channel, unit: str) -> None:
    meaning = words.meaning_of(title)
    assert meaning is not None
    assert meaning.channel is channel
    assert meaning.unit == unit


@pytest.mark.parametrize(
    "title",
    [
        "LatAc", "Wind speed (kt)", "Selected altitude (ft)", "Height AGL (ft)", "Oil temp (F)", "Oil press (psi)",
        "Press (hPa)", "Magnetic variation (deg)", "Speed accuracy (m/s)", "Waypoint distance (NM)", "HDOP",
        "CHT 3 (F)",
        "Speed (ft)", "Altitude (kt)", "Fuel flow (gph)", "Density altitude (ft)", "", "7", "x" * 500,
    ],
)  # fmt: skip
def test_titles_of_other_things_mean_no_channel(title: str) -> None:
    assert words.meaning_of(title) is None
