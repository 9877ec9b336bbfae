"""Published lines of the open formats, read field by field."""

from __future__ import annotations

import pytest

from tests.adapters.writers import kml_of
from volplane.adapters.formats import gpx, igc, kml, nmea, times

# FAI, Technical Specification for GNSS Flight Recorders, appendix A, the example of a B record with extensions
B_LINE = "B1602405407121N00249342WA002800042120509950"
I_LINE = "I033638FXA3940SIU4143ENL"


def test_the_specification_s_b_line_is_read_with_its_extensions() -> None:
    """FAI specification, appendix A: 16:02:40, 54.118683, -2.822367, 3D, 280 m pressure, 421 m receiver."""
    fix = igc.fix_of(B_LINE, igc.extensions_of(I_LINE))
    assert fix is not None
    assert fix.clock_s == 16 * 3600 + 2 * 60 + 40
    assert fix.latitude_deg == pytest.approx(54.118683, abs=5e-7)
    assert fix.longitude_deg == pytest.approx(-2.822367, abs=5e-7)
    assert fix.is_3d
    assert (fix.pressure_altitude_m, fix.gnss_altitude_m) == (280.0, 421.0)
    assert {code: int(text) for code, text in fix.extension.items()} == {"FXA": 205, "SIU": 9, "ENL": 950}


@pytest.mark.parametrize(
    "line",
    [
        "HFDTE160701",  # FAI specification, appendix A: 16 July 2001
        "HFDTEDATE:160701,01",  # the newer form of the line, from memory
        "HFDTEDATE:160701",
    ],
)
def test_both_forms_of_the_day_are_read(line: str) -> None:
    """2001-07-16T16:02:40Z is 995299360 by `date -u +%s`."""
    lines = [line, I_LINE, B_LINE, B_LINE.replace("160240", "160241")]
    track, _ = igc.read("flight.igc", "\r\n".join(lines).encode())
    assert track is not None
    assert track.start_unix_s == 995_299_360.0


GGA = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47"
RMC = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"
PRECISE = "$GPRMC,195959.00,A,1541.31258893,N,05130.51204125,W,0.26,147.44,140120,16.9,W,D*0B"
VTG = "$GPVTG,147.44,T,164.31,M,0.26,N,0.49,K,D*2C"


def epochs(*lines: str) -> list[nmea.Epoch]:
    log = nmea._Log()
    log.fill("\r\n".join([*lines, ""]).encode())
    assert log.bad == 0
    return log.epochs


def test_the_usual_example_of_gga_and_rmc_is_one_moment() -> None:
    """Checksums recomputed; 48.1173, 11.516667, 545.4 m above the sea, 22.4 kt, 084.4, 23 March 1994."""
    (epoch,) = epochs(GGA, RMC)
    assert epoch.clock_s == 12 * 3600 + 35 * 60 + 19
    # 1994-03-23 is 764380800 by `date -u +%s`
    assert epoch.date_s == 764_380_800.0
    assert epoch.latitude_deg == pytest.approx(48.1173, abs=1e-6)
    assert epoch.longitude_deg == pytest.approx(11.516667, abs=5e-7)
    assert (epoch.altitude_m, epoch.speed_kt, epoch.track_deg) == (545.4, 22.4, 84.4)


def test_westerly_variation_is_magnetic_less_true() -> None:
    """The pair says it: 164.31 magnetic by VTG, 147.44 true by both, 16.9 W by RMC (magnetic less true is 16.87)."""
    (epoch,) = epochs(PRECISE, VTG)
    assert epoch.latitude_deg == pytest.approx(15.0 + 41.31258893 / 60.0, abs=1e-10)
    assert epoch.longitude_deg == pytest.approx(-51.0 - 30.51204125 / 60.0, abs=1e-10)
    assert nmea.variation_east_deg(PRECISE.partition("*")[0].split(",")[1:]) == -16.9
    body = VTG[1:].partition("*")[0].replace("147.44,T", ",T")
    total = 0
    for sign in body.encode():
        total ^= sign
    # without its true course, and the position sentence without one, the magnetic course is all there is
    rmc = PRECISE[1:].partition("*")[0].replace(",147.44,", ",,")
    crc = 0
    for sign in rmc.encode():
        crc ^= sign
    (epoch,) = epochs(f"${rmc}*{crc:02X}", f"${body}*{total:02X}")
    assert epoch.track_deg == pytest.approx(147.44, abs=0.05)


@pytest.mark.parametrize("sentence", [GGA, RMC, PRECISE])
def test_any_one_corrupted_sign_fails_the_checksum(sentence: str) -> None:
    """NMEA 0183: the checksum is the exclusive or of all signs between the dollar sign and the star."""
    star = sentence.index("*")
    for place in range(1, star):
        sign = "8" if sentence[place] != "8" else "3"
        damaged = f"{sentence[:place]}{sign}{sentence[place + 1 :]}"
        log = nmea._Log()
        log.fill(f"{damaged}\r\n".encode())
        assert not log.epochs, damaged


def test_a_sentence_without_a_checksum_is_not_believed() -> None:
    log = nmea._Log()
    log.fill((GGA.partition("*")[0] + "\r\n").encode())
    assert (log.epochs, log.bad, log.without_checksum) == ([], 1, 1)


def test_times_of_gpx_with_offsets_and_fractions() -> None:
    """GPX 1.1 schema: 2003-04-05T18:22:16.184+01:00 is 17:22:16.184Z, 1049563336.184 by `date -u +%s`."""
    seconds, zone_s = times.moment_s("2003-04-05T18:22:16.184+01:00")
    assert zone_s is not None
    assert seconds - zone_s == pytest.approx(1_049_563_336.184, abs=1e-6)
    assert gpx.NAME == "GPX"


def test_coordinates_of_kml_are_longitude_latitude_altitude() -> None:
    """KML 2.2 (OGC 07-147r2), coordinates: lon,lat[,alt]; absolute altitude is metres above the sea."""
    mark = (
        "<Placemark><TimeStamp><when>2026-05-14T14:00:0{}Z</when></TimeStamp><Point>"
        "<altitudeMode>absolute</altitudeMode><coordinates>-40.5,44.25,{}</coordinates></Point></Placemark>"
    )
    track, problems = kml.read("track.kml", kml_of(mark.format(0, 300) + mark.format(1, 290.5)))
    assert track is not None
    assert problems == ()
    assert track.longitude_deg.tolist() == [-40.5, -40.5]
    assert track.latitude_deg.tolist() == [44.25, 44.25]
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [300.0, 290.5]
