"""Table H: an independent six-degree-of-freedom simulation as the truth for glide, turns and whole exercises.

What is expected is what the simulated airplane did; it is worked out while the test runs, so that the records hold the
difference from it (nought) and how large it may be. The simulation knows nothing of this project, the pilots flying it
nothing of its plans.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from tests.checks.records import Check, assert_check, check
from tests.simulator import described
from tests.simulator.flight import Truth
from tests.simulator.glides import Morning, best_glide, fly_morning, stall_cas_mps, steady_glide
from tests.simulator.lesson import Habits, Lesson, wind_by_height
from tests.simulator.recorder import Recorder, wander
from tests.simulator.simulation import SimulatedAir
from volplane import bootstrap
from volplane.adapters.formats import csv
from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.domain.debrief.results import Attempt, Outcome, VerdictText
from volplane.domain.glide.configuration import CLEAN
from volplane.domain.glide.polar import ParabolaPolar
from volplane.domain.glide.turning import steady_turn
from volplane.domain.track.track import AltitudeSource
from volplane.services.measuring import DayOfMeasuring, glides_of_track, measure
from volplane.units import FOOT_M, KNOT_MPS

SIMULATION = "jsbsim, six degrees of freedom, an airplane of its own collection, engine idling"
LIMIT = "limit of the project's aims: a handbook figure is no better"


def _from(id: str, quantity: str, unit: str, tolerance: float, because: str) -> Check:
    """A difference from the simulation: nought is expected."""
    return check(id, quantity, 0.0, unit, tolerance, because, SIMULATION, "C")


RATIO = _from("H1", "reported best glide ratio against the farthest glide flown", "%", 3.0, LIMIT)
BEST_SPEED = _from("H2", "reported best speed against the farthest glide's", "kt", 4.0, "costs 0.5 % of the ratio")
TURNS = {
    bank: _from(f"H3-{bank}", f"height lost in a turn of {bank} deg bank, by the measured curve", "%", 5.0, LIMIT)
    for bank in (15, 30, 45)
}
WIND_PANEL = _from("H4a", "wind found by a debrief with airspeed", "kt", 3.0, "the airspeed wanders by 1 kt")
WIND_TRACK = _from("H4b", "wind found by a debrief without airspeed", "kt", 6.0, "a circle and airspeed that wanders")
GATE_HEIGHT = _from("H5a", "height at a gate", "ft", 50.0, "two and a half times the 20 ft of a GPS height")
GATE_PLACE = _from("H5b", "place of a gate", "m", 30.0, "half a second of flight and the receiver")

BANKS_AND_FASTER_KT = [(bank, faster) for bank in TURNS for faster in (0, 6, 16)]
# height above the field in feet, degrees true from, knots
WINDS = {
    "calm": ((0.0, 240.0, 0.0),),
    "light": ((0.0, 240.0, 8.0), (3000.0, 270.0, 18.0)),
    "tailwind on final": ((0.0, 60.0, 6.0), (3000.0, 60.0, 12.0)),
    "strong": ((0.0, 270.0, 14.0), (3000.0, 290.0, 28.0)),
    "across": ((0.0, 200.0, 12.0), (3000.0, 200.0, 20.0)),
}


def air_of(wind: str) -> SimulatedAir:
    """A warm day with a wind."""
    return SimulatedAir(wind_by_height(described.field(), WINDS[wind]), warmer_k=5.0, sea_level_pressure_pa=101800.0)


def measured_on(morning: Morning, source: AltitudeSource = AltitudeSource.PRESSURE) -> MeasuredGlide:
    """The glide that the program finds in the recording of a morning, told a handbook that is wrong."""
    truth = fly_morning(morning)
    recorded = csv.write(Recorder(source, seed=morning.seed).track(truth))
    track = bootstrap.read_recording("morning.csv", recorded).track
    assert track is not None
    described_airplane = described.airplane()
    handbook = ParabolaPolar(described_airplane.maximum_weight_kg, 82.0 * KNOT_MPS, 9.5)
    airplane = replace(described_airplane, glide=handbook)
    # fuel burns off in the climbs: half-way is what an instructor would write down
    day = DayOfMeasuring(float(truth.weight_kg.mean()), qnh_pa=described.qnh_pa(morning.air))
    return measure(airplane, glides_of_track(airplane, track, "morning", day))


@functools.cache
def smooth_morning() -> MeasuredGlide:
    """Sixteen glides at eight speeds in air that rises and sinks by a tenth of a metre a second."""
    return measured_on(Morning(air=air_of("light"), air_rises_sd_mps=0.1, seed=1))


def turn_error_percent(measured: MeasuredGlide, bank_deg: float, faster_kt: float) -> float:
    """Height lost in a turn from the measured curve against the turn flown, at a speed above the best glide's."""
    flown = steady_glide(round(best_glide().eas_mps / KNOT_MPS) + faster_kt, bank_deg)
    curve = measured.polar.at_weight(flown.weight_kg)
    found = steady_turn(curve, flown.eas_mps, flown.bank_rad, CLEAN, flown.density_kgpm3)
    return 100.0 * (found.height_per_radian_m * flown.turned_rad / flown.lost_m - 1.0)


