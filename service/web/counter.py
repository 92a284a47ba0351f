"""The page for a shop's counter: its text in each language, and the files that it loads.

The page asks the public API for everything that it shows; here it gets nothing but its words. What a clerk
has typed stands in the page's address, which only the page itself reads.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import get_args

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from schemas.codes import Language, MaterialCode
from schemas.lookup import MeasuredFrame
from service.fitting.languages import sentences_in
from service.web.caching import unless_known
from service.web.decoding import NO_QUERY
from service.web.languages import LanguageDep
from service.web.refusals import NoSuchPathError

_MEDIA_TYPES = {".css": "text/css", ".js": "text/javascript"}
_KEPT = "public, max-age=0, stale-if-error=86400"
"""Asked for again each time, so that files of two releases never meet in one page; mostly that is a 304."""
_SAFE = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
_NAMES = {
    "en": "English",
    "de": "Deutsch",
    "fr": "Français",
    "nl": "Nederlands",
    "es": "Español",
    "it": "Italiano",
}
"""What each language calls itself."""
_MATERIALS = [
    code for code in get_args(MaterialCode) if code != MeasuredFrame.model_fields["wall_material"].default
]
_DRIVES = (
    *("hexagon_3", "hexagon_4", "hexagon_5", "hexalobular_20", "hexalobular_25", "hexalobular_30"),
    *("cross_h2", "cross_h3", "slot", "external_hexagon_10", "external_hexagon_13"),
)
"""The drives to choose from; common practice, no source."""
_TEMPLATES = Environment(
    loader=PackageLoader("service.web"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def counter_page() -> APIRouter:
    """The routes of the page and of its files."""
    router = APIRouter(include_in_schema=False)
    kept = _files()

    async def get_counter(http: Request, asked_for: LanguageDep) -> Response:
        language = _chosen(http, asked_for)
        text = _page(language, tuple(name for name in kept if name.endswith(".js")))
        return _answer(http, HTMLResponse(text), {"Content-Language": language, "Vary": "Accept-Language"})

    async def get_counter_file(http: Request, name: str) -> Response:
        if name not in kept:
            raise NoSuchPathError("The counter page has no such file.")
        return _answer(http, Response(kept[name], media_type=_media_type(name)), {})

    router.add_api_route("/counter", get_counter, methods=["GET"])
    router.add_api_route("/counter/{name}", get_counter_file, methods=["GET"], dependencies=[NO_QUERY])
    return router


def _chosen(http: Request, asked_for: Language) -> Language:
    """The language that the page's address names, or else the one that the browser asks for."""
    named = http.query_params.get("lang", "")
    return Language(named) if named in set(Language) else asked_for


def _answer(http: Request, made: Response, headers: Mapping[str, str]) -> Response:
    tag = hashlib.sha256(bytes(made.body)).hexdigest()[:32]
    return unless_known(http, {**_SAFE, **headers, "ETag": f'"{tag}"', "Cache-Control": _KEPT}, lambda: made)


@cache
def _page(language: Language, modules: tuple[str, ...]) -> str:
    said = sentences_in(language)
    words = {
        **said.counter,
        **said.fastenings,
        **{code: text for code, text in said.guides.items() if code.startswith("drive_name_")},
    }
    return _TEMPLATES.get_template("counter.html").render(
        language=language,
        languages=_NAMES,
        words=words,
        modules=modules,
        materials=[(code, words[code]) for code in _MATERIALS],
        drives=[(code, _drive_name(code, words)) for code in _DRIVES],
    )


def _drive_name(code: str, words: Mapping[str, str]) -> str:
    """A drive in words, with its size."""
    kind, _, size = code.rpartition("_") if "_" in code else (code, "", "")
    return f"{words[f'drive_name_{kind}']} {size.upper()}".strip()


def _files() -> dict[str, bytes]:
    """What the page loads, by name: the look of all pages, its own look, its modules."""
    package = files("service.web")
    found = [package / "templates" / "sheet.css", *_listed(package / "pages" / "counter")]
    return {file.name: file.read_bytes() for file in found}


def _listed(folder: Traversable) -> list[Traversable]:
    return sorted((file for file in folder.iterdir() if file.is_file()), key=lambda file: file.name)


def _media_type(name: str) -> str:
    return _MEDIA_TYPES[name[name.rindex(".") :]]
