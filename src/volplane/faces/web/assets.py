"""Script, style sheet, fonts and icon of the pages: read once, named by their content, kept by a browser for ever."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable

from volplane.faces.report.tokens import WEB_FONTS, css_font_faces, css_tokens

PREFIX = "/assets/"
ENTRY = "src/main.ts"
MEDIA_TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


class PagesNotBuiltError(RuntimeError):
    """The script and style sheet of the pages are missing from this installation: our own fault, not the user's."""


@dataclass(frozen=True, slots=True)
class Asset:
    """One file as it is served."""

    body: bytes
    media_type: str


@dataclass(frozen=True, slots=True)
class Assets:
    """Every file the pages load, by the path below `/assets/`, and the addresses a page names in its head."""

    files: dict[str, Asset]
    script: str
    styles: tuple[str, ...]
    preload_fonts: tuple[str, ...]


def load_assets() -> Assets:
    """Read the built client, the fonts and the tokens of the figures.

    :raises PagesNotBuiltError: the client was not built into this installation.
    """
    static = resources.files("volplane.faces.web") / "static"
    script, styles, files = _built_client(static)
    fonts = _fonts()
    folder = f"fonts-{_digest(*fonts.values())}"
    files |= {f"{folder}/{name}": Asset(body, MEDIA_TYPES[".woff2"]) for name, body in fonts.items()}
    tokens = (css_font_faces(PREFIX + folder) + css_tokens()).encode()
    tokens_name = f"tokens-{_digest(tokens)}.css"
    files[tokens_name] = Asset(tokens, MEDIA_TYPES[".css"])
    return Assets(
        files=files,
        script=PREFIX + script,
        styles=(PREFIX + tokens_name, *(PREFIX + style for style in styles)),
        preload_fonts=tuple(f"{PREFIX}{folder}/{name}" for name in fonts if "italic" not in name and "400" not in name),
    )


def _built_client(static: Traversable) -> tuple[str, tuple[str, ...], dict[str, Asset]]:
    manifest = static / "manifest.json"
    if not manifest.is_file():
        raise PagesNotBuiltError("The pages were not built: run `python hatch_build.py` in the checkout.")
    entry = json.loads(manifest.read_text(encoding="utf-8"))[ENTRY]
    files = {}
    for item in static.iterdir():
        media_type = MEDIA_TYPES.get("." + item.name.rpartition(".")[2])
        if item.is_file() and media_type is not None:
            files[item.name] = Asset(item.read_bytes(), media_type)
    return entry["file"], tuple(entry.get("css", ())), files


def _fonts() -> dict[str, bytes]:
    folder = resources.files("volplane.faces.report") / "fonts"
    return {name: (folder / name).read_bytes() for name in WEB_FONTS}


def _digest(*parts: bytes) -> str:
    digest = hashlib.sha256()
    for part in parts:
        digest.update(part)
    return digest.hexdigest()[:12]
