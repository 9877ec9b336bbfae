"""What a plain form sends: fields by their names, so that these pages work without a script."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated
from urllib.parse import parse_qsl

from fastapi import Depends, HTTPException, Request

# the longest record with all its words is far below this
LARGEST_FORM_BYTES = 200_000


async def typed_form(request: Request) -> Mapping[str, str]:
    """The fields of a form that was sent, letters that are none replaced; a second field of a name is left out."""
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > LARGEST_FORM_BYTES:
            raise HTTPException(413)
        parts.append(part)
    text = b"".join(parts).decode("utf-8", errors="replace")
    fields: dict[str, str] = {}
    for key, value in parse_qsl(text, keep_blank_values=True, errors="replace"):
        fields.setdefault(key, value.replace("\0", ""))
    return fields


Form = Annotated[Mapping[str, str], Depends(typed_form)]


def whole_number(text: str, least: int, most: int) -> int | None:
    """A whole number typed, None where it is none or out of bounds."""
    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) < 10):
        return None
    return int(digits) if least <= int(digits) <= most else None
