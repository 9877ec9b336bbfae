"""`volplane batch`: every recording of a folder debriefed against one exercise, a JSON line each; no store."""

from __future__ import annotations

import argparse
import contextlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from volplane.faces.cli import many, options, output

if TYPE_CHECKING:
    from volplane.services.many_recordings import Result

EXAMPLE = """\
  volplane batch recordings --exercise exercise.toml -o results.jsonl
  volplane batch recordings --exercise exercise.toml -o results.jsonl --resume"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "debrief every recording of a folder against one exercise, one JSON line each"
    parser = options.command(commands, "batch", run, about, EXAMPLE)
    many.add_folder_and_workers(parser)
    parser.add_argument("--exercise", metavar="FILE", help="the exercise they are held against")
    parser.add_argument("--airplane", metavar="FILE", help="without an exercise: the airplane file")
    parser.add_argument("--airfield", metavar="FILE", help="without an exercise: the airfield file")
    parser.add_argument("--runway", metavar="NAME", help="without an exercise: the runway flown to")
    parser.add_argument("--qnh", metavar="SETTING", help='the altimeter setting of all flights, as "30.05 inHg"')
    parser.add_argument("--weight", metavar="WEIGHT", help='the weight of all flights, as "3350 lb"')
    parser.add_argument("--wind", metavar="WIND", help='the known true wind of all flights, as "240 deg 8 kt"')
    parser.add_argument("--standard", metavar="STANDARD", help="the name of a standard, or a TOML file")
    parser.add_argument("--column-map", metavar="FILE", help="which column of a table is what, as a TOML file")
    parser.add_argument("-o", "--output", metavar="RESULTS.jsonl", help="write the JSON lines into this file")
    parser.add_argument("--resume", action="store_true", help="go on with a results file whose run was ended early")
    parser.add_argument(
        "--again", action="store_true", help="with --resume: try what was refused or set aside once more"
    )


def run(arguments: argparse.Namespace) -> int:
    """Debrief what is there and is not done yet."""
    from volplane import bootstrap
    from volplane.services.many_recordings import Status

    _refuse_wrong_usage(arguments)
    work = _work(arguments)
    folder, made_of = Path(arguments.folder), _made_of(arguments)
    with contextlib.ExitStack() as open_things:
        earlier = _Earlier(made_of, arguments.output, is_again=arguments.again)
        journal = None
        if arguments.output is not None:
            seen = earlier.seen if arguments.resume else None
            journal = open_things.enter_context(bootstrap.results_journal(Path(arguments.output), seen))
        paths = [each for each in bootstrap.recordings_below(folder) if not _is_same(folder / each, arguments.output)]
        options.wait_for_kernels()
        found = bootstrap.each_recording(
            folder, paths, work.ready, many.workers_asked_for(arguments), earlier.first, earlier.known
        )
        say = _Told(len(paths), as_json=arguments.json)
        for result in open_things.enter_context(contextlib.closing(found)):
            line = None if result.status is Status.KNOWN else _line(result, made_of)
            if line is not None and journal is not None:
                journal.append(line)
            say.result(result, line)
    say.end()
    return 0


def _line(result: Result[many.Debriefed], made_of: str) -> str:
    from volplane import __version__
    from volplane.faces.documents.many import batch_entry

    document = None if result.made is None else result.made.document
    return json.dumps(batch_entry(result, document, made_of, __version__), allow_nan=False)


class _Earlier:
    """What an earlier run has written: which files are done, and which file of the same bytes was first."""

    def __init__(self, made_of: str, results: str | None, *, is_again: bool) -> None:
        self._made_of, self._results, self._is_again = made_of, results, is_again
        self._done: set[tuple[str, str]] = set()
        self.first: dict[str, str] = {}

    def seen(self, entry: dict[str, Any]) -> bool:
        """Take in a line; whether it stays. :raises FilesRefused: it was made of other files or options."""
        from volplane.errors import FilesRefused, Problem
        from volplane.faces.documents.many import BATCH_SCHEMA, BATCH_STATUS
        from volplane.services.many_recordings import Status

        if (entry.get("schema"), entry.get("made_of")) != (BATCH_SCHEMA, self._made_of):
            found, expected = "results made of another exercise or with other options", "results of the same"
            remedy = "Give the same files and options as before, or write to another file."
            raise FilesRefused((Problem(str(self._results), "", found, expected, remedy, "results-of-another"),))
        path, sha256, status = entry["path"], entry["sha256"], entry["status"]
        not_done = (BATCH_STATUS[Status.REFUSED], BATCH_STATUS[Status.SET_ASIDE])
        if sha256 is None or (self._is_again and status in not_done):
            return False
        self._done.add((path, sha256))
        if status != BATCH_STATUS[Status.DUPLICATE]:
            self.first.setdefault(sha256, path)
        return True

    def known(self, path: str, sha256: str) -> Result[many.Debriefed] | None:
        """The result of a file that has its line; it gets no other."""
        from volplane.services.many_recordings import Result, Status

        if (path, sha256) not in self._done:
            return None
        return Result(path, sha256, Status.KNOWN)


class _Told:
    """Says what became of each recording, and at the end of all."""

    def __init__(self, total: int, *, as_json: bool) -> None:
        self._total, self._as_json = total, as_json
        self._counts: dict[str, int] = {}
        self._before = 0
        self._progress = output.progress()

    def result(self, result: Result[many.Debriefed], line: str | None) -> None:
        """One more; without a line it was done before."""
        from volplane.faces.documents.many import BATCH_STATUS, told

        if line is None:
            self._before += 1
            return
        status = BATCH_STATUS[result.status]
        self._counts[status] = self._counts.get(status, 0) + 1
        headlines = () if result.made is None else result.made.headlines
        output.write(line if self._as_json else output.without_control(told(result, BATCH_STATUS, headlines)))
        self._progress(f"{sum(self._counts.values()) + self._before:,} of {self._total:,}: {result.path}")

    def end(self) -> None:
        """All of them."""
        from volplane.faces.documents.many import counted

        said = counted(self._counts, self._before)
        if self._as_json:
            output.say(said)
        else:
            output.write(said)


def _work(arguments: argparse.Namespace) -> many.ForBatch:
    from volplane import bootstrap
    from volplane.faces.cli import flight_options

    day = flight_options.flight_options(arguments)
    standard = None if arguments.standard is None else bootstrap.standard_asked_for(arguments.standard)
    exercise = flight_options.on_the_day(flight_options.exercise_asked_for(arguments), day, arguments.weight)
    column_map = None if arguments.column_map is None else bootstrap.load_column_map(Path(arguments.column_map))
    return many.ForBatch(exercise, day.wind, day.qnh_pa, standard, column_map)


def _made_of(arguments: argparse.Namespace) -> str:
    """A hash of everything the debriefs are made with besides the recordings: texts of files, options."""
    import hashlib

    from volplane import bootstrap

    typed = [getattr(arguments, name) for name in ("runway", "qnh", "weight", "wind", "standard")]
    texts = {} if arguments.exercise is None else bootstrap.texts_of(Path(arguments.exercise))
    files = (arguments.airplane, arguments.airfield, arguments.column_map, arguments.standard)
    held = [Path(each).read_text(encoding="utf-8") for each in files if each is not None and Path(each).is_file()]
    return hashlib.sha256(json.dumps([list(texts.values()), held, typed]).encode()).hexdigest()


def _is_same(path: Path, results: str | None) -> bool:
    """Whether a file of the folder is the file of results itself."""
    return results is not None and Path(results).exists() and path.exists() and path.samefile(results)


def _refuse_wrong_usage(arguments: argparse.Namespace) -> None:
    options.refuse_mixed_exercise(arguments)
    if arguments.resume and arguments.output is None:
        arguments.wrong_usage("--resume goes on with a file of results: name it with -o")
    if arguments.again and not arguments.resume:
        arguments.wrong_usage("--again tries once more what a results file holds: give --resume too")
    if arguments.output is not None:
        output.refuse_destination(arguments.output, (arguments.exercise, arguments.airplane, arguments.airfield))
