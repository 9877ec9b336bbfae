"""The document `volplane/debrief/1`: what was flown, in trade units and UTC."""

from __future__ import annotations

import math
from typing import Any, Protocol

from volplane.domain.debrief.results import (
    Attempt,
    BudgetItem,
    Debrief,
    FlownGate,
    GateCauses,
    GlideEstimate,
    HeightInHand,
    NotObservable,
    RecordingFacts,
    StandardItem,
    StandInFlown,
)
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.quantities import (
    deg,
    direction_deg,
    fpm,
    ft,
    in_trade_units,
    inhg,
    kt,
    rounded,
    seconds,
    utc,
)
from volplane.faces.documents.wording import CAUTION_LINES, IMPERIAL, Units

SCHEMA = "volplane/debrief/1"


class DebriefWords(Protocol):
    """The sentences of a debrief: `volplane.faces.documents.debrief_words`, or others in tests."""

    def headline(self, attempt: Attempt, units: Units) -> str:
        """Outcome, distance and verdict in one or two sentences."""
        ...

    def subline(self, attempt: Attempt, units: Units) -> str:
        """The band of the verdict and the decision that mattered."""
        ...

    def finding_title(self, finding: Finding, units: Units) -> str:
        """A finding as a short sentence without its stop."""
        ...

    def finding_text(self, finding: Finding, units: Units) -> str:
        """A finding as a sentence."""
        ...

    def next_time(self, finding: Finding, units: Units) -> str:
        """What to do next time; empty where nothing."""
        ...

    def item_reason_text(self, item: StandardItem) -> str:
        """Why an item of a standard was not judged; empty where it was."""
        ...

    def reason_text(self, item: NotObservable) -> str:
        """Why something is not known, as a sentence."""
        ...


def debrief_document(debrief: Debrief, units: Units = IMPERIAL, words: DebriefWords | None = None) -> dict[str, Any]:
    """A debrief as `volplane/debrief/1`. `units` are those of its sentences; its numbers are always in trade units."""
    said = _own_words() if words is None else words
    start = debrief.recording.start_unix_s
    return {
        "schema": SCHEMA,
        "recording": _recording(debrief.recording),
        "attempts": [_Clocked(attempt, start, units, said).entry() for attempt in debrief.attempts],
        "caution": list(CAUTION_LINES),
    }


def _own_words() -> DebriefWords:
    from volplane.faces.documents import debrief_words

    return debrief_words


def _recording(facts: RecordingFacts) -> dict[str, Any]:
    return {
        "sha256": facts.sha256,
        "format": facts.format,
        "start_utc": utc(facts.start_unix_s),
        "end_utc": utc(facts.end_unix_s),
        "fixes": facts.fixes,
        "altitude_source": facts.altitude_source,
        "altitude_correction_ft": ft(facts.altitude_correction_m),
        "problems": list(facts.problems),
    }