@dataclass(frozen=True, slots=True)
class Flown:
    """A lesson flown in the simulation and debriefed."""

    truth: Truth
    attempt: Attempt
    air: SimulatedAir

    def truth_at(self, time_s: float) -> tuple[float, float, float]:
        """Place and height above the field at a time of the recording."""
        field, truth = described.field(), self.truth
        x_m, y_m = field.xy_m(truth.latitude_deg, truth.longitude_deg)
        height_m = truth.altitude_msl_m - field.elevation_m
        at = truth.time_s[0] + time_s
        return tuple(float(np.interp(at, truth.time_s, values)) for values in (x_m, y_m, height_m))

    def wind_errors_kt(self) -> list[float]:
        """Difference of the wind found from the wind that blew, as vectors."""
        errors = []
        for found in self.attempt.wind:
            north, east, _ = self.air.motion(described.field().elevation_m + found.height_m, 0.0)
            found_north = -found.speed_mps * math.cos(found.from_true_rad)
            found_east = -found.speed_mps * math.sin(found.from_true_rad)
            errors.append(math.hypot(found_north - north, found_east - east) / KNOT_MPS)
        return errors

    def wheels_x_m(self) -> float | None:
        """Where the wheels first met the ground, None for a go-around."""
        down = np.flatnonzero(self.truth.on_wheels > 0.0)
        if len(down) == 0:
            return None
        return self.truth_at(float(self.truth.time_s[down[0]] - self.truth.time_s[0]))[0]


@functools.cache
def lesson_in(wind: str, seed: int, goes_around_at_m: float | None = None) -> Truth:
    """An exercise flown by the simulation's own pilot, the airspeed wandering by a knot."""
    error = wander(np.random.default_rng(seed), 1000, 1.0 * KNOT_MPS, 10.0)
    habits = Habits(goes_around_at_m=goes_around_at_m)
    lesson = Lesson(described.field(), air_of(wind), habits, speed_error_mps=lambda time_s: float(error[int(time_s)]))
    return lesson.fly()


@functools.cache
def debriefed(wind: str, seed: int, *, has_airspeed: bool, goes_around_at_m: float | None = None) -> Flown:
    """That exercise, recorded and debriefed."""
    truth = lesson_in(wind, seed, goes_around_at_m)
    recorder = Recorder(has_airspeed=has_airspeed, has_engine=has_airspeed, seed=seed)
    recording = bootstrap.read_recording("lesson.csv", csv.write(recorder.track(truth)))
    found = bootstrap.debrief_read(recording, described.exercise(air_of(wind)))
    assert len(found.attempts) == 1
    return Flown(truth, found.attempts[0], air_of(wind))


def test_the_reported_ratio_and_speed_are_those_of_the_farthest_glide() -> None:
    measured, best = smooth_morning(), best_glide()
    assert_check(RATIO, 100.0 * (measured.ratio / best.ratio - 1.0))
    scale = math.sqrt(best.weight_kg / measured.reference_weight_kg)
    assert_check(BEST_SPEED, (measured.best_eas_mps * scale - best.eas_mps) / KNOT_MPS)


def test_the_truth_lies_within_the_reported_uncertainty_of_the_ratio() -> None:
    measured = smooth_morning()
    assert abs(measured.ratio - best_glide().ratio) < 2.5 * measured.ratio_sd


def test_every_glide_of_the_morning_is_found_in_its_recording() -> None:
    assert len(smooth_morning().points) == 16


@pytest.mark.parametrize(("bank_deg", "faster_kt"), BANKS_AND_FASTER_KT)
def test_the_measured_curve_tells_the_height_lost_in_turns_away_from_the_stall(bank_deg: int, faster_kt: int) -> None:
    flown = steady_glide(round(best_glide().eas_mps / KNOT_MPS) + faster_kt, bank_deg)
    assert flown.eas_mps > 1.25 * stall_cas_mps() / math.sqrt(math.cos(flown.bank_rad))
    assert_check(TURNS[bank_deg], turn_error_percent(smooth_morning(), bank_deg, faster_kt))


