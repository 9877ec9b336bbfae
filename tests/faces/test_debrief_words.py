"""The debrief's sentences: short, a figure in each, nobody addressed, no praise."""

from __future__ import annotations

import dataclasses
import inspect
import re

import pytest

from tests.faces import fixtures
from volplane.domain.debrief import kneeboard, lesson, observed, standards
from volplane.domain.debrief.results import NotObservable, Outcome, Touchdown, Verdict, VerdictText
from volplane.domain.finding import Finding, Severity
from volplane.faces.documents import debrief_words as words
from volplane.faces.documents.wording import IMPERIAL, METRIC, NO_BREAK_SPACE
from volplane.units import m_from_ft, mps_from_kt, rad_from_deg


def plain(text: str) -> str:
    return text.replace(NO_BREAK_SPACE, " ")


EVERY_FINDING = (
    Finding(
        "turn-to-base-late",
        Severity.NOTE,
        {
            "late_s": 2.2,
            "farther_m": m_from_ft(430.0),
            "cost_m": m_from_ft(95.0),
            "past_low_key_s": 16.0,
        },
        cost_m=m_from_ft(95.0),
    ),
    Finding("turn-to-base-early", Severity.NOTE, {"early_s": 3.0, "nearer_m": 120.0, "past_low_key_s": 16.0}),
    Finding(
        "low-at-gate",
        Severity.NOTE,
        {"gate": "low key", "low_m": m_from_ft(57.0), "since_last_gate_m": -m_from_ft(32.0), "outside_m": 0.0},
    ),
    Finding(
        "high-at-gate",
        Severity.CAUTION,
        {"gate": "base key", "high_m": 60.0, "since_last_gate_m": 20.0, "outside_m": 12.0},
    ),
    Finding("too-high-to-lose", Severity.CAUTION, {"above_m": 45.0}),
    Finding(
        "too-high-since",
        Severity.CAUTION,
        {
            "gate": "low key",
            "at_gate_m": m_from_ft(250.0),
            "off_m": m_from_ft(190.0),
            "remedy_0": "turn to base later",
            "worth_0_m": m_from_ft(180.0),
            "change_0_s": 4.2,
            "from_0": "",
            "remedy_1": "drag out: gear and approach flap",
            "worth_1_m": m_from_ft(130.0),
            "from_1": "base key",
            "remedy_2": "faster",
            "worth_2_m": m_from_ft(100.0),
            "speed_2_mps": mps_from_kt(120.0),
            "from_2": "",
        },
    ),
    Finding(
        "too-low-since",
        Severity.CAUTION,
        {
            "after": "low key",
            "off_m": m_from_ft(60.0),
            "remedy_0": "turn to base earlier",
            "worth_0_m": m_from_ft(60.0),
            "change_0_s": -4.0,
            "from_0": "",
            "remedy_1": "best glide speed",
            "worth_1_m": m_from_ft(50.0),
            "speed_1_mps": mps_from_kt(104.0),
            "from_1": "",
        },
    ),
    Finding("off-best-glide", Severity.NOTE, {"off_mps": 6.0, "best_mps": 54.0, "cost_m": 20.0}),
    Finding("power-reduced-fast", Severity.NOTE, {"change_pa": 23_000.0, "within_s": 15.0, "limit_pa": 17_000.0}),
    Finding("power-added-fast", Severity.NOTE, {"change_pa": 43_000.0, "within_s": 2.0, "limit_pa": 27_000.0}),
    Finding("propeller-drives-engine", Severity.NOTE, {"duration_s": 64.0, "lowest_pa": 37e3, "least_pa": 44e3}),
    Finding("short-touchdown", Severity.NOTE, {"short_m": m_from_ft(210.0), "sd_m": 20.0}),
    Finding("long-touchdown", Severity.NOTE, {"long_m": m_from_ft(310.0), "sd_m": 20.0}),
    Finding("glide-worse", Severity.NOTE, {"height_m": 30.0, "sink_mps": 0.6}),
    Finding("glide-better", Severity.NOTE, {"height_m": 30.0, "sink_mps": 0.6}),
    Finding("steep-bank", Severity.CAUTION, {"bank_rad": rad_from_deg(41.0), "limit_rad": rad_from_deg(30.0)}),
    Finding("timely-go-around", Severity.NOTE, {"height_m": 146.0, "break_off_m": 152.4}),
    Finding("late-go-around", Severity.CAUTION, {"height_m": 90.0, "break_off_m": 152.4}),
)


