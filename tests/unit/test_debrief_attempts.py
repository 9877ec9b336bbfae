"""A library of flights, each told apart: what was flown, how often, to which runway, and how it ended."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np
import pytest

from tests.faces import fixtures
from tests.unit.debrief_flights import FACTS, Flown, Made, cut, fly, go_around, joined, plan_for, recorded
from tests.unit.debrief_pieces import Piece, after, before, circle, from_pieces, raised, turn, until
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.results import Outcome
from volplane.domain.debrief.runways_flown import FlownExercise, another_runway_notes, exercises_flown
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.gates import GateCrossing, find_gates
from volplane.domain.geometry.airfield import Side
from volplane.domain.track.cleaning import cleaned
from volplane.domain.track.track import Track
from volplane.units import m_from_ft, pa_from_inhg

WIND = Made(wind_low_mps=(-4.0, 1.0), wind_high_mps=(-9.0, 3.0))
# the demo airplane's best glide sinks 5.8 m/s
SINK = 5.9
HALF = math.pi
# thirty degrees of bank at 54 m/s
RATE = 0.105
LANDED, AROUND, GIVEN_UP, CUT = (
    Outcome.LANDED,
    Outcome.WENT_AROUND,
    Outcome.DISCONTINUED,
    Outcome.NOT_RECORDED_TO_THE_END,
)


def found_in(flown: Flown, exercise: Exercise | None = None, **recorder: float) -> tuple[FlownExercise, ...]:
    wish = fixtures.exercise() if exercise is None else exercise
    return in_track(recorded(flown, wish, **recorder), wish)  # type: ignore[arg-type]


def in_track(track: Track, exercise: Exercise | None = None) -> tuple[FlownExercise, ...]:
    wish = fixtures.exercise() if exercise is None else exercise
    return exercises_flown(cleaned(track)[0], wish, wish.weather.atmosphere)


def outcomes(flights: tuple[FlownExercise, ...]) -> list[Outcome]:
    return [flown.found.outcome for flown in flights]


def on_circuit(beyond_low_key_m: float, height_m: float) -> float:
    """Level downwind at 1,000 ft, from abeam down at 500 ft a minute, reckoned backwards from the runway."""
    return 2.54 if beyond_low_key_m < 0.0 and height_m < 320.0 else 0.0


def steep_circuit(beyond_low_key_m: float, height_m: float) -> float:
    """The same down at 750 ft a minute: the throttle nearly shut, gear and flap out early."""
    return 3.81 if beyond_low_key_m < 0.0 and height_m < 330.0 else 0.0


def power_off_180(beyond_low_key_m: float, height_m: float) -> float:
    """Level to abeam the point, then a glide."""
    return (6.2 if height_m > 12.0 else 0.6) if beyond_low_key_m < 0.0 else 0.0


def climbed_out(flown: Flown) -> Flown:
    """Straight on along the runway and away."""
    return after(flown, [Piece(60.0, 0.0, 4.0, 45.0)])


def balked() -> Flown:
    """Rounded out, then away again before the wheels touched."""
    flown = fly(WIND, roll_out=False)
    return climbed_out(until(flown, 4.0))


def touch_and_go() -> Flown:
    """Eight seconds on the wheels, then away."""
    flown = fly(WIND)
    down = float(flown.time_s[np.flatnonzero(flown.height_m <= 0.0)[0]])
    return after(cut(flown, down + 8.0), [Piece(4.0, 0.0, 0.0, 30.0), Piece(60.0, 0.0, 4.0, 42.0)])


def circles(count: float, made: Made = WIND) -> Flown:
    flown = fly(made)
    return before(flown, [Piece(20.0, 0.0, -SINK), circle(count, RATE, -1.15 * SINK), Piece(15.0, 0.0, -SINK)])


def turned_half_way() -> Flown:
    """Given up with two thirds of the half turn flown."""
    flown = fly(WIND)
    return go_around(flown, float(flown.height_m[np.flatnonzero(flown.heading_rad >= 2.2)[0]]))


def series() -> Flown:
    return joined([touch_and_go(), fly(WIND), balked(), go_around(fly(Made(side=Side.RIGHT)), 160.0)])


FLIGHTS: dict[str, tuple[Callable[[], Flown], list[Outcome]]] = {
    "an overhead exercise": (lambda: fly(WIND), [LANDED]),
    "an overhead exercise to the right": (lambda: fly(dataclasses.replace(WIND, side=Side.RIGHT)), [LANDED]),
    "led in level with power": (lambda: before(fly(WIND), [Piece(180.0)]), [LANDED]),
    "one circle before the high key": (lambda: circles(1.0), [LANDED]),
    "three circles before the high key": (lambda: circles(3.0), [LANDED]),
    "a straight power-off 180": (lambda: fly(dataclasses.replace(WIND, sink_of=power_off_180)), [LANDED]),
    "a balked landing": (balked, [AROUND]),
    "a touch-and-go": (touch_and_go, [LANDED]),
    "four of them in one file": (series, [LANDED, LANDED, AROUND, AROUND]),
    "a go-around near the break-off height": (lambda: go_around(fly(Made(downwind_m=1300.0)), 150.0), [AROUND]),
    "a go-around levelled off": (
        lambda: after(until(fly(WIND), m_from_ft(430.0), 80.0), [Piece(4.0, 0.0, -3.0), Piece(60.0)]),
        [AROUND],
    ),
    "climbed away high on the downwind": (lambda: go_around(fly(WIND), 380.0), [GIVEN_UP]),
    "levelled off high on the downwind": (
        lambda: after(until(fly(WIND), 390.0), [Piece(6.0, 0.0, -3.0), Piece(90.0)]),
        [GIVEN_UP],
    ),
    "climbed away in the half turn": (turned_half_way, [GIVEN_UP]),
    "cut on the downwind": (lambda: until(fly(WIND), 380.0), [CUT]),
    "cut on the base": (lambda: until(fly(WIND), 200.0), [CUT]),
    "cut on the final": (lambda: until(fly(WIND), 60.0), [CUT]),
    "an ordinary circuit": (lambda: fly(Made(sink_of=on_circuit, tas_mps=46.0, downwind_m=1800.0)), []),
    "an ordinary circuit in wind": (
        lambda: fly(dataclasses.replace(WIND, sink_of=on_circuit, tas_mps=46.0, downwind_m=1500.0)),
        [],
    ),
    "a steep circuit with a little power": (
        lambda: fly(Made(sink_of=steep_circuit, tas_mps=46.0, downwind_m=1500.0)),
        [],
    ),
    "a departure": (
        lambda: from_pieces(
            [
                Piece(20.0, 0.0, 0.0, 5.0),
                Piece(20.0, 0.0, 0.0, 28.0),
                Piece(50.0, 0.0, 5.0, 46.0),
                turn(HALF, 5.0, 48.0),
                Piece(120.0, 0.0, 5.0, 48.0),
                Piece(120.0),
            ],
            WIND,
            (-200.0, 0.0, 0.0, 0.0),
        ),
        [],
    ),
    "an overflight": (lambda: from_pieces([Piece(300.0)], WIND, (-8000.0, 500.0, 900.0, 0.2)), []),
    "an overflight on the way down": (
        lambda: from_pieces(
            [Piece(150.0, 0.0, -4.5, 70.0), Piece(90.0, 0.0, 0.0, 60.0)], WIND, (5000.0, 900.0, 1300.0, HALF)
        ),
        [],
    ),
    "taxiing past the point": (
        lambda: from_pieces(
            [Piece(100.0, 0.0, 0.0, 8.0), turn(HALF, 0.0, 8.0, 0.2), Piece(100.0, 0.0, 0.0, 8.0)],
            Made(),
            (-400.0, 90.0, 0.0, 0.0),
        ),
        [],
    ),
}


@pytest.mark.parametrize("name", FLIGHTS)
def test_every_flight_of_the_library_is_told_apart(name: str) -> None:
    make, ends = FLIGHTS[name]
    assert outcomes(found_in(make())) == ends


@pytest.mark.parametrize("name", FLIGHTS)
def test_a_poor_recorder_tells_the_same(name: str) -> None:
    """Positions to 4 m, heights to 5 m and 8 m off, a fix every two seconds, holes of up to seven seconds."""
    make, ends = FLIGHTS[name]
    exercise = fixtures.exercise()
    track = recorded(make(), exercise, scatter_m=4.0, height_bias_m=8.0, every_s=2.0)
    keep = np.random.default_rng(5).random(len(track.time_s)) > 0.1
    keep[20::40] = keep[21::40] = keep[22::40] = False
    assert outcomes(in_track(_only(track, keep))) == ends


@pytest.mark.parametrize("count", [0, 1, 3])
def test_circles_before_the_high_key_are_counted_and_belong_to_the_exercise(count: int) -> None:
    flown = circles(float(count)) if count else fly(WIND)
    (only,) = found_in(flown)
    assert only.found.circles == count
    # the exercise begins within the first of them (from 20 s to 80 s), or at the high key some 7 s into the flight
    earliest_s, latest_s = (15.0, 80.0) if count else (0.0, 10.0)
    assert earliest_s <= only.found.start_s <= latest_s


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("name", ["landed", "went around on final", "cut on the final"])
def test_another_runway_than_planned_is_found_and_said(side: Side, name: str) -> None:
    wish = fixtures.exercise()
    other = dataclasses.replace(wish, runway=wish.airfield.runway("07"))
    flown = fly(dataclasses.replace(WIND, side=side))
    flown = {
        "landed": lambda: flown,
        "went around on final": lambda: go_around(flown, 60.0),
        "cut on the final": lambda: until(flown, 60.0),
    }[name]()
    (only,) = in_track(recorded(flown, other), wish)
    assert only.exercise.runway.name == "07"
    assert only.found.pattern is side
    assert only.found.outcome is {"landed": LANDED, "went around on final": AROUND, "cut on the final": CUT}[name]
    assert another_runway_notes((only,), wish) == ("1 of 1 exercises flown to runway 07, not to runway 25 as planned.",)


def test_exercises_to_both_ends_in_one_file_are_each_on_their_own() -> None:
    wish = fixtures.exercise()
    other = dataclasses.replace(wish, runway=wish.airfield.runway("07"))
    first, second = recorded(fly(WIND), wish), recorded(fly(Made()), other)
    track = _one_after_the_other(first, second)
    assert [flown.exercise.runway.name for flown in in_track(track)] == ["25", "07"]


def _one_after_the_other(first: Track, second: Track) -> Track:
    """Two recordings in one file, five minutes apart."""
    names = ("latitude_deg", "longitude_deg", "altitude_m")
    channels = {name: np.concatenate([getattr(first, name), getattr(second, name)]) for name in names}
    later = second.time_s + first.time_s[-1] + 300.0
    return dataclasses.replace(first, time_s=np.concatenate([first.time_s, later]), **channels)


def practice() -> Exercise:
    """The fixture's exercise to a floor of 3,500 ft, 2,560 ft above the field."""
    wish = fixtures.exercise()
    floor = dataclasses.replace(wish.airfield, practice_floor_msl_m=m_from_ft(3500.0))
    return dataclasses.replace(wish, airfield=floor)


