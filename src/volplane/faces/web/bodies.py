"""Files sent to the workbench as the body of a request: read into memory, no further than a file may be large."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import JSONResponse

from volplane.faces.web.faults import problem_answer

LARGEST_FILE_BYTES = 64_000_000
LONGEST_NAME = 200


async def body_of(request: Request) -> bytes | None:
    """The body in memory; None when it is larger than a recording may be."""
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > LARGEST_FILE_BYTES:
            return None
        parts.append(part)
    return b"".join(parts)


def too_large(file_name: str) -> JSONResponse:
    """What is said to a file that is too large."""
    sentence = (
        f"{file_name} holds more than {LARGEST_FILE_BYTES // 1_000_000} MB. "
        "A recording of a lesson is far smaller: send that part of it only."
    )
    return problem_answer(413, "", sentence, "recording-too-large")
