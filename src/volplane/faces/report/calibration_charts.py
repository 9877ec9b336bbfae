"""Airspeed calibration: what the dial shows too much or too little, by speed, each with its 90 % whisker."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, board, ink, svg, tokens
from volplane.faces.report.axes import Plot, Scale
from volplane.faces.report.boxes import Box, Placer
from volplane.faces.report.chart_marks import axis_quantity, label_near, left_out, whisker_up
from volplane.faces.report.charts import BAND_SD
from volplane.faces.report.lettering import FIGURE, NOTE
from volplane.faces.report.svg import Drawing, Element
from volplane.faces.report.tokens import Colour, Theme

CALIBRATION_PX = (560.0, 260.0)
NOT_CALIBRATED = "No calibration: the indicated airspeed is taken as the calibrated one."
_LEFT_PX, _TOP_PX, _FOOT_PX = 48.0, 32.0, 44.0


@dataclass(frozen=True, slots=True)
class SpeedChecked:
    """What the dial shows too much at one indicated speed: indicated less calibrated airspeed.

    `sd_mps` is its standard error, None when it is not known; `why` says in words why a speed was left out.
    """

    ias_mps: float
    position_error_mps: float
    sd_mps: float | None = None
    is_used: bool = True
    why: str = ""


def calibration_chart(
    speeds: Sequence[SpeedChecked],
    *,
    size_px: tuple[float, float] = CALIBRATION_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """Position error against indicated airspeed as SVG; the line joins what was used."""
    name, words = "calibration", f"Position error, indicated less calibrated, {units.speed.unit}"
    if not speeds:
        return axes.nothing_to_show(name, words, NOT_CALIBRATED, size_px).svg(theme)
    frame = _frame(speeds, size_px, units)
    unit = units.speed.unit_si
    placer = Placer(Box(frame.area.left + 2.0, 18.0, size_px[0], frame.area.bottom))
    used = sorted((speed for speed in speeds if speed.is_used), key=lambda speed: speed.ias_mps)
    path = [frame.at(speed.ias_mps / unit, speed.position_error_mps / unit) for speed in used]
    lines: list[Element] = []
    placer.clear_of = board.resampled([frame.at(frame.across.low, 0.0), frame.at(frame.across.high, 0.0)])
    if len(path) > 1:
        lines.append(svg.polyline(path, Colour.SOFT, tokens.PLAN_BEHIND_PX, class_="position-error"))
        placer.clear_of = np.concatenate([placer.clear_of, board.resampled(path)])
    marks, labels = _marks(speeds, frame, placer, units)
    decimals = 0 if axes.step_for(frame.up.high - frame.up.low, 5) >= 1.0 else 1
    rows = axes.grid(frame, axes.ticks(frame.up.low, frame.up.high, 5), lambda value: wording.signed(value, decimals))
    ticks = axes.ticks(frame.across.low, frame.across.high, 8)
    parts = (
        axes.title(words),
        *rows,
        *axis_quantity(frame, ticks, f"indicated airspeed, {units.speed.unit}", size_px),
        *lines,
        *marks,
        *labels,
    )
    said = ". ".join(_described(speed, units) for speed in speeds)
    return Drawing(name, *size_px, words, f"{said}.", parts, {"figure": name, **frame.data()}).svg(theme)


def _frame(speeds: Sequence[SpeedChecked], size_px: tuple[float, float], units: Units) -> Plot:
    unit = units.speed.unit_si
    across = [speed.ias_mps / unit for speed in speeds]
    ends = [
        (speed.position_error_mps + side * BAND_SD * (speed.sd_mps or 0.0)) / unit
        for speed in speeds
        for side in (-1, 1)
    ]
    low, high = axes.rounded_out(min(*ends, 0.0, -1.0), max(*ends, 1.0), 5)
    left, right = axes.rounded_out(min(across) - 5.0, max(across) + 5.0, 8)
    area = Box(_LEFT_PX, _TOP_PX, size_px[0] - 10.0, size_px[1] - _FOOT_PX)
    return Plot(area, Scale(left, right, area.left, area.right), Scale(low, high, area.bottom, area.top))


def _marks(
    speeds: Sequence[SpeedChecked], frame: Plot, placer: Placer, units: Units
) -> tuple[list[Element], list[Element]]:
    """Symbols with their whiskers, and the words beside them."""
    unit = units.speed.unit_si
    marks: list[Element] = []
    places = []
    for speed in speeds:
        at = frame.at(speed.ias_mps / unit, speed.position_error_mps / unit)
        top = bottom = at[1]
        if speed.sd_mps is not None:
            half = BAND_SD * speed.sd_mps
            top, bottom = (frame.up.px((speed.position_error_mps + side * half) / unit) for side in (1.0, -1.0))
            marks += whisker_up(at[0], top, bottom)
        placer.take(Box(at[0] - 4.0, top - 2.0, at[0] + 4.0, bottom + 2.0))
        marks.append(ink.flown_dot(at) if speed.is_used else left_out(at))
        places.append((speed, (at[0], top), bottom - top))
    labels: list[Element] = []
    for speed, at, extent in places:
        words = wording.signed(speed.position_error_mps / unit, 1) if speed.is_used else speed.why
        style = FIGURE if speed.is_used else NOTE
        labels += label_near(words, style, at, placer, (-7.0, extent + 16.0), sure=speed.is_used)
    return marks, labels


def _described(speed: SpeedChecked, units: Units) -> str:
    unit = units.speed.unit_si
    off = wording.with_unit(wording.signed(speed.position_error_mps / unit, 1), units.speed.unit)
    band = "" if speed.sd_mps is None else f", give or take {wording.figure(BAND_SD * speed.sd_mps / unit, 1)}"
    left = "" if speed.is_used else f", left out: {speed.why or 'no reason told'}"
    return f"{units.speed.text(speed.ias_mps)} indicated: {off}{band}{left}"