@pytest.mark.parametrize("wind", ["calm", "light", "strong"])
def test_a_debrief_finds_the_wind_that_blew_where_airspeed_is_recorded(wind: str) -> None:
    for error_kt in debriefed(wind, 5, has_airspeed=True).wind_errors_kt():
        assert_check(WIND_PANEL, error_kt)


@pytest.mark.parametrize("wind", ["light", "strong"])
def test_a_debrief_finds_the_wind_that_blew_from_the_track_alone(wind: str) -> None:
    for error_kt in debriefed(wind, 5, has_airspeed=False).wind_errors_kt():
        assert_check(WIND_TRACK, error_kt)


@pytest.mark.parametrize("wind", ["calm", "light", "strong"])
def test_the_gates_of_a_debrief_are_where_the_airplane_was(wind: str) -> None:
    flown = debriefed(wind, 5, has_airspeed=True)
    assert [gate.name.value for gate in flown.attempt.gates] == ["high key", "low key", "base key", "final"]
    for gate in flown.attempt.gates:
        x_m, y_m, height_m = flown.truth_at(gate.time_s)
        assert_check(GATE_PLACE, math.hypot(gate.x_m - x_m, gate.y_m - y_m))
        assert_check(GATE_HEIGHT, (gate.height_m - height_m) / FOOT_M)


def test_a_landing_near_the_touchdown_speed_is_found_where_the_wheels_met_the_runway() -> None:
    flown = debriefed("light", 5, has_airspeed=True)
    touchdown, wheels_x_m = flown.attempt.touchdown, flown.wheels_x_m()
    assert flown.attempt.outcome is Outcome.LANDED
    assert touchdown is not None
    assert wheels_x_m is not None
    assert abs(touchdown.x_m - wheels_x_m) < 2.5 * touchdown.x_sd_m


def test_a_clean_glide_that_ends_short_of_the_touchdown_point_has_not_made_it() -> None:
    flown = debriefed("across", 5, has_airspeed=True)
    wheels_x_m = flown.wheels_x_m()
    assert wheels_x_m is not None
    assert wheels_x_m < 0.0
    assert flown.attempt.verdict is not None
    assert flown.attempt.verdict.text is not VerdictText.MADE_IT


@pytest.mark.long
@pytest.mark.parametrize("source", [AltitudeSource.PRESSURE, AltitudeSource.GPS])
@pytest.mark.parametrize("seed", range(1, 7))
def test_on_any_smooth_morning_ratio_and_turns_come_out_as_flown(seed: int, source: AltitudeSource) -> None:
    measured = measured_on(Morning(air=air_of("light"), air_rises_sd_mps=0.1, seed=seed), source)
    assert_check(RATIO, 100.0 * (measured.ratio / best_glide().ratio - 1.0))
    for bank_deg, faster_kt in BANKS_AND_FASTER_KT:
        assert_check(TURNS[bank_deg], turn_error_percent(measured, bank_deg, faster_kt))


@pytest.mark.long
@pytest.mark.parametrize("wind", WINDS)
def test_in_any_wind_the_debrief_finds_wind_and_gates_as_well_as_it_says(wind: str) -> None:
    for has_airspeed in (True, False):
        winds, heights = [], []
        for seed in range(20, 32):
            flown = debriefed(wind, seed, has_airspeed=has_airspeed)
            for found, error_kt in zip(flown.attempt.wind, flown.wind_errors_kt(), strict=True):
                winds.append(error_kt * KNOT_MPS / (found.sd_mps * math.sqrt(2.0)))
            heights += [
                (gate.height_m - flown.truth_at(gate.time_s)[2]) / gate.height_sd_m for gate in flown.attempt.gates
            ]
        # root mean square of errors in parts of what the debrief says: 1 if it says the truth
        assert math.sqrt(float(np.mean(np.square(winds)))) < 1.5
        # GPS heights of this recorder wander in 100 s, faster than a debrief reckons with: a height set right by the
        # wheels on the runway is worth less by up to the root of two, and twelve flights scatter
        assert math.sqrt(float(np.mean(np.square(heights)))) < 2.0


def test_a_go_around_is_found_at_the_height_it_was_flown() -> None:
    flown = debriefed("light", 6, has_airspeed=True, goes_around_at_m=120.0)
    lowest_m = float(flown.truth.altitude_msl_m.min()) - described.field().elevation_m
    assert flown.attempt.outcome is Outcome.WENT_AROUND
    assert flown.attempt.go_around is not None
    assert_check(GATE_HEIGHT, (flown.attempt.go_around.height_m - lowest_m) / FOOT_M)
