"""Pages as PDF or as pictures: a template of this folder, its data, a paper; the same data gives the same bytes."""

from __future__ import annotations

import json
import pathlib
from dataclasses import dataclass
from typing import Any, Literal

from volplane.faces.report.lettering import FONTS_FOLDER
from volplane.faces.report.refusals import CardTooLong

Paper = Literal["A5", "half-letter", "A4"]
PAPERS: tuple[Paper, ...] = ("A5", "half-letter", "A4")
_FOLDER = pathlib.Path(__file__).parent
# a page on the screen: sharp on a fine display, an A5 page some 150 kB
_PICTURE_PPI = 144.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is to be typeset: template, data, paper."""

    template: str
    data: dict[str, Any]
    paper: Paper

    def pdf(self) -> bytes:
        """As PDF. :raises CardTooLong: its words do not fit on one page."""
        return typeset(self.template, self.data, self.paper)

    def pictures(self) -> tuple[bytes, ...]:
        """Its pages as PNG, to be looked at before it is printed. :raises CardTooLong: as above."""
        pages: bytes | list[bytes] = _typeset(self.template, self.data, self.paper, format="png", ppi=_PICTURE_PPI)
        return (pages,) if isinstance(pages, bytes) else tuple(pages)


def typeset(template: str, data: dict[str, Any], paper: Paper) -> bytes:
    """Run the typesetter on a template, with the faces of this package and no others.

    :raises CardTooLong: the template says that its words do not fit on one page.
    """
    pdf: bytes = _typeset(template, data, paper, format="pdf")
    return pdf


def _typeset(template: str, data: dict[str, Any], paper: Paper, **how: Any) -> Any:
    import typst

    try:
        return typst.compile(
            str(_FOLDER / template),
            root=str(_FOLDER),
            font_paths=[str(FONTS_FOLDER)],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False), "paper": paper},
            **how,
        )
    except typst.TypstError as fault:
        if "card-too-long" in str(fault):
            raise CardTooLong(paper) from None
        raise
