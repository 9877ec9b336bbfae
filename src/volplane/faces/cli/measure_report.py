"""A measured glide for a reader at the terminal."""

from __future__ import annotations

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import wording
from volplane.faces.documents.measure import NINETY_FIVE, finding_text, fit_text, why_text
from volplane.faces.documents.wording import IMPERIAL, Units

_SEVERITY = {"stop": "Stop", "caution": "Caution", "note": "Note"}


def measure_report(
    measured: MeasuredGlide,
    airplane: Airplane,
    *,
    written: str | None = None,
    kept: str | None = None,
    units: Units = IMPERIAL,
    sheet: Sheet | None = None,
) -> str:
    """The whole report as text: the answer with its band, the file's figures beside it, every glide."""
    page = Sheet() if sheet is None else sheet
    used = sum(each.is_used for each in measured.points)
    page.headline(
        f"{airplane.name}, measured: {_ratio(measured.ratio)} to 1 at {units.speed.text(measured.best_eas_mps)}"
    )
    page.line(
        f"From {used} of {wording.counted(len(measured.points), 'glide')}, at "
        f"{units.weight.text(measured.reference_weight_kg)} and sea level, speeds calibrated. {fit_text(measured)}"
    )
    page.blank()
    page.table(_answers(measured, airplane, units))
    page.line("In 95 mornings of 100 the airplane's own figure lies within the band.")
    if measured.configurations:
        page.heading("Configurations")
        for each in measured.configurations:
            page.line(
                f"{wording.sentence_case(each.name)}: extra drag {wording.figure(each.extra_drag_factor, 2)} of the "
                f"clean parasite drag, band \u00b1{wording.figure(NINETY_FIVE * each.extra_drag_factor_sd, 2)}, from "
                f"{wording.counted(each.glides_count, 'glide')}."
            )
    if measured.findings:
        page.heading("Findings")
        for finding in measured.findings:
            page.entry(_SEVERITY[finding.severity], finding_text(finding, units), 7)
    page.heading("Glides")
    page.table(_glides(measured, units))
    if written is not None:
        page.blank()
        old = "" if kept is None else f" What stood there is kept as {kept}."
        page.line(f"The measured glide was written to {written}.{old}")
    page.cautions()
    return page.text()


def _ratio(ratio: float) -> str:
    return wording.figure(ratio, 1)


def _answers(measured: MeasuredGlide, airplane: Airplane, units: Units) -> list[Column]:
    """Each figure with its band, and what the airplane file says so far."""
    stated = airplane.glide.at_weight(measured.reference_weight_kg)
    speed, sink = units.speed, units.sink
    rows = [
        (
            f"Best speed {speed.unit}",
            speed.figure(measured.best_eas_mps),
            speed.figure(NINETY_FIVE * measured.best_eas_sd_mps),
            speed.figure(stated.best_eas_mps),
        ),
        (
            "Glide ratio",
            _ratio(measured.ratio),
            wording.figure(NINETY_FIVE * measured.ratio_sd, 1),
            _ratio(stated.best_ratio),
        ),
        (
            f"Sink there {sink.unit}",
            sink.figure(measured.sink_at_best_mps),
            sink.figure(NINETY_FIVE * measured.sink_at_best_sd_mps),
            sink.figure(stated.best_eas_mps / (1.0 + stated.best_ratio**2) ** 0.5),
        ),
        (
            f"Least sink {sink.unit}",
            sink.figure(measured.minimum_sink_mps),
            sink.figure(NINETY_FIVE * measured.minimum_sink_sd_mps),
            wording.NOT_OBSERVABLE,
        ),
        (
            f"at {speed.unit}",
            speed.figure(measured.minimum_sink_eas_mps),
            wording.NOT_OBSERVABLE,
            wording.NOT_OBSERVABLE,
        ),
    ]
    names, values, bands, files = zip(*rows, strict=True)
    return [
        Column("Glide", names, is_number=False),
        Column("Measured", values),
        Column("Band \u00b1", bands),
        Column("File says", files),
    ]


def _glides(measured: MeasuredGlide, units: Units) -> list[Column]:
    points = measured.points
    return [
        Column(f"Speed\n{units.speed.unit}", [units.speed.figure(each.eas_mps) for each in points]),
        Column(f"Sink\n{units.sink.unit}", [units.sink.figure(each.sink_mps) for each in points]),
        Column("Ratio", [_ratio(each.ratio) if each.sink_mps > 0.0 else wording.NOT_OBSERVABLE for each in points]),
        Column(
            f"Off the curve\n{units.sink.unit}",
            [
                wording.signed(None if each.residual_mps is None else units.sink.value(each.residual_mps))
                for each in points
            ],
            importance=2,
        ),
        Column("Where from", [each.glide.place for each in points], is_number=False, importance=1),
        Column("Left out", [why_text(each, units) for each in points], is_number=False),
    ]
