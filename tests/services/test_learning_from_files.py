"""From recordings of lessons to a proposal for the glide: what was recorded decides what teaches."""

from __future__ import annotations

import dataclasses
import math
import pathlib

import numpy as np
import pytest

from tests.learning_flights import BEGIN_UNIX_S, CRUISE_RADPS, IDLE_PA, STAND_IN_PA
from volplane import bootstrap
from volplane.adapters.formats import csv
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.lesson_glides import WhyNot
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.glide.configuration import Configuration, Propeller
from volplane.domain.glide.polar import ParabolaPolar
from volplane.domain.track.track import AltitudeSource, Track
from volplane.errors import FilesRefused
from volplane.services.learning import (
    ConfigurationFlown,
    LessonFile,
    RecordedLesson,
    learn_from_lessons,
    learn_from_stretches,
    stretches_of,
)
from volplane.units import KNOT_MPS

WEIGHT_KG = 1500.0
ALL_DAY = (ConfigurationFlown(BEGIN_UNIX_S - 10.0, BEGIN_UNIX_S + 10_000.0, "clean, propeller fine"),)
# its idling propeller has been measured, so that a lesson at idle speaks of the airframe
FINE = Configuration("clean, propeller fine", propeller=Propeller.FINE, extra_drag_factor=0.5)
AIRPLANE = Airplane(
    name="Dunlin Tourer",
    maximum_weight_kg=WEIGHT_KG,
    glide=ParabolaPolar(WEIGHT_KG, 105.0 * KNOT_MPS, 9.6),
    stall_clean_cas_mps=68.0 * KNOT_MPS,
    stall_landing_cas_mps=60.0 * KNOT_MPS,
    approach_ias_mps=88.0 * KNOT_MPS,
    touchdown_ias_mps=65.0 * KNOT_MPS,
    configurations=(Configuration("clean"), FINE),
)


def lesson_track(
    seed: int, *, ratio: float = 10.6, manifold_pressure_pa: float | None = IDLE_PA, start_s: float = 0.0
) -> Track:
    """Two glides of two minutes at 100 and 115 kt in air of the flight's own, wings level, one fix a second."""
    random = np.random.default_rng(seed)
    rising_mps = float(random.normal(0.0, 0.2))
    height, heights, speeds = 2000.0, [], []
    for speed_kt in (100.0, 115.0):
        for _ in range(120):
            pressure_pa, temperature_k = isa.pressure_pa(height), isa.temperature_k(height)
            tas = airspeed.tas_mps_from_cas_mps(speed_kt * KNOT_MPS, pressure_pa, temperature_k)
            eas = airspeed.eas_mps_from_cas_mps(speed_kt * KNOT_MPS, pressure_pa)
            q = (eas / AIRPLANE.glide.best_eas_mps) ** 2
            height -= tas * (q * 1.5 + 1.0 / q) / (2.0 * ratio) - rising_mps
            heights.append(height)
            speeds.append(speed_kt * KNOT_MPS)
    count = len(heights)
    ias = np.array(speeds) + random.normal(0.0, 0.2, count)
    north = np.cumsum(np.array(speeds))
    latitude_deg, longitude_deg = LocalFrame(44.0, -40.0, 0.0).latitude_longitude_deg(north, np.zeros(count))
    return Track(
        start_unix_s=BEGIN_UNIX_S + start_s,
        time_s=np.arange(count, dtype=np.float64),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=np.array(heights) + random.normal(0.0, 0.5, count),
        altitude_source=AltitudeSource.PRESSURE,
        ias_mps=ias,
        heading_true_rad=np.zeros(count),
        manifold_pressure_pa=None if manifold_pressure_pa is None else np.full(count, manifold_pressure_pa),
        engine_speed_radps=np.full(count, CRUISE_RADPS),
    )


def lesson(seed: int, **changes: float | None) -> RecordedLesson:
    return RecordedLesson(f"lesson {seed}", lesson_track(seed, **changes), WEIGHT_KG, ALL_DAY)  # type: ignore[arg-type]


