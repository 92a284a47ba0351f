"""The language of an answer: the one that Accept-Language asks for (RFC 9110, 12.5.4)."""

from __future__ import annotations

import warnings
from functools import lru_cache
from typing import Annotated, Any

from fastapi import Depends, Request, Response
from pydantic import BaseModel

from schemas.codes import Language
from service.web.answers import json_answer

with warnings.catch_warnings():
    # The library still imports a module that Python has given up; the header's parser does not use it.
    warnings.filterwarnings("ignore", message="'cgi' is deprecated", category=DeprecationWarning)
    from webob.acceptparse import create_accept_language_header

_MOST_CHARACTERS = 1000
"""No person's list of languages is longer; the time to read one tag grows with the square of its length."""


async def _language(request: Request) -> Language:
    """The language that the request asks for; a list may come in several header lines (RFC 9110, 5.3)."""
    return language_of(", ".join(request.headers.getlist("accept-language")))


LanguageDep = Annotated[Language, Depends(_language)]


def language_of(accept_language: str) -> Language:
    """The language to answer in: lookup (RFC 4647, 3.4) by weight; English where none suits, or for junk."""
    if not accept_language or len(accept_language) > _MOST_CHARACTERS:
        return Language.ENGLISH
    return _looked_up(accept_language)


@lru_cache(maxsize=256)
def _looked_up(accept_language: str) -> Language:
    accepted = create_accept_language_header(accept_language)
    return Language(accepted.lookup(list(Language), default=Language.ENGLISH))


def worded_answer(model: BaseModel, language: Language) -> Response:
    """A JSON answer whose sentences are in this language, and which says so."""
    return in_language(json_answer(model), language)


def in_language(response: Response, language: Language) -> Response:
    """An answer that says which language its sentences are in."""
    response.headers["Content-Language"] = language
    response.headers.add_vary_header("Accept-Language")
    return response


def in_languages(entry: dict[str, Any]) -> dict[str, Any]:
    """The OpenAPI entry of an operation whose answer is in the language that Accept-Language asks for."""
    parameter = {
        "name": "Accept-Language",
        "in": "header",
        "required": False,
        "description": "The languages that the reader takes, with weights (RFC 9110, 12.5.4). "
        f"There are {', '.join(Language)}; English stands in for any other. Codes and numbers stay the same.",
        "schema": {"type": "string"},
        "example": "de-AT, de;q=0.9, en;q=0.5",
    }
    headers = {
        "Content-Language": {
            "description": "The language of the answer's sentences.",
            "schema": {"type": "string", "enum": list(Language)},
        }
    }
    return entry | {
        "parameters": [*entry.get("parameters", []), parameter],
        "responses": {"200": {"headers": headers}},
    }
