"""The debrief: from a track to every exercise flown in it, against the plan, with what cannot be known said so."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.flight import NEARBY_M, prepared
from volplane.domain.debrief.lesson import Lesson
from volplane.domain.debrief.refusals import RecordingFarFromAirfield, RecordingWithoutAltitude
from volplane.domain.debrief.results import Debrief, RecordingFacts
from volplane.domain.debrief.runways_flown import another_runway_notes, exercises_flown
from volplane.domain.debrief.standards import Standard, standard_named
from volplane.domain.debrief.standin_flown import power_of
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.track.cleaning import cleaned, flights_apart
from volplane.domain.track.track import Track


def debrief_track(
    track: Track,
    exercise: Exercise,
    facts: RecordingFacts,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
    plan_of: Callable[[Exercise], Plan] = solve,
    standard: Standard | None = None,
) -> Debrief:
    """Debrief a recording against an exercise.

    `facts` tells what is known of the file; the correction of the altitudes and what cleaning found are filled in here.
    `wind` fixes the wind, otherwise it is found from the flight; the exercise's wind is only the plan's. `qnh_pa` is
    the flight's altimeter setting where it is not the exercise's. `plan_of` solves the exercise for the runway and the
    side flown. `standard` is what it is held against, the one the exercise names where it is None.

    :raises RecordingFarFromAirfield: no fix within 20 km of the touchdown point.
    :raises RecordingWithoutAltitude: no altitude at all.
    :raises StandardUnknown: the exercise names a standard that nobody knows.
    """
    held_against = standard_named(exercise.standard) if standard is None else standard
    sound, notes = cleaned(track)
    atmosphere = exercise.weather.atmosphere
    if qnh_pa is not None:
        atmosphere = replace(atmosphere, qnh_pa=qnh_pa)
    near = [flight for part in flights_apart(sound) if (flight := prepared(part, exercise, atmosphere)) is not None]
    if not near:
        raise RecordingFarFromAirfield(exercise.airfield.name, _nearest_m(sound, exercise), NEARBY_M)
    flight = next((flight for flight in near if flight.smoothed.has_height), None)
    if flight is None:
        raise RecordingWithoutAltitude(len(sound.time_s))
    flown = exercises_flown(sound, exercise, atmosphere)
    on_runway = {each.exercise.runway.name: each.exercise for each in flown}
    plans = functools.cache(lambda runway, side: plan_of(replace(on_runway[runway], pattern=side)))
    attempts = []
    for each in flown:
        around = (each.found.start_s, each.found.event_s, each.found.end_s)
        own = prepared(each.track, each.exercise, atmosphere, around) or each.flight
        plan = plans(each.exercise.runway.name, each.found.pattern)
        attempts.append(Lesson(own, each.found, plan, wind, power_of(sound), held_against).attempt())
    said = (*facts.problems, *track.notes, *notes, *flight.notes, *another_runway_notes(flown, exercise))
    return Debrief(
        replace(
            facts,
            altitude_correction_m=flight.altitude_correction_m,
            problems=said,
        ),
        tuple(attempts),
    )


def _nearest_m(track: Track, exercise: Exercise) -> float:
    x_m, y_m = frame_of(exercise).xy_m(track.latitude_deg, track.longitude_deg)
    return float(np.nanmin(np.hypot(x_m, y_m)))
