"""Script, style sheet, fonts and icon of the pages: read once, named by their content, kept by a browser for ever."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable

from volplane.faces.report.tokens import COLOURS, WEB_FONTS, Colour, Theme, css_font_faces, css_tokens

PREFIX = "/assets/"
ENTRY = "src/main.ts"
MEDIA_TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
}
# files that browsers ask for at the root, whatever a page says
AT_THE_ROOT = (
    "favicon.svg",
    "favicon.ico",
    "icon-180.png",
    "icon-192.png",
    "icon-512.png",
    "icon-maskable-512.png",
    "manifest.webmanifest",
)


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
    files["manifest.webmanifest"] = Asset(_application_manifest(), "application/manifest+json")
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


def _application_manifest() -> bytes:
    """What lets a browser keep the workbench as an application of its own (W3C, Web Application Manifest).

    Browsers offer it on loopback, and elsewhere only over TLS.
    """
    paper = COLOURS[Theme.LIGHT][Colour.PAPER]
    icons = [
        {"src": f"/{name}", "sizes": f"{side}x{side}", "type": "image/png", "purpose": purpose}
        for name, side, purpose in (
            ("icon-192.png", 192, "any"),
            ("icon-512.png", 512, "any"),
            ("icon-maskable-512.png", 512, "maskable"),
        )
    ]
    manifest = {
        "id": "/",
        "name": "Volplane",
        "short_name": "Volplane",
        "description": "The workbench of a flight instructor who teaches engine-out glides.",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "lang": "en",
        "background_color": paper,
        "theme_color": paper,
        "icons": icons,
    }
    return json.dumps(manifest, indent=1).encode()


def _fonts() -> dict[str, bytes]:
    folder = resources.files("volplane.faces.report") / "fonts"
    return {name: (folder / name).read_bytes() for name in WEB_FONTS}


def _digest(*parts: bytes) -> str:
    digest = hashlib.sha256()
    for part in parts:
        digest.update(part)
    return digest.hexdigest()[:12]
