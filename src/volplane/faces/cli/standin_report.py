"""A stand-in for a reader at the terminal: the setting first, the way down, then where it lies, what to know."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.airplane.honesty import FINAL_POWER_OFF, FINAL_WITH_POWER, HEADWIND, STILL_AIR, HonestyRow
from volplane.domain.exercise.pilot_limits import landing_configuration
from volplane.domain.exercise.stand_in_flown import FlownExercise
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import standin_words, wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.services.standing_in import StandInAnswer

SHOWN_FINDINGS = 5
SEVERITY_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}
SEVERITY_WIDTH = 7
_FINALS = {FINAL_WITH_POWER: "power left on", FINAL_POWER_OFF: "power off, fine stop"}


def standin_report(
    answer: StandInAnswer,
    units: Units = IMPERIAL,
    sheet: Sheet | None = None,
    *,
    written: str | None = None,
    kept: str | None = None,
) -> str:
    """The whole report as text."""
    page = Sheet() if sheet is None else sheet
    _title(page, answer, units)
    _findings(page, answer, units)
    _points(page, answer, units)
    _heights(page, answer, units)
    _honesty(page, answer, units)
    _exercise(page, answer, units)
    _others(page, answer, units)
    if written is not None:
        page.blank()
        page.line(f"Written to {written}." + ("" if kept is None else f" What stood there is kept as {kept}."))
    page.cautions()
    return page.text()


def _title(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    found = answer.found
    here = found.conditions
    setting = units.manifold_pressure.text(found.setting_pa)
    page.headline(
        f"{wording.sentence_case(answer.configuration.name)}, {setting}, {units.engine_speed(here.engine_speed_radps)}"
    )
    temperature = units.temperature(here.air.temperature_k)
    altitude = units.height.text(here.altitude_msl_m)
    weight, speed = units.weight.text(here.weight_kg), units.speed.text(answer.ias_mps(found.best_eas_mps))
    page.line(
        f"{answer.airplane.name} at {weight}, set at {altitude} above the sea, {temperature}; "
        f"best glide {speed} indicated."
    )
    source = f"From {wording.counted(found.used_points, 'point')} flown" if answer.is_from_points else "From the model"
    sd = units.manifold_pressure.figure(found.sd_pa)
    page.line(
        f"{source}: {units.manifold_pressure.text(found.wanted_pa)} sinks like the dead engine, "
        f"{units.sink.text(found.real_sink_mps)}, give or take {sd} (one standard deviation)."
    )
    drag = f"{wording.figure(found.extra_drag_factor, 2)} of the clean parasite drag"
    spread = wording.figure(found.extra_drag_sd_factor, 2)
    told = "an estimate" if answer.configuration.is_estimate else "as the airplane file has it"
    if answer.is_from_points:
        told = "told by the points" if answer.measured_configuration() is not None else "hardly told by the points"
    page.line(f"Its extra drag: {drag}, give or take {spread}, {told}.")


def _findings(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    page.heading("Findings")
    for finding in answer.findings[:SHOWN_FINDINGS]:
        text = standin_words.finding_text(finding, units)
        page.entry(SEVERITY_WORDS[finding.severity.value], text, SEVERITY_WIDTH)
    rest = len(answer.findings) - SHOWN_FINDINGS
    if rest > 0:
        page.line(f"{wording.sentence_case(wording.counted(rest, 'more finding'))} with --json.")


def _points(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    points = answer.found.points
    if not points:
        return
    pressure, sink = units.manifold_pressure, units.sink
    page.blank()
    page.table(
        [
            Column("Line", [f"{each.point.line_number}" for each in points]),
            Column(f"Set\n{pressure.unit}", [pressure.figure(each.point.manifold_pressure_pa) for each in points]),
            Column(f"Sink\n{sink.unit}", [sink.figure(each.point.sink_mps) for each in points], importance=2),
            Column(f"For the setting\n{sink.unit}", [sink.figure(each.reference_sink_mps) for each in points]),
            Column(f"Off the fit\n{sink.unit}", [sink.figure(each.residual_mps) for each in points], importance=1),
            Column(
                "Used",
                ["yes" if each.is_used else f"no: {standin_words.why_text(each.why)}" for each in points],
                is_number=False,
            ),
        ]
    )


def _heights(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    rows, pressure = answer.heights, units.manifold_pressure
    page.blank()
    page.table(
        [
            Column(f"Altitude\n{units.height.unit}", [units.height.figure(row.altitude_msl_m) for row in rows]),
            Column(f"Throttle left\n{pressure.unit}", [pressure.figure(row.manifold_pressure_pa) for row in rows]),
            Column(f"Honest\n{pressure.unit}", [pressure.figure(row.honest_pa) for row in rows]),
            Column(f"Sinks more\n{units.sink.unit}", [_signed(row.sink_error_mps, units) for row in rows]),
        ]
    )
    if answer.retrim_msl_m:
        altitudes = wording.listed([units.height.text(altitude) for altitude in answer.retrim_msl_m])
        page.line(f"Back to the honest setting at {altitudes}.")


def _honesty(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    still = [row for row in answer.honesty if row.phase == STILL_AIR]
    page.heading("Where it lies: sink of the dead engine and of the stand-in")
    page.table(_honesty_columns(answer, still, units))
    wind = [row for row in answer.honesty if row.phase == HEADWIND]
    page.heading(f"Into a headwind of {units.speed.text(wind[0].headwind_mps)}: distance over the ground to height")
    page.table(
        [
            Column(f"Speed\n{units.speed.unit}", [units.speed.figure(answer.ias_mps(row.eas_mps)) for row in wind]),
            Column("Real", [wording.ratio(row.real_ground_ratio) for row in wind]),
            Column("Stand-in", [wording.ratio(row.stand_in_ground_ratio) for row in wind]),
        ]
    )
    final = [row for row in answer.honesty if row.phase in _FINALS]
    landing = landing_configuration(answer.exercise).name
    page.heading(f"On final at {units.speed.text(answer.ias_mps(final[0].eas_mps))}, {landing}")
    columns = _honesty_columns(answer, final, units)[2:]
    page.table([Column("Stand-in", [_FINALS[row.phase] for row in final], is_number=False), *columns])


def _honesty_columns(answer: StandInAnswer, rows: Sequence[HonestyRow], units: Units) -> list[Column]:
    sink = units.sink
    return [
        Column("Bank", [wording.angle(row.bank_rad) for row in rows]),
        Column(f"Speed\n{units.speed.unit}", [units.speed.figure(answer.ias_mps(row.eas_mps)) for row in rows]),
        Column(f"Real\n{sink.unit}", [sink.figure(row.real_sink_mps) for row in rows]),
        Column(f"Stand-in\n{sink.unit}", [sink.figure(row.stand_in_sink_mps) for row in rows]),
        Column(f"Difference\n{sink.unit}", [_signed(row.difference_mps, units) for row in rows]),
        Column("", [row.verdict or "too near the stall" for row in rows], is_number=False),
    ]


def _signed(speed_mps: float | None, units: Units) -> str:
    return wording.signed(None if speed_mps is None else speed_mps / units.sink.unit_si, units.sink.decimals)


def _exercise(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    """What a whole exercise loses more or less with the stand-in, at three speeds."""
    flown = answer.flown
    page.heading(f"A whole exercise: height the stand-in loses more, {units.height.unit}")
    parts = [part.part for part in flown[0].parts]
    columns = [
        Column(wording.sentence_case(name), [_feet(each.parts[i].error_m, units) for each in flown])
        for i, name in enumerate(parts)
    ]
    page.table(
        [
            Column("Flown", [_flown_at(each, units) for each in flown], is_number=False),
            *columns,
            Column("Altogether", [_feet(each.error_m, units) for each in flown]),
        ]
    )


def _feet(height_m: float, units: Units) -> str:
    return wording.signed(height_m / units.height.unit_si)


def _flown_at(flown: FlownExercise, units: Units) -> str:
    offset_mps = flown.speed_offset_mps
    if flown.is_in_stronger_wind:
        return f"into {units.speed.text(flown.headwind_mps)} of wind"
    if offset_mps == 0.0:
        return "at best glide"
    return f"{units.speed.text(abs(offset_mps))} {'faster' if offset_mps > 0.0 else 'slower'}"


def _others(page: Sheet, answer: StandInAnswer, units: Units) -> None:
    if not answer.others:
        return
    page.heading("Other configurations, by the model")
    for each in answer.others:
        sd = units.manifold_pressure.figure(each.sd_pa)
        page.line(
            f"{wording.sentence_case(each.configuration)}: {units.manifold_pressure.text(each.manifold_pressure_pa)}, "
            f"give or take {sd}."
        )
