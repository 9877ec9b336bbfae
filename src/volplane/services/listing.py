"""Lists of what is kept, light enough for thousands of lessons: no document and no recording is read for them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from volplane.services.kept import KeptAttempt, Role


@dataclass(frozen=True, slots=True)
class DebriefLine:
    """A debrief as a list shows it; `trainee` and `instructor` are names, None where nobody was named."""

    key: str
    file_name: str
    exercise_name: str
    made_unix_s: float
    start_unix_s: float | None
    trainee: str | None
    instructor: str | None
    attempts: tuple[KeptAttempt, ...]


@dataclass(frozen=True, slots=True)
class DebriefList:
    """The newest debriefs that answer to a search, and how many there are in all."""

    lines: tuple[DebriefLine, ...]
    count: int


@dataclass(frozen=True, slots=True)
class DebriefSearch:
    """What a list is asked for: words that all must occur in file, exercise or people; a person; how many lines.

    So many of the newest are skipped first, for the later leaves of a long list.
    """

    words: tuple[str, ...] = ()
    trainee: str | None = None
    most: int = 50
    skipped: int = 0


@dataclass(frozen=True, slots=True)
class PersonLine:
    """Somebody as a list shows them: how many exercises they flew or taught, and when the last one was."""

    key: str
    name: str
    initials: str
    role: Role
    exercises: int
    last_unix_s: float | None


@dataclass(frozen=True, slots=True)
class FlownLine:
    """An exercise flown as reminders need it: whose, when, on which side, how it ended, and which keys it passed."""

    trainee: str
    start_unix_s: float
    side: str
    outcome: str
    crosswind_mps: float | None
    has_high_key: bool
    has_low_key: bool


class Lists(Protocol):
    """What lists are read from."""

    def debriefs(self, search: DebriefSearch) -> DebriefList:
        """The debriefs that answer, those flown last first."""
        ...

    def people(self) -> tuple[PersonLine, ...]:
        """Everybody by name, trainees first."""
        ...

    def flown(self) -> tuple[FlownLine, ...]:
        """Every exercise that has a trainee, in no order."""
        ...
