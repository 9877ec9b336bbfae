"""The exercises that are kept, the one changed last first."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.faces.documents import wording
from volplane.faces.web.debriefs_page import exercise_words
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.services.shelf import ShelvedExercise


def exercises_page(frame: Frame, exercises: Sequence[ShelvedExercise]) -> str:
    """The list, and the way to a new one."""
    words = el("div", el("h1", "Exercises"), class_="words")
    new = el("a", "A new exercise", href="/exercises/new", class_="button first")
    content = [el("div", words, el("div", new, class_="actions"), class_="title-row"), exercise_list(exercises)]
    return page(frame, title="Exercises", room="Exercises", kind="list", content=content)


def exercise_list(exercises: Sequence[ShelvedExercise]) -> Markup:
    """Exercises as rows; none yet says what to do."""
    if not exercises:
        return el("p", "No exercise yet. Six numbers and a runway are enough for a first card.", class_="prose")
    rows = [
        el(
            "li",
            el(
                "a",
                el("b", exercise_words(each)),
                el("span", f"{each.file.name}, changed {wording.utc_date(each.text.kept_unix_s)}"),
                href=f"/exercises/{each.file.key}",
            ),
        )
        for each in exercises
    ]
    return el("section", el("ul", rows), class_="recordings")