def test_the_headline_says_the_end_and_the_verdict_as_the_board_shows_it() -> None:
    attempt = fixtures.attempt()
    assert plain(words.headline(attempt, IMPERIAL)) == (
        "Touched down 210 ft short of the point. With a dead engine it was too close to call."
    )


@pytest.mark.parametrize(
    "x_ft, said",
    [(80.0, "Touched down 80 ft past the point."), (3.0, "Touched down on the point."), (-4.9, "on the point.")],
)
def test_the_touchdown_is_told_to_ten_feet(x_ft: float, said: str) -> None:
    attempt = dataclasses.replace(
        fixtures.attempt(), touchdown=Touchdown(m_from_ft(x_ft), 5.0, 0.0, 100.0, None), verdict=None
    )
    assert said in plain(words.headline(attempt, IMPERIAL))
    assert "cannot be told" in words.headline(attempt, IMPERIAL)


@pytest.mark.parametrize("outcome, start", [(Outcome.WENT_AROUND, "Went around at 300 ft, in time.")])
def test_a_timely_go_around_is_told_as_one(outcome: Outcome, start: str) -> None:
    assert plain(words.headline(fixtures.attempt(outcome=outcome), IMPERIAL)).startswith(start)


@pytest.mark.parametrize(
    "outcome, start",
    [(Outcome.DISCONTINUED, "Discontinued at"), (Outcome.NOT_RECORDED_TO_THE_END, "The recording ends")],
)
def test_an_exercise_without_an_end_says_where_it_stopped(outcome: Outcome, start: str) -> None:
    attempt = dataclasses.replace(fixtures.attempt(), outcome=outcome, touchdown=None)
    assert words.headline(attempt, IMPERIAL).startswith(start)


def test_the_second_line_has_the_least_height_its_band_and_the_decision() -> None:
    attempt = fixtures.attempt()
    verdict = Verdict(VerdictText.TOO_CLOSE_TO_CALL, -m_from_ft(120.0), m_from_ft(79.0), 100.0)
    attempt = dataclasses.replace(attempt, verdict=verdict)
    assert plain(words.subline(attempt, IMPERIAL)) == (
        "At worst 120 ft were missing, give or take 130. The decision that mattered: when to turn to base."
    )
    spare = dataclasses.replace(attempt, verdict=dataclasses.replace(verdict, in_hand_m=m_from_ft(85.0)))
    assert "At worst 90 ft were in hand" in plain(words.subline(spare, IMPERIAL))


@pytest.mark.parametrize("finding", EVERY_FINDING, ids=lambda finding: finding.code)
@pytest.mark.parametrize("units", [IMPERIAL, METRIC], ids=lambda units: units.system)
def test_every_finding_is_said_in_short_sentences_that_address_nobody(finding: Finding, units: object) -> None:
    said = [
        words.finding_title(finding, units),  # type: ignore[arg-type]
        words.finding_text(finding, units),  # type: ignore[arg-type]
        words.next_time(finding, units),  # type: ignore[arg-type]
    ]
    assert said[0]
    assert not said[0].endswith(".")
    assert said[1].endswith(".")
    assert said[2] == "" or (said[2].endswith(".") and said[2][0].islower())
    for text in said:
        assert not re.search(r"\b(you|your|great|good|well done|bad|poor|nan|none)\b", text, re.IGNORECASE)
        assert len(text) < 130
        assert "  " not in text


