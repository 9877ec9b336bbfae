"""From six numbers, a runway and today's wind to an exercise on the shelf: three files, checked together, then kept."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import degrees

from volplane.domain.geometry.runway_ends import stretch_between
from volplane.errors import FilesRefused, Problem
from volplane.services.keeping import keep_text
from volplane.services.kept import FileKind, FileText
from volplane.services.shelf import Shelf

# what is typed empty is left to its default: calm, and aloft as at the field
_CALM = "360 deg 0 kt"
_ALOFT = "3000 ft"
_REPORT = "metar"
NEAR_END, FAR_END = "runway[1].threshold", "runway[1].far_end"


@dataclass(frozen=True, slots=True)
class NewFile:
    """A file of a form: kept already under that name (`text` empty), or made of typed values."""

    name: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class FirstCard:
    """What the form asks for.

    `today` are values by the fields of an exercise (`wind_0`, `weight`), and a whole weather report as `metar`; empty
    ones count as left out.
    """

    airplane: NewFile
    airfield: NewFile
    runway: str
    today: Mapping[str, str]


WithChanges = Callable[[str, Mapping[str, str], Mapping[str, str]], str]
Problems = Callable[[FileKind, str, Mapping[str, str]], tuple[Problem, ...]]


def keep_first_card(
    shelf: Shelf, card: FirstCard, with_changes: WithChanges, problems_of: Problems, now_unix_s: float
) -> FileText:
    """Keep the exercise and what of its airplane and airfield is new.

    `with_changes` writes typed values into an exercise's text, `problems_of` reads one of the files.

    :raises FilesRefused: every problem of the three files, its place beginning with the file's kind.
    """
    texts = dict(_text(shelf, kind, file) for kind, file in _files(card))
    found = [
        _placed(kind.value, problem)
        for kind, file in _files(card)
        if file.text
        for problem in problems_of(kind, file.name, texts)
    ]
    if found:
        raise FilesRefused(tuple(found))
    name = shelf.free_name(FileKind.EXERCISE, f"{card.airplane.name.removesuffix('.toml')} {card.runway}")
    texts[name] = _exercise_text(card)
    try:
        changes = {key: typed for key, typed in card.today.items() if typed and key != _REPORT}
        texts[name] = with_changes(name, texts, changes)
    except FilesRefused as refused:
        raise FilesRefused(tuple(_placed("today", problem) for problem in refused.problems)) from refused
    if problems := problems_of(FileKind.EXERCISE, name, texts):
        raise FilesRefused(tuple(_placed("today", problem) for problem in problems))
    for kind, file in _files(card):
        if file.text:
            keep_text(shelf.store, kind, file.name, file.text, now_unix_s)
    return keep_text(shelf.store, FileKind.EXERCISE, name, texts[name], now_unix_s)


def _files(card: FirstCard) -> tuple[tuple[FileKind, NewFile], ...]:
    return (FileKind.AIRPLANE, card.airplane), (FileKind.AIRFIELD, card.airfield)


def _text(shelf: Shelf, kind: FileKind, file: NewFile) -> tuple[str, str]:
    if file.text:
        return file.name, file.text
    kept = next((each for each in shelf.files(kind) if each.file.name == file.name), None)
    return file.name, "" if kept is None else kept.text.text


def with_far_end(values: Mapping[str, str]) -> dict[str, str]:
    """Values of an airfield, the place of the runway's other end made a bearing and a length where they are not typed.

    Places are geodetic (WGS 84) and typed "44.0, -40.0". The runway then has no displaced threshold at its far end.

    :raises FilesRefused: one of the two places cannot be read.
    """
    typed = values.get(FAR_END, "")
    rest = {key: value for key, value in values.items() if key != FAR_END}
    if not typed:
        return rest
    near, far = (_place(values.get(key, ""), key) for key in (NEAR_END, FAR_END))
    between = stretch_between(*near, *far)
    rest["runway[1].bearing_true"] = (
        rest.get("runway[1].bearing_true") or f"{degrees(between.bearing_true_rad):.3f} deg"
    )
    rest["runway[1].length"] = rest.get("runway[1].length") or f"{between.length_m:.1f} m"
    return rest


def _place(typed: str, key: str) -> tuple[float, float]:
    try:
        latitude_deg, longitude_deg = (float(part) for part in typed.split(","))
        if abs(latitude_deg) <= 90.0 and abs(longitude_deg) <= 180.0:
            return latitude_deg, longitude_deg
    except ValueError:
        pass
    found = f'"{typed}"' if typed else "nothing"
    expected, remedy = "latitude and longitude in degrees, north and east positive", 'Write for example "44.0, -40.0".'
    raise FilesRefused((Problem("", f"airfield.{key}", found, expected, remedy, "not-a-position"),))


def _placed(part: str, problem: Problem) -> Problem:
    key = problem.place.partition(" (line ")[0].removeprefix("weather.")
    return replace(problem, place=f"{part}.{key}")


def _exercise_text(card: FirstCard) -> str:
    """The least exercise: a report if there is one, else calm, and as many wind levels as were typed over."""
    report = card.today.get(_REPORT, "")
    heights = ["0 ft"] if card.today.get("wind_0") or not report else []
    heights += [_ALOFT] if card.today.get("wind_1") else []
    start, _, speed = _CALM.rpartition(" deg ")
    levels = ", ".join(f'{{ height = "{height}", from = "{start} deg", speed = "{speed}" }}' for height in heights)
    names = {"airplane": card.airplane.name, "airfield": card.airfield.name, "runway": card.runway}
    weather = [f"metar = {json.dumps(report, ensure_ascii=False)}"] if report else []
    weather += [f"wind = [ {levels} ]"] if levels else []
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in names.items()]
    return "\n".join([*lines, "", "[weather]", *weather, ""])
