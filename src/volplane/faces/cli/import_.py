"""`volplane import`: every recording of a folder debriefed and kept in the store, once, or as they come into it."""

from __future__ import annotations

import argparse
import contextlib
import json
import time
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import many, options, output, store_options

if TYPE_CHECKING:
    from volplane.bootstrap import House
    from volplane.services.importing import Prepared, Sender
    from volplane.services.many_recordings import Result

EXAMPLE = """\
  volplane import recordings --exercise exercise.toml --trainee "Mara Quist"
  volplane import recordings --exercise exercise.toml --watch"""
# so often a watched folder is looked at; ours
LOOK_EVERY_S = 1.0


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "debrief every recording of a folder and keep it in the store, one JSON line each with --json"
    parser = options.command(commands, "import", run, about, EXAMPLE)
    many.add_folder_and_workers(parser)
    parser.add_argument(
        "--exercise", metavar="EXERCISE", required=True, help="an exercise of the store by its name, or a file"
    )
    parser.add_argument("--trainee", metavar="NAME", help="who flew (name or initials), a person of the store")
    parser.add_argument("--again", action="store_true", help="try what was set aside before once more")
    parser.add_argument(
        "--watch", action="store_true", help="go on watching the folder for new recordings until Ctrl-C"
    )
    store_options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Import what is there; with `--watch` also what comes."""
    from volplane import bootstrap

    folder = Path(arguments.folder)
    bootstrap.recordings_below(folder)
    options.wait_for_kernels()
    importing = _Import(arguments, folder)
    if not arguments.watch:
        importing.take_in(bootstrap.recordings_below(folder))
        importing.end()
        return 0
    watched = bootstrap.watched_folder(folder)
    output.say(f"Watching {folder}; Ctrl-C ends it.")
    while True:
        if paths := watched.settled(time.monotonic()):
            importing.take_in(paths)
        time.sleep(LOOK_EVERY_S)


class _Import:
    """Takes recordings of a folder into a store and says what became of each."""

    def __init__(self, arguments: argparse.Namespace, folder: Path) -> None:
        self._arguments, self._folder = arguments, folder
        self._house, self._exercise = _house_and_exercise(arguments)
        self._trainee = _person(self._house, arguments.trainee)
        self._counts: dict[str, int] = {}
        self._progress = output.progress()

    def take_in(self, paths: tuple[str, ...]) -> None:
        """Import these files."""
        from volplane import bootstrap

        sender, store = self._sender(), self._house.shelf.store
        found = bootstrap.each_for_store(
            self._folder,
            paths,
            many.ForImport(sender).ready,
            many.workers_asked_for(self._arguments),
            store,
            sender,
            is_again=self._arguments.again,
        )
        with contextlib.closing(found):
            for result in found:
                self._kept(result, sender)

    def end(self) -> None:
        """Say how many there were."""
        from volplane.faces.documents.many import counted

        said = counted(self._counts)
        if self._arguments.json:
            output.say(said)
        else:
            output.write(said)

    def _kept(self, result: Result[Prepared], sender: Sender) -> None:
        from volplane.faces.documents.many import IMPORT_STATUS, import_entry, told

        key = self._debrief_key(result, sender)
        status = IMPORT_STATUS[result.status]
        self._counts[status] = self._counts.get(status, 0) + 1
        if self._arguments.json:
            output.write(json.dumps(import_entry(result, key), allow_nan=False))
        else:
            output.write(output.without_control(told(result, IMPORT_STATUS, _headlines(result))))
        output.flush()
        self._progress(f"{sum(self._counts.values()):,}: {result.path}")

    def _debrief_key(self, result: Result[Prepared], sender: Sender) -> str | None:
        """Keep what is to be kept; the key of the debrief of this recording, if there is one."""
        from volplane.services import importing
        from volplane.services.many_recordings import Status

        store = self._house.shelf.store
        if result.made is not None and result.task is not None:
            return importing.keep_prepared(store, sender, result.task, result.made, self._house.code_version).key
        if result.status in (Status.REFUSED, Status.SET_ASIDE) and result.tries:
            importing.set_aside(store, result, _problems_text(result), time.time())
        return None if result.sha256 is None else importing.kept_debrief(store, sender, result.sha256)

    def _sender(self) -> Sender:
        from volplane.services.importing import Sender, column_maps

        shelf = self._house.shelf
        with shelf.store.snapshot() as reader:
            maps = column_maps(reader)
        return Sender(shelf.exercise(self._exercise), self._trainee, time.time(), maps)


def _house_and_exercise(arguments: argparse.Namespace) -> tuple[House, str]:
    """The house over the store, and the key of the exercise in it; a file is taken onto the shelf.

    :raises NotKept: it is no file, and no exercise of the store has that name.
    """
    from volplane import bootstrap
    from volplane.services.keeping import NotKept

    named = arguments.exercise
    path = Path(named) if Path(named).is_file() else None
    house = bootstrap.house(arguments.database, path)
    wanted = named if path is None else path.name
    exercises = {each.file.name: each.file.key for each in house.shelf.exercises()}
    for name in (wanted, f"{wanted}.toml"):
        if name in exercises:
            return house, exercises[name]
    raise NotKept("exercise", wanted)


def _person(house: House, name: str | None) -> str | None:
    from volplane.services.forgetting import person_named

    if name is None:
        return None
    with house.shelf.store.snapshot() as reader:
        return person_named(reader, name).key


def _headlines(result: Result[Prepared]) -> tuple[str, ...]:
    if result.made is None:
        return ()
    return tuple(each["headline"] for each in json.loads(result.made.document)["attempts"])


def _problems_text(result: Result[Prepared]) -> str:
    from volplane.errors import FilesRefused
    from volplane.faces.documents.problems import problems_document

    return json.dumps(problems_document(FilesRefused(result.problems)))
