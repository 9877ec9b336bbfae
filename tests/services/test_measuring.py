"""From files' values to glides and into the airplane file: calibration, altitudes of every kind, weights, windows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.adapters.toml_texts import AIRPLANE
from tests.mornings import TruePolar
from tests.recorded_morning import CALM, START_UNIX_S, WEIGHT_KG, Day, Part, glides_both_ways, recorded, without
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.writing import write_airplane
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.partial_glides import Why
from volplane.domain.glide.polar import MeasuredPolar
from volplane.domain.track.track import AltitudeSource, Track
from volplane.services.measuring import (
    AirspeedNotRecorded,
    DayOfMeasuring,
    GlideRow,
    GlideWindow,
    NoSteadyGlides,
    changes_of,
    glides_of_rows,
    glides_of_track,
    measure,
    row_of,
)
from volplane.units import FOOT_M, INCH_OF_MERCURY_PA, KNOT_MPS, POUND_KG

POLAR = TruePolar(104.0 * KNOT_MPS, 8.9)
SPEEDS_KT = (82.0, 92.0, 104.0, 118.0, 136.0)
DAY = DayOfMeasuring(WEIGHT_KG)


@pytest.fixture(scope="module")
def airplane() -> Airplane:
    read, problems = read_airplane(AIRPLANE, "airplane.toml")
    assert read is not None
    assert problems == ()
    return read


@pytest.fixture(scope="module")
def calm() -> Track:
    return recorded(POLAR, glides_both_ways(SPEEDS_KT), CALM)


@pytest.mark.parametrize(
    "lacking",
    [
        (),
        ("tas_mps",),
        ("ias_mps",),
        ("air_temperature_k", "manifold_pressure_pa", "engine_speed_radps"),
        ("heading_true_rad", "bank_rad"),
    ],
)
def test_a_calm_recording_gives_the_airplane_whatever_the_recorder_lacks(
    airplane: Airplane, calm: Track, lacking: tuple[str, ...]
) -> None:
    found = measure(airplane, glides_of_track(airplane, without(calm, *lacking), "hour.csv", DAY))
    assert found.ratio == pytest.approx(8.9, rel=0.01)
    assert found.best_eas_mps == pytest.approx(104.0 * KNOT_MPS, rel=0.01)
    assert all(point.is_used for point in found.points)


def test_a_real_morning_holds_the_truth_within_its_bands(airplane: Airplane) -> None:
    track = recorded(POLAR, glides_both_ways((80.0, 90.0, 100.0, 110.0, 122.0, 136.0)), Day(), seed=7)
    found = measure(airplane, glides_of_track(airplane, track, "hour.csv", DAY))
    assert abs(found.ratio - 8.9) < 1.96 * found.ratio_sd
    assert abs(found.best_eas_mps - 104.0 * KNOT_MPS) < 1.96 * found.best_eas_sd_mps
    assert found.ratio_sd < 0.3


def test_the_wind_that_changes_on_the_way_down_is_in_the_ground_speed(airplane: Airplane) -> None:
    # one way only, into a wind that falls by 8 kt in 1,000 ft on the way down: the ground speed tells
    windy = replace(CALM, growth_per_s=(0.0, -0.0135))
    parts = [part for i, part in enumerate(glides_both_ways(SPEEDS_KT)) if i % 6 < 3]
    one_way = [replace(part, turn_rad=0.0) for part in parts]
    track = recorded(POLAR, one_way, windy, heading_rad=0.0)
    found = measure(airplane, glides_of_track(airplane, track, "hour.csv", DAY))
    assert found.ratio == pytest.approx(8.9, rel=0.01)


def test_pressure_altitudes_are_stretched_by_the_warmth_and_gps_heights_are_not(
    airplane: Airplane, calm: Track
) -> None:
    (gps, *_) = glides_of_track(airplane, calm, "hour.csv", DAY)
    pressure = replace(calm, altitude_source=AltitudeSource.PRESSURE)
    (barometric, *_) = glides_of_track(airplane, pressure, "hour.csv", DAY)
    assert (gps.is_pressure_height, barometric.is_pressure_height) == (False, True)
    assert gps.pressure_altitude_m == barometric.pressure_altitude_m
    high = replace(DAY, qnh_pa=29.42 * INCH_OF_MERCURY_PA)
    indicated = replace(calm, altitude_source=AltitudeSource.INDICATED)
    (set_low, *_) = glides_of_track(airplane, indicated, "hour.csv", high)
    # half an inch less is about 470 ft more pressure altitude (A12: 1.066 in per 1,000 ft near the surface)
    assert set_low.pressure_altitude_m - gps.pressure_altitude_m == pytest.approx(470.0 * FOOT_M, abs=5.0)


def test_the_temperature_that_is_typed_serves_where_none_was_recorded(airplane: Airplane, calm: Track) -> None:
    blind = without(calm, "air_temperature_k")
    (standard, *_) = glides_of_track(airplane, blind, "hour.csv", DAY)
    (typed, *_) = glides_of_track(airplane, blind, "hour.csv", replace(DAY, air_temperature_k=300.0))
    assert typed.air_temperature_k == 300.0
    assert standard.air_temperature_k == pytest.approx(288.15 - 0.0065 * standard.pressure_altitude_m)


def test_a_phone_needs_marked_glides_with_their_speed(airplane: Airplane, calm: Track) -> None:
    phone = without(calm, "ias_mps", "tas_mps", "heading_true_rad", "bank_rad", "manifold_pressure_pa")
    with pytest.raises(AirspeedNotRecorded, match=r"phone\.gpx has no airspeed"):
        glides_of_track(airplane, phone, "phone.gpx", DAY)
    of_day_s = START_UNIX_S % 86400.0
    marks = [(start, SPEEDS_KT[start // 540]) for start in range(175, 2700, 270)]
    windows = tuple(GlideWindow(of_day_s + s, of_day_s + s + 90.0, v * KNOT_MPS) for s, v in marks)
    found = measure(airplane, glides_of_track(airplane, phone, "phone.gpx", replace(DAY, windows=windows)))
    assert len(found.points) == 10
    assert found.ratio == pytest.approx(8.9, rel=0.01)
    assert found.points[0].glide.place == "phone.gpx, 08:02:55 to 08:04:25"


def test_a_window_outside_the_recording_is_refused(airplane: Airplane, calm: Track) -> None:
    with pytest.raises(NoSteadyGlides, match="no steady descent"):
        glides_of_track(airplane, calm, "hour.csv", replace(DAY, windows=(GlideWindow(0.0, 60.0),)))


def test_a_recording_without_glides_is_refused(airplane: Airplane) -> None:
    climb = recorded(POLAR, [Part(52.0, 200, has_power=True)], CALM)
    with pytest.raises(NoSteadyGlides, match="no steady descent of 40 s"):
        glides_of_track(airplane, climb, "climb.csv", DAY)


def test_a_descent_with_power_is_found_and_left_out(airplane: Airplane) -> None:
    parts = [*glides_both_ways(SPEEDS_KT), Part(54.0, 100, has_power=True, thrust_to_weight=0.05)]
    found = measure(airplane, glides_of_track(airplane, recorded(POLAR, parts, CALM), "hour.csv", DAY))
    assert [point.why for point in found.points if point.why] == [Why.POWER_ON]


ROW = GlideRow("points.csv, line 2", 90.0 * KNOT_MPS, 1829.0, 1310.0, 100.0, 285.0, 3400.0 * POUND_KG)


def test_indicated_speeds_of_a_table_are_calibrated_by_the_airplanes_table(airplane: Airplane) -> None:
    corrected = replace(airplane, airspeed_correction=((40.0, 41.0), (70.0, 71.0)))
    (plain,), (calibrated,) = glides_of_rows(airplane, [ROW]), glides_of_rows(corrected, [ROW])
    assert calibrated.cas_mps == pytest.approx(plain.cas_mps + 1.0)
    assert plain.sink_mps == pytest.approx(5.19)
    assert plain.is_pressure_height


def test_a_line_of_a_table_is_a_glide_and_a_turn_knows_no_heading(airplane: Airplane) -> None:
    si = {
        "speed_kias": 46.3, "height_start_ft": 1829.0, "height_end_ft": 1310.0, "time_s": 100.0,
        "temperature_degc": 285.0, "weight_lb": 1540.0, "bank_deg": 0.5, "heading_true_deg": 1.0,
    }  # fmt: skip
    row = row_of("points.csv, line 2", si, {"configuration": "gear and full flap"})
    (turning,) = glides_of_rows(airplane, [row])
    assert turning.configuration == "gear and full flap"
    assert (turning.heading_true_rad, turning.holds_wind_gradient) == (None, True)
    (straight,) = glides_of_rows(airplane, [replace(row, bank_rad=0.0)])
    assert (straight.heading_true_rad, straight.holds_wind_gradient) == (1.0, False)


def test_a_weight_the_airplane_cannot_have_is_left_out(airplane: Airplane, calm: Track) -> None:
    flown = glides_of_track(airplane, calm, "hour.csv", DAY)
    heavy = replace(flown[0], weight_kg=1.1 * airplane.maximum_weight_kg)
    found = measure(airplane, [heavy, *flown[1:]])
    assert found.points[0].why is Why.WEIGHT


def test_the_file_written_glides_as_measured(airplane: Airplane, calm: Track) -> None:
    corrected = replace(airplane, airspeed_correction=((40.0, 41.0), (70.0, 71.0)))
    table = [{"indicated": 40.0, "calibrated": 41.0}, {"indicated": 70.0, "calibrated": 71.0}]
    text = AIRPLANE + "".join(
        f'\n[[airspeed_correction]]\nindicated = "{row["indicated"]} m/s"\ncalibrated = "{row["calibrated"]} m/s"\n'
        for row in table
    )
    found = measure(corrected, glides_of_track(corrected, calm, "hour.csv", DAY))
    again, problems = read_airplane(write_airplane(text, changes_of(corrected, found)), "new.toml")
    assert problems == ()
    assert again is not None
    assert again.glide.best_eas_mps == pytest.approx(found.best_eas_mps, abs=0.05)
    assert again.glide.best_ratio == pytest.approx(found.ratio, abs=0.005)
    assert again.glide.reference_weight_kg == pytest.approx(found.reference_weight_kg, rel=2e-4)


def test_a_curve_written_as_points_is_read_back_as_that_curve(airplane: Airplane) -> None:
    bent = TruePolar(104.0 * KNOT_MPS, 8.9, bend=0.8)
    track = recorded(bent, glides_both_ways((74.0, 80.0, 88.0, 97.0, 107.0, 119.0, 135.0)), CALM)
    found = measure(airplane, glides_of_track(airplane, track, "hour.csv", DAY))
    assert found.is_curve
    again, problems = read_airplane(write_airplane(AIRPLANE, changes_of(airplane, found)), "new.toml")
    assert problems == ()
    assert again is not None
    assert isinstance(again.glide, MeasuredPolar)
    assert again.glide.best_ratio == pytest.approx(found.ratio, rel=4e-3)


def test_measured_configurations_replace_their_estimates(airplane: Airplane, calm: Track) -> None:
    more = 1.4
    gear = TruePolar(POLAR.best_mps * more**-0.25, POLAR.best_ratio * more**-0.5)
    dragged = recorded(gear, glides_both_ways((86.0, 100.0)), CALM)
    name = "gear and full flap"
    flown = [
        *glides_of_track(airplane, calm, "hour.csv", DAY),
        *glides_of_track(airplane, dragged, "gear.csv", replace(DAY, configuration=name)),
    ]
    (configuration,) = changes_of(airplane, measure(airplane, flown)).configurations
    assert configuration.name == name
    assert configuration.extra_drag_factor == pytest.approx(0.4, abs=0.02)
    assert not configuration.is_estimate
    assert configuration.flap == airplane.configuration(name).flap
