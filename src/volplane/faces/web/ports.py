"""What the pages need from the rest of the program: one Protocol, implemented by `volplane.bootstrap`.

Everything crosses this line as values of the domain or as text the way it is typed into a file. The pages draw, word
and print; they never plan, fly or read a format themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from volplane.domain.debrief.results import Debrief
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import Plan
from volplane.services.checking import CheckedFile
from volplane.services.measured_file import MeasuredFile
from volplane.services.standing_in import StandInAnswer

# Keys of the fields of the exercise page, in the order they stand there. `wind_0` is the lowest wind level of the
# exercise file, `wind_1` the next one up; a third and later level goes on counting.
FIELD_KEYS = (
    "wind_0",
    "wind_1",
    "weight",
    "high_key_turn_bank",
    "base_turn_bank",
    "touchdown_point",
    "reserve",
    "qnh",
    "temperature",
    "break_off_height",
    "pattern",
    "entry_height",
    "low_key_height",
    "low_key_offset",
    "high_key_offset",
    "maximum_bank",
    "maximum_bank_below_low_key",
    "minimum_final",
    "gust",
    "cloud_base",
)


class ExerciseField(Protocol):
    """One value of the exercise that can be changed in place."""

    @property
    def key(self) -> str:
        """Its short key (`FIELD_KEYS`), used in addresses and as `place` of a `Problem` about it."""
        ...

    @property
    def text(self) -> str:
        """The value as it would be typed into a file, with its unit: "3,350 lb", "20 deg", "1,000 ft", "18 degC".

        A wind level reads "240 deg 8 kt", true. What the file leaves to its default may read as nothing.
        """
        ...

    @property
    def height_above_field_m(self) -> float | None:
        """The height of a wind level, None for everything else."""
        ...

    @property
    def is_seldom(self) -> bool:
        """Whether it is folded away: changed less often, or rather dragged on the whiteboard."""
        ...


class DemoRecording(Protocol):
    """A recording of the demo: the file as it would be dropped on the page, who flew it and what was recorded."""

    @property
    def file_name(self) -> str:
        """Its name, unique among the recordings of the demo."""
        ...

    @property
    def trainee(self) -> str:
        """Who flew."""
        ...

    @property
    def instructor(self) -> str:
        """Who taught."""
        ...

    @property
    def note(self) -> str:
        """One plain sentence: "Phone recording: position and height, no airspeed."."""
        ...

    @property
    def data(self) -> bytes:
        """The file."""
        ...


class Workbench(Protocol):
    """The exercise on the bench and what can be done with it. Every method may be called from several threads at once.

    `changes` maps keys of `FIELD_KEYS` to what was typed, replacing the value of the exercise file; keys that are
    missing keep the file's value. A bad value is refused by `volplane.errors.FilesRefused` with one `Problem` for each
    bad field, `place` being the field's key; an unknown key is such a problem too. Any other refusal is a
    `volplane.errors.Refusal`.
    """

    def exercise_fields(self) -> tuple[ExerciseField, ...]:
        """The fields as the exercise file has them (or their defaults), in the order of `FIELD_KEYS`."""
        ...

    def exercise(self, changes: Mapping[str, str]) -> Exercise:
        """The exercise with the changes, not solved: the airplane and the weight it is flown at."""
        ...

    def checked_airplane(self) -> CheckedFile:
        """What can be said about the figures of the airplane's file."""
        ...

    def stand_in(self, changes: Mapping[str, str]) -> StandInAnswer:
        """The stand-in of the airplane at the exercise's weight and in its air, by the model."""
        ...

    def measured(self, file_name: str, data: bytes, changes: Mapping[str, str]) -> MeasuredFile:
        """What a recording or a table tells about the airplane. Nothing is stored."""
        ...

    def plan(self, changes: Mapping[str, str]) -> Plan:
        """The exercise with the changes, solved."""
        ...

    def debrief(self, file_name: str, data: bytes, changes: Mapping[str, str]) -> Debrief:
        """A recording against the exercise with the changes. Nothing is stored."""
        ...

    def demo_recordings(self) -> tuple[DemoRecording, ...]:
        """The recordings of the demo, always the same bytes; empty where the workbench was started without the demo."""
        ...