def test_recorded_lessons_move_the_glide_towards_the_airplane() -> None:
    found = learn_from_lessons(AIRPLANE, [lesson(seed) for seed in range(12)])
    assert found.barred == ()
    assert found.glide.flights_count == 12
    assert found.glide.stretches_count >= 24
    # the handbook says 9.6, the airplane is 10.6
    assert found.glide.best_ratio == pytest.approx(10.6, abs=2.5 * found.glide.best_ratio_sd)
    assert found.glide.best_ratio > 10.0
    assert [then.glide.flights_count for then in found.history] == list(range(1, 13))
    assert found.drift is None


def test_nothing_is_adopted_by_itself() -> None:
    before = dataclasses.replace(AIRPLANE)
    learn_from_lessons(AIRPLANE, [lesson(1)])
    assert before == AIRPLANE


def test_a_stand_in_lesson_teaches_nothing_until_power_and_configuration_are_recorded() -> None:
    dark = lesson(1, manifold_pressure_pa=None)
    unsaid = dataclasses.replace(lesson(2, manifold_pressure_pa=STAND_IN_PA), configurations=())
    found = learn_from_lessons(AIRPLANE, [dark, unsaid])
    assert found.glide.stretches_count == 0
    assert found.glide.best_ratio == pytest.approx(9.6)
    assert {each.why for each in found.barred} == {WhyNot.POWER_NOT_RECORDED, WhyNot.CONFIGURATION_NOT_RECORDED}
    said = learn_from_lessons(AIRPLANE, [lesson(2, manifold_pressure_pa=STAND_IN_PA)])
    assert said.glide.stretches_count > 0


def test_a_stretch_across_a_change_of_configuration_has_none_recorded() -> None:
    halves = (
        ConfigurationFlown(BEGIN_UNIX_S, BEGIN_UNIX_S + 60.0, "clean"),
        ConfigurationFlown(BEGIN_UNIX_S + 60.0, BEGIN_UNIX_S + 500.0, "clean, propeller fine"),
    )
    stretches = stretches_of(AIRPLANE, dataclasses.replace(lesson(3), configurations=halves))
    names = [each.glide.configuration for each in stretches]
    assert names[0] == ""
    assert names[-1] == "clean, propeller fine"


def test_a_lesson_without_airspeed_has_no_stretches() -> None:
    track = dataclasses.replace(lesson_track(1), ias_mps=None)
    assert stretches_of(AIRPLANE, RecordedLesson("phone", track, WEIGHT_KG, ALL_DAY)) == ()


def test_the_airplanes_own_airspeed_table_is_used() -> None:
    off = dataclasses.replace(AIRPLANE, airspeed_correction=((40.0, 42.0), (80.0, 82.0)))
    plain, corrected = (stretches_of(each, lesson(1))[0].glide for each in (AIRPLANE, off))
    assert corrected.cas_mps - plain.cas_mps == pytest.approx(2.0)


def test_a_measured_curve_is_learned_from_by_its_best_point() -> None:
    found = learn_from_stretches(AIRPLANE, ())
    assert found.glide.best_ratio == pytest.approx(AIRPLANE.glide.best_ratio)
    assert found.history == ()


def test_lessons_are_learned_from_files(tmp_path: pathlib.Path) -> None:
    for name, text in bootstrap.demo_texts().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    airplane = tmp_path / "dunlin_tourer.toml"
    lessons = []
    for seed in range(2):
        path = tmp_path / f"lesson{seed}.csv"
        path.write_bytes(csv.write(lesson_track(seed, start_s=seed * 100_000.0)))
        lessons.append(LessonFile(str(path), WEIGHT_KG, (ConfigurationFlown(0.0, math.inf, "clean, propeller fine"),)))
    before = airplane.read_bytes()
    found = bootstrap.learn_from_files(airplane, lessons)
    assert found.glide.flights_count == 2
    assert {each.flight for each in found.glide.air} == {each.path for each in lessons}
    assert airplane.read_bytes() == before
    (tmp_path / "nothing.csv").write_text("no recording", encoding="utf-8")
    with pytest.raises(FilesRefused, match="nothing"):
        bootstrap.learn_from_files(airplane, [LessonFile(str(tmp_path / "nothing.csv"), WEIGHT_KG)])
