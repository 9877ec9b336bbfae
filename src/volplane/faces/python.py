"""The program from Python: the same as the commands, each result a thin document.

`.value` is the typed value in SI units, `.to_json()` the document the command prints with `--json`. Refusals are
`volplane.errors.Refusal`; a file's problems come as `volplane.errors.FilesRefused`.

>>> import volplane
>>> round(volplane.required_height(0.0, 1000.0, 3.14159265, tas_mps=54.0, ratio=10.5, bank_rad=0.5236), 1)
218.9
"""

from __future__ import annotations

import dataclasses
import json
import pathlib
from collections.abc import Mapping
from enum import Enum
from typing import Any

import numpy as np

from volplane import bootstrap
from volplane.domain.airplane.airplane import Airplane as AirplaneValue
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Debrief as DebriefValue
from volplane.domain.exercise.exercise import Exercise as ExerciseValue
from volplane.domain.exercise.plan import Plan as PlanValue
from volplane.domain.geometry.airfield import Airfield as AirfieldValue
from volplane.errors import FilesRefused
from volplane.services.recordings import Recording

Path = str | pathlib.Path


@dataclasses.dataclass(frozen=True, slots=True)
class Airplane:
    """An airplane file."""

    value: AirplaneValue

    @classmethod
    def read(cls, path: Path) -> Airplane:
        """Read an airplane file. :raises FilesRefused: with every problem."""
        return cls(bootstrap.load_airplane(pathlib.Path(path)))

    def to_json(self) -> str:
        """The airplane in SI units, the unit in each key."""
        return _si_json(self.value)


@dataclasses.dataclass(frozen=True, slots=True)
class Airfield:
    """An airfield file."""

    value: AirfieldValue

    @classmethod
    def read(cls, path: Path) -> Airfield:
        """Read an airfield file. :raises FilesRefused: with every problem."""
        return cls(bootstrap.load_airfield(pathlib.Path(path)))

    def to_json(self) -> str:
        """The airfield in SI units, the unit in each key."""
        return _si_json(self.value)


@dataclasses.dataclass(frozen=True, slots=True)
class Exercise:
    """An exercise file with the airplane and the airfield it names."""

    value: ExerciseValue

    @classmethod
    def read(cls, path: Path) -> Exercise:
        """Read an exercise file. :raises FilesRefused: with every problem of the three files."""
        return cls(bootstrap.load_exercise(pathlib.Path(path)))

    def to_json(self) -> str:
        """The exercise in SI units, the unit in each key."""
        return _si_json(self.value)


@dataclasses.dataclass(frozen=True, slots=True)
class TrackDocument:
    """A recording that was read: its track, format, hash and what is odd about it."""

    value: Recording

    def to_json(self) -> str:
        """The recording in SI units, the unit in each key."""
        return _si_json(self.value)


@dataclasses.dataclass(frozen=True, slots=True)
class PlanDocument:
    """A solved exercise."""

    value: PlanValue

    def to_json(self) -> str:
        """The document `volplane/plan/1`."""
        from volplane.faces.documents.plan import plan_document
        from volplane.faces.documents.quantities import as_text

        return as_text(plan_document(self.value))


@dataclasses.dataclass(frozen=True, slots=True)
class DebriefDocument:
    """A debriefed recording."""

    value: DebriefValue

    def to_json(self) -> str:
        """The document `volplane/debrief/1`."""
        from volplane.faces.documents.debrief import debrief_document
        from volplane.faces.documents.quantities import as_text

        return as_text(debrief_document(self.value))


def read_track(path: Path) -> TrackDocument:
    """Read a recorder's file, whatever its format.

    :raises FilesRefused: it cannot be read or holds no track.
    """
    recording = bootstrap.read_recording_file(pathlib.Path(path))
    if recording.track is None:
        raise FilesRefused(recording.problems)
    return TrackDocument(recording)


def plan(exercise: Exercise | Path) -> PlanDocument:
    """Solve an exercise, given as a document or a file.

    :raises Refusal: it cannot be flown at all: too much wind, a bank too near the stall.
    """
    return PlanDocument(bootstrap.plan_exercise(_exercise(exercise)))


def debrief(
    recording: TrackDocument | Path,
    exercise: Exercise | Path,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
) -> DebriefDocument:
    """Debrief a recording against an exercise; `wind` and `qnh_pa` are the flight's own where they are known.

    :raises Refusal: the recording cannot be debriefed: no track, no altitude, far from the airfield.
    """
    read = recording if isinstance(recording, TrackDocument) else read_track(recording)
    return DebriefDocument(bootstrap.debrief_read(read.value, _exercise(exercise), wind=wind, qnh_pa=qnh_pa))


def _exercise(exercise: Exercise | Path) -> ExerciseValue:
    return exercise.value if isinstance(exercise, Exercise) else Exercise.read(exercise).value


def _si_json(value: object) -> str:
    return json.dumps(_plain(value), ensure_ascii=False, indent=2, allow_nan=False)


def _plain(value: object) -> Any:
    """Dataclasses, arrays and enumerations as what JSON knows; a number that is not finite becomes null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, np.ndarray):
        return [_plain(item) for item in value.tolist()]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, set | frozenset):
        return sorted(_plain(item) for item in value)
    if isinstance(value, float) and not np.isfinite(value):
        return None
    return value
