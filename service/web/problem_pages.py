"""The pages that the types of problem documents lead to, made from the errors themselves."""

from __future__ import annotations

import inspect
from typing import NamedTuple

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from service.errors import ServiceError
from service.web.decoding import NO_QUERY
from service.web.pages import page_answer, page_text, with_code
from service.web.problem_kinds import problem_kinds
from service.web.refusals import NoSuchPathError

_LOOK = "problems.css"


class ProblemPage(NamedTuple):
    """What the page of a problem says."""

    code: str
    title: str
    status: int
    what: Markup
    to_do: Markup


def problem_page(kind: type[ServiceError]) -> ProblemPage:
    """The page of a problem, from the docstring of its error: what it is, and what to do."""
    what, _, to_do = inspect.cleandoc(kind.__doc__ or "").partition("\n\n")
    return ProblemPage(kind.code, kind.title, kind.status, with_code(what), with_code(to_do))


def problem_pages() -> APIRouter:
    """The routes of the pages: all problems, and one of them."""
    router = APIRouter(include_in_schema=False, dependencies=[NO_QUERY])
    pages = {page.code: page for page in map(problem_page, problem_kinds())}

    async def get_problems(request: Request) -> Response:
        return _answer(request, "problems.html", pages=list(pages.values()))

    async def get_problem(request: Request, name: str) -> Response:
        if name not in pages:
            raise NoSuchPathError("There is no such problem; GET /problems lists all of them.")
        return _answer(request, "problem.html", page=pages[name])

    router.add_api_route("/problems", get_problems, methods=["GET"])
    router.add_api_route("/problems/{name}", get_problem, methods=["GET"])
    return router


def _answer(request: Request, template: str, **values: object) -> Response:
    return page_answer(request, page_text(template, look=_LOOK, **values), look=_LOOK)
