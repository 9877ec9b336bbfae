"""Figures as SVG: what they hold, that hostile names stay text, that no label touches another whatever the shape."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from tests.faces import fixtures
from tests.faces.fixtures import Shape
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Attempt, Outcome
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Side
from volplane.faces import report
from volplane.faces.documents.wording import IMPERIAL, METRIC
from volplane.faces.report import cutouts, ink, lettering, svg, tokens
from volplane.faces.report.boxes import Box, Line
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.tokens import Colour, Theme

HOLE = re.compile(r"\b(nan|inf|NaN|None)\b")
SVG = "{http://www.w3.org/2000/svg}"
SHAPES = {
    "as in the book": Shape(),
    "overhead and small": Shape(offset_ft=0.0, first_radius_ft=1700.0, downwind_ft=1500.0),
    "long upwind and wide": Shape(upwind_ft=3000.0, first_radius_ft=3800.0, downwind_ft=6000.0, base_leg_ft=1500.0),
    "short final": Shape(first_radius_ft=2400.0, downwind_ft=800.0),
    "tiny": Shape(offset_ft=300.0, first_radius_ft=900.0, downwind_ft=600.0),
    "far out": Shape(first_radius_ft=9000.0, downwind_ft=15000.0),
}
WINDS = {
    "calm": WindProfile.calm(),
    "strong across": WindProfile.uniform(math.radians(150.0), 15.0),
    "three levels": WindProfile.from_levels([(0.0, 1.0, 3.0), (500.0, 2.0, 8.0), (1000.0, 4.0, 12.0)]),
}


def with_wind(plan: Plan, wind: WindProfile) -> Plan:
    weather = dataclasses.replace(plan.exercise.weather, wind=wind)
    return dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, weather=weather))


def without_anything(attempt: Attempt) -> Attempt:
    """The same flight from which nothing could be found but its path."""
    bare = {"verdict": None, "glide": None, "height_in_hand": None, "touchdown": None}
    return dataclasses.replace(attempt, gates=(), wind=(), findings=(), **bare)


PLAN_FIGURES: dict[str, Callable[..., str]] = {
    "whiteboard": report.whiteboard,
    "height profile": report.height_profile,
    "gate ladder": report.gate_ladder,
}
FLOWN_FIGURES: dict[str, Callable[..., str]] = {
    "whiteboard of a flight": report.whiteboard_debrief,
    "gate ladder of a flight": report.gate_ladder,
    "height in hand": report.height_in_hand_chart,
    "flown against plan": report.flown_against_plan_chart,
    "glide by phase": report.glide_by_phase_chart,
    "wind by height": report.wind_by_height,
}


def texts(figure: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(figure).iter(f"{SVG}text"))


def words(figure: str) -> list[str]:
    return [element.text or "" for element in texts(figure)]


def text_boxes(figure: str) -> Iterator[tuple[str, Box]]:
    """Boxes of all texts, measured again from what was written."""
    for element in texts(figure):
        family, italic = element.get("font-family", ""), element.get("font-style") == "italic"
        style = Lettering(
            float(element.get("font-size", "12")),
            int(element.get("font-weight", "400")),
            is_serif="Serif" in family,
            is_italic=italic,
        )
        line = Line(element.text or "", style, anchor=element.get("text-anchor", "start"))
        yield line.words, line.box((float(element.get("x", "0")), float(element.get("y", "0"))))


def touching(figure: str) -> list[tuple[str, str]]:
    """Pairs of texts whose ink boxes overlap."""
    pairs = itertools.combinations(text_boxes(figure), 2)
    return [(one, other) for (one, box), (other, beside) in pairs if box.touches(beside, -0.5)]


def outside(figure: str, slack_px: float = 2.0) -> list[str]:
    """Texts that reach over the edge of the figure."""
    root = ElementTree.fromstring(figure)
    frame = Box(0.0, 0.0, float(root.get("width", "0")), float(root.get("height", "0"))).grown(slack_px)
    return [word for word, box in text_boxes(figure) if not box.is_inside(frame)]


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
@pytest.mark.parametrize("draw", PLAN_FIGURES.values(), ids=PLAN_FIGURES)
def test_no_label_of_a_plan_touches_another_or_leaves_the_figure(
    draw: Callable[..., str], shape: Shape, side: Side
) -> None:
    figure = draw(fixtures.plan(side, shape))
    assert touching(figure) == []
    assert outside(figure) == []


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("outcome", [Outcome.LANDED, Outcome.WENT_AROUND])
@pytest.mark.parametrize("draw", FLOWN_FIGURES.values(), ids=FLOWN_FIGURES)
def test_no_label_of_a_flight_touches_another_or_leaves_the_figure(
    draw: Callable[..., str], outcome: Outcome, side: Side
) -> None:
    figure = draw(fixtures.attempt(side, outcome=outcome))
    assert touching(figure) == []
    assert outside(figure) == []


@pytest.mark.parametrize("wind", WINDS.values(), ids=WINDS)
@pytest.mark.parametrize("side", list(Side))
def test_the_wind_finds_a_place_whatever_it_is(wind: WindProfile, side: Side) -> None:
    figure = report.whiteboard(with_wind(fixtures.plan(side), wind))
    assert "Wind" in words(figure)
    assert touching(figure) == []


@pytest.mark.parametrize("size_px", [(560.0, 556.0), (408.0, 460.0), (756.0, 600.0), (320.0, 420.0)])
def test_the_board_fits_any_column(size_px: tuple[float, float]) -> None:
    figure = report.whiteboard(fixtures.plan(), size_px=size_px)
    assert touching(figure) == []
    assert outside(figure) == []


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_gates_are_never_left_out_and_say_where_they_are(shape: Shape) -> None:
    plan = fixtures.plan(shape=shape)
    root = ElementTree.fromstring(report.whiteboard(plan))
    scale, x0, y0 = (float(root.get(f"data-{key}", "nan")) for key in ("px-per-m", "origin-x", "origin-y"))
    groups = {group.get("data-gate"): group for group in root.iter(f"{SVG}g") if group.get("class") == "gate"}
    assert list(groups) == [str(name) for name in GateName]
    for gate in plan.gates:
        group = groups[str(gate.name)]
        assert float(group.get("data-x", "nan")) == pytest.approx(x0 - gate.y_m * scale, abs=0.02)
        assert float(group.get("data-y", "nan")) == pytest.approx(y0 - gate.x_m * scale, abs=0.02)
        assert float(group.get("data-time", "nan")) == pytest.approx(gate.time_s, abs=0.01)
        said = [element.text for element in group.iter(f"{SVG}text")]
        assert said[0] == str(gate.name).capitalize()
        assert said[1] == IMPERIAL.altimeter(gate.altimeter_msl_m)
        assert group.find(f"{SVG}circle[@class='grab']") is not None


def test_left_and_right_patterns_are_mirror_images() -> None:
    gates = []
    for side in Side:
        root = ElementTree.fromstring(report.whiteboard(fixtures.plan(side)))
        groups = [group for group in root.iter(f"{SVG}g") if group.get("class") == "gate"]
        gates.append([(float(group.get("data-x", "0")), float(group.get("data-y", "0"))) for group in groups])
    middle = 560.0 / 2.0
    for left, right in zip(*gates, strict=True):
        assert left[0] - middle == pytest.approx(middle - right[0], abs=0.15)
        assert left[1] == pytest.approx(right[1], abs=0.15)


def test_the_wind_arrow_points_where_the_air_goes() -> None:
    # landing 238.4 degrees true: wind from straight ahead blows down the page, from the right (328.4) to the left
    for from_deg, direction in ((238.4, (0.0, 1.0)), (328.4, (-1.0, 0.0)), (58.4, (0.0, -1.0))):
        wind = WindProfile.uniform(math.radians(from_deg), 10.0)
        root = ElementTree.fromstring(report.whiteboard(with_wind(fixtures.plan(), wind)))
        arrow = root.find(f".//{SVG}line[@class='wind']")
        assert arrow is not None
        dx = float(arrow.get("x2", "0")) - float(arrow.get("x1", "0"))
        dy = float(arrow.get("y2", "0")) - float(arrow.get("y1", "0"))
        length = math.hypot(dx, dy)
        assert (dx / length, dy / length) == pytest.approx(direction, abs=1e-3)


def test_a_hostile_name_stays_text() -> None:
    plan = fixtures.plan()
    bad = '25"><script>alert(1)</script>&\x00\u2028'
    runway = dataclasses.replace(plan.exercise.runway, name=bad)
    plan = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, runway=runway))
    figure = report.whiteboard(plan)
    root = ElementTree.fromstring(figure)
    assert not list(root.iter(f"{SVG}script"))
    assert "<script" not in figure
    assert any("<script>alert(1)</script>&\ufffd" in (element.text or "") for element in root.iter())


@pytest.mark.parametrize("theme", list(Theme))
def test_figures_are_the_same_bytes_each_time_and_hold_no_hole(theme: Theme) -> None:
    plan, attempt = fixtures.plan(), fixtures.attempt()
    for draw in PLAN_FIGURES.values():
        assert draw(plan, theme=theme) == draw(fixtures.plan(), theme=theme)
        assert not HOLE.search(draw(plan, theme=theme))
    for draw in FLOWN_FIGURES.values():
        assert draw(attempt, theme=theme) == draw(fixtures.attempt(), theme=theme)
        assert not HOLE.search(draw(attempt, theme=theme))


def test_a_page_drawing_leaves_colours_to_the_page_and_others_are_literal() -> None:
    plan = fixtures.plan()
    page = report.whiteboard(plan)
    assert "#" not in re.sub(r"&#\d+;", "", page)
    assert " style=" not in page  # a strict content policy forbids inline styles
    for theme in (Theme.LIGHT, Theme.DUSK, Theme.PRINT):
        assert "var(" not in report.whiteboard(plan, theme=theme)


def test_print_knows_black_white_and_grey_only() -> None:
    figure = report.whiteboard_debrief(fixtures.attempt(), theme=Theme.PRINT)
    colours = set(re.findall(r"#[0-9A-Fa-f]{6}", figure))
    assert all(len({colour[1:3], colour[3:5], colour[5:7]}) == 1 for colour in colours), colours


@pytest.mark.parametrize("draw", FLOWN_FIGURES.values(), ids=FLOWN_FIGURES)
def test_a_flight_of_which_nothing_is_known_still_draws(draw: Callable[..., str]) -> None:
    figure = draw(without_anything(fixtures.attempt()))
    assert ElementTree.fromstring(figure).tag == f"{SVG}svg"
    assert touching(figure) == []


def test_metres_are_written_for_a_metric_reader() -> None:
    figure = report.whiteboard(fixtures.plan(), units=METRIC)
    assert any(word.endswith("\u00a0km") or "\u00a0m" in word for word in words(figure))
    assert not any("\u00a0ft" in word or "NM" in word for word in words(figure))
    assert touching(figure) == []


def test_an_infeasible_plan_is_dashed_and_says_what_binds() -> None:
    figure = report.whiteboard(fixtures.plan(feasible=False), binding_words="Enter 240 ft higher.")
    root = ElementTree.fromstring(figure)
    paths = [path for path in root.iter(f"{SVG}path") if "infeasible" in (path.get("class") or "")]
    assert [path.get("stroke-dasharray") for path in paths] == ["9 3.5"]
    assert [path.get("stroke") for path in paths] == ["var(--orange1)"]
    assert "Enter 240 ft higher." in " ".join(words(figure))
    assert not [path for path in root.iter(f"{SVG}path") if path.get("class") == "path planned"]


def test_the_five_styles_follow_height_in_hand() -> None:
    feet = 0.3048
    cases = {
        500.0: ink.PathStyle.MUCH,
        300.0: ink.PathStyle.SPARE,
        100.0: ink.PathStyle.RIGHT,
        0.0: ink.PathStyle.RIGHT,
        -50.0: ink.PathStyle.MISSING,
        -90.0: ink.PathStyle.MUCH_MISSING,
    }
    for in_hand_ft, style in cases.items():
        assert ink.style_of(in_hand_ft * feet, 10.0) is style
    assert ink.style_of(100.0 * feet, -1.0) is ink.PathStyle.MUCH  # too high to lose
    assert ink.style_of(math.nan, math.nan) is ink.PathStyle.UNKNOWN


def test_the_flown_path_shows_every_style_the_flight_has() -> None:
    root = ElementTree.fromstring(report.whiteboard_debrief(fixtures.attempt()))
    classes = {(path.get("class") or "").removeprefix("flown ") for path in root.iter(f"{SVG}path")}
    assert {"much", "spare", "right", "missing", "much-missing"} <= classes


def test_the_legend_names_the_bounds_in_the_readers_unit() -> None:
    assert {"over 400", "150 to 400", "0 to 150", "0 to \u221275", "under \u221275"} <= set(words(report.path_legend()))
    assert {"over 122", "46 to 122"} <= set(words(report.path_legend(units=METRIC)))
    assert touching(report.path_legend()) == []


def test_beads_stand_every_ten_seconds_from_the_high_key() -> None:
    attempt = fixtures.attempt()
    root = ElementTree.fromstring(report.whiteboard_debrief(attempt))
    times = [float(bead.get("data-time", "nan")) for bead in root.iter(f"{SVG}circle") if bead.get("class") == "bead"]
    high = attempt.gate(GateName.HIGH_KEY)
    assert high is not None
    assert np.allclose((np.array(times) - high.time_s) % 10.0, 0.0, atol=0.02)
    assert len(times) == int((attempt.end_time_s - high.time_s) // 10.0) + 1


def test_findings_are_numbered_on_the_board_as_in_the_list() -> None:
    root = ElementTree.fromstring(report.whiteboard_debrief(fixtures.attempt()))
    numbers = [group.get("data-finding") for group in root.iter(f"{SVG}g") if group.get("class") == "finding-number"]
    assert numbers == ["1", "2", "3"]


def test_a_chart_over_time_says_where_a_second_lies() -> None:
    attempt = fixtures.attempt()
    for figure in (report.height_in_hand_chart(attempt), report.flown_against_plan_chart(attempt)):
        root = ElementTree.fromstring(figure)
        data = {key.removeprefix("data-"): value for key, value in root.attrib.items() if key.startswith("data-")}
        last = attempt.gates[-1].time_s
        across = float(data["origin-x"]) + (last - float(data["time-zero"])) * float(data["px-per-s"])
        assert float(data["plot-left"]) < across <= float(data["plot-right"]) + 0.5


def test_flown_against_plan_is_the_difference_of_heights_at_gates() -> None:
    attempt = fixtures.attempt()
    said = words(report.flown_against_plan_chart(attempt))
    for gate in attempt.gates:
        wished = attempt.plan.gate(gate.name)
        assert wished is not None
        off_ft = round((gate.height_m - wished.height_m) / 0.3048)
        assert f"{abs(off_ft)} {'low' if off_ft < 0 else 'high'}" in said


@pytest.mark.parametrize("side", list(Side))
def test_a_cutout_shows_its_finding_inside_the_frame_with_one_annotation(side: Side) -> None:
    attempt = fixtures.attempt(side)
    for finding in attempt.findings:
        figure = report.cutout(attempt, finding)
        root = ElementTree.fromstring(figure)
        x, y = float(root.get("data-x", "nan")), float(root.get("data-y", "nan"))
        assert 0.0 <= x <= float(root.get("width", "0"))
        assert 0.0 <= y <= float(root.get("height", "0"))
        assert words(figure) == [cutouts.annotation(finding, IMPERIAL)]
        assert outside(figure, 0.0) == []
        assert report.finding_chart(attempt, finding).startswith("<svg")


@pytest.mark.parametrize("time_s", [140.0, 170.0, 200.0, 225.0, 240.0, 260.0])
@pytest.mark.parametrize(
    ("code", "quantities"),
    [
        ("turn-to-base-early", {"early_s": 2.0, "nearer_m": 120.0}),
        ("high-at-gate", {"gate": "low key", "high_m": 61.0}),
        ("long-touchdown", {"long_m": 300.0}),
        ("timely-go-around", {"height_m": 150.0}),
        ("late-go-around", {"height_m": 90.0}),
        ("steep-bank", {"bank_rad": 0.8}),
        ("too-high-to-lose", {"above_m": 40.0}),
        ("glide-worse", {"height_m": 300.0}),
        ("glide-better", {"height_m": 30.0}),
    ],
)
def test_an_annotation_finds_its_place_anywhere_on_the_path(
    code: str, quantities: dict[str, float | str], time_s: float
) -> None:
    # wide annotations once vanished where neither side of the path had room for them
    finding = Finding(code, Severity.NOTE, quantities, time_s=time_s)
    figure = report.cutout(fixtures.attempt(), finding)
    assert words(figure) == [cutouts.annotation(finding, IMPERIAL)]
    assert words(figure) != [""]
    assert outside(figure, 0.0) == []


def test_flown_readings_leave_the_next_column_of_the_ladder_free() -> None:
    # a flown high key as high as the low key's highest once ran into it
    attempt = fixtures.attempt()
    limits = [gate.altimeter_highest_msl_m for gate in attempt.plan.gates[1:]]
    gates = [
        dataclasses.replace(gate, altimeter_msl_m=limit) for gate, limit in zip(attempt.gates[:-1], limits, strict=True)
    ]
    assert touching(report.gate_ladder(dataclasses.replace(attempt, gates=tuple(gates)))) == []


def test_every_figure_can_be_read_out() -> None:
    figures = [draw(fixtures.plan()) for draw in PLAN_FIGURES.values()]
    figures += [draw(fixtures.attempt()) for draw in FLOWN_FIGURES.values()]
    for figure in (*figures, report.path_legend()):
        root = ElementTree.fromstring(figure)
        assert root.get("role") == "img"
        for tag in ("title", "desc"):
            element = root.find(f"{SVG}{tag}")
            assert element is not None
            assert element.text


def test_numbers_that_cannot_be_drawn_are_refused() -> None:
    for value in (math.nan, math.inf):
        with pytest.raises(ValueError, match="cannot be drawn"):
            svg.number(value)
    assert svg.number(-0.001) == "0"
    assert svg.number(12.5) == "12.5"


def test_thinning_a_line_keeps_it_where_it_was() -> None:
    angle = np.linspace(0.0, math.pi, 400)
    line = list(zip((100.0 * np.cos(angle)).tolist(), (100.0 * np.sin(angle)).tolist(), strict=True))
    thin = ink.thinned(line, 0.08)
    assert len(thin) < len(line) / 3
    assert (thin[0], thin[-1]) == (line[0], line[-1])
    for (ax, ay), (bx, by) in itertools.pairwise(thin):
        # the middle of a chord of a circle lies furthest inside
        assert 100.0 - math.hypot((ax + bx) / 2.0, (ay + by) / 2.0) < 0.09


def test_widths_are_those_of_the_faces() -> None:
    from fontTools.ttLib import TTFont

    for file, style in (
        ("Overpass-Regular.ttf", Lettering(100.0)),
        ("Overpass-Bold.ttf", Lettering(100.0, tokens.BOLD)),
        ("SourceSerif4-Italic.ttf", Lettering(100.0, is_serif=True, is_italic=True)),
    ):
        font = TTFont(lettering.FONTS_FOLDER / file)
        cmap, advances = font.getBestCmap(), font["hmtx"]
        em = font["head"].unitsPerEm
        for character in "0189\u2212½¼¾°\u00a0,AgWm":
            assert style.width_px(character) == pytest.approx(100.0 * advances[cmap[ord(character)]][0] / em, abs=0.06)


@pytest.mark.parametrize("weight", [400, 500, 600, 700])
def test_figures_are_tabular(weight: int) -> None:
    assert len({Lettering(20.0, weight).width_px(digit) for digit in "0123456789"}) == 1


def contrast(one: str, other: str) -> float:
    """Contrast of two colours (W3C, Web Content Accessibility Guidelines 2.1, relative luminance)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [Theme.LIGHT, Theme.DUSK, Theme.PRINT])
def test_text_colours_stand_out_from_the_paper(theme: Theme) -> None:
    # W3C, Web Content Accessibility Guidelines 2.1, success criterion 1.4.3: 4.5 to 1 for text
    colours = tokens.COLOURS[theme]
    for colour in (Colour.INK, Colour.SOFT, Colour.BLUE1, Colour.BLUE2, Colour.ORANGE1, Colour.ORANGE2):
        assert contrast(colours[colour], colours[Colour.PAPER]) >= 4.5


def test_tokens_are_custom_properties_for_the_page() -> None:
    css = report.css_tokens()
    assert "--ink: #1A1F26;" in css
    assert "--ink: #E6E1D6;" in css
    assert "prefers-color-scheme: dark" in css
    assert css.count("{") == css.count("}")
    faces = report.css_font_faces("/fonts/")
    for file in tokens.WEB_FONTS:
        assert f'url("/fonts/{file}")' in faces
        assert (lettering.FONTS_FOLDER / file).is_file()
