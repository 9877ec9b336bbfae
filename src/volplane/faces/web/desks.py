"""Debriefs at hand: kept ones as values, and what lies on the desk of a page."""

from __future__ import annotations

from volplane.domain.debrief.results import Attempt, Debrief
from volplane.faces.documents.debrief import debrief_document
from volplane.faces.documents.quantities import as_text
from volplane.faces.web.debrief_desk import Desk
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import KeptDebrief, KeptRecording, Lesson, Person, Role
from volplane.services.lesson_notes import said_about


def text_of(debrief: Debrief) -> str:
    """A debrief as the document that is kept."""
    return as_text(debrief_document(debrief))


def at_hand(rooms: Rooms, kept: KeptDebrief, debrief: Debrief) -> None:
    """Hold a debrief for the pages that will show it."""
    rooms.debriefs.keep(_name(kept), debrief)


def debrief_of(rooms: Rooms, kept: KeptDebrief) -> Debrief:
    """A kept debrief as a value, from what is at hand or made again."""
    held = rooms.debriefs.get(_name(kept))
    if held is None:
        held = rooms.house.debrief_again(kept)
        at_hand(rooms, kept, held)
    return held


def spans_s(attempts: tuple[Attempt, ...]) -> list[tuple[float, float]]:
    """Start and end of each exercise flown."""
    return [(attempt.start_time_s, attempt.end_time_s) for attempt in attempts]


def desk_of(rooms: Rooms, kept: KeptDebrief, debrief: Debrief, number: int, file_name: str) -> Desk:
    """What lies on the desk beside one exercise of a debrief."""
    with rooms.house.shelf.store.snapshot() as store:
        said = said_about(store, kept.key, spans_s(debrief.attempts), number)
        lessons = () if kept.trainee is None else store.find(Lesson, trainee=kept.trainee)
        others = () if kept.trainee is None else store.find(KeptDebrief, trainee=kept.trainee)
        return Desk(
            kept=kept,
            number=number,
            own=said.own,
            notes=said.notes,
            trainees=store.find(Person, role=Role.TRAINEE),
            instructors=store.find(Person, role=Role.INSTRUCTOR),
            lessons=lessons,
            file_name=store.get(KeptRecording, kept.recording).name,
            is_older_code=kept.code_version != rooms.house.code_version,
            is_only_debrief=len(store.find(KeptDebrief, recording=kept.recording)) == 1,
            has_others=len(others) > 1 or len(debrief.attempts) > 1,
        )


def _name(kept: KeptDebrief) -> str:
    # who flew and whose lesson it is changes the record and not the debrief, which the time it was made tells
    return f"{kept.key}-{kept.made_unix_s}"
