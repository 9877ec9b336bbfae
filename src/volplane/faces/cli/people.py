"""`volplane people`: who is in the store, a trainee's path, how long lessons are kept, forgetting somebody for good."""

from __future__ import annotations

import argparse
import time
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output, store_options

if TYPE_CHECKING:
    from volplane.services.forgetting import Belongings
    from volplane.services.keeping import Store

EXAMPLE = """\
  volplane people
  volplane people "Mara Quist"
  volplane people --forget "Mara Quist"
  volplane people --retention 730"""
FOR_EVER = "ever"
BACKUPS = "Backups, exports and printed pages are not reached: delete those yourself."


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "list the people in the store, tell a trainee's path, forget one, or say how long lessons are kept"
    parser = options.command(commands, "people", run, about, EXAMPLE)
    parser.add_argument("name", nargs="?", help="a trainee (name or initials) whose path over all exercises is told")
    one = parser.add_mutually_exclusive_group()
    one.add_argument(
        "--forget",
        metavar="NAME",
        help="remove a person (name or initials) with all lessons, debriefs, notes and recordings, for good",
    )
    one.add_argument(
        "--retention", metavar="DAYS", type=_days, help=f"keep lessons so many days, or for {FOR_EVER!r} (the default)"
    )
    one.add_argument("--forget-expired", action="store_true", help="remove lessons older than the retention, for good")
    store_options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Do what was asked, then list."""
    from volplane import bootstrap
    from volplane.services import forgetting

    asked = (arguments.forget, arguments.retention, arguments.forget_expired or None)
    if arguments.name is not None and any(each is not None for each in asked):
        arguments.wrong_usage("a name alone tells a path; to forget somebody write --forget NAME")
    store = bootstrap.kept_store(arguments.database)
    if arguments.name is not None:
        return _path(store, arguments.name, as_json=arguments.json)
    gone: Belongings | None = None
    if arguments.forget is not None:
        gone = forgetting.forget_person(store, forgetting.person_named(store, arguments.forget))
    elif arguments.forget_expired:
        gone = forgetting.forget_expired(store, time.time())
    elif arguments.retention is not None:
        forgetting.keep_retention(store, arguments.retention or None)
    return _list(store, gone, as_json=arguments.json)


def _path(store: Store, name: str, *, as_json: bool) -> int:
    """What the exercises of one person say together."""
    from volplane.faces.documents.progress import progress_document, progress_text
    from volplane.faces.documents.store import people_document
    from volplane.faces.documents.wording import IMPERIAL
    from volplane.services import forgetting
    from volplane.services.progress import exercises_of, progress_of

    with store.snapshot() as reader:
        person = forgetting.person_named(reader, name)
        found = exercises_of(reader, person.key)
        days = forgetting.retention_days(reader)
        old = len(forgetting.expired(reader, time.time()).goes)
    progress = progress_of(found)
    if as_json:
        flown = {person.key: len({each.debrief for each in found})}
        output.write_json(people_document([person], flown, days, old, None, progress_document(progress)))
    else:
        output.write(output.without_control(f"{person.name}\n{progress_text(progress, IMPERIAL)}"))
    return 0


def _list(store: Store, gone: Belongings | None, *, as_json: bool) -> int:
    from volplane.faces.documents.store import forgotten_text, people_document, people_text
    from volplane.services import forgetting, kept

    with store.snapshot() as reader:
        flown: dict[str, int] = {}
        for debrief in reader.find(kept.KeptDebrief):
            if debrief.trainee is not None:
                flown[debrief.trainee] = flown.get(debrief.trainee, 0) + 1
        people = reader.find(kept.Person)
        days = forgetting.retention_days(reader)
        old = len(forgetting.expired(reader, time.time()).goes)
    if as_json:
        output.write_json(people_document(people, flown, days, old, gone))
        return 0
    lines = [] if gone is None else [forgotten_text(gone), BACKUPS]
    lines.append(people_text(people, flown, days, old))
    output.write(output.without_control("\n".join(lines)))
    return 0


def _days(text: str) -> int:
    """Days as a number, 0 for ever."""
    if text == FOR_EVER:
        return 0
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:7]) <= 36_500):
        raise argparse.ArgumentTypeError(f"{text!r} is no number of days from 1 to 36500, and not {FOR_EVER!r}")
    return int(text)
