"""The filter element that shops put into their pages, as ES modules with the words of every language.

The entry `/embed/axle-fit.js` is what a page names; it keeps its name, attributes and events for as long as
they work as they did, and a breaking change gets an entry of another name. The modules that it imports
stand under a folder named after what is in all of them, so that a page never mixes those of two releases;
these may be kept for good. While workers of two releases answer, a folder that a worker does not know
gives the modules that it has, and nobody keeps those.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from fastapi import APIRouter, Request, Response

from schemas.codes import Language
from service.fitting.languages import sentences_in
from service.fitting.normal_form import digest_of
from service.web.caching import unless_known
from service.web.decoding import NO_QUERY
from service.web.pages import kept_headers
from service.web.refusals import NoSuchPathError

_TYPE = "text/javascript"
_ENTRY = "axle-fit.js"
_WORDS = "words.js"
_FOR_GOOD = "public, max-age=31536000, immutable"
_KINDS = ("filters", "fastenings", "features", "probabilities", "words")
"""The kinds of sentences that the element says itself; all others come in the answers."""
_DRIVE_NAMES = "drive_name_"


def embed_router() -> APIRouter:
    """The routes of the element's modules; pages of every origin may load them (Fetch standard, CORS)."""
    router = APIRouter(prefix="/embed", include_in_schema=False, dependencies=[NO_QUERY])

    async def get_entry(request: Request) -> Response:
        return _answer(request, _entry(), kept_headers(_entry()))

    async def get_module(request: Request, edition: str, name: str) -> Response:
        if name not in _modules():
            raise NoSuchPathError("There is no such module of the element; /embed/axle-fit.js names them.")
        content = _modules()[name]
        kept = {"Cache-Control": _FOR_GOOD if edition == _edition() else "no-store"}
        return _answer(request, content, kept_headers(content) | kept)

    router.add_api_route(f"/{_ENTRY}", get_entry, methods=["GET"])
    router.add_api_route("/axle-fit/{edition}/{name}", get_module, methods=["GET"])
    return router


def _answer(request: Request, content: bytes, kept: dict[str, str]) -> Response:
    headers = kept | {"X-Content-Type-Options": "nosniff"}
    return unless_known(request, headers, lambda: Response(content, media_type=_TYPE))


@cache
def _entry() -> bytes:
    return _file(_ENTRY).replace(b"./axle-fit/", f"./axle-fit/{_edition()}/".encode())


@cache
def _edition() -> str:
    """The name of the modules' folder: a digest of everything in it."""
    return digest_of(*((name, content.decode()) for name, content in sorted(_modules().items())))[:16]


@cache
def _modules() -> Mapping[str, bytes]:
    names = [path.name for path in files("service.web").joinpath("embed/axle-fit").iterdir()]
    return {name: _file(f"axle-fit/{name}") for name in names if name.endswith(".js")} | {_WORDS: _words()}


def _file(name: str) -> bytes:
    return files("service.web").joinpath("embed", *name.split("/")).read_bytes()


def _words() -> bytes:
    """A module with the words of every language, so that the element can say that the service is away."""
    said = {language.value: _words_in(language) for language in Language}
    return f"export default {json.dumps(said, ensure_ascii=False)};\n".encode()


def _words_in(language: Language) -> Mapping[str, Mapping[str, str]]:
    sentences = sentences_in(language)
    drives = {
        code.removeprefix(_DRIVE_NAMES): name
        for code, name in sentences.guides.items()
        if code.startswith(_DRIVE_NAMES)
    }
    return {kind: dict(getattr(sentences, kind)) for kind in _KINDS} | {"drives": drives}