def test_at_a_practice_floor_every_exercise_ends_in_a_go_around_there() -> None:
    wish = practice()
    flown = climbed_out(until(fly(WIND, roll_out=False), 10.0))
    assert outcomes(in_track(recorded(flown, wish), wish)) == [AROUND]
    # nobody stops at the floor to the foot: a little below it is the same
    assert outcomes(in_track(recorded(raised(flown, -15.0), wish), wish)) == [AROUND]
    given_up = go_around(fly(WIND), 380.0)
    assert outcomes(in_track(recorded(given_up, wish), wish)) == [GIVEN_UP]
    # an exercise to the real runway is none to the floor
    real = dataclasses.replace(wish, airfield=fixtures.exercise().airfield)
    assert outcomes(in_track(recorded(fly(WIND), real), wish)) == []


def with_power(flown: Flown, inhg: Callable[[float], float]) -> Track:
    """The recording with a manifold pressure as a function of the seconds from its first fix."""
    track = recorded(flown, fixtures.exercise())
    pressure = np.array([pa_from_inhg(inhg(at)) for at in track.time_s])
    return dataclasses.replace(track, manifold_pressure_pa=pressure)


def test_the_recorded_power_tells_a_glide_from_a_steep_descent_with_power() -> None:
    flown = fly(Made(sink_of=power_off_180, tas_mps=46.0))
    assert outcomes(in_track(with_power(flown, lambda _: 14.5))) == [LANDED]
    assert outcomes(in_track(with_power(flown, lambda _: 19.0))) == []
    assert outcomes(in_track(with_power(fly(WIND), lambda _: 20.0))) == []


