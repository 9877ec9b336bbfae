"""Which runway each exercise of a recording was flown to: the planned one, or another end of the same airfield.

Every runway end is searched in its own frame. One flight may look like an exercise to several of them: a half turn
towards one runway passes downwind of its other end. The landing decides, then the final before a go-around, then the
number of gates passed, then the plan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.debrief.attempts import FoundAttempt, find_attempts
from volplane.domain.debrief.flight import Flight, prepared
from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.gates import find_gates
from volplane.domain.geometry.airfield import Runway
from volplane.domain.track.cleaning import flights_apart
from volplane.domain.track.track import Track
from volplane.units import m_from_ft

# rolled out this near to the centreline is on the final of the runway
FINAL_OFFSET_M = m_from_ft(500.0)


@dataclass(frozen=True, slots=True)
class FlownExercise:
    """An exercise found, bound to the runway it was flown to: `exercise` is the planned one with that runway.

    `track` is the flight of the recording in which it was found.
    """

    track: Track
    exercise: Exercise
    flight: Flight
    found: FoundAttempt


def exercises_flown(track: Track, planned: Exercise, atmosphere: Atmosphere) -> tuple[FlownExercise, ...]:
    """Every exercise of a cleaned track, in order, each on the runway end it was flown to.

    Empty when the track never came near the airfield or has no heights.
    """
    candidates = [
        (_rank(flown, planned), flown)
        for part in flights_apart(track)
        for exercise in _ends(planned)
        if (flight := prepared(part, exercise, atmosphere)) is not None
        for flown in (FlownExercise(part, exercise, flight, found) for found in find_attempts(flight, exercise))
    ]
    kept: list[FlownExercise] = []
    for rank, flown in sorted(candidates, key=lambda candidate: candidate[0], reverse=True):
        is_sure = flown.exercise is planned or rank[0] > 0
        if is_sure and not any(_overlap(flown.found, other.found) for other in kept):
            kept.append(flown)
    return tuple(sorted(kept, key=lambda flown: flown.found.start_s))


def another_runway_notes(flown: tuple[FlownExercise, ...], planned: Exercise) -> tuple[str, ...]:
    """A sentence for each runway that was flown to and not planned."""
    names = [each.exercise.runway.name for each in flown if each.exercise.runway != planned.runway]
    return tuple(
        f"{names.count(name)} of {len(flown)} exercises flown to runway {name}, not to runway "
        f"{planned.runway.name} as planned."
        for name in dict.fromkeys(names)
    )


def _ends(planned: Exercise) -> list[Exercise]:
    """The planned exercise, then the same on every other runway end; obstacles are known for the planned one only."""
    others = [runway for runway in planned.airfield.runways if runway.name != planned.runway.name]
    return [planned, *(_on(planned, runway) for runway in others)]


def _on(planned: Exercise, runway: Runway) -> Exercise:
    return replace(planned, runway=runway, pattern=runway.pattern, obstacles=())


def _rank(flown: FlownExercise, planned: Exercise) -> tuple[int, int, bool, float]:
    """How surely an exercise was flown to this runway; greater is surer."""
    found = flown.found
    part = flown.flight.smoothed.between(found.start_s, found.event_s)
    gates = find_gates(part.time_s, part.x_m, part.y_m, part.track_rad, part.bank_rad()) if found.has_low_key else ()
    final = next((gate for gate in gates if gate.name is GateName.FINAL), None)
    certainty = 0
    if found.outcome is Outcome.LANDED:
        certainty = 2
    elif final is not None and abs(final.y_m) <= FINAL_OFFSET_M and final.x_m < 0.0:
        certainty = 1
    has_high_key = not found.has_low_key or any(gate.name is GateName.HIGH_KEY for gate in gates)
    return certainty, len(gates) + has_high_key, flown.exercise.runway == planned.runway, -found.start_s


def _overlap(one: FoundAttempt, other: FoundAttempt) -> bool:
    return one.start_s < other.event_s and other.start_s < one.event_s
