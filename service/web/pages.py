"""The pages that the service makes itself: templates, their look, their headers, how long they are kept.

A page loads nothing and runs nothing: its style stands in it, and its policy allows that style alone.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from service.web.caching import unless_known

_TEMPLATES = Environment(
    loader=PackageLoader("service.web"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_KEPT = "public, max-age=300, stale-if-error=86400"
"""Five minutes: what a page says changes with a release alone, and a new release should be read soon."""


def page_text(template: str, *, look: str, **values: object) -> str:
    """The page of a template, with the look of all pages and one of its own."""
    return _TEMPLATES.get_template(template).render(style=_style(look), **values)


def page_answer(http: Request, text: str, *, look: str) -> Response:
    """A page as an answer, or 304 for who has it."""
    policy = _policy(look)
    headers = kept_headers(text.encode()) | {
        "Content-Security-Policy": policy,
        "X-Content-Type-Options": "nosniff",
    }
    return unless_known(http, headers, lambda: HTMLResponse(text))


def kept_headers(content: bytes) -> dict[str, str]:
    """The entity tag of a content that changes with a release alone, and how long it may be kept."""
    return {"ETag": f'"{hashlib.sha256(content).hexdigest()[:32]}"', "Cache-Control": _KEPT}


def with_code(text: str) -> Markup:
    """A paragraph, escaped, with what stands between backticks as code."""
    parts = " ".join(text.split()).split("`")
    marked = (
        Markup("<code>{}</code>").format(part) if odd % 2 else escape(part) for odd, part in enumerate(parts)
    )
    return Markup("").join(marked)


def paragraphs(text: str) -> Markup:
    """A text of several paragraphs, escaped, each as an element."""
    found = (part for part in text.split("\n\n") if part.strip())
    return Markup("\n").join(Markup("<p>{}</p>").format(with_code(part)) for part in found)


@cache
def _style(look: str) -> Markup:
    names = ("sheet.css", look)
    return Markup("\n").join(
        Markup(_TEMPLATES.get_template(name).render())  # noqa: S704 (our own files)
        for name in names
    )


@cache
def _policy(look: str) -> str:
    """Nothing but the page's own style is loaded or run, whatever a page may come to hold."""
    digest = base64.b64encode(hashlib.sha256(_style(look).encode()).digest()).decode()
    return (
        "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
        f"style-src 'sha256-{digest}'"
    )
