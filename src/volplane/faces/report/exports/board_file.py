"""The whiteboard as a file of its own: with its lettering, a margin, what it was drawn for, and the cautions."""

from __future__ import annotations

import base64
import html

from volplane.domain.exercise.plan import Plan
from volplane.faces.documents import plan_words, wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import tokens
from volplane.faces.report.lettering import FONTS_FOLDER
from volplane.faces.report.plan_board import WHITEBOARD_PX, whiteboard
from volplane.faces.report.svg import escaped
from volplane.faces.report.tokens import Colour, Theme

MARGIN_PX = 32.0
_HEAD_PX, _FOOT_PX = 52.0, 44.0
# the board's lettering and its pen notes
_FONTS = ("overpass.woff2", "source-serif-4-400-italic.woff2")


def whiteboard_file(plan: Plan, units: Units = IMPERIAL) -> str:
    """The whiteboard as SVG text that looks the same wherever it is opened."""
    binding = None if plan.binding is None else plan_words.binding_text(plan.binding, units)
    board = whiteboard(plan, units=units, theme=Theme.LIGHT, binding_words=binding)
    width, height = (size + 2.0 * MARGIN_PX for size in WHITEBOARD_PX)
    height += _HEAD_PX + _FOOT_PX
    paper = Theme.LIGHT.colour(Colour.PAPER)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}" font-family="{html.escape(tokens.SANS_STACK)}">'
        f"<style>{_font_faces()}</style>"
        f'<rect width="{width:g}" height="{height:g}" fill="{paper}"/>'
        f"{_head(plan, units)}"
        f'<svg x="{MARGIN_PX:g}" y="{MARGIN_PX + _HEAD_PX:g}" overflow="visible" '
        f'width="{WHITEBOARD_PX[0]:g}" height="{WHITEBOARD_PX[1]:g}">{board}</svg>'
        f"{_foot(height)}</svg>\n"
    )


def _head(plan: Plan, units: Units) -> str:
    exercise = plan.exercise
    name = f"{exercise.airfield.name}: {exercise.shape} to runway {exercise.runway.name}, {exercise.pattern} pattern"
    facts = (
        f"{exercise.airplane.name} at {units.weight.text(exercise.weight_kg)}. Altimeter setting "
        f"{units.altimeter_setting.text(exercise.weather.atmosphere.qnh_pa)}. "
        f"{wording.utc_date(exercise.time_unix_s)}, {wording.utc_clock(exercise.time_unix_s)} UTC."
    )
    return _line(name, MARGIN_PX + 13.0, 16.0, Colour.INK, 600) + _line(facts, MARGIN_PX + 33.0, 12.0, Colour.SOFT, 400)


def _foot(height_px: float) -> str:
    first_px = height_px - MARGIN_PX - 16.0
    lines = enumerate(wording.CAUTION_LINES)
    return "".join(_line(text, first_px + 16.0 * number, 12.0, Colour.SOFT, 400) for number, text in lines)


def _line(text: str, y_px: float, size_px: float, colour: Colour, weight: int) -> str:
    return (
        f'<text x="{MARGIN_PX:g}" y="{y_px:g}" font-size="{size_px:g}" font-weight="{weight}" '
        f'fill="{Theme.LIGHT.colour(colour)}">{escaped(text)}</text>'
    )


def _font_faces() -> str:
    faces = []
    for file in _FONTS:
        family, weight, style = tokens.WEB_FONTS[file]
        data = base64.b64encode((FONTS_FOLDER / file).read_bytes()).decode("ascii")
        faces.append(
            f'@font-face{{font-family:"{family}";font-weight:{weight};font-style:{style};'
            f"src:url(data:font/woff2;base64,{data})}}"
        )
    return "".join(faces)
