"""What the pages need from the rest of the program: one Protocol, implemented by `volplane.bootstrap`.

Everything crosses this line as values of the domain or as text the way it is typed into a file. The pages draw, word
and print; they never plan, fly or read a format themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from volplane.domain.debrief.results import Attempt, Debrief
from volplane.domain.debrief.what_if import Actions, FlownOn
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import Plan
from volplane.domain.geometry.airfield import Airfield
from volplane.errors import Problem
from volplane.services.adopting import AirplaneTexts
from volplane.services.airfields import AirfieldsFound, FoundAirfield, TableOrigin
from volplane.services.checking import CheckedFile
from volplane.services.column_maps import SeenColumn
from volplane.services.kept import FileKind, FileText, KeptDebrief
from volplane.services.listing import Lists
from volplane.services.measured_file import MeasuredFile
from volplane.services.recordings import ColumnMap, Recording
from volplane.services.sent_recordings import Sent
from volplane.services.shelf import ExerciseTexts, Shelf
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
    "runway",
    "pattern",
    "shape",
    "half_turn",
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

    @property
    def choices(self) -> tuple[str, ...]:
        """The only words it may hold, where there are some."""
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

    def drawn(self, changes: Mapping[str, str]) -> Plan:
        """The same as far as a drawing shows it, for a gate in the hand: no findings, nothing that would help."""
        ...

    def compared(self, changes: Mapping[str, str]) -> Plan:
        """The same with every runway end and both sides beside it."""
        ...

    def with_ways(self, changes: Mapping[str, str]) -> Plan:
        """The same with what each way to lose height costs from each gate on."""
        ...

    def dispersed(self, changes: Mapping[str, str], runs: int, seed: int, progress: Callable[[int, int], bool]) -> Plan:
        """The same flown many times by a pilot who errs; `progress` is told flights done and to do, True stops it.

        A plan that cannot come out is not flown and has no dispersion.
        """
        ...


class House(Protocol):
    """Everything the workbench stands on: the instructor's shelf, a workbench for each exercise, the runway table."""

    @property
    def shelf(self) -> Shelf:
        """Airplanes, airfields and exercises, and the store they are kept in."""
        ...

    @property
    def lists(self) -> Lists:
        """Lists of what is kept."""
        ...

    @property
    def code_version(self) -> str:
        """The version of the program, kept beside what it makes."""
        ...

    def now_unix_s(self) -> float:
        """The moment."""
        ...

    def workbench(self, texts: ExerciseTexts) -> Workbench:
        """An exercise on the bench."""
        ...

    def level_workbench(self, airplane_name: str, airplane_text: str) -> Workbench:
        """An airplane alone, on the exercise with every default at a level field by the sea in still air."""
        ...

    def with_changes(self, name: str, texts: Mapping[str, str], changes: Mapping[str, str]) -> str:
        """The text of the exercise `name` with the changes written into it, everything else as it stands.

        :raises FilesRefused: one problem for each bad value.
        """
        ...

    def problems_of(self, kind: FileKind, name: str, texts: Mapping[str, str]) -> tuple[Problem, ...]:
        """Every problem of the file `name` among texts."""
        ...

    def airplane_texts(self) -> AirplaneTexts:
        """Airplane files read and changed in memory."""
        ...

    def read_recording(self, name: str, data: bytes) -> Recording:
        """The track of a kept recording; what is wrong with it is in its problems."""
        ...

    def airfield(self, name: str, text: str) -> Airfield:
        """An airfield as its text describes it. :raises FilesRefused: it cannot be read."""
        ...

    def made_text(self, values: Mapping[str, str]) -> str:
        """A file made of typed values by their keys, such as "weights.maximum"."""
        ...

    def find_airfields(self, text: str, most: int) -> AirfieldsFound:
        """What the table of runway ends answers. :raises AirfieldUnknown: nothing."""
        ...

    def airfield_text(self, found: FoundAirfield, origin: TableOrigin, notes: Mapping[str, Sequence[str]]) -> str:
        """An airfield of the table as a file. :raises AirfieldNotPlaced: no end of it can be used."""
        ...

    def keep_sent(
        self, texts: ExerciseTexts, sent: Sent, document: Callable[[Debrief], str]
    ) -> tuple[KeptDebrief, Debrief | None]:
        """Debrief a recording against an exercise and keep both. :raises FilesRefused: it is no recording."""
        ...

    def export_person(self, key: str) -> bytes:
        """What belongs to a person as open files in one archive, without private notes. :raises NotKept: nobody."""
        ...

    def debrief_again(self, kept: KeptDebrief) -> Debrief:
        """A kept debrief made again from its recording, its texts and its options."""
        ...

    def what_if(self, attempt: Attempt, time_s: float, actions: Actions) -> FlownOn:
        """An exercise flown, flown on from one of its seconds. :raises Refusal: it cannot be flown on so."""
        ...

    def columns_seen(self, file_name: str, data: bytes) -> tuple[SeenColumn, ...]:
        """The columns of a table as they stand there; nothing for what is no table."""
        ...

    def keep_column_map(self, titles: Sequence[str], column_map: ColumnMap) -> FileText:
        """Keep what the columns of a table with these titles mean. :raises FilesRefused: it cannot be read back."""
        ...
