"""What went wrong, as an answer: the sentences of a refusal with status 422, our own fault with how to report it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from volplane.errors import FilesRefused, Problem, Refusal
from volplane.faces.documents.problems import problems_document, refusal_sentence

OUR_FAULT = (
    "The workbench made a mistake of its own. Please report it: the terminal it was started in shows what happened, "
    "and the manual says where to send it."
)


def field_sentence(problem: Problem) -> str:
    """A problem of a field, said at the field: what was found, what was expected, what to do."""
    return f"found {problem.found}, expected {problem.expected}. {problem.remedy}"


def faults_by_place(refusal: Refusal) -> dict[str, str]:
    """Sentences by the field they belong to; "" is what belongs to none."""
    if not isinstance(refusal, FilesRefused):
        return {"": refusal_sentence(refusal)}
    faults: dict[str, str] = {}
    for problem in refusal.problems:
        said = field_sentence(problem) if problem.place else problem.sentence()
        faults[problem.place] = f"{faults[problem.place]} {said}" if problem.place in faults else said
    return faults


def refusal_answer(refusal: Refusal, status: int = 422) -> JSONResponse:
    """A refusal as `volplane/problems/1`, each problem with a sentence ready to be shown."""
    return JSONResponse(problems_document(refusal), status_code=status)


def problem_answer(status: int, place: str, sentence: str, code: str) -> JSONResponse:
    """One plain problem of the request itself."""
    return JSONResponse(_plain_problems([(place, sentence, code)]), status_code=status)


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
    unknown = dict.fromkeys(("file", "found", "expected", "remedy"))
    return {
        "schema": "volplane/problems/1",
        "problems": [{**unknown, "place": place, "code": code, "sentence": said} for place, said, code in lines],
    }


async def on_refusal(request: Request, refusal: Exception) -> JSONResponse:
    """Refusals that no route handled."""
    assert isinstance(refusal, Refusal)
    return refusal_answer(refusal)
