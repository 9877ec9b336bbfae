"""Sections of the airplane's pages made of results: a measured glide, a calibration, a stand-in with its honesty."""

from __future__ import annotations

import math
from collections.abc import Sequence

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration, CalibratedSpeed
from volplane.domain.airplane.honesty import HonestyRow as Compared
from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.domain.airplane.partial_glides import JudgedGlide
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.glide.configuration import CLEAN
from volplane.domain.glide.polar import implied_sink_mps
from volplane.domain.glide.turning import minimum_sink
from volplane.faces.documents import wording
from volplane.faces.documents.airspeed import LEFT_OUT, UNKNOWN
from volplane.faces.documents.measure import fit_text, why_text
from volplane.faces.documents.wording import NOT_OBSERVABLE, Units
from volplane.faces.report.calibration_charts import calibration_chart
from volplane.faces.report.charts import BAND_SD
from volplane.faces.report.measured_lines import (
    calibration_speeds,
    honesty_drawn,
    measured_glide_view,
    moment,
    stand_in_view,
    why_words,
)
from volplane.faces.report.polar_charts import polar_chart
from volplane.faces.report.stand_in_charts import honesty_chart, stand_in_chart
from volplane.faces.web.airplane_page import figure, section, table
from volplane.faces.web.markup import Child, Markup, el
from volplane.services.standing_in import StandInAnswer

FindingLine = tuple[str, str]
# speeds and pressures this near are the same on a page
_SAME_SPEED_MPS, _SAME_PRESSURE_PA = 0.05, 10.0
SEVERITY_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}


def findings_list(lines: Sequence[FindingLine]) -> Markup | None:
    """Severity and sentence of each finding."""
    if not lines:
        return None
    items = [el("li", el("b", SEVERITY_WORDS[severity]), el("span", text)) for severity, text in lines]
    return el("div", el("h3", "Findings", class_="block-head"), el("ul", items), class_="findings")


def measured_glide_section(
    measured: MeasuredGlide, airplane: Airplane, findings: Sequence[FindingLine], units: Units
) -> Markup:
    """The polar as measured, its figures beside those of the airplane file, and every glide with its fate."""
    drawing = polar_chart(measured_glide_view(measured, airplane, units), units=units)
    used = sum(point.is_used for point in measured.points)
    said = (
        f"{wording.sentence_case(wording.counted(used, 'glide'))} used, {len(measured.points) - used} left out. "
        f"At {units.weight.text(measured.reference_weight_kg)} and sea level. {fit_text(measured)} "
        "Give or take is the 90 % band."
    )
    heads = ("Quantity", "measured", "give or take", "airplane file")
    beside = [
        table(heads, _glide_figures(measured, airplane, units)),
        el("p", said, class_="sub"),
        _measured_configurations(measured),
        findings_list(findings),
        _folded("Every glide", _glides_table(measured, airplane, units)),
    ]
    return section("measured-glide", "The glide, measured", figure(drawing, "polar-measured"), beside)


def calibration_section(found: AirspeedCalibration, findings: Sequence[FindingLine], units: Units) -> Markup:
    """Position error by speed, and the wind of the legs."""
    speed = units.speed
    heads = (f"Indicated, {speed.unit}", "true", "give or take", "calibrated", "position error", "legs")
    rows = [_speed_cells(each, units) for each in found.speeds]
    wind = units.wind(found.wind_from_true_rad, found.wind_speed_mps)
    said = f"The wind of these legs: {wind}, give or take {_tenths(found.wind_sd_mps, units)}."
    left_out = sorted({leg.left_out for leg in found.legs if leg.left_out is not None})
    if left_out:
        said += f" Legs left out: {wording.listed([LEFT_OUT.get(each, why_words(each)) for each in left_out])}."
    unknown = sorted({each.unknown for each in found.speeds if each.unknown is not None})
    if unknown:
        said += f" {' '.join(UNKNOWN[each] for each in unknown)} Without it there is no calibrated speed."
    drawn = calibration_speeds(found)
    drawing: Child = figure(calibration_chart(drawn, units=units), "position-error-measured") if drawn else None
    beside = [table(heads, rows), el("p", said, class_="sub"), findings_list(findings)]
    return section("measured-airspeed", "Airspeed, measured", drawing, beside)


