"""The pages that the types of problem documents lead to, made from the errors themselves."""

from __future__ import annotations

import base64
import hashlib
import inspect
from collections.abc import Iterator
from typing import NamedTuple

from fastapi import APIRouter, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from service.errors import OperatorError, ServiceError
from service.web.decoding import NO_QUERY
from service.web.refusals import NoSuchPathError

_TEMPLATES = Environment(
    loader=PackageLoader("service.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
)
_STYLE = Markup("\n").join(
    Markup(_TEMPLATES.get_template(name).render())  # noqa: S704 (our own files)
    for name in ("sheet.css", "problems.css")
)
_HEADERS = {
    # Nothing but the page's own style is loaded or run, whatever a page may come to hold.
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; style-src 'sha256-"
    + base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
    + "'",
    "X-Content-Type-Options": "nosniff",
}


class ProblemPage(NamedTuple):
    """What the page of a problem says."""

    code: str
    title: str
    status: int
    what: Markup
    to_do: Markup


def problem_kinds() -> list[type[ServiceError]]:
    """All problems that the service can answer with, by status."""
    kinds = [kind for kind in _tree(ServiceError) if not issubclass(kind, OperatorError)]
    return sorted(kinds, key=lambda kind: (kind.status, kind.code))


def problem_page(kind: type[ServiceError]) -> ProblemPage:
    """The page of a problem, from the docstring of its error: what it is, and what to do."""
    what, _, to_do = inspect.cleandoc(kind.__doc__ or "").partition("\n\n")
    return ProblemPage(kind.code, kind.title, kind.status, _with_code(what), _with_code(to_do))


def problem_pages() -> APIRouter:
    """The routes of the pages: all problems, and one of them."""
    router = APIRouter(include_in_schema=False, dependencies=[NO_QUERY])
    pages = {page.code: page for page in map(problem_page, problem_kinds())}

    async def get_problems() -> Response:
        return _answer("problems.html", pages=list(pages.values()))

    async def get_problem(name: str) -> Response:
        if name not in pages:
            raise NoSuchPathError("There is no such problem; GET /problems lists all of them.")
        return _answer("problem.html", page=pages[name])

    router.add_api_route("/problems", get_problems, methods=["GET"])
    router.add_api_route("/problems/{name}", get_problem, methods=["GET"])
    return router


def _tree(kind: type[ServiceError]) -> Iterator[type[ServiceError]]:
    yield kind
    for inner in kind.__subclasses__():
        yield from _tree(inner)


def _answer(template: str, **values: object) -> Response:
    content = _TEMPLATES.get_template(template).render(style=_STYLE, **values)
    return HTMLResponse(content, headers=_HEADERS)


def _with_code(text: str) -> Markup:
    """A paragraph, escaped, with what stands between backticks as code."""
    parts = " ".join(text.split()).split("`")
    marked = (
        Markup("<code>{}</code>").format(part) if odd % 2 else escape(part) for odd, part in enumerate(parts)
    )
    return Markup("").join(marked)
