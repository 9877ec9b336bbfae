"""The wind found on a flight beside the wind it was planned with, by height."""

from __future__ import annotations

import math

from volplane.domain.debrief.results import Attempt
from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, board, ink, lettering, svg, tokens
from volplane.faces.report.boxes import Box
from volplane.faces.report.charts import BAND_SD, CHART_PX
from volplane.faces.report.heights import LADDER_FOOT_PX, LADDER_TOP_PX, HeightAxis
from volplane.faces.report.lettering import NAME, NOTE
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

# half the board's scale: arrows of strong winds must not run into the row above
_WIND_PX_A_KNOT = 2.0
_LEFT_PX = 44.0


def wind_by_height(
    attempt: Attempt,
    *,
    size_px: tuple[float, float] = CHART_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
    shared: HeightAxis | None = None,
) -> str:
    """The wind found at its heights beside the wind planned with, as SVG: arrows in the runway's frame, landing up.

    On an axis `shared` with a gate ladder of the same height the levels stand at their altimeter readings.
    """
    name = "wind-by-height"
    words = "Wind by height, altimeter" if shared else f"Wind by height above the field, {units.height.unit}"
    found = sorted(attempt.wind, key=lambda wind: wind.height_m)
    if not found:
        sentence = "The wind was not found: the flight turned too little for that."
        return axes.nothing_to_show(name, words, sentence, size_px).svg(theme)
    exercise, column = attempt.plan.exercise, (size_px[0] - _LEFT_PX) / 2.0
    frame = _frame(max(found[-1].height_m, 1.0), size_px, units, shared)
    area = frame.area
    parts: list[Element] = [axes.title(words)]
    for number, heading in enumerate(("found", "planned")):
        parts.append(svg.text((_LEFT_PX + number * column, 32.0), heading, NAME if number == 0 else NOTE))
    last = math.inf
    for wind in found:
        level_m = wind.height_m if shared is None else _altimeter_msl_m(attempt, wind.height_m)
        down = frame.up.px(units.height.value(level_m))
        if last - down < 34.0:
            continue
        last = down
        parts.append(svg.line((area.left, down), (area.right, down), Colour.GRID, tokens.RULE_PX))
        height = wording.figure(wording.rounded(units.height.value(level_m), 50.0))
        parts.append(svg.text((area.left - 8.0, down + 4.3), height, NOTE, anchor="end"))
        said = f"{units.wind(wind.from_true_rad, wind.speed_mps)}"
        band = f"give or take {units.speed.figure(BAND_SD * wind.sd_mps)}"
        bearing = exercise.runway.bearing_true_rad
        level = board.level_of(wind.from_true_rad, wind.speed_mps, bearing, "", units)
        parts += _wind_cell(level, (_LEFT_PX, down), (said, band), Colour.INK)
        speed_mps, from_rad = exercise.weather.wind.speed_and_direction(max(wind.height_m, 10.0))
        wished = board.level_of(from_rad, speed_mps, bearing, "", units)
        parts += _wind_cell(wished, (_LEFT_PX + column, down), (units.wind(from_rad, speed_mps), ""), Colour.SOFT)
    description = ". ".join(
        f"at {units.rounded_height(wind.height_m, 50.0)} {units.wind(wind.from_true_rad, wind.speed_mps)}"
        for wind in found
    )
    return Drawing(name, *size_px, words, description, tuple(parts), {"figure": name}).svg(theme)


def _frame(top_m: float, size_px: tuple[float, float], units: Units, shared: HeightAxis | None) -> axes.Plot:
    """The plot from the field to the highest level, or over the axis of the ladder beside it."""
    if shared is None:
        area = Box(_LEFT_PX, 62.0, size_px[0], size_px[1] - 30.0)
        return axes.plot(area, (0.0, 2.0), (0.0, units.height.value(top_m)))
    area = Box(_LEFT_PX, LADDER_TOP_PX, size_px[0], size_px[1] - LADDER_FOOT_PX)
    return axes.plot(area, (0.0, 2.0), (shared.ground, shared.top))


def _altimeter_msl_m(attempt: Attempt, height_m: float) -> float:
    """What the altimeter reads at a height above the touchdown point."""
    wish = attempt.plan.exercise
    atmosphere = wish.weather.atmosphere
    return float(atmosphere.altimeter_msl_m(height_m + wish.ground_msl_m - atmosphere.field_elevation_msl_m))


def _wind_cell(level: board.WindLevel, at: Point, words: tuple[str, str], colour: Colour) -> list[Element]:
    """An arrow about its height's line with what it is to the right of it."""
    parts: list[Element] = []
    if level.speed_kt >= 0.5:
        parts += ink.wind_arrow((at[0] + 22.0, at[1]), level.screen_angle_rad, level.speed_kt, colour, _WIND_PX_A_KNOT)
    style = lettering.WINDOW.in_colour(colour)
    parts.append(svg.text((at[0] + 50.0, at[1] - 3.0 if words[1] else at[1] + 4.5), words[0], style))
    if words[1]:
        parts.append(svg.text((at[0] + 50.0, at[1] + 14.0), words[1], NOTE))
    return parts
