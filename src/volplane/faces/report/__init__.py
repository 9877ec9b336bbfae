"""What people see: the figure kit and the card. Every figure is drawn here once, for pages, card and export alike.

Figures are functions from frozen SI values to SVG text; `docs/figures.md` says what they carry for a page. The
card is in `volplane.faces.report.card`, imported when one is printed because it brings the typesetter.
"""

from __future__ import annotations

from volplane.faces.report.charts import (
    flown_against_plan_chart,
    glide_by_phase_chart,
    height_in_hand_chart,
)
from volplane.faces.report.cutouts import cutout, finding_chart
from volplane.faces.report.flown_board import path_legend, whiteboard_debrief
from volplane.faces.report.heights import gate_ladder, height_profile
from volplane.faces.report.plan_board import whiteboard
from volplane.faces.report.tokens import Colour, Theme, css_font_faces, css_tokens
from volplane.faces.report.wind_chart import wind_by_height

__all__ = [
    "Colour",
    "Theme",
    "css_font_faces",
    "css_tokens",
    "cutout",
    "finding_chart",
    "flown_against_plan_chart",
    "gate_ladder",
    "glide_by_phase_chart",
    "height_in_hand_chart",
    "height_profile",
    "path_legend",
    "whiteboard",
    "whiteboard_debrief",
    "wind_by_height",
]
