"""What went wrong, as an answer: the sentences of a refusal with status 422, our own fault with how to report it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from volplane.errors import FilesRefused, Problem, Refusal
from volplane.faces.documents.problems import http_status, problems_document, refusal_sentence
from volplane.faces.web.fields import is_field

OUR_FAULT = (
    "The workbench made a mistake of its own. Please report it: the terminal it was started in shows what happened, "
    "and the manual says where to send it."
)


def said(problem: Problem) -> str:
    """A problem as the page says it: at a field the label stands before it, so the field is not named again."""
    if is_field(problem.place):
        return f"found {problem.found}, expected {problem.expected}. {problem.remedy}"
    return problem.sentence()


def faults_by_place(refusal: Refusal) -> dict[str, str]:
    """Sentences by the field they belong to; "" is what belongs to none."""
    if not isinstance(refusal, FilesRefused):
        return {"": refusal_sentence(refusal)}
    faults: dict[str, str] = {}
    for problem in refusal.problems:
        place = problem.place if is_field(problem.place) else ""
        faults[place] = f"{faults[place]} {said(problem)}" if place in faults else said(problem)
    return faults


def refusal_answer(refusal: Refusal) -> JSONResponse:
    """A refusal as `volplane/problems/1` with its status."""
    return JSONResponse(problems_said(refusal), status_code=http_status(refusal))


def problems_said(refusal: Refusal) -> dict[str, Any]:
    """A refusal as `volplane/problems/1`; each problem has a sentence, ready to be shown."""
    document = problems_document(refusal)
    if isinstance(refusal, FilesRefused):
        pairs = zip(document["problems"], refusal.problems, strict=True)
        document["problems"] = [{**entry, "sentence": said(problem)} for entry, problem in pairs]
    return document


def problem_answer(status: int, place: str, sentence: str, code: str) -> JSONResponse:
    """One plain problem of the request itself."""
    return JSONResponse(_plain_problems([(place, sentence, code)]), status_code=status)


def own_fault_said() -> dict[str, Any]:
    """A fault of our own where no status can say so any more."""
    return _plain_problems([("", OUR_FAULT, "own-fault")])


def wish_answer(fault: RequestValidationError) -> JSONResponse:
    """A request body that does not have the form asked for: one problem for each part of it."""
    lines = []
    for error in fault.errors():
        place = ".".join(str(part) for part in error["loc"][1:])
        lines.append(
            (
                place,
                f"{place or 'The request'}: {error['msg'][:1].lower()}{error['msg'][1:]}.",
                "request-not-understood",
            )
        )
    return JSONResponse(_plain_problems(lines), status_code=422)


def _plain_problems(lines: Sequence[tuple[str, str, str]]) -> dict[str, Any]:
    unknown = {"file": None, "expected": None, "remedy": ""}
    return {
        "schema": "volplane/problems/1",
        "problems": [
            {**unknown, "place": place, "code": code, "found": said, "sentence": said} for place, said, code in lines
        ],
    }
