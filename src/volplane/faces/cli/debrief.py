"""`volplane debrief`: what was flown in a recording."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.domain.debrief.results import Debrief
    from volplane.services.recordings import ColumnMap

EXAMPLE = """\
  volplane debrief lesson.csv --exercise exercise.toml
  volplane debrief phone.gpx --airplane dunlin_tourer.toml --airfield quill_meadow.toml --runway 25"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "debrief a recording: outcome, verdict with its band, gates, wind, glide, touchdown"
    parser = options.command(commands, "debrief", run, about, EXAMPLE)
    parser.add_argument("recording", help="the recording: CSV, GPX, KML, KMZ, IGC, NMEA 0183, GeoJSON; or gzipped")
    parser.add_argument("--exercise", metavar="FILE", help="the exercise it is held against")
    parser.add_argument("--airplane", metavar="FILE", help="without an exercise: the airplane file")
    parser.add_argument("--airfield", metavar="FILE", help="without an exercise: the airfield file")
    parser.add_argument("--runway", metavar="NAME", help="without an exercise: the runway flown to")
    parser.add_argument("--qnh", metavar="SETTING", help='the altimeter setting of the flight, as "30.05 inHg"')
    parser.add_argument("--weight", metavar="WEIGHT", help='the weight flown at, as "3350 lb"')
    parser.add_argument(
        "--wind", metavar="WIND", help='a known true wind, as "240 deg 8 kt"; otherwise it is found from the flight'
    )
    parser.add_argument(
        "--standard",
        metavar="STANDARD",
        help='what it is held against instead of the exercise\'s, as "commercial power-off 180", or a TOML file',
    )
    parser.add_argument("-o", "--output", metavar="REPORT.pdf", help="write the report, two pages and an appendix")
    parser.add_argument("--trainee", metavar="NAME", help="who flew, on the report")
    parser.add_argument("--instructor", metavar="NAME", help="who taught, on the report")
    parser.add_argument(
        "--export", metavar="FILE", help="write the flight second by second: .csv, .gpx, .kml or .geojson"
    )
    parser.add_argument(
        "--markers", metavar="FILE", help='a table "utc, marker" of what was marked: power off, gear, my airplane'
    )
    parser.add_argument("--column-map", metavar="FILE", help="which column of a table is what, as a TOML file")
    parser.add_argument(
        "--write-column-map",
        metavar="FILE",
        help="write which column was taken as what, to be corrected and given back",
    )


def run(arguments: argparse.Namespace) -> int:
    """Read the recording, debrief it, print."""
    _refuse_wrong_usage(arguments)
    debrief = _debriefed(arguments)
    if arguments.markers is not None:
        from volplane import bootstrap

        debrief = bootstrap.with_markers(debrief, Path(arguments.markers))
    _write_files(arguments, debrief)
    if arguments.json:
        from volplane.faces.documents.debrief import debrief_document

        output.write_json(debrief_document(debrief))
        return 0
    from volplane.faces.cli.debrief_report import debrief_report

    output.write(debrief_report(debrief))
    return 0


def _debriefed(arguments: argparse.Namespace) -> Debrief:
    from volplane import bootstrap
    from volplane.errors import FilesRefused, Refusal
    from volplane.faces.cli import flight_options

    day = flight_options.flight_options(arguments)
    standard = None if arguments.standard is None else bootstrap.standard_asked_for(arguments.standard)
    exercise = flight_options.on_the_day(flight_options.exercise_asked_for(arguments), day, arguments.weight)
    try:
        recording = bootstrap.read_recording_file(Path(arguments.recording), _column_map(arguments))
        if recording.is_refused:
            raise FilesRefused(recording.problems)
        options.wait_for_kernels()
        return bootstrap.debrief_read(recording, exercise, wind=day.wind, qnh_pa=day.qnh_pa, standard=standard)
    except Refusal as refusal:
        raise flight_options.naming_its_place(refusal, arguments.recording) from refusal


def _write_files(arguments: argparse.Namespace, debrief: Debrief) -> None:
    """The report and the flight as files, where they were asked for."""
    if arguments.output is not None:
        from volplane.faces.report.debrief_report import ReportPeople, debrief_report_pdf

        people = ReportPeople(arguments.trainee, arguments.instructor)
        output.write_file(arguments.output, debrief_report_pdf(debrief, people))
    if arguments.export is not None:
        from volplane.faces.report.exports.flown import exported_flown

        output.write_file(arguments.export, exported_flown(debrief, Path(arguments.export).suffix.lower()))


def _column_map(arguments: argparse.Namespace) -> ColumnMap | None:
    """The column map that was given; the one asked for is written before anything can be refused."""
    from volplane import bootstrap

    column_map = None if arguments.column_map is None else bootstrap.load_column_map(Path(arguments.column_map))
    if arguments.write_column_map is not None:
        output.refuse_destination(arguments.write_column_map, (arguments.recording, arguments.column_map))
        found = column_map or bootstrap.columns_of_recording_file(Path(arguments.recording))
        if found is None:
            arguments.wrong_usage(f"--write-column-map: {arguments.recording} is no table with titles")
        else:
            output.write_file(arguments.write_column_map, bootstrap.column_map_text(found).encode())
    return column_map


def _refuse_wrong_usage(arguments: argparse.Namespace) -> None:
    """What can be written where, and one exercise only."""
    if arguments.output is not None and not arguments.output.lower().endswith(".pdf"):
        arguments.wrong_usage("-o: a report is a PDF, so its name ends in .pdf")
    endings = (".csv", ".gpx", ".kml", ".geojson")
    if arguments.export is not None and Path(arguments.export).suffix.lower() not in endings:
        arguments.wrong_usage(f"--export: the ending says what is written, one of {' '.join(endings)}")
    for destination in filter(None, (arguments.output, arguments.export)):
        output.refuse_destination(destination, (arguments.recording, arguments.exercise))
    options.refuse_mixed_exercise(arguments)
