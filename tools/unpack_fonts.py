"""Make the faces the figures, pages and cards are set in: web fonts, unpacked fonts for the PDF, and a table of widths.

    npm pack @fontsource-variable/overpass@5.3.0 @fontsource/source-serif-4@5.3.1
    python tools/unpack_fonts.py fontsource-variable-overpass-5.3.0.tgz fontsource-source-serif-4-5.3.1.tgz

The results are committed, so nobody needs this to build or run Volplane; it is here so that they can be made again.
Needs fonttools and brotli. The same packages give the same bytes.
"""

from __future__ import annotations

import io
import json
import pathlib
import sys
import tarfile

from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

FONTS = pathlib.Path(__file__).parent.parent / "src/volplane/faces/report/fonts"
OVERPASS = "package/files/overpass-latin-wght-normal.woff2"
SERIF = "package/files/source-serif-4-latin-{}.woff2"
WEIGHTS = {400: "Regular", 500: "Medium", 600: "SemiBold", 700: "Bold"}
SERIF_FACES = {"400-normal": "Regular", "400-italic": "Italic", "600-normal": "SemiBold"}
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def main() -> None:
    """Write everything under the report's fonts folder."""
    overpass_package, serif_package = (pathlib.Path(argument) for argument in sys.argv[1:3])
    FONTS.mkdir(exist_ok=True)
    overpass = _member(overpass_package, OVERPASS)
    (FONTS / "overpass.woff2").write_bytes(overpass)
    (FONTS / "OFL-Overpass.txt").write_bytes(_member(overpass_package, "package/LICENSE"))
    (FONTS / "OFL-SourceSerif4.txt").write_bytes(_member(serif_package, "package/LICENSE"))
    faces: dict[str, TTFont] = {}
    for weight, style in WEIGHTS.items():
        faces[f"overpass-{weight}"] = font = _overpass_face(overpass, weight, style)
        _save(font, FONTS / f"Overpass-{style}.ttf")
    for file_part, style in SERIF_FACES.items():
        packed = _member(serif_package, SERIF.format(file_part))
        (FONTS / f"source-serif-4-{file_part}.woff2").write_bytes(packed)
        faces[f"serif-{file_part}"] = font = TTFont(io.BytesIO(packed), recalcTimestamp=False)
        _save(font, FONTS / f"SourceSerif4-{style}.ttf")
    (FONTS / "widths.json").write_text(_widths(faces), encoding="utf-8")


def _member(package: pathlib.Path, name: str) -> bytes:
    with tarfile.open(package) as archive:
        member = archive.extractfile(name)
        if member is None:
            raise SystemExit(f"{package.name} holds no file {name}")
        return member.read()


def _overpass_face(packed: bytes, weight: int, style: str) -> TTFont:
    """One weight, with tabular figures as its own figures: a drawing inside a PDF cannot ask for a font feature."""
    font = instancer.instantiateVariableFont(TTFont(io.BytesIO(packed), recalcTimestamp=False), {"wght": weight})
    for table in font["cmap"].tables:
        for code, digit in enumerate(DIGITS, start=ord("0")):
            if code in table.cmap:
                table.cmap[code] = f"{digit}.tf"
    font["OS/2"].usWeightClass = weight
    names = font["name"]
    bold = style in ("Regular", "Bold")
    for number, text in {
        1: "Overpass" if bold else f"Overpass {style}",
        2: style if bold else "Regular",
        4: f"Overpass {style}",
        6: f"Overpass-{style}",
        16: "Overpass",
        17: style,
    }.items():
        names.setName(text, number, 3, 1, 0x409)
    return font


def _save(font: TTFont, path: pathlib.Path) -> None:
    font.flavor = None
    font.save(path)


def _widths(faces: dict[str, TTFont]) -> str:
    """Advance widths in thousandths of the type size: one string of characters, one list of numbers a face."""
    characters = sorted(set.intersection(*(set(font.getBestCmap()) for font in faces.values())) - {0x00, 0x0D})
    table: dict[str, object] = {"characters": "".join(map(chr, characters))}
    for name, font in faces.items():
        cmap, advances, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        table[name] = [round(1000 * advances[cmap[code]][0] / em) for code in characters]
    return json.dumps(table, ensure_ascii=True, separators=(",", ":")) + "\n"


if __name__ == "__main__":
    main()