class _Clocked:
    """One attempt with the recording's start, which turns its seconds into UTC."""

    def __init__(self, attempt: Attempt, start_unix_s: float, units: Units, said: DebriefWords) -> None:
        self.attempt, self.start_unix_s, self.units, self.said = attempt, start_unix_s, units, said

    def utc(self, time_s: float | None) -> str | None:
        """A second of the recording as UTC."""
        return None if time_s is None else utc(self.start_unix_s + time_s)

    def entry(self) -> dict[str, Any]:
        """The attempt as JSON."""
        attempt = self.attempt
        return {
            "start_utc": self.utc(attempt.start_time_s),
            "end_utc": self.utc(attempt.end_time_s),
            "runway": attempt.plan.exercise.runway.name,
            "pattern": attempt.pattern.value,
            "outcome": attempt.outcome.value,
            "circles_before_high_key": attempt.circles,
            "power_off_utc": self.utc(attempt.power_off_time_s),
            "markers": [{"utc": self.utc(each.time_s), "what": each.kind.value} for each in attempt.markers],
            "headline": self.said.headline(attempt, self.units),
            "subline": self.said.subline(attempt, self.units),
            "verdict": self._verdict(),
            "gates": [self._gate(gate) for gate in attempt.gates],
            "wind": self._wind(),
            "glide": None if attempt.glide is None else _glide(attempt.glide),
            "height_in_hand": None if attempt.height_in_hand is None else self._in_hand(attempt.height_in_hand),
            "budget": [_part(each) for each in attempt.budget],
            "budget_series": self._budget_course(),
            "causes": _causes(attempt.causes),
            "mending": self._mending(),
            "standin": _stand_in(attempt.stand_in),
            "engine": None
            if attempt.engine is None
            else {"findings": [self._finding(each) for each in attempt.engine]},
            "not_observable": self._not_observable(),
            "touchdown": self._touchdown(),
            "go_around": self._go_around(),
            "maximum_bank_deg": deg(attempt.maximum_bank_rad),
            "minimum_speed_kcas": kt(attempt.minimum_cas_mps),
            "standard_name": attempt.standard_name,
            "standard": [self._standard(item) for item in attempt.standard],
            "findings": [self._finding(finding) for finding in attempt.findings],
        }

    def _verdict(self) -> dict[str, Any] | None:
        verdict = self.attempt.verdict
        if verdict is None:
            return None
        return {
            "text": verdict.text.value,
            "in_hand_ft": ft(verdict.in_hand_m),
            "sd_ft": ft(verdict.sd_m),
            "utc": self.utc(verdict.time_s),
        }

    def _gate(self, gate: FlownGate) -> dict[str, Any]:
        return {
            "name": gate.name.value,
            "utc": self.utc(gate.time_s),
            "x_ft": ft(gate.x_m),
            "y_ft": ft(gate.y_m),
            "height_ft": ft(gate.height_m),
            "height_sd_ft": ft(gate.height_sd_m),
            "planned_ft": ft(gate.planned_m),
            "lowest_ft": ft(gate.lowest_m),
            "highest_ft": ft(gate.highest_m),
            "within": gate.is_within,
            "altimeter_ft": ft(gate.altimeter_msl_m),
            "speed_kcas": kt(gate.cas_mps),
            "ground_speed_kt": kt(gate.ground_speed_mps),
        }

    def _wind(self) -> list[dict[str, Any]]:
        return [
            {
                "height_ft": ft(each.height_m),
                "from_true_deg": direction_deg(each.from_true_rad),
                "speed_kt": kt(each.speed_mps),
                "sd_kt": kt(each.sd_mps),
            }
            for each in self.attempt.wind
        ]

    def _in_hand(self, hand: HeightInHand) -> dict[str, Any]:
        return {
            "minimum_ft": ft(hand.minimum_m),
            "minimum_utc": self.utc(hand.minimum_time_s) if math.isfinite(hand.minimum_time_s) else None,
            "first_negative_utc": self.utc(hand.first_negative_time_s),
            "series": [
                {
                    "utc": self.utc(float(time_s)),
                    "height_ft": ft(height_m),
                    "in_hand_ft": ft(in_hand_m),
                    "sd_ft": ft(sd_m),
                    "room_above_ft": ft(room_m),
                }
                for time_s, height_m, in_hand_m, sd_m, room_m in zip(
                    hand.time_s, hand.height_m, hand.in_hand_m, hand.sd_m, hand.room_above_m, strict=True
                )
            ],
        }

    def _not_observable(self) -> list[dict[str, str]]:
        """Every null with its reason."""
        return [
            {"key": each.key, "code": each.reason, "reason": self.said.reason_text(each)}
            for each in self.attempt.not_observable
        ]

    def _budget_course(self) -> dict[str, Any] | None:
        course = self.attempt.budget_course
        if course is None:
            return None
        return {
            "utc": [self.utc(float(time_s)) for time_s in course.time_s],
            "change_ft": [ft(change_m) for change_m in course.in_hand_m],
            "causes": [
                {"cause": cause, "height_ft": [ft(height_m) for height_m in part]}
                for cause, part in zip(course.causes, course.by_cause_m, strict=True)
            ],
        }

    def _engine(self) -> dict[str, Any] | None:
        engine = self.attempt.engine
        return None if engine is None else {"findings": [self._finding(each) for each in engine]}

    def _mending(self) -> dict[str, Any] | None:
        mending = self.attempt.mending
        if mending is None:
            return None
        return {
            "utc": self.utc(mending.time_s),
            "too": "high" if mending.is_high else "low",
            "gate": None if mending.gate is None else mending.gate.value,
            "off_ft": ft(mending.off_m),
            "remedies": [
                {
                    "action": each.action,
                    "utc": self.utc(each.time_s),
                    "worth_ft": ft(each.worth_m),
                    "later_s": seconds(each.change_s),
                    "speed_kcas": kt(each.speed_mps),
                    "enough": each.is_enough,
                }
                for each in mending.remedies
            ],
        }

    def _standard(self, item: StandardItem) -> dict[str, Any]:
        reason = self.said.item_reason_text(item)
        return {
            **_standard(item, self.units),
            "reason": reason or None,
            "for_information": item.is_for_information,
        }

    def _touchdown(self) -> dict[str, Any] | None:
        touchdown = self.attempt.touchdown
        if touchdown is None:
            return None
        return {
            "x_ft": ft(touchdown.x_m),
            "x_sd_ft": ft(touchdown.x_sd_m),
            "y_ft": ft(touchdown.y_m),
            "utc": self.utc(touchdown.time_s),
            "sink_fpm": fpm(touchdown.sink_mps),
        }

    def _go_around(self) -> dict[str, Any] | None:
        went = self.attempt.go_around
        if went is None:
            return None
        return {"height_ft": ft(went.height_m), "utc": self.utc(went.time_s), "timely": went.is_timely}

    def _finding(self, finding: Finding) -> dict[str, Any]:
        return {
            "code": finding.code,
            "utc": self.utc(finding.time_s),
            "severity": finding.severity.value,
            "title": self.said.finding_title(finding, self.units),
            "text": self.said.finding_text(finding, self.units),
            "next_time": self.said.next_time(finding, self.units) or None,
            "cost_ft": ft(finding.cost_m),
        }