def test_the_power_reduction_is_told_where_it_was_recorded() -> None:
    flown = before(fly(WIND), [Piece(60.0)])
    (only,) = in_track(with_power(flown, lambda at: 22.0 if at < 40.0 else 14.5))
    assert only.found.power_off_s == pytest.approx(40.0, abs=1.0)
    (silent,) = found_in(flown)
    assert silent.found.power_off_s is None
    track = recorded(flown, fixtures.exercise())
    slowing = np.where(track.time_s < 40.0, 250.0, 120.0)
    (fixed,) = in_track(dataclasses.replace(track, engine_speed_radps=slowing))
    assert fixed.found.power_off_s == pytest.approx(40.0, abs=3.0)
    governed = np.full(len(track.time_s), 240.0)
    (steady,) = in_track(dataclasses.replace(track, engine_speed_radps=governed))
    assert steady.found.power_off_s is None


def transponder(track: Track, step_ft: float, *, lost_below_ft: float, repeats: bool) -> Track:
    """Altitudes in steps, and none (or the last one over and over) where the airplane is too low to be received."""
    assert track.altitude_m is not None
    step_m = m_from_ft(step_ft)
    altitude = step_m * np.round(track.altitude_m / step_m)
    low = track.altitude_m < fixtures.exercise().ground_msl_m + m_from_ft(lost_below_ft)
    first = int(np.flatnonzero(low)[0]) if low.any() else len(altitude)
    altitude[first:] = altitude[first - 1] if repeats else np.nan
    return dataclasses.replace(track, altitude_m=altitude)


