"""From a file of a recorder to its debrief."""

from __future__ import annotations

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.debrief import debrief_track
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
