"""One dropped file: which kind it is, its titles say; a recording is looked through for everything."""

from __future__ import annotations

import math

import pytest

from volplane import bootstrap
from volplane.errors import FilesRefused
from volplane.services.measured_file import MeasuredFile

GLIDES = "speed_kias,height_start_ft,height_end_ft,time_s,temperature_degc,weight_lb"
LEGS = "speed_kias,ground_speed_kt,track_true_deg,pressure_altitude_ft,temperature_degc"
SETTINGS = "manifold_pressure_inhg,rpm,speed_kias,sink_fpm,altitude_ft,temperature_degc,weight_lb"


def measured(name: str, *lines: str) -> MeasuredFile:
    return bootstrap.demo_workbench().measured(name, "\n".join(lines).encode(), {})


def glide_lines() -> list[str]:
    """Glides of 9.0 to 1 at 106 kt near sea level; a knot is 101.27 ft a minute."""
    rows = []
    for kt in (82, 90, 98, 106, 114, 122, 132):
        drag = ((kt / 106.0) ** 2 + (106.0 / kt) ** 2) / 18.0
        rows.append(f"{kt},1000,{1000.0 - 101.27 * kt * math.sin(math.atan(drag)):.0f},60,15,3650")
    return rows


def test_a_table_of_glides_gives_a_glide_and_nothing_else() -> None:
    found = measured("any name.txt", GLIDES, *glide_lines())
    assert found.glide is not None
    assert found.glide.ratio == pytest.approx(9.0, abs=0.2)
    assert (found.airspeed, found.stand_in, found.untold) == (None, None, ())


def test_a_table_of_legs_gives_a_calibration() -> None:
    rows = []
    for track in (0.0, 90.0, 180.0, 270.0):
        # 102 kt through the air, 10 kt of wind from the north, at sea level in standard air
        north = 102.0 * math.cos(math.radians(track)) - 10.0
        east = 102.0 * math.sin(math.radians(track))
        rows.append(f"100,{math.hypot(east, north):.2f},{math.degrees(math.atan2(east, north)) % 360.0:.2f},0,15")
    found = measured("legs.csv", LEGS, *rows)
    assert found.airspeed is not None
    assert found.airspeed.wind_speed_mps == pytest.approx(10.0 * 1852.0 / 3600.0, abs=0.05)
    assert (found.glide, found.stand_in) == (None, None)


def test_a_table_of_settings_gives_a_stand_in_in_the_exercises_air() -> None:
    rows = [f"{mp},2300,104,{sink},2500,13,3350" for mp, sink in ((12, 1330), (14, 1180), (16, 980))]
    found = measured("settings.csv", SETTINGS, *rows)
    assert found.stand_in is not None
    assert found.stand_in.is_from_points
    assert found.stand_in.exercise.weight_kg == pytest.approx(3350.0 * 0.45359237)


def test_a_recording_is_looked_through_for_both_and_says_what_it_could_not_tell() -> None:
    bench = bootstrap.demo_workbench()
    phone = next(each for each in bootstrap.demo_recordings() if each.file_name.endswith(".gpx"))
    found = bench.measured(phone.file_name, phone.data, {})
    assert [each.what for each in found.untold] == ["glide", "airspeed"]
    assert found.untold[0].refusal.code == "airspeed-not-recorded"


def test_faults_of_a_table_are_told_line_by_line() -> None:
    with pytest.raises(FilesRefused, match=r"bad\.csv") as refused:
        measured("bad.csv", GLIDES, "100,3000,2000,x,10,3400", "900,3000,2000,60,10,3400")
    assert [problem.place for problem in refused.value.problems] == ["line 2, time_s", "line 3, speed_kias"]


def test_a_letter_is_no_measurement() -> None:
    with pytest.raises(FilesRefused, match=r"letter\.txt"):
        measured("letter.txt", "Dear instructor,", "it was windy.")
