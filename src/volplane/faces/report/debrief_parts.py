"""The tables and lines of the debrief report: what stands behind the findings, as plain data for the typesetter."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.debrief.results import (
    Attempt,
    BudgetItem,
    Debrief,
    GlideEstimate,
    PhaseGlide,
    StandardItem,
)
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.debrief import debrief_document, limit_text, value_text
from volplane.faces.documents.debrief_finding_words import BAND_90
from volplane.faces.documents.wording import Units
from volplane.faces.report.parts import Part, entries, table

_MET = {True: "met", False: "not met", None: wording.NOT_OBSERVABLE}


def behind_the_findings(attempt: Attempt, units: Units) -> list[Part]:
    """Gates, where the height went, air and glide, stand-in and engine, the standard; what is not known is left out."""
    causes = attempt.causes
    parts = [
        _gates(attempt, units),
        _heights("From the low key on, by cause", attempt.budget, "change of height in hand", units),
        None
        if causes is None
        else _heights(f"Against the plan at the {causes.gate}", causes.causes, "off the plan", units),
        _wind(attempt, units),
        _glide(attempt, units),
        _stand_in(attempt, units),
        _engine(attempt, units),
        _standard(attempt, units),
    ]
    return [part for part in parts if part is not None]


def how_it_is_known(debrief: Debrief, number: int, units: Units) -> list[Part]:
    """What the recording cannot tell, what it is, and how the figures were made."""
    facts = debrief.recording
    document = debrief_document(debrief, units)["attempts"][number]
    reasons = list(dict.fromkeys(str(entry["reason"]) for entry in document["not_observable"]))
    when = f"{wording.utc_date(facts.start_unix_s)}, {wording.utc_clock(facts.start_unix_s)}"
    recording = [
        f"{facts.format}, {wording.counted(facts.fixes, 'fix', 'fixes')}, {when} to "
        f"{wording.utc_clock(facts.end_unix_s)} UTC.",
        f"Heights from {facts.altitude_source}, corrected by {units.height.signed(facts.altitude_correction_m)}.",
        *facts.problems,
    ]
    method = [
        "Height in hand is the height flown less what a dead engine needs from there in the wind found.",
        "Give or take is the 90 % band. A verdict is given only where the whole band lies on one side.",
        "What a cause cost is found by flying the plan again with that cause alone.",
    ]
    parts = [
        entries("Not observable", (), notes=reasons, is_whole=True) if reasons else None,
        entries("The recording", (), notes=recording, is_whole=True),
        entries("How it was worked out", (), notes=method, is_whole=True),
    ]
    return [part for part in parts if part is not None]


def _gates(attempt: Attempt, units: Units) -> Part | None:
    height = units.height
    if not attempt.gates:
        return None
    heads = (f"Gate, {height.unit}", "flown", "give or take", "planned", "lowest", "highest", units.speed.unit)
    rows = [
        (
            wording.sentence_case(gate.name),
            height.figure(gate.height_m),
            height.figure(BAND_90 * gate.height_sd_m),
            height.figure(gate.planned_m),
            height.figure(gate.lowest_m),
            height.figure(gate.highest_m),
            units.speed.figure(gate.cas_mps),
        )
        for gate in attempt.gates
    ]
    return table("Gates, above the touchdown point", heads, rows, wide=0, is_whole=True)


def _heights(title: str, items: Sequence[BudgetItem], total: str, units: Units) -> Part | None:
    height = units.height
    if not items:
        return None
    rows = [(item.cause, wording.signed(height.value(item.height_m))) for item in items]
    rows.append((total, wording.signed(height.value(sum(item.height_m for item in items)))))
    return table(title, ("", height.unit), rows, wide=0, has_total=True)


def _wind(attempt: Attempt, units: Units) -> Part | None:
    if not attempt.wind:
        return None
    rows = [
        (
            units.height.figure(level.height_m),
            wording.direction(level.from_true_rad),
            units.speed.figure(level.speed_mps),
            units.speed.figure(BAND_90 * level.sd_mps),
        )
        for level in attempt.wind
    ]
    heads = (f"{units.height.unit} above", "true, from", units.speed.unit, "give or take")
    return table("Wind found", heads, rows, words=(), wide=0)


def _glide(attempt: Attempt, units: Units) -> Part | None:
    glide = attempt.glide
    if glide is None:
        return None
    phases: list[tuple[str, PhaseGlide | GlideEstimate]] = [(phase.phase, phase) for phase in glide.by_phase]
    rows = [
        (
            name,
            wording.figure(row.ratio, 1),
            wording.figure(BAND_90 * row.ratio_sd, 1),
            units.sink.figure(row.sink_mps),
            units.speed.figure(row.cas_mps),
        )
        for name, row in [*phases, ("all of it", glide)]
    ]
    heads = ("", "ratio", "give or take", units.sink.unit, units.speed.unit)
    return table("Glide through the air", heads, rows, wide=0)


def _stand_in(attempt: Attempt, units: Units) -> Part | None:
    flown = attempt.stand_in
    if flown is None or not flown.phases:
        return None
    rows = [
        (
            row.phase,
            units.manifold_pressure.figure(row.manifold_pressure_pa),
            units.sink.figure(row.real_sink_mps),
            units.sink.figure(row.stand_in_sink_mps),
            wording.signed(units.height.value(row.height_error_m)),
        )
        for row in flown.phases
    ]
    heads = ("", units.manifold_pressure.unit, "dead engine", "stand-in", f"lost more, {units.height.unit}")
    note = f"Sinks in {units.sink.unit}, by the model good to {units.sink.text(flown.sink_sd_mps)}. Advisory."
    return table(f"Stand-in, {flown.configuration}", heads, rows, wide=0, notes=(note,))


def _engine(attempt: Attempt, units: Units) -> Part | None:
    if not attempt.engine:
        return None
    said = [
        f"{debrief_words.finding_title(finding, units)}. {debrief_words.finding_text(finding, units)}"
        for finding in attempt.engine
    ]
    return entries("The engine, advisory", (), notes=said)


def _standard(attempt: Attempt, units: Units) -> Part | None:
    if not attempt.standard:
        return None
    rows = [
        (wording.sentence_case(item.item), limit_text(item, units), value_text(item, units), _judgement(item))
        for item in attempt.standard
    ]
    sources = "; ".join(dict.fromkeys(item.source for item in attempt.standard))
    title = f"Standard: {attempt.standard_name}"
    heads = ("Item", "limit", "flown", "")
    return table(title, heads, rows, words=(0, 1, 3), wide=3, notes=(f"Source: {sources}.",), is_whole=True)


def _judgement(item: StandardItem) -> str:
    if item.is_met is None:
        return debrief_words.item_reason_text(item) or wording.NOT_OBSERVABLE
    return f"{_MET[item.is_met]}, for information" if item.is_for_information else _MET[item.is_met]
