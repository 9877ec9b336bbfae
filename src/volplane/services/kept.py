"""What is kept of lessons: one frozen record a row, the same whatever database holds it.

A record points at another by its key. Keys are made by the store (`new_key`) and mean nothing; a recording's key is the
SHA-256 of its bytes. Records that may change carry `version`: 0 was never kept, and whoever changes a record hands it
back with the version it was read with. The others are never changed. Times are seconds since 1970 UTC. `document` and
`options` are JSON texts, kept as they were written, so that what was said once can be read again word for word.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What somebody is in a lesson."""

    TRAINEE = "trainee"
    INSTRUCTOR = "instructor"


class FileKind(StrEnum):
    """Which of the instructor's own files a text is."""

    AIRPLANE = "airplane"
    AIRFIELD = "airfield"
    EXERCISE = "exercise"
    STANDARD = "standard"
    COLUMN_MAP = "column map"


@dataclass(frozen=True, slots=True)
class Record:
    """Anything that is kept, known by its key."""

    key: str


@dataclass(frozen=True, slots=True)
class Person(Record):
    """Somebody who flies or teaches; initials are enough. `notes` are the instructor's own and go with the person."""

    name: str
    role: Role
    added_unix_s: float
    initials: str = ""
    notes: str = ""
    version: int = 0


@dataclass(frozen=True, slots=True)
class InstructorFile(Record):
    """A file of the instructor by its name ("dunlin_tourer.toml"); what stands in it is in its texts."""

    kind: FileKind
    name: str
    version: int = 0


@dataclass(frozen=True, slots=True)
class FileText(Record):
    """One state of a file, letter for letter; `number` counts from 1 and the highest is the present one."""

    file: str
    number: int
    text: str
    kept_unix_s: float


@dataclass(frozen=True, slots=True)
class KeptPlan(Record):
    """An exercise as it was planned: the three texts it came from, and what came out (`volplane/plan/1`)."""

    exercise_text: str
    airplane_text: str
    airfield_text: str
    document: str
    code_version: str
    planned_unix_s: float
    trainee: str | None = None


@dataclass(frozen=True, slots=True)
class PrintedCard(Record):
    """A card that was printed: which sheet, on which paper, the cautions it had, and the instructor's reason."""

    plan: str
    sheet: str
    paper: str
    cautions: str
    reason: str
    printed_unix_s: float


@dataclass(frozen=True, slots=True)
class KeptRecording(Record):
    """A recording; its bytes as sent are the store's `original` of the same key, kept once however often it comes."""

    name: str
    format: str
    size_bytes: int
    kept_unix_s: float
    start_unix_s: float | None = None
    end_unix_s: float | None = None


@dataclass(frozen=True, slots=True)
class Lesson(Record):
    """A sortie with a trainee, and its record as a document of its own schema; `airplane` and `airfield` are files."""

    trainee: str
    begun_unix_s: float
    document: str
    instructor: str | None = None
    airplane: str | None = None
    airfield: str | None = None
    duration_s: float | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class KeptDebrief(Record):
    """What a recording was found to say (`volplane/debrief/1`), by which code, against which texts.

    `options` are those it was made with besides the texts (`wind`, `qnh`), so that it can be made again.
    """

    recording: str
    exercise_text: str
    airplane_text: str
    airfield_text: str
    options: str
    document: str
    code_version: str
    made_unix_s: float
    trainee: str | None = None
    instructor: str | None = None
    lesson: str | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class KeptAttempt(Record):
    """One exercise flown, in the figures that lists and progress are made of; None was not observable.

    `in_hand_m` is the height in hand the verdict rests on, `least_room_above_m` the least that could still be lost.
    Touchdown from the touchdown point, beyond it and left of the line positive. The wind is the mean of the heights
    it was found at: `headwind_mps` against the landing direction, `crosswind_mps` from the left.
    """

    debrief: str
    number: int
    start_unix_s: float
    end_unix_s: float
    runway: str
    side: str
    outcome: str
    verdict: str | None = None
    in_hand_m: float | None = None
    in_hand_sd_m: float | None = None
    least_room_above_m: float | None = None
    touchdown_x_m: float | None = None
    touchdown_x_sd_m: float | None = None
    touchdown_y_m: float | None = None
    go_around_height_m: float | None = None
    is_timely: bool | None = None
    headwind_mps: float | None = None
    crosswind_mps: float | None = None
    maximum_bank_rad: float | None = None
    minimum_cas_mps: float | None = None


@dataclass(frozen=True, slots=True)
class KeptGate(Record):
    """A gate of an attempt: true height above the touchdown point as flown and as planned, with its window."""

    attempt: str
    gate: str
    height_m: float
    height_sd_m: float
    planned_m: float | None = None
    lowest_m: float | None = None
    highest_m: float | None = None


@dataclass(frozen=True, slots=True)
class KeptStandardItem(Record):
    """An item of the standard of an attempt; values in SI of `quantity`, None was not observable."""

    attempt: str
    number: int
    item: str
    quantity: str
    source: str
    limit_low: float | None = None
    limit_high: float | None = None
    value: float | None = None
    is_met: bool | None = None


@dataclass(frozen=True, slots=True)
class Note(Record):
    """Somebody's words about a debrief, pinned to a second of its recording (`time_s` from its start) or to all of it.

    A private one is the instructor's own: no report, no export for the trainee shows it.
    """

    debrief: str
    text: str
    written_unix_s: float
    is_private: bool = True
    time_s: float | None = None
    author: str | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class TeachingFlight(Record):
    """A recording the airplane's glide is learned from, and what was known of that day; `configurations` is JSON."""

    airplane: str
    recording: str
    weight_kg: float
    configurations: str
    kept_unix_s: float
    air_temperature_k: float | None = None
    qnh_pa: float | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class Adoption(Record):
    """A learned glide taken into an airplane's file: the text it made, the text before, the figures and the reason."""

    airplane: str
    text: str
    text_before: str
    best_eas_mps: float
    best_eas_sd_mps: float
    best_ratio: float
    best_ratio_sd: float
    flights: int
    stretches: int
    reason: str
    code_version: str
    adopted_unix_s: float


@dataclass(frozen=True, slots=True)
class SetAside(Record):
    """A file that was to be imported and is no recording that can be read; its key is the SHA-256 of its bytes.

    `problems` is JSON (`volplane/problems/1`); `tries` counts how often it was tried.
    """

    name: str
    problems: str
    tries: int
    set_aside_unix_s: float
    version: int = 0


@dataclass(frozen=True, slots=True)
class Setting(Record):
    """A setting of this store by its name ("retention_days")."""

    value: str
    version: int = 0

    def __post_init__(self) -> None:
        if not self.key:
            raise ValueError("a setting has a name")
