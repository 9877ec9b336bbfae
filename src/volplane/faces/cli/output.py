"""Where a command's words and files go: standard output, standard error, and files that are whole or not there.

Standard output carries the answer only. Everything said while working goes to standard error.
"""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Callable, Iterable
from typing import IO, Any

# what a terminal without these letters is given instead
_PLAIN_LETTERS = {
    "\u00a0": " ",
    "\u2212": "-",
    "\u2013": "-",
    "\u2500": "-",
    "\u2019": "'",
    "\u201c": '"',
    "\u201d": '"',
    "\u00b0": " deg",
    "\u00bc": " 1/4",
    "\u00bd": " 1/2",
    "\u00be": " 3/4",
}
_PLAIN = "volplane-plain"


def never_fail_on_letters() -> None:
    """Let streams of a narrow encoding take plain letters for those they lack, instead of failing."""

    def plain(fault: UnicodeError) -> tuple[str, int]:
        if not isinstance(fault, UnicodeEncodeError):
            raise fault
        missing = fault.object[fault.start : fault.end]
        return "".join(_PLAIN_LETTERS.get(letter, "?") for letter in missing), fault.end

    codecs.register_error(_PLAIN, plain)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_PLAIN)


def without_control(text: str) -> str:
    """The text without letters that steer a terminal, which a name from somebody's file could hold."""
    return "".join(
        letter if letter == "\n" or letter.isprintable() or letter == "\u00a0" else "\ufffd" for letter in text
    )


def write(text: str) -> None:
    """The answer, on standard output."""
    _to_stdout(text if text.endswith("\n") else text + "\n")


def write_json(document: dict[str, Any]) -> None:
    """A document on standard output, readable in any encoding."""
    import json

    is_unicode = (sys.stdout.encoding or "").lower().replace("-", "").startswith("utf")
    _to_stdout(json.dumps(document, ensure_ascii=not is_unicode, allow_nan=False, indent=2) + "\n")


def say(sentence: str) -> None:
    """One line on standard error."""
    line = " ".join(without_control(sentence).split("\n"))
    try:
        print(line, file=sys.stderr, flush=True)
    except OSError:
        _forget(sys.stderr)


def progress() -> Callable[[str], None]:
    """Takes what long work says of itself: to standard error when that is a terminal, to nobody else."""
    return say if sys.stderr is not None and sys.stderr.isatty() else lambda sentence: None


def flush() -> None:
    """Hand everything written to the system, so that a closed pipe or a full disk is noticed while it can be said."""
    if sys.stdout is not None:
        _guarded(sys.stdout.flush)


def flushed(code: int) -> int:
    """The exit code given, after handing over what was written; a reader that has gone is no fault."""
    try:
        flush()
    except Exception:
        forget_stdout()
    return code


def forget_stdout() -> None:
    """Write nothing more to a standard output that takes nothing more."""
    _forget(sys.stdout)


def refuse_destination(path: str, inputs: Iterable[str | None] = ()) -> None:
    """See that a file can be written here, before the work is done.

    :raises FilesRefused: the folder is missing, a folder stands there, or one of the inputs would be overwritten.
    """
    folder = os.path.dirname(path) or "."
    if os.path.isdir(path):
        raise _refused(path, "a folder", "the name of a file", "Add the name of the file to it.", "output-is-folder")
    if not os.path.isdir(folder):
        remedy = "Make the folder first, or write to another."
        raise _refused(path, f"no folder {folder}", "a folder that is there", remedy, "output-folder-missing")
    for each in inputs:
        if each is not None and os.path.exists(path) and os.path.exists(each) and os.path.samefile(path, each):
            found, remedy = "the file that is read", "Give the result another name."
            raise _refused(path, found, "another file to write", remedy, "output-is-input")


def write_file(path: str, data: bytes) -> None:
    """Write a file that is whole or not there: under another name first, then renamed.

    :raises FilesRefused: it cannot be written.
    """
    target = os.path.realpath(path)
    # a device or a pipe cannot be renamed into place
    is_plain = os.path.isfile(target) or not os.path.exists(target)
    part = os.path.join(os.path.dirname(target), f".volplane-{os.getpid()}.part") if is_plain else target
    try:
        try:
            with open(part, "wb") as file:
                file.write(data)
            if is_plain:
                os.replace(part, target)
        except BaseException:
            if is_plain and os.path.exists(part):
                os.remove(part)
            raise
    except BrokenPipeError:
        raise
    except OSError as fault:
        remedy = "Free the place, or write to another."
        raise _refused(path, _reason(fault), "a place that can be written", remedy, "output-not-writable") from fault


def _reason(fault: OSError) -> str:
    return f"a place that cannot be written ({fault.strerror or type(fault).__name__})"


def _refused(file: str, found: str, expected: str, remedy: str, code: str) -> Exception:
    from volplane.errors import FilesRefused, Problem

    return FilesRefused((Problem(file, "", found, expected, remedy, code),))


def _to_stdout(text: str) -> None:
    if sys.stdout is not None:
        _guarded(lambda: sys.stdout.write(text))


def _guarded(work: Callable[[], object]) -> None:
    """Do something with standard output; a reader that has gone passes as it is, a full disk becomes a refusal."""
    try:
        work()
    except BrokenPipeError:
        raise
    except OSError as fault:
        forget_stdout()
        expected, remedy = "one that takes the answer", "Free the disk, or send the answer elsewhere."
        raise _refused("standard output", _reason(fault), expected, remedy, "output-not-writable") from fault


def _forget(stream: IO[str] | None) -> None:
    """Point a stream nobody reads at nothing, so that the interpreter's last flush does not fail."""
    try:
        if stream is not None:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)
    except (OSError, ValueError):
        # a stream without a descriptor has no last flush to fail
        return