def _part(item: BudgetItem) -> dict[str, Any]:
    return {"cause": item.cause, "height_ft": ft(item.height_m)}


def _causes(causes: GateCauses | None) -> dict[str, Any] | None:
    if causes is None:
        return None
    return {
        "gate": causes.gate.value,
        "off_ft": ft(causes.off_m),
        "parts": [_part(each) for each in causes.causes],
    }


def _stand_in(flown: StandInFlown | None) -> dict[str, Any] | None:
    if flown is None:
        return None
    return {
        "configuration": flown.configuration,
        "sink_sd_fpm": fpm(flown.sink_sd_mps),
        "phases": [
            {
                "phase": each.phase,
                "duration_s": seconds(each.duration_s),
                "manifold_pressure_inhg": inhg(each.manifold_pressure_pa),
                "real_sink_fpm": fpm(each.real_sink_mps),
                "standin_sink_fpm": fpm(each.stand_in_sink_mps),
                "height_error_ft": ft(each.height_error_m),
                "power_off": each.is_engine_idling,
            }
            for each in flown.phases
        ],
    }


def _glide(glide: GlideEstimate) -> dict[str, Any]:
    return {
        "ratio": rounded(glide.ratio, 2),
        "ratio_sd": rounded(glide.ratio_sd, 2),
        "sink_fpm": fpm(glide.sink_mps),
        "speed_kcas": kt(glide.cas_mps),
        "by_phase": [
            {
                "phase": each.phase,
                "ratio": rounded(each.ratio, 2),
                "ratio_sd": rounded(each.ratio_sd, 2),
                "sink_fpm": fpm(each.sink_mps),
                "speed_kcas": kt(each.cas_mps),
            }
            for each in glide.by_phase
        ],
    }


def _standard(item: StandardItem, units: Units) -> dict[str, Any]:
    value, unit = in_trade_units(item.value, item.quantity)
    return {
        "item": item.item,
        "limit": limit_text(item, units),
        "limit_low": in_trade_units(item.limit_low, item.quantity)[0],
        "limit_high": in_trade_units(item.limit_high, item.quantity)[0],
        "value": value,
        "unit": unit,
        "met": item.is_met,
        "source": item.source,
    }


def limit_text(item: StandardItem, units: Units = IMPERIAL) -> str:
    """The limits of an item of a standard in words: "0 to 200 ft", "30° or less", "300 ft or more"."""
    low, high = item.limit_low, item.limit_high
    if low is None and high is None:
        return "no limit"
    if low is None:
        return f"{_quantity_text(high, item.quantity, units)} or less"
    if high is None:
        return f"{_quantity_text(low, item.quantity, units)} or more"
    return f"{_quantity_figure(low, item.quantity, units)} to {_quantity_text(high, item.quantity, units)}"


def value_text(item: StandardItem, units: Units = IMPERIAL) -> str:
    """The value flown of an item of a standard, an en dash when it was not observed."""
    return _quantity_text(item.value, item.quantity, units)


def _quantity_text(value_si: float | None, quantity: str, units: Units) -> str:
    if quantity.endswith("rad"):
        return wording.angle(value_si)
    scale = {"length_m": units.length, "speed_mps": units.speed, "sink_mps": units.sink}.get(quantity)
    return wording.figure(value_si, 2) if scale is None else scale.text(value_si)


def _quantity_figure(value_si: float | None, quantity: str, units: Units) -> str:
    if quantity.endswith("rad"):
        return wording.angle(value_si)
    scale = {"length_m": units.length, "speed_mps": units.speed, "sink_mps": units.sink}.get(quantity)
    return wording.figure(value_si, 2) if scale is None else scale.figure(value_si)
