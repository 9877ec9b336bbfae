"""Lists read by one query each, whatever the number of lessons; see `volplane.services.listing`."""

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
        wanted = _debriefs(search)
        with door.reading(self._engine) as connection:
            count = connection.scalar(select(func.count()).select_from(wanted.subquery())) or 0
            in_order = wanted.order_by(_WHEN.desc(), tables.DEBRIEF.c.key)
            rows = connection.execute(in_order.limit(search.most).offset(search.skipped)).all()
            attempts = _attempts(connection, [row.key for row in rows])
        lines = (DebriefLine(**row._mapping, attempts=tuple(attempts[row.key])) for row in rows)
        return DebriefList(tuple(lines), count)

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


def _debriefs(search: DebriefSearch) -> Select[tuple[object, ...]]:
    debrief, recording = tables.DEBRIEF, tables.RECORDING
    text, file = tables.FILE_TEXT, tables.INSTRUCTOR_FILE
    joined = (
        debrief.join(recording, recording.c.key == debrief.c.recording)
        .join(text, text.c.key == debrief.c.exercise_text)
        .join(file, file.c.key == text.c.file)
        .outerjoin(_TRAINEE, _TRAINEE.c.key == debrief.c.trainee)
        .outerjoin(_INSTRUCTOR, _INSTRUCTOR.c.key == debrief.c.instructor)
    )
    wanted = select(
        debrief.c.key,
        recording.c.name.label("file_name"),
        file.c.name.label("exercise_name"),
        debrief.c.made_unix_s,
        recording.c.start_unix_s,
        _TRAINEE.c.name.label("trainee"),
        _INSTRUCTOR.c.name.label("instructor"),
    ).select_from(joined)
    if search.trainee is not None:
        wanted = wanted.where(debrief.c.trainee == search.trainee)
    return wanted.where(
        *(_has(word, (recording.c.name, file.c.name, _TRAINEE.c.name, _INSTRUCTOR.c.name)) for word in search.words)
    )


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