@pytest.mark.parametrize("step_ft", [25.0, 100.0])
@pytest.mark.parametrize("lost_below_ft, repeats", [(0.0, False), (500.0, False), (500.0, True)])
def test_a_transponders_altitudes_are_enough(step_ft: float, lost_below_ft: float, repeats: bool) -> None:
    exercise = fixtures.exercise()
    for flown, ends in ((before(fly(WIND), [Piece(60.0)]), [LANDED]), (circles(2.0), [LANDED])):
        track = transponder(recorded(flown, exercise), step_ft, lost_below_ft=lost_below_ft, repeats=repeats)
        (only,) = in_track(track)
        assert outcomes((only,)) == ends
        smoothed = only.flight.smoothed
        above = (smoothed.height_m > m_from_ft(600.0)) & (smoothed.time_s > only.found.start_s)
        off = smoothed.height_m - np.interp(smoothed.time_s, flown.time_s - flown.time_s[0], flown.height_m)
        assert np.sqrt(np.mean(off[above] ** 2)) < m_from_ft(0.2 * step_ft + 6.0)
        sd = np.hypot(smoothed.height_sd_m, smoothed.height_slow_sd_m)
        assert np.mean(np.abs(off[above]) < 1.645 * sd[above]) > 0.8


DAMAGES: dict[str, Callable[[Track], Track]] = {
    "frozen for eight seconds": lambda track: _changed(track, slice(60, 68), frozen=True),
    "somewhere else for ten seconds": lambda track: _changed(track, slice(90, 100), by_deg=0.05),
    "altitudes wrong for nine seconds": lambda track: _changed(track, slice(70, 79), by_m=600.0),
    "a gap of fifteen seconds in the turn": lambda track: _without(track, slice(30, 45)),
    "a gap of fifteen seconds on the final": lambda track: _without(track, slice(140, 155)),
    "every third fix only": lambda track: _without(track, np.flatnonzero(np.arange(len(track.time_s)) % 3 != 0)),
}


def _changed(track: Track, where: slice, *, frozen: bool = False, by_deg: float = 0.0, by_m: float = 0.0) -> Track:
    assert track.altitude_m is not None
    latitude, longitude, altitude = (c.copy() for c in (track.latitude_deg, track.longitude_deg, track.altitude_m))
    if frozen:
        latitude[where], longitude[where], altitude[where] = (c[where.start] for c in (latitude, longitude, altitude))
    latitude[where] += by_deg
    altitude[where] += by_m
    return dataclasses.replace(track, latitude_deg=latitude, longitude_deg=longitude, altitude_m=altitude)


def _without(track: Track, where: slice | np.ndarray) -> Track:
    keep = np.ones(len(track.time_s), dtype=bool)
    keep[where] = False
    return _only(track, keep)


