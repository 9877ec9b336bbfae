"""The tables: one for each kind of record, a column for each of its fields, and the bytes of the recordings.

This is the schema of today; `migrations` leads every released one to it, and a test holds the two together.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

from volplane.services import kept

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *columns: Column[object] | UniqueConstraint) -> Table:
    return Table(name, METADATA, Column("key", Text, primary_key=True), *columns)


def _text(name: str, *, optional: bool = False) -> Column[object]:
    return Column(name, Text, nullable=optional)


def _real(name: str, *, optional: bool = False) -> Column[object]:
    # eight bytes on both databases, so that what was kept comes back bit for bit
    return Column(name, Float(53), nullable=optional)


def _whole(name: str) -> Column[object]:
    return Column(name, Integer, nullable=False)


def _yes_or_no(name: str, *, optional: bool = False) -> Column[object]:
    return Column(name, Boolean, nullable=optional)


def _of(name: str, table: str, *, optional: bool = False) -> Column[object]:
    """The key of a row of another table, which cannot go as long as this one is there; seen to when all is written."""
    parent = ForeignKey(f"{table}.key", deferrable=True, initially="DEFERRED")
    return Column(name, Text, parent, nullable=optional, index=True)


PERSON = _table(
    "person", _text("name"), _text("role"), _real("added_unix_s"), _text("initials"), _text("notes"), _whole("version")
)
INSTRUCTOR_FILE = _table(
    "instructor_file", _text("kind"), _text("name"), _whole("version"), UniqueConstraint("kind", "name")
)
FILE_TEXT = _table(
    "file_text",
    _of("file", "instructor_file"),
    _whole("number"),
    _text("text"),
    _real("kept_unix_s"),
    UniqueConstraint("file", "number"),
)
PLAN = _table(
    "plan",
    _of("exercise_text", "file_text"),
    _of("airplane_text", "file_text"),
    _of("airfield_text", "file_text"),
    _text("document"),
    _text("code_version"),
    _real("planned_unix_s"),
    _of("trainee", "person", optional=True),
)
CARD = _table(
    "card",
    _of("plan", "plan"),
    _text("sheet"),
    _text("paper"),
    _text("cautions"),
    _text("reason"),
    _real("printed_unix_s"),
)
RECORDING = _table(
    "recording",
    _text("name"),
    _text("format"),
    _whole("size_bytes"),
    _real("kept_unix_s"),
    _real("start_unix_s", optional=True),
    _real("end_unix_s", optional=True),
)
# apart from the recording's row, so that a list of recordings does not read their bytes
ORIGINAL = Table(
    "original",
    METADATA,
    Column("key", Text, ForeignKey("recording.key", deferrable=True, initially="DEFERRED"), primary_key=True),
    Column("data", LargeBinary, nullable=False),
)
LESSON = _table(
    "lesson",
    _of("trainee", "person"),
    _real("begun_unix_s"),
    _text("document"),
    _of("instructor", "person", optional=True),
    _of("airplane", "instructor_file", optional=True),
    _of("airfield", "instructor_file", optional=True),
    _real("duration_s", optional=True),
    _whole("version"),
)
DEBRIEF = _table(
    "debrief",
    _of("recording", "recording"),
    _of("exercise_text", "file_text"),
    _of("airplane_text", "file_text"),
    _of("airfield_text", "file_text"),
    _text("options"),
    _text("document"),
    _text("code_version"),
    _real("made_unix_s"),
    _of("trainee", "person", optional=True),
    _of("instructor", "person", optional=True),
    _of("lesson", "lesson", optional=True),
    _whole("version"),
)
ATTEMPT = _table(
    "attempt",
    _of("debrief", "debrief"),
    _whole("number"),
    _real("start_unix_s"),
    _real("end_unix_s"),
    _text("runway"),
    _text("side"),
    _text("outcome"),
    _text("verdict", optional=True),
    _real("in_hand_m", optional=True),
    _real("in_hand_sd_m", optional=True),
    _real("least_room_above_m", optional=True),
    _real("touchdown_x_m", optional=True),
    _real("touchdown_x_sd_m", optional=True),
    _real("touchdown_y_m", optional=True),
    _real("go_around_height_m", optional=True),
    _yes_or_no("is_timely", optional=True),
    _real("headwind_mps", optional=True),
    _real("crosswind_mps", optional=True),
    _real("maximum_bank_rad", optional=True),
    _real("minimum_cas_mps", optional=True),
    UniqueConstraint("debrief", "number"),
)
GATE = _table(
    "gate",
    _of("attempt", "attempt"),
    _text("gate"),
    _real("height_m"),
    _real("height_sd_m"),
    _real("planned_m", optional=True),
    _real("lowest_m", optional=True),
    _real("highest_m", optional=True),
    UniqueConstraint("attempt", "gate"),
)
STANDARD_ITEM = _table(
    "standard_item",
    _of("attempt", "attempt"),
    _whole("number"),
    _text("item"),
    _text("quantity"),
    _text("source"),
    _real("limit_low", optional=True),
    _real("limit_high", optional=True),
    _real("value", optional=True),
    _yes_or_no("is_met", optional=True),
    UniqueConstraint("attempt", "number"),
)
NOTE = _table(
    "note",
    _of("debrief", "debrief"),
    _text("text"),
    _real("written_unix_s"),
    _yes_or_no("is_private"),
    _real("time_s", optional=True),
    _of("author", "person", optional=True),
    _whole("version"),
)
TEACHING_FLIGHT = _table(
    "teaching_flight",
    _of("airplane", "instructor_file"),
    _of("recording", "recording"),
    _real("weight_kg"),
    _text("configurations"),
    _real("kept_unix_s"),
    _real("air_temperature_k", optional=True),
    _real("qnh_pa", optional=True),
    _whole("version"),
    UniqueConstraint("airplane", "recording"),
)
ADOPTION = _table(
    "adoption",
    _of("airplane", "instructor_file"),
    _of("text", "file_text"),
    _of("text_before", "file_text"),
    _real("best_eas_mps"),
    _real("best_eas_sd_mps"),
    _real("best_ratio"),
    _real("best_ratio_sd"),
    _whole("flights"),
    _whole("stretches"),
    _text("reason"),
    _text("code_version"),
    _real("adopted_unix_s"),
)
SET_ASIDE = _table(
    "set_aside", _text("name"), _text("problems"), _whole("tries"), _real("set_aside_unix_s"), _whole("version")
)
SETTING = _table("setting", _text("value"), _whole("version"))
Index(None, ATTEMPT.c.start_unix_s)
Index(None, LESSON.c.begun_unix_s)

# parents first: rows are written in this order and removed in the other
TABLES: dict[type[kept.Record], Table] = {
    kept.Person: PERSON,
    kept.InstructorFile: INSTRUCTOR_FILE,
    kept.FileText: FILE_TEXT,
    kept.KeptPlan: PLAN,
    kept.PrintedCard: CARD,
    kept.KeptRecording: RECORDING,
    kept.Lesson: LESSON,
    kept.KeptDebrief: DEBRIEF,
    kept.KeptAttempt: ATTEMPT,
    kept.KeptGate: GATE,
    kept.KeptStandardItem: STANDARD_ITEM,
    kept.Note: NOTE,
    kept.TeachingFlight: TEACHING_FLIGHT,
    kept.Adoption: ADOPTION,
    kept.SetAside: SET_ASIDE,
    kept.Setting: SETTING,
}
# what a list of records is ordered by, before the key
ORDER = ("number", "begun_unix_s", "start_unix_s", "time_s", "name")
