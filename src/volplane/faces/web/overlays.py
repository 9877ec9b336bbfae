"""Up to four exercises of one trainee laid over each other: which ones, the board, and their gates in one table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import HTMLResponse

from volplane.domain.debrief.results import Attempt
from volplane.domain.exercise.exercise import GateName
from volplane.faces.documents import wording
from volplane.faces.documents.attempt_words import ending_words, outcome_words
from volplane.faces.documents.wording import Units
from volplane.faces.report.overlay_board import NAMES, overlay_board, overlay_line
from volplane.faces.web.desks import debrief_of
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.rooms import Rooms
from volplane.services.keeping import NotKept
from volplane.services.kept import KeptAttempt, KeptDebrief, Person
from volplane.services.listing import DebriefLine, DebriefSearch

MOST = len(NAMES)
# as many of the latest debriefs of a trainee are offered; ours
_OFFERED = 30


@dataclass(frozen=True, slots=True)
class Laid:
    """One exercise on the board, and what is kept of it."""

    key: str
    attempt: Attempt
    kept: KeptAttempt


def overlay_answer(rooms: Rooms, request: Request) -> HTMLResponse:
    """The page of the exercises an address names as `attempt=KEY.NUMBER`; more than four are too many to tell apart.

    :raises NotKept: one of them is not there, or belongs to somebody else than the first.
    """
    wanted = list(dict.fromkeys(request.query_params.getlist("attempt")))[:MOST]
    store = rooms.house.shelf.store
    debriefs = [store.get(KeptDebrief, name.rpartition(".")[0]) for name in wanted]
    if not debriefs:
        raise NotKept("exercise", "")
    trainee = debriefs[0].trainee
    laid = [
        _laid(rooms, name, debrief)
        for name, debrief in zip(wanted, debriefs, strict=True)
        if debrief.trainee == trainee
    ]
    who = "Nobody named" if trainee is None else store.get(Person, trainee).name
    offered = _offered(rooms, debriefs[0])
    return HTMLResponse(overlay_page(rooms.frame(request), who, laid, offered))


def overlay_page(frame: Frame, who: str, laid: Sequence[Laid], offered: Sequence[DebriefLine]) -> str:
    """The board with the exercises, their table, and the choice of others."""
    units = frame.units
    content = el(
        "div",
        el("figure", Markup(overlay_board([each.attempt for each in laid], units=units)), id="board"),
        el(
            "div",
            el("h1", "Laid over each other"),
            el("p", f"{who}, {wording.counted(len(laid), 'exercise')}.", class_="sub"),
            _table(laid, units),
            el("ul", [_exercise(number, each, units) for number, each in enumerate(laid)], class_="laid"),
            _choice(laid, offered, units),
        ),
        class_="overlay",
    )
    return page(frame, title=f"{who}, laid over each other", room="Debriefs", kind="overlay", content=content)


def _laid(rooms: Rooms, name: str, debrief: KeptDebrief) -> Laid:
    number = name.rpartition(".")[2]
    found = [
        each for each in rooms.house.shelf.store.find(KeptAttempt, debrief=debrief.key) if str(each.number) == number
    ]
    attempts = debrief_of(rooms, debrief).attempts
    if not found or found[0].number > len(attempts):
        raise NotKept("exercise", name)
    return Laid(name, attempts[found[0].number - 1], found[0])


def _offered(rooms: Rooms, debrief: KeptDebrief) -> tuple[DebriefLine, ...]:
    if debrief.trainee is None:
        return ()
    return rooms.house.lists.debriefs(DebriefSearch(trainee=debrief.trainee, most=_OFFERED)).lines


def _exercise(number: int, laid: Laid, units: Units) -> Markup:
    debrief, _, which = laid.key.rpartition(".")
    when = f"{wording.utc_date(laid.kept.start_unix_s)}, {wording.utc_clock(laid.kept.start_unix_s)} UTC"
    link = el("a", f"{NAMES[number]}, {when}", href=f"/debriefs/{debrief}?exercise={which}&own=skipped")
    return el(
        "li", el("figure", Markup(overlay_line(number))), el("div", link, el("p", outcome_words(laid.kept, units)))
    )


def _table(laid: Sequence[Laid], units: Units) -> Markup:
    """Height at each gate, and how it ended."""
    height = units.height
    rows = []
    for name in GateName:
        gates = [each.attempt.gate(name) for each in laid]
        cells = [height.figure(None if gate is None else gate.height_m) for gate in gates]
        rows.append(el("tr", el("th", wording.sentence_case(name), scope="row"), _cells(cells)))
    hands = [
        wording.signed(None if each.kept.in_hand_m is None else height.value(each.kept.in_hand_m)) for each in laid
    ]
    rows.append(el("tr", el("th", "Least height in hand", scope="row"), _cells(hands)))
    titles = [el("th", NAMES[number], scope="col", class_="number") for number in range(len(laid))]
    head = el("tr", el("th", f"Height above the touchdown point, {height.unit}", scope="col"), titles)
    return el("table", el("thead", head), el("tbody", rows))


def _cells(texts: Sequence[str]) -> list[Markup]:
    return [el("td", text, class_="number") for text in texts]


def _choice(laid: Sequence[Laid], offered: Sequence[DebriefLine], units: Units) -> Markup | None:
    """Check boxes for the exercises of this trainee; sending them makes the address."""
    chosen = {each.key for each in laid}
    boxes = [
        el(
            "label",
            el("input", type="checkbox", name="attempt", value=name, checked=name in chosen),
            el("span", f"{wording.utc_date(attempt.start_unix_s)}, {wording.utc_clock(attempt.start_unix_s)}: "),
            el("span", f"{ending_words(attempt, units)}."),
            class_="choice",
        )
        for line in offered
        for attempt in line.attempts
        for name in (f"{line.key}.{attempt.number}",)
    ]
    if len(boxes) < 2:
        return None
    return el(
        "form",
        el("h2", f"Choose up to {wording.counted(MOST, 'exercise')}", class_="block-head"),
        boxes,
        el("div", el("button", "Lay them over each other", type="submit", class_="first"), class_="row"),
        method="get",
        action="/debriefs/overlay",
        class_="laying",
        data_most=MOST,
    )
