"""Printed pages read back: their text, how small its letters are, and whether any lie over each other."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pypdfium2

Box = tuple[float, float, float, float]
# px of the visual language: 0.75 points
POINTS_A_PX = 0.75
# boxes may touch by so much
_SLACK_PT = 0.6


def text_of(pdf: bytes) -> str:
    """The text of every page, blanks made one."""
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return re.sub(r"\s+", " ", text.replace("\u00a0", " "))


def letters(page: pypdfium2.PdfPage) -> Iterator[tuple[int, str, Box, float]]:
    """Every visible letter: its place in the text, tight box (left, bottom, right, top) and size, both in points."""
    text = page.get_textpage()
    for index in range(text.count_chars()):
        letter = text.get_text_range(index, 1)
        if letter.strip():
            size = pypdfium2.raw.FPDFText_GetFontSize(text.raw, index)
            yield index, letter, text.get_charbox(index), size


def smallest_letters_px(pdf: bytes) -> float:
    """The size of the smallest letters."""
    document = pypdfium2.PdfDocument(pdf)
    return min(size / POINTS_A_PX for page in document for _, _, _, size in letters(page))


def overlaps(pdf: bytes) -> list[str]:
    """Pairs of letters that lie over each other, neighbours in a word excepted, and letters off the
    page.
    """
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        width, height = page.get_size()
        known = sorted(letters(page), key=lambda each: each[2][0])
        for place, (index, letter, box, _) in enumerate(known):
            if box[0] < 0.0 or box[1] < 0.0 or box[2] > width or box[3] > height:
                found.append(f"{letter} leaves the page")
            for other_index, other, beside, _ in known[place + 1 :]:
                if beside[0] > box[2] - _SLACK_PT:
                    break
                is_over = min(box[3], beside[3]) - max(box[1], beside[1]) > _SLACK_PT
                if is_over and abs(index - other_index) > 1:
                    found.append(f"{letter} over {other} at {box[0]:.0f}, {box[1]:.0f}")
    return found
