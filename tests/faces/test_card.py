"""The kneeboard card: one page, its readings in the text, refused where nobody should fly from it."""

from __future__ import annotations

import dataclasses
import functools
import re

import numpy as np
import pypdfium2
import pytest

from tests.faces import fixtures
from tests.faces.pages import overlaps, smallest_letters_px, text_of
from volplane import bootstrap
from volplane.domain.airplane.airplane import InstructorWords
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.hand_alter import Alteration, AlteredGate, Change, hand_alterations
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Side
from volplane.faces.documents.wording import CAUTION_LINES, IMPERIAL, METRIC
from volplane.faces.report import card_words
from volplane.faces.report.card import PAPERS, Paper, card_pdf
from volplane.faces.report.refusals import CardNeedsReason, CardStopped, CardTooLong
from volplane.units import mps_from_kt

REASON = "First exercise of a trainee who knows the airplane."
# ISO 216 and the half of a US letter, in points
SIZES = {"A5": (148.0 / 25.4 * 72.0, 210.0 / 25.4 * 72.0), "half-letter": (396.0, 612.0), "A4": (595.28, 841.89)}


@functools.cache
def demo_card(paper: Paper = "A5") -> bytes:
    return card_pdf(fixtures.plan(), paper=paper, reason=REASON, trainee="Mara Quist")


def clear(plan: Plan) -> Plan:
    return dataclasses.replace(plan, findings=())


@pytest.mark.parametrize("paper", PAPERS)
def test_the_card_is_one_page_of_its_paper(paper: Paper) -> None:
    document = pypdfium2.PdfDocument(demo_card(paper))
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx(SIZES[paper], abs=0.5)
    document.close()


@pytest.mark.parametrize("paper", PAPERS)
def test_the_card_says_everything_a_pilot_needs(paper: Paper) -> None:
    plan, text = fixtures.plan(), text_of(demo_card(paper))
    for gate in plan.gates:
        assert str(gate.name).capitalize() in text
        assert IMPERIAL.altimeter(gate.altimeter_msl_m) in text
        assert IMPERIAL.altimeter(gate.altimeter_lowest_msl_m, "up") in text
        assert IMPERIAL.altimeter(gate.altimeter_highest_msl_m, "down") in text
    for words in (
        "25 left",
        "30.05",
        "3,350",
        "250 / 8",  # 240 degrees true with 12 degrees of westerly variation, to ten degrees
        "280 / 18 at 3,000",
        "14:00 UTC",
        "14 May 2026",
        "Mara Quist",
        "14½ in",
        "104",
        "1,450",
        "99 to 114 kt",
        "Bank 30 or less",
        "runway under the left wing tip",
        "¾ NM",
        "14½ in at 3,400, creeps to 15½ in by",
        "Touch within 200 ft past the point: full stop or go-around. No lever touched on the roll-out",
        "would now select gear",
        "Straight ahead, then left.",
        "“Low key.”",
        "No oil pressure",
        f"Reason: {REASON}",
        *CAUTION_LINES,
    ):
        assert words in text, words


def test_readings_are_rounded_to_the_safe_side() -> None:
    plan = clear(fixtures.plan())
    gate = dataclasses.replace(
        plan.gates[0],
        altimeter_msl_m=3372.0 * 0.3048,
        altimeter_lowest_msl_m=2901.0 * 0.3048,
        altimeter_highest_msl_m=4199.0 * 0.3048,
    )
    row = card_words.gate_words(gate, plan, IMPERIAL)
    assert (row["altimeter"], row["lowest"], row["highest"]) == ("3,350", "2,950", "4,150")


def test_no_percentage_and_no_decimal_but_the_altimeter_setting() -> None:
    text = text_of(card_pdf(clear(fixtures.plan()), paper="A5"))
    assert "%" not in text
    assert re.findall(r"\d+\.\d+", text) == ["30.05"]


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert demo_card() == card_pdf(fixtures.plan(), paper="A5", reason=REASON, trainee="Mara Quist")


def test_the_card_is_black_and_white_safe() -> None:
    page = pypdfium2.PdfDocument(demo_card())[0]
    pixels = page.render(scale=1.0).to_numpy()[:, :, :3].astype(int)
    assert int(np.ptp(pixels, axis=2).max()) <= 2


def test_gate_readings_are_large_enough_for_arms_length() -> None:
    # digits of 7 mm and more, see the rules for the card in the visual language (ours)
    textpage = pypdfium2.PdfDocument(demo_card())[0].get_textpage()
    found = textpage.search("3,400").get_next()
    assert found is not None
    _, bottom, _, top = textpage.get_charbox(found[0])
    assert (top - bottom) / 72.0 * 25.4 >= 7.0


def test_a_right_pattern_names_the_right_wing() -> None:
    text = text_of(card_pdf(clear(fixtures.plan(Side.RIGHT))))
    assert "25 right" in text
    assert "runway under the right wing tip" in text


