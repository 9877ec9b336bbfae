"""Figures of what is known about an airplane: points and bands, the match, honesty, calibration; nothing by colour."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable

import numpy as np
import pytest

from tests.faces import airplane_views as views
from tests.faces.test_figures import HOLE, SVG, outside, touching, words
from volplane.faces.documents.wording import IMPERIAL, METRIC, Units
from volplane.faces.report.calibration_charts import SpeedChecked, calibration_chart
from volplane.faces.report.polar_charts import MeasuredGlideView, PolarPoint, polar_by_weight, polar_chart
from volplane.faces.report.stand_in_charts import HonestyRow, honesty_chart, stand_in_chart
from volplane.faces.report.tokens import COLOURS, Colour, Theme
from volplane.units import mps_from_fpm, mps_from_kt, pa_from_inhg

BY_WEIGHT = tuple(
    views.polar_line(name, best_kt, has_band=False)
    for name, best_kt in (("3,350 lb", 104.0), ("3,650 lb", 109.0), ("2,900 lb", 97.0))
)
FIGURES: dict[str, Callable[..., str]] = {
    "polar": lambda **how: polar_chart(views.glide_view(left_out=views.LEFT_OUT), **how),
    "polar without outliers": lambda **how: polar_chart(views.glide_view(), **how),
    "polar by weight": lambda **how: polar_by_weight(BY_WEIGHT, **how),
    "stand-in": lambda **how: stand_in_chart(views.stand_in_view(), **how),
    "stand-in of the model": lambda **how: stand_in_chart(views.stand_in_view(is_estimate=True), **how),
    "honesty": lambda **how: honesty_chart(views.HONESTY, **how),
    "calibration": lambda **how: calibration_chart(views.SPEEDS, **how),
}


def circles(figure: str, named: str) -> list[ElementTree.Element]:
    return [circle for circle in ElementTree.fromstring(figure).iter(f"{SVG}circle") if circle.get("class") == named]


def lines(figure: str, named: str) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(figure)
    return [line for line in root.iter() if line.get("class") == named]


def place_of(figure: str, value: float, axis: str) -> float:
    """Where a value lies by the figures printed along an axis: read off the drawing as a reader would."""
    ticks = []
    for text in ElementTree.fromstring(figure).iter(f"{SVG}text"):
        said = (text.text or "").replace(",", "").replace("\u2212", "-").replace("+", "")
        is_across = text.get("text-anchor") == "middle"
        is_grid = text.get("text-anchor") == "end" and float(text.get("x", "0")) < 48.0
        if re.fullmatch(r"-?\d+(\.\d+)?", said) and (is_across if axis == "x" else is_grid):
            ticks.append((float(said), float(text.get(axis, "nan")) - (0.0 if axis == "x" else 4.3)))
    (low, low_px), (high, high_px) = min(ticks), max(ticks)
    return low_px + (value - low) / (high - low) * (high_px - low_px)


@pytest.mark.parametrize("units", [IMPERIAL, METRIC], ids=["imperial", "metric"])
@pytest.mark.parametrize("draw", FIGURES.values(), ids=FIGURES)
def test_no_words_touch_others_or_leave_the_figure(draw: Callable[..., str], units: Units) -> None:
    figure = draw(units=units)
    assert touching(figure) == []
    assert outside(figure, 12.0) == []


@pytest.mark.parametrize("size_px", [(560.0, 340.0), (408.0, 300.0), (756.0, 380.0)])
@pytest.mark.parametrize("draw", FIGURES.values(), ids=FIGURES)
def test_the_figures_fit_any_column(draw: Callable[..., str], size_px: tuple[float, float]) -> None:
    figure = draw(size_px=size_px)
    assert touching(figure) == []
    assert outside(figure, 12.0) == []


@pytest.mark.parametrize("theme", list(Theme))
@pytest.mark.parametrize("draw", FIGURES.values(), ids=FIGURES)
def test_the_same_bytes_each_time_without_a_hole(draw: Callable[..., str], theme: Theme) -> None:
    assert draw(theme=theme) == draw(theme=theme)
    assert not HOLE.search(draw(theme=theme))


@pytest.mark.parametrize("draw", FIGURES.values(), ids=FIGURES)
def test_nothing_is_said_by_colour(draw: Callable[..., str]) -> None:
    literal = COLOURS[Theme.LIGHT]
    hues = {literal[colour] for colour in (Colour.BLUE1, Colour.BLUE2, Colour.ORANGE1, Colour.ORANGE2)}
    assert hues & set(re.findall(r"#[0-9A-Fa-f]{6}", draw(theme=Theme.LIGHT))) == set()


@pytest.mark.parametrize("draw", FIGURES.values(), ids=FIGURES)
def test_the_figures_are_read_out_and_keep_to_a_strict_page(draw: Callable[..., str]) -> None:
    figure = draw()
    root = ElementTree.fromstring(figure)
    assert root.get("role") == "img"
    assert (root.findtext(f"{SVG}title"), len(root.findtext(f"{SVG}desc") or "") > 20) == (root.get("aria-label"), True)
    assert " style=" not in figure


def test_glides_used_are_filled_and_those_left_out_are_open_with_their_reason() -> None:
    figure = polar_chart(views.glide_view(left_out=views.LEFT_OUT))
    assert (len(circles(figure, "dot")), len(circles(figure, "left-out"))) == (12, 3)
    assert {circle.get("fill") for circle in circles(figure, "left-out")} == {"var(--paper)"}
    assert {why for _, _, why in views.LEFT_OUT} <= set(words(figure))
    described = ElementTree.fromstring(figure).findtext(f"{SVG}desc") or ""
    assert all(why in described for _, _, why in views.LEFT_OUT)


def test_a_point_lies_where_the_axes_say() -> None:
    view = MeasuredGlideView(views.polar_line(), (PolarPoint(mps_from_kt(120.0), mps_from_fpm(1250.0)),))
    figure = polar_chart(view)
    dot = circles(figure, "dot")[0]
    assert float(dot.get("cx", "nan")) == pytest.approx(place_of(figure, 120.0, "x"), abs=0.5)
    assert float(dot.get("cy", "nan")) == pytest.approx(place_of(figure, 1250.0, "y"), abs=0.5)


def test_more_sink_lies_lower() -> None:
    points = tuple(PolarPoint(mps_from_kt(100.0), mps_from_fpm(sink)) for sink in (900.0, 1400.0))
    small, large = circles(polar_chart(MeasuredGlideView(None, points)), "dot")
    assert float(large.get("cy", "nan")) > float(small.get("cy", "nan"))


def test_the_band_is_two_dotted_lines_that_are_named() -> None:
    for figure in (polar_chart(views.glide_view()), stand_in_chart(views.stand_in_view())):
        assert [line.get("stroke-dasharray") for line in lines(figure, "band")] == ["2 3", "2 3"]
        assert "90\u00a0% band" in words(figure)


def test_the_handbook_is_a_cross_beside_the_measurement() -> None:
    figure = polar_chart(views.glide_view())
    assert len(lines(figure, "handbook")) == 1
    assert "handbook" in words(figure)
    without = dataclasses.replace(views.glide_view(), handbook=None)
    assert not lines(polar_chart(without), "handbook")


def test_a_measurement_without_a_curve_still_shows_its_points_and_why() -> None:
    view = MeasuredGlideView(None, (PolarPoint(mps_from_kt(100.0), mps_from_fpm(400.0), False, "climbing"),))
    assert "climbing" in words(polar_chart(view))
    assert "No glide is known at any speed." in words(polar_chart(MeasuredGlideView(None, ())))


def test_twenty_glides_left_out_at_one_speed_do_not_run_into_each_other() -> None:
    left_out = tuple((100.0 + 0.3 * number, 900.0 + 6.0 * number, "another configuration") for number in range(20))
    figure = polar_chart(views.glide_view(left_out=left_out))
    assert touching(figure) == []
    assert len(circles(figure, "left-out")) == 20


def test_a_glide_far_off_stands_at_the_edge_and_says_where_it_really_lies() -> None:
    # a climbing glide once squeezed all others into a third of the chart
    far = ((92.0, -400.0, "climbing"), (210.0, 1100.0, "too fast"))
    figure, plain = polar_chart(views.glide_view(left_out=far)), polar_chart(views.glide_view())
    root = ElementTree.fromstring(figure)
    assert all(
        root.get(edge) == ElementTree.fromstring(plain).get(edge) for edge in ("data-plot-top", "data-plot-left")
    )
    assert place_of(figure, 1500.0, "y") == pytest.approx(place_of(plain, 1500.0, "y"))
    edge = {(circle.get("cx"), circle.get("cy")) for circle in circles(figure, "left-out")}
    assert any(y == root.get("data-plot-top") for _, y in edge)
    assert any(x == root.get("data-plot-right") for x, _ in edge)
    assert {"climbing, 92\u00a0kt, \u2212400\u00a0fpm", "too fast, 210\u00a0kt, 1,100\u00a0fpm"} <= set(words(figure))


def test_the_reason_of_a_lone_glide_is_said_wherever_it_lies() -> None:
    # the label of the best glide once took the place of a reason at the chart's edge
    for kt in range(80, 146, 3):
        for fpm in (-400.0, 800.0, 1000.0, 1150.0, 1400.0, 2400.0):
            figure = polar_chart(views.glide_view(left_out=((float(kt), fpm, "climbing"),)))
            assert any(word.startswith("climbing") for word in words(figure)), (kt, fpm)
            assert any(word.startswith("best glide") for word in words(figure))
            assert touching(figure) == []


def test_each_weight_is_named_at_its_line() -> None:
    figure = polar_by_weight(BY_WEIGHT)
    assert {"3,350 lb", "3,650 lb", "2,900 lb"} <= set(words(figure))
    widths = [float(line.get("stroke-width", "nan")) for line in lines(figure, "polar")]
    assert widths[0] > max(widths[1:])


def test_the_match_stands_where_the_line_meets_the_sink_wished_for() -> None:
    view = views.stand_in_view()
    figure = stand_in_chart(view)
    circle = circles(figure, "gate-planned")[0]
    assert float(circle.get("cx", "nan")) == pytest.approx(place_of(figure, 14.4, "x"), abs=0.5)
    assert float(circle.get("cy", "nan")) == pytest.approx(float(lines(figure, "wished")[0].get("y1", "nan")), abs=0.1)
    # 90 % of a normal distribution: 1.645 standard deviations to either side (any table of it)
    whisker = lines(figure, "whisker")[0]
    assert float(whisker.get("x1", "nan")) == pytest.approx(place_of(figure, 14.4 - 1.645 * 0.25, "x"), abs=0.5)
    assert "14.4\u00a0in, give or take 0.4" in words(figure)


def test_a_line_from_the_model_is_dashed_and_says_estimate() -> None:
    figure = stand_in_chart(views.stand_in_view(is_estimate=True))
    assert [line.get("stroke-dasharray") for line in lines(figure, "fitted")] == ["6 4"]
    assert "model, estimate" in words(figure)
    assert lines(stand_in_chart(views.stand_in_view()), "fitted")[0].get("stroke-dasharray") is None


def test_without_a_match_the_wish_and_the_settings_stay() -> None:
    figure = stand_in_chart(dataclasses.replace(views.stand_in_view(), match_pa=None, match_sd_pa=None))
    assert not circles(figure, "gate-planned")
    assert len(circles(figure, "dot")) == 3
    assert "No setting gives that sink." in (ElementTree.fromstring(figure).findtext(f"{SVG}desc") or "")
    assert "No setting is known that stands in for the dead engine." in words(stand_in_chart(None))


def test_honesty_shows_both_sinks_and_the_signed_difference_of_every_moment() -> None:
    figure = honesty_chart(views.HONESTY)
    said = words(figure)
    assert {row.name for row in views.HONESTY} <= set(said)
    for difference in ("\u221255", "+70", "+150", "+710", "0"):
        assert difference in said
    # one of each in every row, and one of each in the key
    assert len(circles(figure, "dot")) == len(circles(figure, "gate-planned")) == len(views.HONESTY) + 1


def test_equal_sinks_are_drawn() -> None:
    row = HonestyRow("104 kt", mps_from_fpm(1100.0), mps_from_fpm(1100.0))
    assert "0" in words(honesty_chart((row,)))


def test_whiskers_of_the_calibration_hold_ninety_percent() -> None:
    figure = calibration_chart((SpeedChecked(mps_from_kt(100.0), mps_from_kt(2.0), mps_from_kt(0.8)),))
    whisker = lines(figure, "whisker")[0]
    ends = sorted(float(whisker.get(end, "nan")) for end in ("y1", "y2"))
    wished = sorted(place_of(figure, 2.0 + side * 1.645 * 0.8, "y") for side in (-1.0, 1.0))
    assert ends == pytest.approx(wished, abs=0.5)
    assert "+2.0" in words(figure)


def test_a_speed_left_out_is_open_and_says_why() -> None:
    figure = calibration_chart(views.SPEEDS)
    assert len(circles(figure, "left-out")) == 1
    assert "two directions only" in words(figure)


def test_no_calibration_is_said_in_a_sentence() -> None:
    assert "indicated airspeed is taken" in " ".join(words(calibration_chart(())))


def test_a_hostile_reason_stays_text() -> None:
    why = '"><script>alert(1)</script>'
    figure = polar_chart(views.glide_view(left_out=((92.0, 640.0, why),)))
    assert "<script" not in figure
    assert why in words(figure)


def test_holes_in_a_band_do_not_stop_the_drawing() -> None:
    line = views.polar_line()
    assert line.low_mps is not None
    holed = np.where(line.ias_mps < mps_from_kt(90.0), np.nan, line.low_mps)
    figure = polar_chart(MeasuredGlideView(dataclasses.replace(line, low_mps=holed), ()))
    assert not HOLE.search(figure)
    pressure = views.stand_in_view().manifold_pressure_pa
    view = dataclasses.replace(
        views.stand_in_view(), low_mps=np.where(pressure < pa_from_inhg(13.0), np.nan, views.stand_in_view().low_mps)
    )
    assert not HOLE.search(stand_in_chart(view))