def test_the_findings_read_as_an_instructor_would_write_them() -> None:
    by_code = {finding.code: finding for finding in EVERY_FINDING}
    late, low = by_code["turn-to-base-late"], by_code["low-at-gate"]
    assert plain(words.finding_title(late, IMPERIAL)) == "The turn to base came 2 s late"
    assert plain(words.finding_text(late, IMPERIAL)) == "430 ft farther downwind than planned cost 95 ft."
    assert plain(words.next_time(late, IMPERIAL)) == "turn to base 2 s earlier, 16 s past the low key: 95 ft."
    assert plain(words.finding_title(low, IMPERIAL)) == "57 ft low at the low key, inside the window"
    assert plain(words.finding_text(low, IMPERIAL)) == "32 ft of it since the gate before."
    assert plain(words.finding_title(by_code["steep-bank"], IMPERIAL)) == "Bank 41°, the limit is 30°"


def test_a_finding_without_words_is_still_said() -> None:
    stray = Finding("engine-cooled-fast", Severity.NOTE, {})
    assert words.finding_title(stray, IMPERIAL) == "engine cooled fast"
    assert words.next_time(stray, IMPERIAL) == ""


def test_every_reason_the_debrief_gives_has_a_sentence() -> None:
    given = set(re.findall(r'"((?:no|too|turned|wind)-[a-z-]+)"', inspect.getsource(lesson)))
    given.add(kneeboard.NO_RECORDING)
    assert given == set(words.REASONS)
    for reason in given:
        assert words.reason_text(NotObservable("verdict", reason)).endswith(".")
    assert words.reason_text(NotObservable("verdict", "something-new")) == "something-new"


def test_every_reason_why_an_item_is_not_judged_has_words() -> None:
    named = re.findall(
        r"^(?:[A-Z_]+, )*[A-Z_]+ = (.*)$", inspect.getsource(observed) + inspect.getsource(standards), re.M
    )
    codes = {code for line in named for code in re.findall(r'"([a-z]+(?:-[a-z]+)+)"', line)} | {kneeboard.NO_RECORDING}
    assert codes == set(words.ITEM_REASONS)


def test_the_headline_says_from_where_on_it_was_off() -> None:
    attempt = fixtures.attempt()
    off = Finding("too-high-since", Severity.CAUTION, {"gate": "low key", "off_m": 40.0})
    long = dataclasses.replace(
        attempt,
        findings=(off,),
        touchdown=Touchdown(m_from_ft(700.0), 9.0, 0.0, 100.0, None),
        verdict=Verdict(VerdictText.MADE_IT, 70.0, 30.0, 100.0),
    )
    assert plain(words.headline(long, IMPERIAL)) == (
        "Touched down 700 ft past the point: too high from the low key on. With a dead engine it would have made it."
    )
    after = Finding("too-low-since", Severity.CAUTION, {"after": "low key", "off_m": 40.0})
    assert ": too low after the low key." in plain(
        words.headline(dataclasses.replace(attempt, findings=(after,)), IMPERIAL)
    )


def test_next_time_is_worked_out_in_feet() -> None:
    since = next(finding for finding in EVERY_FINDING if finding.code == "too-high-since")
    assert plain(words.next_time(since, IMPERIAL)) == (
        "turn to base 4 s later: 180 ft; gear and approach flap from the base key: 130 ft; 120 kt, then slow: 100 ft."
    )
    low = next(finding for finding in EVERY_FINDING if finding.code == "too-low-since")
    assert plain(words.next_time(low, IMPERIAL)) == "turn to base 4 s earlier: 60 ft; hold 104 kt: 50 ft."


def test_a_vague_touchdown_is_said_to_be_vague() -> None:
    vague = dataclasses.replace(fixtures.attempt(), touchdown=Touchdown(10.0, 60.0, 0.0, 100.0, None))
    assert "The touchdown is known to within 320 ft." in plain(words.subline(vague, IMPERIAL))


def test_findings_that_say_less_are_still_said() -> None:
    for finding in fixtures.attempt().findings:
        assert words.finding_title(finding, IMPERIAL)
        assert words.finding_text(finding, IMPERIAL).endswith(".")
        assert words.next_time(finding, IMPERIAL).endswith(".")