def test_a_stop_prints_no_card() -> None:
    plan = fixtures.plan(findings=[fixtures.stop_finding()])
    with pytest.raises(CardStopped, match="aim-point-before-threshold") as refusal:
        card_pdf(plan, reason=REASON)
    assert refusal.value.stops == (fixtures.stop_finding(),)


def test_an_infeasible_plan_prints_no_card() -> None:
    with pytest.raises(CardStopped, match="low-key-too-high") as refusal:
        card_pdf(fixtures.plan(feasible=False), reason=REASON)
    assert refusal.value.binding is fixtures.BINDING


@pytest.mark.parametrize("reason", [None, "", "  \n"])
def test_a_caution_needs_a_reason(reason: str | None) -> None:
    with pytest.raises(CardNeedsReason, match="fine-pitch") as refusal:
        card_pdf(fixtures.plan(), reason=reason)
    assert [finding.code for finding in refusal.value.cautions] == ["nothing-to-spare", "fine-pitch"]


def test_a_note_needs_no_reason() -> None:
    note = Finding("low-key-go-around", Severity.NOTE, {"altimeter_msl_m": 655.0})
    text = text_of(card_pdf(fixtures.plan(findings=[note])))
    assert "Printed with" not in text


def test_missing_words_of_the_instructor_get_plain_ones() -> None:
    text = text_of(card_pdf(clear(fixtures.plan(words=InstructorWords()))))
    assert card_words.DEFAULT_GO_AROUND in text
    assert "practice glide, runway 25" in text
    assert "official" not in text


def test_hostile_words_are_printed_as_they_are() -> None:
    hostile = InstructorWords(go_around='#panic("x") *bold* $x^2$ \\ <a>', calls=('"quoted" #let x = 1',))
    text = text_of(card_pdf(clear(fixtures.plan(words=hostile))))
    assert '#panic("x") *bold* $x^2$ \\ <a>' in text
    assert '"quoted" #let x = 1' in text


def test_a_long_sight_mark_stays_in_its_row() -> None:
    # "runway under the left wing tip, 1 NM" once ran over the rules of the table
    words = InstructorWords(sight_mark="runway under the left wing tip, halfway to the strut")
    page = pypdfium2.PdfDocument(card_pdf(clear(fixtures.plan(words=words))))[0].get_textpage()
    boxes = []
    for searched in ("halfway to the strut", "Base key"):
        found = page.search(searched).get_next()
        assert found is not None
        boxes.append([page.get_charbox(found[0] + offset) for offset in range(found[1])])
    lowest_of_mark = min(box[1] for box in boxes[0] if box[3] > box[1])
    highest_of_next = max(box[3] for box in boxes[1])
    assert lowest_of_mark > highest_of_next


def test_many_words_shrink_the_gaps_before_anything_is_refused() -> None:
    long = InstructorWords(go_around="Power, pitch, gear up, flap in steps. " * 5, calls=("High key, practice.",) * 5)
    document = pypdfium2.PdfDocument(card_pdf(fixtures.plan(words=long), reason=REASON * 2))
    assert len(document) == 1


def test_words_without_end_are_refused_by_name() -> None:
    endless = InstructorWords(go_around="Power, pitch, gear up, flap in steps. " * 200)
    with pytest.raises(CardTooLong, match="one page of A5"):
        card_pdf(clear(fixtures.plan(words=endless)))


def test_metric_readers_get_metres() -> None:
    text = text_of(card_pdf(clear(fixtures.plan()), units=METRIC))
    high = fixtures.plan().gate(GateName.HIGH_KEY)
    assert high is not None
    assert METRIC.altimeter(high.altimeter_msl_m) in text
    assert "km/h" in text
    assert " ft" not in text


def test_a_practice_floor_is_said_on_the_card() -> None:
    plan = clear(fixtures.plan())
    field = dataclasses.replace(plan.exercise.airfield, practice_floor_msl_m=3500.0 * 0.3048)
    plan = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, airfield=field))
    text = text_of(card_pdf(plan))
    assert "3,500 ft plays the ground" in text
    assert "Above floor" in text


# ------------------------------------------------------------------------------------- what fits, in every paper

LONG_NAMES = {
    "airfield": "The Long Meadow beyond the Old Windmill near Lesser Quillborough on the Water",
    "airplane": "Dunlin Tourer with the long-range tanks and the three-blade propeller",
    "trainee": "Wilhelmina Alexandra Quist-Featherstonehaugh of Upper Quill Bridge",
}
MANY_CALLS = tuple(f"Dunlin, position {number}, practice glide." for number in range(1, 21))


def long_plan() -> Plan:
    plan = fixtures.plan(words=InstructorWords(calls=MANY_CALLS, sight_mark="runway halfway out along the wing strut"))
    exercise = plan.exercise
    field = dataclasses.replace(exercise.airfield, name=LONG_NAMES["airfield"])
    airplane = dataclasses.replace(exercise.airplane, name=LONG_NAMES["airplane"])
    weather = dataclasses.replace(exercise.weather, gust_mps=mps_from_kt(27.0))
    changed = dataclasses.replace(exercise, airfield=field, airplane=airplane, weather=weather)
    return dataclasses.replace(plan, exercise=changed)


