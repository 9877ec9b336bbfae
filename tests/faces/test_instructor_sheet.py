"""The instructor sheet: everything the card leaves out, on one page of A4, readable and whole."""

from __future__ import annotations

import dataclasses
import functools
import re

import pypdfium2
import pytest

from tests.faces import fixtures
from tests.faces.pages import overlaps, smallest_letters_px, text_of
from volplane import bootstrap
from volplane.domain.exercise.hand_alter import Alteration, hand_alterations
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import CAUTION_LINES, IMPERIAL, METRIC
from volplane.faces.report import instructor_words
from volplane.faces.report.instructor_sheet import instructor_sheet_pdf
from volplane.faces.report.refusals import CardNeedsReason, CardStopped
from volplane.faces.report.typesetting import PAPERS, Paper
from volplane.services.standing_in import StandInAnswer, stand_in_of

REASON = "Trainee knows the airplane."


@functools.cache
def demo() -> tuple[Plan, tuple[Alteration, ...], StandInAnswer | None]:
    plan = bootstrap.plan_dispersed(bootstrap.demo_workbench().exercise({}), 200, 1)
    return plan, hand_alterations(plan), stand_in_of(plan.exercise)


@functools.cache
def sheet(paper: Paper = "A4") -> bytes:
    plan, altered, stand_in = demo()
    return instructor_sheet_pdf(
        plan, paper=paper, reason=REASON, trainee="Mara Quist", altered=altered, stand_in=stand_in
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_overlaps_and_nothing_is_too_small(paper: Paper) -> None:
    assert overlaps(sheet(paper)) == []
    assert smallest_letters_px(sheet(paper)) >= 10.5 - 0.01


def test_it_is_one_page_of_a4_and_two_of_the_smaller_papers() -> None:
    pages = {}
    for paper in PAPERS:
        document = pypdfium2.PdfDocument(sheet(paper))
        pages[paper] = len(document)
        document.close()
    assert pages == {"A5": 2, "half-letter": 2, "A4": 1}


@pytest.mark.parametrize("paper", PAPERS)
def test_every_part_stands_on_it(paper: Paper) -> None:
    plan, _, stand_in = demo()
    text = text_of(sheet(paper))
    for words in (
        "Instructor sheet.",
        "25 left",
        "250 / 8",
        "Gates and their windows",
        "How it is flown",
        "Where the height goes",
        "No oil pressure: propeller in fine pitch (estimate)",
        "Where the stand-in lies",
        "If it changes",
        "Flown 200 times",
        "Short of the runway",
        f"Reason {REASON}",
        "Break off at altimeter",
        "drag of gear and full flap",
        *CAUTION_LINES,
    ):
        assert words in text, words
    for gate in plan.gates:
        for height_m in (gate.required_m, gate.height_m - gate.required_m):
            assert IMPERIAL.height.figure(height_m) in text
    assert stand_in is not None


def test_the_ledger_adds_up_to_the_entry_height() -> None:
    plan, _, _ = demo()
    part = instructor_words.ledger(plan, IMPERIAL)
    *items, (_, total) = part.rows

    def number(text: str) -> int:
        return int(text.replace(",", "").replace("\u2212", "-"))

    assert sum(number(height) for _, height in items) == pytest.approx(number(total), abs=len(items))
    assert number(total) == 2800


def test_in_hand_and_required_make_the_planned_height() -> None:
    plan, _, _ = demo()
    for row in instructor_words.windows(plan, IMPERIAL).rows:
        height, required, in_hand = (int(cell.replace(",", "")) for cell in row[4:7])
        assert abs(height - required - in_hand) <= 1


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan, altered, stand_in = demo()
    again = instructor_sheet_pdf(plan, reason=REASON, trainee="Mara Quist", altered=altered, stand_in=stand_in)
    assert again == sheet()


def test_an_airplane_without_a_stand_in_says_so() -> None:
    plan = fixtures.plan(findings=())
    airplane = dataclasses.replace(plan.exercise.airplane, stand_in=None)
    plan = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, airplane=airplane))
    assert "No stand-in in the airplane file" in text_of(instructor_sheet_pdf(plan))


def test_ways_and_runways_stand_on_it_where_the_plan_has_them() -> None:
    ways = [
        {"gate": "low key", "way": "gear", "flown_ft": None, "real_ft": 210.0},
        {"gate": "low key", "way": "full flap", "flown_ft": 180.0, "real_ft": 260.0},
    ]
    part = instructor_words.ways({"ways_to_lose_height": ways}, IMPERIAL)
    assert part is not None
    assert part.rows == (("Low key", "gear", "\u2013", "210"), ("", "full flap", "180", "260"))
    runway = {"runway": "07", "pattern": "right", "feasible": True, "recommended": True, "reason": "8 kt of headwind"}
    compared = instructor_words.comparison({"comparison": [runway]})
    assert compared is not None
    assert compared.rows == (("07 right", "recommended", "8 kt of headwind"),)


def test_without_them_their_parts_are_left_out() -> None:
    assert instructor_words.ways({"ways_to_lose_height": None}, IMPERIAL) is None
    assert instructor_words.comparison({"comparison": None}) is None


def test_metric_readers_get_metres() -> None:
    text = text_of(instructor_sheet_pdf(fixtures.plan(), reason=REASON, units=METRIC))
    assert "km/h" in text
    assert not re.search(r"\d ft\b", text)


def test_a_stop_prints_no_sheet() -> None:
    with pytest.raises(CardStopped, match="aim-point-before-threshold"):
        instructor_sheet_pdf(fixtures.plan(findings=[fixtures.stop_finding()]), reason=REASON)


def test_a_caution_needs_a_reason_here_too() -> None:
    with pytest.raises(CardNeedsReason, match="fine-pitch"):
        instructor_sheet_pdf(fixtures.plan())
