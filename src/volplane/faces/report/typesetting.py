"""Pages as PDF: a template of this folder, its data, a paper; the same data gives the same bytes."""

from __future__ import annotations

import json
import pathlib
from typing import Any, Literal

from volplane.faces.report.lettering import FONTS_FOLDER
from volplane.faces.report.refusals import CardTooLong

Paper = Literal["A5", "half-letter", "A4"]
PAPERS: tuple[Paper, ...] = ("A5", "half-letter", "A4")
_FOLDER = pathlib.Path(__file__).parent


def typeset(template: str, data: dict[str, Any], paper: Paper) -> bytes:
    """Run the typesetter on a template, with the faces of this package and no others.

    :raises CardTooLong: the template says that its words do not fit on one page.
    """
    import typst

    try:
        return typst.compile(
            str(_FOLDER / template),
            root=str(_FOLDER),
            font_paths=[str(FONTS_FOLDER)],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False), "paper": paper},
            format="pdf",
        )
    except typst.TypstError as fault:
        if "card-too-long" in str(fault):
            raise CardTooLong(paper) from None
        raise
