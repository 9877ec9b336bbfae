"""From recorded lessons to what they teach about the airplane's glide; nothing is adopted here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.learning import (
    PRIOR,
    DragDrift,
    LearnedGlide,
    LearnedThen,
    LearningPrior,
    drag_drift,
    learn,
    learned_over_time,
    taught_and_barred,
)
from volplane.domain.airplane.lesson_glides import BarredStretch, LessonStretch, teaching
from volplane.domain.airplane.thrust import powerplant
from volplane.domain.glide.polar import ParabolaPolar
from volplane.domain.track.cleaning import cleaned
from volplane.domain.track.segments import SteadySegment, steady_segments
from volplane.domain.track.track import Track
from volplane.errors import FilesRefused
from volplane.services.measuring import DayOfMeasuring, glide_of_segment
from volplane.services.recordings import Recording


@dataclass(frozen=True, slots=True)
class ConfigurationFlown:
    """Which configuration was flown from one moment to another, because somebody or something recorded it.

    Times are seconds since 1970 UTC. What an exercise planned is no record.
    """

    start_unix_s: float
    end_unix_s: float
    configuration: str


@dataclass(frozen=True, slots=True)
class RecordedLesson:
    """One flight to learn from: its track, its weight, the configurations recorded, and the day where known."""

    name: str
    track: Track
    weight_kg: float
    configurations: tuple[ConfigurationFlown, ...] = ()
    air_temperature_k: float | None = None
    qnh_pa: float | None = None


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A lesson whose recording is in a file; the rest as in `RecordedLesson`."""

    path: str
    weight_kg: float
    configurations: tuple[ConfigurationFlown, ...] = ()
    air_temperature_k: float | None = None
    qnh_pa: float | None = None

    def read(self, recording: Recording) -> RecordedLesson:
        """The lesson with the recording of its file.

        :raises FilesRefused: the file held no track.
        """
        if recording.track is None:
            raise FilesRefused(recording.problems)
        return RecordedLesson(
            self.path, recording.track, self.weight_kg, self.configurations, self.air_temperature_k, self.qnh_pa
        )


@dataclass(frozen=True, slots=True)
class Learned:
    """What the lessons teach: the glide now, as it became known, its drift, and what taught nothing and why.

    A proposal: no plan and no file changes by it.
    """

    glide: LearnedGlide
    history: tuple[LearnedThen, ...]
    drift: DragDrift | None
    barred: tuple[BarredStretch, ...]


def learn_from_lessons(airplane: Airplane, lessons: Sequence[RecordedLesson], prior: LearningPrior = PRIOR) -> Learned:
    """The glide that the airplane's file and the lessons give together."""
    stretches = [stretch for lesson in lessons for stretch in stretches_of(airplane, lesson)]
    return learn_from_stretches(airplane, stretches, prior)


def learn_from_stretches(
    airplane: Airplane, stretches: Sequence[LessonStretch], prior: LearningPrior = PRIOR
) -> Learned:
    """The same from stretches that were kept."""
    plant = powerplant(airplane.engine, airplane.maximum_weight_kg)
    handbook = ParabolaPolar(airplane.glide.reference_weight_kg, airplane.glide.best_eas_mps, airplane.glide.best_ratio)
    judged = [
        teaching(each, airplane.configurations, plant, handbook.reference_weight_kg, handbook.best_eas_mps)
        for each in stretches
    ]
    teach, barred = taught_and_barred(judged)
    return Learned(
        learn(handbook, teach, prior),
        learned_over_time(handbook, teach, prior),
        drag_drift(handbook, teach, prior),
        barred,
    )


def stretches_of(airplane: Airplane, lesson: RecordedLesson) -> tuple[LessonStretch, ...]:
    """The steady stretches of a lesson with what was recorded of each; without airspeed there are none."""
    track, _ = cleaned(lesson.track)
    if track.ias_mps is None and track.tas_mps is None:
        return ()
    day = DayOfMeasuring(lesson.weight_kg, lesson.air_temperature_k, lesson.qnh_pa)
    found = []
    for segment in steady_segments(track):
        glide = glide_of_segment(airplane, segment, lesson.name, day)
        glide = replace(glide, configuration=_configuration_of(segment, lesson.configurations))
        found.append(LessonStretch(lesson.name, segment.start_unix_s, glide))
    return tuple(found)


def _configuration_of(segment: SteadySegment, recorded: Sequence[ConfigurationFlown]) -> str:
    """The one configuration recorded for all of a segment, "" where it changed or nobody recorded it."""
    if segment.configuration is not None:
        return segment.configuration
    for each in recorded:
        if each.start_unix_s <= segment.start_unix_s and segment.end_unix_s <= each.end_unix_s:
            return each.configuration
    return ""