def stand_in_section(answer: StandInAnswer, findings: Sequence[FindingLine], units: Units) -> Markup:
    """The setting that stands in for the dead engine, its manifold pressure on the way down, and where it lies."""
    found, airplane = answer.found, answer.airplane
    stated = None
    if airplane.stand_in is not None and answer.stated_sink_mps is not None:
        stated = (airplane.stand_in.manifold_pressure_pa, answer.stated_sink_mps)
    charts = [
        figure(stand_in_chart(stand_in_view(found, stated), units=units), "stand-in-chart"),
        figure(honesty_chart(honesty_drawn(answer.honesty, airplane, units), units=units), "honesty-chart"),
    ]
    beside = [
        el("p", _match_words(answer, units), class_="sub"),
        _heights_table(answer, units),
        _exercise_table(answer, units),
        findings_list(findings),
        _folded("Honesty table", _honesty_table(answer.honesty, airplane, units)),
    ]
    return section("stand-in", "The stand-in", charts, beside)


def _heights_table(answer: StandInAnswer, units: Units) -> Markup:
    """Manifold pressure by height: what the gauge shows with the throttle left, and what would be honest there."""
    pressure, sink = units.manifold_pressure, units.sink
    heads = (f"Altitude, {units.height.unit}", f"throttle left, {pressure.unit}", "honest", f"difference, {sink.unit}")
    rows = [
        (
            units.height.figure(row.altitude_msl_m),
            pressure.figure(row.manifold_pressure_pa),
            pressure.figure(row.honest_pa),
            wording.signed(sink.value(row.sink_error_mps), sink.decimals),
        )
        for row in answer.heights
    ]
    return table(heads, rows)


def _exercise_table(answer: StandInAnswer, units: Units) -> Markup:
    """What the stand-in makes of the whole exercise, in both directions."""
    height = units.height
    heads = (f"Whole exercise, {height.unit}", "loses more", "loses less", "in all")
    rows = []
    for flown in answer.flown:
        offset = wording.signed(units.speed.value(flown.speed_offset_mps), units.speed.decimals)
        at_best = abs(flown.speed_offset_mps) < _SAME_SPEED_MPS
        name = "at the planned speeds" if at_best else wording.with_unit(offset, units.speed.unit)
        if flown.is_in_stronger_wind:
            name = f"into {units.speed.text(flown.headwind_mps)} of wind"
        total = wording.signed(height.value(flown.error_m))
        rows.append((name, height.figure(flown.more_m), height.figure(flown.less_m), total))
    return table(heads, rows)


def _folded(summary: str, inside: Markup) -> Markup:
    return el("details", el("summary", summary), inside, class_="fold")


def _match_words(answer: StandInAnswer, units: Units) -> str:
    found, pressure = answer.found, units.manifold_pressure
    here, points = found.conditions, found.used_points
    source = f"from {wording.counted(points, 'setting')} flown" if points else "from the model, an estimate"
    words = (
        f"{wording.sentence_case(answer.configuration.name)}, {units.engine_speed(here.engine_speed_radps)}, "
        f"{units.height.text(here.altitude_msl_m)}, {units.weight.text(here.weight_kg)}: "
        f"{pressure.text(found.wanted_pa)}, give or take {pressure.figure(BAND_SD * found.sd_pa)}, {source}."
    )
    if found.setting_pa > found.wanted_pa + _SAME_PRESSURE_PA:
        words += f" Set no less than {pressure.text(found.setting_pa)}, the airplane’s least."
    return words


