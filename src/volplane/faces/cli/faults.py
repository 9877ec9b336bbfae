"""Every ending that is not an answer, as sentences on standard error, as a document, and as an exit code."""

from __future__ import annotations

import os
import pathlib
import traceback

import volplane
from volplane.errors import Refusal
from volplane.faces.cli import output
from volplane.faces.documents.problems import SCHEMA, exit_code, problems_document

EXIT_STOPPED = 130
OWN_FAULT = "own-fault"


def answered(fault: BaseException, *, as_json: bool) -> int:
    """Say what ended a command and give back the exit code."""
    if isinstance(fault, BrokenPipeError):
        # whoever read the answer has read enough
        output.forget_stdout()
        return exit_code(None)
    if isinstance(fault, KeyboardInterrupt):
        output.say("Stopped; nothing half-written is left.")
        return output.flushed(EXIT_STOPPED)
    if isinstance(fault, Refusal):
        return _problems(problems_document(fault), exit_code(fault), as_json=as_json)
    if os.environ.get("VOLPLANE_TRACEBACK", "") not in ("", "0"):
        for line in "".join(traceback.format_exception(fault)).splitlines():
            output.say(line)
    return _problems(own_fault_document(fault), exit_code(fault), as_json=as_json)


def own_fault_document(fault: BaseException) -> dict[str, object]:
    """Our own fault as `volplane/problems/1`."""
    found = f"a fault of Volplane itself ({type(fault).__name__} at {_place(fault)}), not of what it was given"
    remedy = (
        "Please report it to those you have Volplane from: run the command again with VOLPLANE_TRACEBACK=1 in the "
        "environment, and send what it prints together with the files."
    )
    entry = {"file": None, "place": None, "found": found, "expected": None, "remedy": remedy, "code": OWN_FAULT}
    return {"schema": SCHEMA, "problems": [{**entry, "sentence": f"This is {found}. {remedy}"}]}


def _problems(document: dict[str, object], code: int, *, as_json: bool) -> int:
    problems = document["problems"]
    assert isinstance(problems, list)
    for problem in problems:
        output.say(problem["sentence"])
    try:
        if as_json:
            output.write_json(document)
        output.flush()
    except (OSError, Refusal):
        # it was said on standard error; the answer's reader is gone or its disk is full
        output.forget_stdout()
    return code


def _place(fault: BaseException) -> str:
    """The last line of ours that ran, as module and line."""
    package = pathlib.Path(volplane.__file__).parent
    for frame in reversed(traceback.extract_tb(fault.__traceback__)):
        path = pathlib.Path(frame.filename)
        if package in path.parents:
            return f"{'.'.join(path.relative_to(package.parent).with_suffix('').parts)}:{frame.lineno}"
    return "an unknown place"
