"""A debrief for a reader at the terminal: how it ended first, then gates, what cost height, and what is not known."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from volplane.domain.debrief.results import (
    Attempt,
    BudgetItem,
    Debrief,
    FlownGate,
    GlideEstimate,
    PhaseGlide,
    RecordingFacts,
    StandardItem,
)
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.debrief import debrief_document, limit_text, value_text
from volplane.faces.documents.wording import IMPERIAL, Units

SHOWN_FINDINGS = 3
WITHIN_WORDS = {True: "yes", False: "no", None: wording.NOT_OBSERVABLE}
MET_WORDS = {True: "met", False: "not met", None: wording.NOT_OBSERVABLE}
# half of a 90 % band in standard deviations
BAND_90_FACTOR = 1.645
Document = Mapping[str, Any]


def debrief_report(debrief: Debrief, units: Units = IMPERIAL, sheet: Sheet | None = None) -> str:
    """The whole report as text, one exercise flown after the other."""
    page = Sheet() if sheet is None else sheet
    document = debrief_document(debrief, units)
    count = len(debrief.attempts)
    if count == 0:
        page.headline("No exercise in this recording")
        page.line(
            "No glide from a high or low key to this runway is in it. An exercise is a descent past the low key "
            "without level flight."
        )
    for number, attempt in enumerate(debrief.attempts):
        if number > 0:
            page.blank()
        _Flown(page, attempt, document["attempts"][number], debrief.recording.start_unix_s, units).write(number, count)
    _recording(page, debrief.recording, units)
    page.cautions()
    return page.text()


def verdict_line(attempt: Attempt, units: Units) -> str:
    """The verdict with the band it rests on."""
    verdict = attempt.verdict
    if verdict is None:
        return "Verdict on a dead engine: cannot be told."
    band = wording.figure(units.height.value(BAND_90_FACTOR * verdict.sd_m))
    return (
        f"Verdict on a dead engine: {verdict.text.value}. Least height in hand "
        f"{units.height.signed(verdict.in_hand_m)}, give or take {band} (90\u00a0% band)."
    )


class _Flown:
    """One exercise flown, written part by part."""

    def __init__(self, page: Sheet, attempt: Attempt, document: Document, start_unix_s: float, units: Units) -> None:
        self.page, self.attempt, self.document = page, attempt, document
        self.start_unix_s, self.units = start_unix_s, units

    def write(self, number: int, count: int) -> None:
        """Every part of it."""
        page, attempt, units = self.page, self.attempt, self.units
        page.headline(self.document["headline"])
        subline = debrief_words.subline(attempt, units)
        if subline:
            page.line(subline)
        which = "" if count == 1 else f"Exercise {number + 1} of {count}, "
        runway = f"runway {attempt.plan.exercise.runway.name}, {attempt.pattern} pattern"
        clock = f"{self._clock(attempt.start_time_s)} to {self._clock(attempt.end_time_s)} UTC"
        page.line(f"{which or 'Flown to '}{runway}, {clock}. Outcome: {attempt.outcome.value}.")
        self._before_the_high_key()
        page.line(verdict_line(attempt, units))
        self._ending()
        self._gates()
        self._findings()
        self._height_in_hand()
        self._budget()
        self._causes()
        self._glide()
        self._wind()
        self._stand_in()
        self._engine()
        self._standard()
        self._not_observable()

    def _before_the_high_key(self) -> None:
        """Circles flown, and when the power came off."""
        attempt = self.attempt
        if attempt.circles:
            what = "One whole circle" if attempt.circles == 1 else f"{attempt.circles} whole circles"
            self.page.line(f"{what} flown gliding before the high key.")
        if attempt.power_off_time_s is not None:
            self.page.line(f"Power off at {self._clock(attempt.power_off_time_s)} UTC.")
        if attempt.markers:
            said = [f"{each.kind} at {self._clock(each.time_s)}" for each in attempt.markers]
            self.page.line(f"Marked on board: {wording.listed(said)} UTC.")

    def _clock(self, time_s: float) -> str:
        return wording.utc_clock(self.start_unix_s + time_s, with_seconds=True)

    def _ending(self) -> None:
        attempt, units = self.attempt, self.units
        if attempt.touchdown is not None:
            touched = attempt.touchdown
            side = "beyond" if touched.x_m >= 0.0 else "before"
            across = "left" if touched.y_m >= 0.0 else "right"
            sink = "" if touched.sink_mps is None else f", sinking {units.sink.text(touched.sink_mps)}"
            self.page.line(
                f"Touchdown {units.length.text(abs(touched.x_m))} {side} the point, give or take "
                f"{units.length.text(BAND_90_FACTOR * touched.x_sd_m)}, {units.length.text(abs(touched.y_m))} {across} "
                f"of the centreline{sink}, at {self._clock(touched.time_s)} UTC."
            )
        if attempt.go_around is not None:
            went = attempt.go_around
            self.page.line(
                f"Go-around: lowest {units.height.text(went.height_m)}, climbing from {self._clock(went.time_s)} UTC, "
                f"{'in time: a good decision' if went.is_timely else 'late'}."
            )

    def _gates(self) -> None:
        gates, units = self.attempt.gates, self.units
        if not gates:
            self.page.line("No gate was passed.")
            return
        height, speed = units.height, units.speed

        def column(title: str, importance: int, cell: Callable[[FlownGate], str], *, is_number: bool = True) -> Column:
            return Column(title, [cell(gate) for gate in gates], is_number, importance)

        self.page.blank()
        self.page.table(
            [
                column("Gate", 0, lambda gate: wording.sentence_case(gate.name), is_number=False),
                column(f"Flown\n{height.unit}", 0, lambda gate: height.figure(gate.height_m)),
                column("Give\nor take", 4, lambda gate: height.figure(BAND_90_FACTOR * gate.height_sd_m)),
                column(f"Planned\n{height.unit}", 0, lambda gate: height.figure(gate.planned_m)),
                column(f"Lowest\n{height.unit}", 2, lambda gate: height.figure(gate.lowest_m)),
                column(f"Highest\n{height.unit}", 2, lambda gate: height.figure(gate.highest_m)),
                column("In the\nwindow", 1, lambda gate: WITHIN_WORDS[gate.is_within], is_number=False),
                column(f"Altimeter\n{height.unit}", 5, lambda gate: height.figure(gate.altimeter_msl_m)),
                column(f"Airspeed\n{speed.unit}", 6, lambda gate: speed.figure(gate.cas_mps)),
                column(f"Over ground\n{speed.unit}", 7, lambda gate: speed.figure(gate.ground_speed_mps)),
                column("UTC", 3, lambda gate: self._clock(gate.time_s)),
            ]
        )
        self.page.line("Heights are above the touchdown point.")

    def _findings(self) -> None:
        page, findings = self.page, self.attempt.findings
        page.heading("What mattered")
        if not findings:
            page.line("Nothing stands out.")
        for number, finding in enumerate(findings[:SHOWN_FINDINGS], start=1):
            title = debrief_words.finding_title(finding, self.units)
            text = debrief_words.finding_text(finding, self.units)
            advice = debrief_words.next_time(finding, self.units)
            next_time = f" Next time: {advice}" if advice else ""
            page.entry(str(number), f"{title}. {text}{next_time}", 2)
        rest = len(findings) - SHOWN_FINDINGS
        if rest > 0:
            page.line(f"{wording.sentence_case(wording.counted(rest, 'more finding'))} with --json.")

    def _height_in_hand(self) -> None:
        hand = self.attempt.height_in_hand
        if hand is None:
            return
        self.page.heading("Height in hand for a dead engine")
        if hand.minimum_m != hand.minimum_m:
            self.page.line("Not known at any moment.")
            return
        least = f"Least {self.units.height.signed(hand.minimum_m)} at {self._clock(hand.minimum_time_s)} UTC."
        if hand.first_negative_time_s is None:
            self.page.line(f"{least} Never under nothing.")
        else:
            self.page.line(f"{least} Gone for the first time at {self._clock(hand.first_negative_time_s)} UTC.")

    def _budget(self) -> None:
        self._parts("Height in hand from the low key on, by cause", self.attempt.budget, "change of height in hand")

    def _causes(self) -> None:
        causes = self.attempt.causes
        if causes is None:
            return
        off = f"off the plan at the {causes.gate.value}"
        self._parts(f"Why it was {off.removeprefix('off the plan ')} as it was", causes.causes, off)

    def _parts(self, title: str, items: Sequence[BudgetItem], total: str) -> None:
        """A table of heights by cause that add up."""
        height = self.units.height
        if not items:
            return
        self.page.blank()
        self.page.table(
            [
                Column(title, [item.cause for item in items], is_number=False, total=total),
                Column(
                    height.unit,
                    [wording.signed(height.value(item.height_m)) for item in items],
                    total=wording.signed(height.value(sum(item.height_m for item in items))),
                ),
            ]
        )

    def _stand_in(self) -> None:
        flown, units = self.attempt.stand_in, self.units
        if flown is None or not flown.phases:
            return
        rows = flown.phases
        self.page.blank()
        self.page.table(
            [
                Column("Stand-in by recorded power", [row.phase for row in rows], is_number=False),
                Column(
                    f"mean MP\n{units.manifold_pressure.unit}",
                    [units.manifold_pressure.figure(row.manifold_pressure_pa) for row in rows],
                    importance=1,
                ),
                Column(f"dead engine\n{units.sink.unit}", [units.sink.figure(row.real_sink_mps) for row in rows]),
                Column(f"stand-in\n{units.sink.unit}", [units.sink.figure(row.stand_in_sink_mps) for row in rows]),
                Column(
                    f"lost more\n{units.height.unit}",
                    [wording.signed(units.height.value(row.height_error_m)) for row in rows],
                    total=wording.signed(units.height.value(sum(row.height_error_m for row in rows))),
                ),
            ]
        )
        self.page.line(
            f"Taken as flown with {flown.configuration}, and with landing flap and the throttle closed on final. "
            f"By the model of engine and propeller, good to {units.sink.text(flown.sink_sd_mps)}."
        )

    def _engine(self) -> None:
        findings = self.attempt.engine
        if not findings:
            return
        self.page.heading("The engine, advisory")
        for finding in findings:
            title = debrief_words.finding_title(finding, self.units)
            self.page.line(f"{title}. {debrief_words.finding_text(finding, self.units)}")

    def _glide(self) -> None:
        glide, units = self.attempt.glide, self.units
        if glide is None:
            return
        rows: list[PhaseGlide | GlideEstimate] = [*glide.by_phase, glide]
        self.page.blank()
        self.page.table(
            [
                Column(
                    "Glide through the air", [*(phase.phase for phase in glide.by_phase), "all of it"], is_number=False
                ),
                Column("ratio", [wording.figure(row.ratio, 1) for row in rows]),
                Column(
                    "give\nor take", [wording.figure(BAND_90_FACTOR * row.ratio_sd, 1) for row in rows], importance=1
                ),
                Column(f"sink\n{units.sink.unit}", [units.sink.figure(row.sink_mps) for row in rows]),
                Column(
                    f"airspeed\n{units.speed.unit}", [units.speed.figure(row.cas_mps) for row in rows], importance=2
                ),
            ]
        )

    def _wind(self) -> None:
        wind, units = self.attempt.wind, self.units
        if not wind:
            return
        self.page.blank()
        self.page.table(
            [
                Column(f"Wind found, {units.height.unit}", [units.height.figure(level.height_m) for level in wind]),
                Column("true, from", [wording.direction(level.from_true_rad) for level in wind]),
                Column(units.speed.unit, [units.speed.figure(level.speed_mps) for level in wind]),
                Column("give\nor take", [units.speed.figure(BAND_90_FACTOR * level.sd_mps) for level in wind]),
            ]
        )

    def _standard(self) -> None:
        items, units = self.attempt.standard, self.units
        if not items:
            return
        self.page.blank()
        self.page.table(
            [
                Column(
                    f"Standard: {self.attempt.standard_name}",
                    [wording.sentence_case(item.item) for item in items],
                    is_number=False,
                ),
                Column("limit", [limit_text(item, units) for item in items], is_number=False),
                Column("flown", [value_text(item, units) for item in items]),
                Column("", [_met(item) for item in items], is_number=False),
            ]
        )
        by_reason: dict[str, list[str]] = {}
        for item in items:
            by_reason.setdefault(debrief_words.item_reason_text(item), []).append(item.item)
        for reason, names in by_reason.items():
            if reason:
                self.page.line(f"{wording.sentence_case(wording.listed(names))}: {reason}.")
        self.page.line(f"Source: {'; '.join(dict.fromkeys(item.source for item in items))}.")

    def _not_observable(self) -> None:
        entries = self.document["not_observable"]
        if not entries:
            return
        self.page.heading("Not observable")
        for reason in dict.fromkeys(str(entry["reason"]) for entry in entries):
            self.page.line(reason)


def _met(item: StandardItem) -> str:
    if item.is_for_information and item.is_met is not None:
        return f"{MET_WORDS[item.is_met]}, for information"
    return MET_WORDS[item.is_met]


def _recording(page: Sheet, facts: RecordingFacts, units: Units) -> None:
    page.heading("The recording")
    page.line(
        f"{facts.format}, {wording.counted(facts.fixes, 'fix', 'fixes')}, {wording.utc_date(facts.start_unix_s)}, "
        f"{wording.utc_clock(facts.start_unix_s)} to {wording.utc_clock(facts.end_unix_s)} UTC."
    )
    page.line(f"Heights from {facts.altitude_source}, corrected by {units.height.signed(facts.altitude_correction_m)}.")
    for problem in facts.problems:
        page.line(problem)