@functools.cache
def alterations() -> tuple[Alteration, ...]:
    gates = tuple(AlteredGate(name, -140.0 * 0.3048, 128.0 * 0.3048, 10.0) for name in GateName)
    return (
        Alteration(Change.WIND, comes_out=True, gates=gates, glide_ias_change_mps=-1.6),
        Alteration(Change.LIGHTER, comes_out=False),
        Alteration(Change.WARMER, comes_out=True, gates=gates),
    )


@functools.cache
def cards_of_every_kind(paper: Paper) -> dict[str, bytes]:
    demo = bootstrap.demo_workbench().plan({})
    floor = dataclasses.replace(demo.exercise.airfield, practice_floor_msl_m=3500.0 * 0.3048)
    above = dataclasses.replace(demo, exercise=dataclasses.replace(demo.exercise, airfield=floor), findings=())
    bare = dataclasses.replace(demo.exercise.airplane, stand_in=None, words=InstructorWords())
    altered = {"paper": paper, "reason": REASON, "altered": alterations()}
    return {
        "demo": card_pdf(demo, paper=paper, reason=REASON, altered=hand_alterations(demo)),
        "long": card_pdf(long_plan(), trainee=LONG_NAMES["trainee"], **altered),
        "right": card_pdf(fixtures.plan(Side.RIGHT), **altered),
        "floor": card_pdf(above, **altered),
        "no stand-in": card_pdf(bootstrap.plan_exercise(dataclasses.replace(demo.exercise, airplane=bare)), **altered),
        "metric": card_pdf(fixtures.plan(), units=METRIC, **altered),
    }


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_overlaps_leaves_the_page_or_is_too_small(paper: Paper) -> None:
    for kind, card in cards_of_every_kind(paper).items():
        assert overlaps(card) == [], kind
        assert smallest_letters_px(card) >= 10.5 - 0.01, kind
        assert len(pypdfium2.PdfDocument(card)) == 1, kind


@pytest.mark.parametrize("paper", PAPERS)
def test_twenty_calls_and_long_names_are_all_there(paper: Paper) -> None:
    text = text_of(cards_of_every_kind(paper)["long"])
    for words in (*MANY_CALLS, *LONG_NAMES.values(), "gusts 27", "runway halfway out along the wing strut"):
        assert words in text, words


def test_the_letters_of_a4_are_larger_than_those_of_a5() -> None:
    a5, a4 = (smallest_letters_px(demo_card(paper)) for paper in ("A5", "A4"))
    assert a4 / a5 == pytest.approx(1.25, abs=0.01)


# ------------------------------------------------------------------------------------- what it says


def test_what_to_alter_by_hand_is_rounded_to_ten_feet_and_lowest_up() -> None:
    text = text_of(cards_of_every_kind("A5")["right"])
    minus = "\u2212"
    assert f"Wind 5 kt more {minus}140 / +130 {minus}140 / +130 {minus}140 / +130 {minus}140 / +130 {minus}3" in text
    assert "200 lb less does not come out: plan again" in text


def test_a_card_without_alterations_leaves_their_table_out() -> None:
    assert "If it changes" not in text_of(demo_card())


def test_the_wind_has_the_time_it_was_observed() -> None:
    plan = clear(fixtures.plan())
    weather = dataclasses.replace(plan.exercise.weather, observed_unix_s=plan.exercise.time_unix_s - 600.0)
    plan = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, weather=weather))
    assert "Wind, magnetic, 13:50 UTC" in text_of(card_pdf(plan))


def test_percentages_of_a_caution_stay_off_the_card() -> None:
    shares = {"margin_fraction": 0.08, "bank_rad": 0.7}
    plan = fixtures.plan(findings=[Finding("near-stall", Severity.CAUTION, shares)])
    text = text_of(card_pdf(plan, reason=REASON))
    assert "%" not in text
    assert "Turn wider." in text


def test_over_a_practice_floor_nothing_is_landed_on() -> None:
    text = text_of(cards_of_every_kind("A5")["floor"])
    assert "At 3,500 ft, the floor: go around." in text
    assert "full stop" not in text.split("Break off")[0]


def test_metric_cards_have_no_decimals_either() -> None:
    text = text_of(card_pdf(clear(fixtures.plan()), units=METRIC, altered=alterations()))
    assert re.findall(r"\d+\.\d+", text) == []


def test_a_shape_without_a_low_key_promises_nothing_about_it() -> None:
    plan = clear(fixtures.plan())
    short = dataclasses.replace(plan, gates=plan.gates[2:])
    text = text_of(card_pdf(short))
    assert "Low key" not in text.split("As flown")[0]
    assert "450 ft more to the touchdown point" in text


def test_gusts_stand_on_the_card_beside_the_wind() -> None:
    plan = clear(fixtures.plan())
    weather = dataclasses.replace(plan.exercise.weather, gust_mps=mps_from_kt(16.0))
    plan = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, weather=weather))
    assert "250 / 8 gusts 16" in text_of(card_pdf(plan))
