"""From a file of a recorder to its debrief."""

from __future__ import annotations

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.kneeboard import KneeboardNotes, debrief_notes
from volplane.domain.debrief.results import Debrief, RecordingFacts
from volplane.domain.debrief.standards import Standard
from volplane.domain.exercise.exercise import Exercise
from volplane.errors import FilesRefused
from volplane.services.recordings import Recording


def debrief_recording(
    recording: Recording,
    exercise: Exercise,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
    standard: Standard | None = None,
) -> Debrief:
    """Debrief a recording that was read against an exercise; a given wind or altimeter setting is the flight's own.

    `standard` is what it is held against, the one the exercise names where it is None.

    :raises FilesRefused: the file held no track; its problems say why.
    :raises RecordingFarFromAirfield: no fix near the touchdown point.
    :raises RecordingWithoutAltitude: no altitude at all.
    """
    track = recording.track
    if recording.notes is not None:
        return _debrief_of_notes(recording, recording.notes, exercise, standard)
    if track is None:
        raise FilesRefused(recording.problems)
    facts = RecordingFacts(
        sha256=recording.sha256,
        format=recording.format,
        start_unix_s=track.start_unix_s,
        end_unix_s=track.end_unix_s,
        fixes=len(track.time_s),
        altitude_source=track.altitude_source.value,
        altitude_correction_m=0.0,
        problems=tuple(problem.sentence() for problem in recording.problems),
    )
    return debrief_track(track, exercise, facts, wind=wind, qnh_pa=qnh_pa, standard=standard)


def _debrief_of_notes(
    recording: Recording, notes: KneeboardNotes, exercise: Exercise, standard: Standard | None
) -> Debrief:
    """Without a recorder: the day and the air are the exercise's."""
    facts = RecordingFacts(
        sha256=recording.sha256,
        format=recording.format,
        start_unix_s=exercise.time_unix_s,
        end_unix_s=exercise.time_unix_s,
        fixes=len(notes.gates),
        altitude_source="altimeter read and written down",
        altitude_correction_m=0.0,
        problems=tuple(problem.sentence() for problem in recording.problems),
    )
    return debrief_notes(notes, exercise, facts, standard=standard)