def _glide_figures(measured: MeasuredGlide, airplane: Airplane, units: Units) -> list[tuple[str, ...]]:
    stated = airplane.glide.at_weight(measured.reference_weight_kg)
    speed, sink = units.speed, units.sink

    def ias(eas_mps: float) -> str:
        return speed.figure(ias_mps_from_cas_mps(airplane, eas_mps))

    def band(sd_mps: float, unit: wording.Scale) -> str:
        return wording.figure(BAND_SD * unit.value(sd_mps), max(unit.decimals, 0))

    longest = minimum_sink(stated, 0.0, CLEAN)
    best_sd, sink_sd = measured.best_eas_sd_mps, measured.sink_at_best_sd_mps
    ratio_band = wording.figure(BAND_SD * measured.ratio_sd, 1)
    least = measured.minimum_sink_mps
    return [
        (f"best glide, {speed.unit}", ias(measured.best_eas_mps), band(best_sd, speed), ias(stated.best_eas_mps)),
        ("ratio", wording.figure(measured.ratio, 1), ratio_band, wording.figure(stated.best_ratio, 1)),
        (
            f"sink there, {sink.unit}",
            sink.figure(measured.sink_at_best_mps),
            band(sink_sd, sink),
            sink.figure(implied_sink_mps(stated)),
        ),
        (
            f"least sink, {sink.unit}",
            sink.figure(least),
            band(measured.minimum_sink_sd_mps, sink),
            sink.figure(longest.sink_mps),
        ),
        (f"at, {speed.unit}", ias(measured.minimum_sink_eas_mps), NOT_OBSERVABLE, ias(longest.eas_mps)),
    ]


def _measured_configurations(measured: MeasuredGlide) -> Markup | None:
    """Extra drag of the configurations that were flown beside the clean one."""
    if not measured.configurations:
        return None
    rows = [
        (
            each.name,
            wording.percent(each.extra_drag_factor),
            wording.percent(BAND_SD * each.extra_drag_factor_sd),
            wording.figure(each.glides_count),
        )
        for each in measured.configurations
    ]
    return table(("Configuration", "extra drag", "give or take", "glides"), rows)


def _glides_table(measured: MeasuredGlide, airplane: Airplane, units: Units) -> Markup:
    heads = ("Glide", "configuration", "used", units.speed.unit, units.sink.unit, "ratio")
    return table(heads, [_glide_cells(point, airplane, units) for point in measured.points], words=3)


def _glide_cells(point: JudgedGlide, airplane: Airplane, units: Units) -> tuple[str, ...]:
    return (
        point.glide.place,
        point.glide.configuration,
        "yes" if point.is_used else why_text(point, units),
        units.speed.figure(ias_mps_from_cas_mps(airplane, point.eas_mps)),
        units.sink.figure(point.sink_mps),
        wording.figure(point.ratio, 1) if math.isfinite(point.ratio) else NOT_OBSERVABLE,
    )


def _speed_cells(found: CalibratedSpeed, units: Units) -> tuple[str, ...]:
    speed, cas, error = units.speed, found.cas_mps, found.position_error_mps
    return (
        speed.figure(found.ias_mps),
        wording.figure(speed.value(found.tas_mps), 1),
        _tenths(found.tas_sd_mps, units),
        wording.figure(None if cas is None else speed.value(cas), 1),
        wording.signed(None if error is None else speed.value(error), 1),
        wording.figure(found.legs_count),
    )


def _tenths(sd_mps: float, units: Units) -> str:
    """The 90 % band of a speed to a tenth of its unit."""
    return wording.figure(BAND_SD * units.speed.value(sd_mps), 1)


def _honesty_table(rows: Sequence[Compared], airplane: Airplane, units: Units) -> Markup:
    sink = units.sink
    heads = ("Where", "moment", "the stand-in", "dead engine", f"stand-in, {sink.unit}", "difference")
    cells = [
        (
            row.phase,
            moment(row, airplane, units) if row.phase != moment(row, airplane, units) else _speed(row, airplane, units),
            row.verdict or "too near the stall",
            sink.figure(row.real_sink_mps),
            sink.figure(row.stand_in_sink_mps),
            wording.signed(None if row.difference_mps is None else sink.value(row.difference_mps), sink.decimals),
        )
        for row in rows
    ]
    return table(heads, cells, words=3)


def _speed(row: Compared, airplane: Airplane, units: Units) -> str:
    return units.speed.text(ias_mps_from_cas_mps(airplane, row.eas_mps))
