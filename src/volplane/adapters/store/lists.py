"""Lists read by a few queries each, whatever the number of lessons; see `volplane.services.listing`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import ColumnElement, Connection, Engine, Select, exists, func, or_, select

from volplane.adapters.store import engine as door
from volplane.adapters.store import tables
from volplane.domain.exercise.exercise import GateName
from volplane.services.kept import KeptAttempt, Role
from volplane.services.listing import DebriefLine, DebriefList, DebriefSearch, FlownLine, PersonLine

_TRAINEE = tables.PERSON.alias("trainee")
_INSTRUCTOR = tables.PERSON.alias("instructor")
# flown last first; a recording that tells no time goes by when it was kept
_WHEN = func.coalesce(tables.RECORDING.c.start_unix_s, tables.DEBRIEF.c.made_unix_s)


class SqlLists:
    """Lists of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def debriefs(self, search: DebriefSearch) -> DebriefList:
        """The debriefs that answer, those flown last first."""
        with door.reading(self._engine) as connection:
            # every key in its order costs less than a count and a leaf: it is one look at each debrief instead of two
            keys = connection.scalars(_keys(search)).all()
            leaf = keys[search.skipped : search.skipped + search.most]
            rows = {row.key: row for row in connection.execute(_LINES.where(tables.DEBRIEF.c.key.in_(leaf)))}
            attempts = _attempts(connection, leaf)
        lines = (DebriefLine(**rows[key]._mapping, attempts=tuple(attempts[key])) for key in leaf)
        return DebriefList(tuple(lines), len(keys))

    def people(self) -> tuple[PersonLine, ...]:
        """Everybody by name, trainees first."""
        with door.reading(self._engine) as connection:
            rows = connection.execute(_PEOPLE).all()
        lines = (PersonLine(**{**row._mapping, "role": Role(row.role)}) for row in rows)
        return tuple(sorted(lines, key=lambda each: (each.role is not Role.TRAINEE, each.name.casefold())))

    def flown(self) -> tuple[FlownLine, ...]:
        """Every exercise that has a trainee, in no order."""
        with door.reading(self._engine) as connection:
            return tuple(FlownLine(**row._mapping) for row in connection.execute(_FLOWN))


def _passed(gate: GateName) -> ColumnElement[bool]:
    """Whether an attempt passed a gate."""
    return exists().where(tables.GATE.c.attempt == tables.ATTEMPT.c.key, tables.GATE.c.gate == gate.value)


_FLOWN = (
    select(
        tables.DEBRIEF.c.trainee,
        tables.ATTEMPT.c.start_unix_s,
        tables.ATTEMPT.c.side,
        tables.ATTEMPT.c.outcome,
        tables.ATTEMPT.c.crosswind_mps,
        _passed(GateName.HIGH_KEY).label("has_high_key"),
        _passed(GateName.LOW_KEY).label("has_low_key"),
    )
    .join(tables.DEBRIEF, tables.ATTEMPT.c.debrief == tables.DEBRIEF.c.key)
    .where(tables.DEBRIEF.c.trainee.is_not(None))
)
_PEOPLE = (
    select(
        tables.PERSON.c.key,
        tables.PERSON.c.name,
        tables.PERSON.c.initials,
        tables.PERSON.c.role,
        func.count(tables.ATTEMPT.c.key).label("exercises"),
        func.max(tables.ATTEMPT.c.start_unix_s).label("last_unix_s"),
    )
    .select_from(
        tables.PERSON.outerjoin(
            tables.DEBRIEF,
            or_(tables.DEBRIEF.c.trainee == tables.PERSON.c.key, tables.DEBRIEF.c.instructor == tables.PERSON.c.key),
        ).outerjoin(tables.ATTEMPT, tables.ATTEMPT.c.debrief == tables.DEBRIEF.c.key)
    )
    .group_by(tables.PERSON.c.key, tables.PERSON.c.name, tables.PERSON.c.initials, tables.PERSON.c.role)
)


_NAMED = (
    tables.DEBRIEF.join(tables.RECORDING, tables.RECORDING.c.key == tables.DEBRIEF.c.recording)
    .join(tables.FILE_TEXT, tables.FILE_TEXT.c.key == tables.DEBRIEF.c.exercise_text)
    .join(tables.INSTRUCTOR_FILE, tables.INSTRUCTOR_FILE.c.key == tables.FILE_TEXT.c.file)
    .outerjoin(_TRAINEE, _TRAINEE.c.key == tables.DEBRIEF.c.trainee)
    .outerjoin(_INSTRUCTOR, _INSTRUCTOR.c.key == tables.DEBRIEF.c.instructor)
)
_LINES = select(
    tables.DEBRIEF.c.key,
    tables.RECORDING.c.name.label("file_name"),
    tables.INSTRUCTOR_FILE.c.name.label("exercise_name"),
    tables.DEBRIEF.c.made_unix_s,
    tables.RECORDING.c.start_unix_s,
    _TRAINEE.c.name.label("trainee"),
    _INSTRUCTOR.c.name.label("instructor"),
).select_from(_NAMED)


def _keys(search: DebriefSearch) -> Select[str]:
    """The keys of all debriefs that answer, in the order of the list; names are looked at for words only."""
    debrief, recording = tables.DEBRIEF, tables.RECORDING
    within = _NAMED if search.words else debrief.join(recording, recording.c.key == debrief.c.recording)
    wanted = select(debrief.c.key).select_from(within).order_by(_WHEN.desc(), debrief.c.key)
    if search.trainee is not None:
        wanted = wanted.where(debrief.c.trainee == search.trainee)
    names = (recording.c.name, tables.INSTRUCTOR_FILE.c.name, _TRAINEE.c.name, _INSTRUCTOR.c.name)
    return wanted.where(*(_has(word, names) for word in search.words))


def _has(word: str, columns: Sequence[ColumnElement[str]]) -> ColumnElement[bool]:
    """Whether a word occurs in one of the columns, large and small letters alike, its own signs taken literally."""
    return or_(*(column.icontains(word, autoescape=True) for column in columns))


def _attempts(connection: Connection, debriefs: Sequence[str]) -> dict[str, list[KeptAttempt]]:
    found: dict[str, list[KeptAttempt]] = defaultdict(list)
    table = tables.ATTEMPT
    wanted = select(table).where(table.c.debrief.in_(debriefs)).order_by(table.c.debrief, table.c.number)
    for row in connection.execute(wanted):
        found[row.debrief].append(KeptAttempt(**row._mapping))
    return found
