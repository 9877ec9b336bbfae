"""A lesson plan as a page: choose the rung, read it, print it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from volplane.faces.documents.lesson_plan import Section, lesson_sections, lesson_title, lesson_under
from volplane.faces.web.airplane_page import table
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.people_page import told
from volplane.services.kept import Person
from volplane.services.lesson_plans import LessonPlan
from volplane.services.rungs import MOST_EXERCISES, Rung


@dataclass(frozen=True, slots=True)
class LessonWish:
    """Whose lesson, on which exercise of the shelf; `stopped` is why no lesson is taught from it, "" when one is."""

    exercise: str
    trainees: Sequence[Person]
    trainee: Person | None
    stopped: str = ""

    def query(self, lesson: LessonPlan) -> str:
        """The wish as it stands in an address."""
        whose = {} if self.trainee is None else {"trainee": self.trainee.key}
        return urlencode({"rung": lesson.rung.slug, "exercises": str(lesson.exercises), **whose})


def lesson_plan_page(frame: Frame, lesson: LessonPlan, wish: LessonWish) -> str:
    """The whole page."""
    trainee = "" if wish.trainee is None else wish.trainee.name
    head = el(
        "div",
        el("h1", lesson_title(lesson)),
        el("p", lesson_under(lesson, trainee, frame.units), class_="sub"),
        class_="words",
    )
    pdf = f"/exercises/{wish.exercise}/lesson.pdf?{wish.query(lesson)}"
    ways = [el("a", "Back to the exercise", href=f"/exercises/{wish.exercise}", class_="button")]
    if not wish.stopped:
        ways.insert(0, el("a", "The plan as PDF", href=pdf, class_="button first"))
    sections = [_section(each) for each in lesson_sections(lesson, frame.units)]
    content = [
        el("div", head, el("div", el("div", ways, class_="row"), class_="actions"), class_="title-row"),
        told(wish.stopped),
        _choice(lesson, wish),
        el("div", sections, class_="lesson-plan"),
    ]
    return page(frame, title=lesson_title(lesson), room="Exercises", kind="lesson", content=content)


def _choice(lesson: LessonPlan, wish: LessonWish) -> Markup:
    rungs = [el("option", f"{each.number}. {each}", value=each.slug, selected=each is lesson.rung) for each in Rung]
    counts = [
        el("option", str(count), value=count, selected=count == lesson.exercises)
        for count in range(1, MOST_EXERCISES + 1)
    ]
    chosen = None if wish.trainee is None else wish.trainee.key
    people = [el("option", "nobody named", value="")]
    people += [el("option", each.name, value=each.key, selected=each.key == chosen) for each in wish.trainees]
    return el(
        "form",
        _select("rung", "Rung of the ladder", rungs),
        _select("exercises", "Exercises", counts),
        _select("trainee", "Trainee", people),
        el("button", "Show", type="submit"),
        method="get",
        class_="choose ladder-choice",
    )


def _select(key: str, label: str, options: Sequence[Markup]) -> Markup:
    return el("label", el("span", label, class_="label"), el("select", options, name=key), class_="select")


def _section(section: Section) -> Markup:
    return el(
        "section",
        el("h2", section.title, class_="block-head"),
        _body(section),
        [el("p", note, class_="sub") for note in section.notes],
    )


def _body(section: Section) -> Markup:
    if section.heads:
        return table(section.heads, section.rows)
    if section.is_lines:
        return el("ul", [el("li", row[0]) for row in section.rows])
    rows = [el("tr", el("th", name, scope="row"), el("td", words)) for name, words in section.rows]
    return el("table", el("tbody", rows), class_="facts")
