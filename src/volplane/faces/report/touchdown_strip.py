"""Where the wheels touched when a plan was flown many times, along the runway: landing direction to the right."""

from __future__ import annotations

from dataclasses import dataclass

from volplane.domain.exercise.dispersion import ZONE_M
from volplane.domain.exercise.dispersion_results import Dispersion
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.dispersion import dispersion_sentences, outcome_entries
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, ink, svg, tokens
from volplane.faces.report.axes import Scale
from volplane.faces.report.lettering import FIGURE, NAME, NOTE
from volplane.faces.report.svg import Drawing, Element
from volplane.faces.report.tokens import Colour, Theme
from volplane.units import m_from_ft

STRIP_PX = (760.0, 148.0)
# what is shown before the threshold and beyond the farthest of zone and touchdowns
_BEFORE_M, _BEYOND_M = m_from_ft(350.0), m_from_ft(450.0)
_TOP_PX, _HALF_PX = 78.0, 11.0
_WHISKER_PX, _FIGURES_PX, _SHARES_PX, _NAMES_PX = 50.0, 38.0, 116.0, 132.0


@dataclass(frozen=True, slots=True)
class _Strip:
    """The runway along the page: x from the touchdown point in metres to px; where it begins and ends."""

    across: Scale
    threshold_m: float
    end_m: float
    units: Units

    def px(self, x_m: float) -> float:
        return self.across.px(x_m)


def touchdown_strip(
    plan: Plan,
    flown: Dispersion,
    *,
    size_px: tuple[float, float] = STRIP_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The touchdowns of a dispersion on the runway, as SVG: nine in ten, half of them, the middle one, and the shares.

    Short of the runway is marked as the edge it is. Without a landing the runway alone is drawn.
    """
    strip = _strip(plan, flown, size_px[0], units)
    title = f"Where the wheels touched, {units.length.unit} from the touchdown point"
    parts = [axes.title(title), *_runway(strip, size_px[0]), *_shares(strip, flown, size_px[0])]
    if flown.go_around_fraction < 1.0:
        parts += _whisker(strip, flown)
    shares = ", ".join(f"{name.lower()} {part}" for name, part in outcome_entries(flown))
    words = f"{shares}. {next(iter(dispersion_sentences(flown, units)), '')}"
    return Drawing("touchdown-strip", *size_px, title, words, tuple(parts), {"figure": "touchdown-strip"}).svg(theme)


def _strip(plan: Plan, flown: Dispersion, width_px: float, units: Units) -> _Strip:
    exercise = plan.exercise
    threshold_m = -exercise.touchdown_beyond_threshold_m
    end_m = threshold_m + exercise.runway.length_m
    lands = flown.go_around_fraction < 1.0
    first_m = min([threshold_m, *(flown.percentile_x_m[:1] if lands else ())]) - _BEFORE_M
    last_m = max([ZONE_M, *(flown.percentile_x_m[-1:] if lands else ())]) + _BEYOND_M
    return _Strip(Scale(first_m, last_m, 0.0, width_px), threshold_m, end_m, units)


def _runway(strip: _Strip, width_px: float) -> list[Element]:
    """The runway from its threshold on, the touchdown point and the zone; it goes on where it leaves the page."""
    start, top, bottom = strip.px(strip.threshold_m), _TOP_PX - _HALF_PX, _TOP_PX + _HALF_PX
    ends_here = strip.px(strip.end_m) <= width_px
    end = min(strip.px(strip.end_m), width_px)
    sides = [(start, top), (end, top)], [(start, bottom), (end, bottom)]
    point, zone_end = strip.px(0.0), strip.px(ZONE_M)
    parts = [
        svg.rectangle(start, top, end - start, bottom - top, fill=Colour.SHEET),
        *(svg.polyline(side, Colour.INK, tokens.FURNITURE_PX) for side in sides),
        svg.line((start + 12.0, _TOP_PX), (end, _TOP_PX), Colour.SOFT, tokens.RULE_PX, dash="12 8"),
        *ink.toothed_edge((start, bottom + 6.0), (start, top - 6.0)),
        svg.line((point, top - 4.0), (point, bottom + 4.0), Colour.INK, tokens.TOUCHDOWN_PX),
        svg.line((point, bottom + 9.0), (zone_end, bottom + 9.0), Colour.INK, tokens.FURNITURE_PX),
        *(svg.line((x, bottom + 5.0), (x, bottom + 13.0), Colour.INK, tokens.FURNITURE_PX) for x in (point, zone_end)),
    ]
    if ends_here:
        parts.append(svg.line((end, top), (end, bottom), Colour.INK, tokens.FURNITURE_PX))
    return parts


def _whisker(strip: _Strip, flown: Dispersion) -> list[Element]:
    """Nine in ten thin, half of them thick, the middle one a dot; figures at the ends and in the middle."""
    low, quarter, middle, three_quarters, high = flown.percentile_x_m
    thin = (strip.px(low), _WHISKER_PX), (strip.px(high), _WHISKER_PX)
    thick = (strip.px(quarter), _WHISKER_PX), (strip.px(three_quarters), _WHISKER_PX)
    parts = [
        svg.line(*thin, Colour.INK, tokens.FURNITURE_PX, class_="nine-in-ten"),
        *(svg.line((x, 45.0), (x, 55.0), Colour.INK, tokens.FURNITURE_PX) for x in (thin[0][0], thin[1][0])),
        svg.line(*thick, Colour.INK, tokens.TOUCHDOWN_PX, class_="half"),
        ink.flown_dot((strip.px(middle), _WHISKER_PX)),
    ]
    taken = -1e9
    for x_m in (low, middle, high):
        words, at = strip.units.length.signed(x_m), strip.px(x_m)
        half = FIGURE.width_px(words) / 2.0
        if at - half > taken + 6.0:
            parts.append(svg.text((at, _FIGURES_PX), words, FIGURE, anchor="middle"))
            taken = at + half
    return parts


def _shares(strip: _Strip, flown: Dispersion, width_px: float) -> list[Element]:
    """The part of all flights under each stretch; those that went around have no place and stand in words."""
    parts = dict(outcome_entries(flown))
    start, point, zone_end = strip.px(strip.threshold_m), strip.px(0.0), strip.px(ZONE_M)
    places = (
        ("Short of the runway", "short of the runway", start - 8.0, "end", Colour.ORANGE1),
        ("On the runway before the point", "before the point", (start + point) / 2.0, "middle", Colour.INK),
        ("In the zone", "in the zone", (point + zone_end) / 2.0, "middle", Colour.INK),
        ("Beyond the zone", "beyond the zone", zone_end + (width_px - zone_end) / 2.0, "middle", Colour.INK),
    )
    drawn = []
    for name, words, across, anchor, colour in places:
        drawn.append(svg.text((across, _SHARES_PX), parts[name], NAME.in_colour(colour), anchor=anchor))
        drawn.append(svg.text((across, _NAMES_PX), words, NOTE, anchor=anchor))
    return drawn