def _only(track: Track, keep: np.ndarray) -> Track:
    channels = {
        name: channel[keep]
        for name in Track.__dataclass_fields__
        if isinstance(channel := getattr(track, name), np.ndarray)
    }
    return dataclasses.replace(track, **channels)


@pytest.mark.parametrize("damage", DAMAGES)
@pytest.mark.parametrize("flight", ["landed", "went around"])
def test_a_damaged_recording_tells_the_same_outcome_and_gates(damage: str, flight: str) -> None:
    flown = fly(WIND) if flight == "landed" else go_around(fly(WIND), 120.0)
    sound = recorded(flown, fixtures.exercise())
    (whole,), (damaged,) = in_track(sound), in_track(DAMAGES[damage](sound))
    assert damaged.found.outcome is whole.found.outcome is (LANDED if flight == "landed" else AROUND)
    for one, other in zip(gates(whole), gates(damaged), strict=True):
        assert (one.name, other.time_s) == (other.name, pytest.approx(one.time_s, abs=2.0))
        heights = [
            float(np.interp(gate.time_s, each.flight.time_s, each.flight.smoothed.height_m))
            for gate, each in ((one, whole), (other, damaged))
        ]
        assert heights[0] == pytest.approx(heights[1], abs=m_from_ft(60.0))


def gates(flown: FlownExercise) -> tuple[GateCrossing, ...]:
    part = flown.flight.smoothed.between(flown.found.start_s, flown.found.event_s)
    planned_y_m = -flown.found.pattern.sign * flown.exercise.high_key_offset_m
    return find_gates(part.time_s, part.x_m, part.y_m, part.track_rad, part.bank_rad(), planned_y_m)


def test_flights_on_two_days_in_one_file_are_each_found_with_their_own_ground() -> None:
    """A month between them: nothing is spread over the time between."""
    wish = fixtures.exercise()
    first, second = recorded(fly(WIND), wish, height_bias_m=7.0), recorded(fly(WIND), wish, height_bias_m=-9.0)
    month_s = 30.0 * 86_400.0
    joint = _one_after_the_other(first, second)
    late = joint.time_s > first.time_s[-1]
    joint = dataclasses.replace(joint, time_s=np.where(late, joint.time_s + month_s, joint.time_s))
    flown = in_track(joint)
    assert outcomes(flown) == [LANDED, LANDED]
    assert [each.flight.altitude_correction_m for each in flown] == pytest.approx([-7.0, 9.0], abs=1.0)
    assert max(len(each.flight.time_s) for each in flown) < 400


def test_a_touch_and_go_sets_the_heights_right_though_the_airplane_never_stood() -> None:
    for seed in range(5):
        (only,) = found_in(touch_and_go(), height_bias_m=11.0, seed=seed)
        assert only.flight.is_anchored
        assert only.flight.altitude_correction_m == pytest.approx(-11.0, abs=2.0)
    (balked_one,) = found_in(balked(), height_bias_m=11.0)
    assert not balked_one.flight.is_anchored
    assert any("could not be checked" in note for note in balked_one.flight.notes)


def test_the_debrief_is_bound_to_the_runway_flown_and_says_which() -> None:
    wish = fixtures.exercise()
    other = dataclasses.replace(wish, runway=wish.airfield.runway("07"))
    debrief = debrief_track(recorded(fly(WIND), other), wish, FACTS, plan_of=plan_for)
    (attempt,) = debrief.attempts
    assert attempt.plan.exercise.runway.name == "07"
    assert "1 of 1 exercises flown to runway 07, not to runway 25 as planned." in debrief.recording.problems
    assert attempt.touchdown is not None
    assert attempt.touchdown.x_m == pytest.approx(0.0, abs=2.0 * attempt.touchdown.x_sd_m)


def test_circles_before_the_key_make_the_wind_surer() -> None:
    wish = fixtures.exercise()
    one, many = (
        debrief_track(recorded(flown, wish), wish, FACTS, plan_of=plan_for).attempts[0]
        for flown in (fly(WIND), circles(3.0))
    )
    assert max(level.sd_mps for level in many.wind) < 0.6 * max(level.sd_mps for level in one.wind)
    assert [gate.name for gate in many.gates] == [gate.name for gate in one.gates]
    for first, second in zip(one.gates, many.gates, strict=True):
        assert first.height_m == pytest.approx(second.height_m, abs=3.0)
