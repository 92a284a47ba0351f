"""Every error as a problem document (RFC 9457)."""

from __future__ import annotations

import logging
from http import HTTPStatus

from fastapi import FastAPI, Request, Response
from starlette.exceptions import HTTPException

from schemas.problems import FaultOfField, FieldFault, Problem
from service.errors import ServiceError

_LOG = logging.getLogger("axlefit")
PROBLEM_JSON = "application/problem+json"
_MOST_CHARACTERS = 80


def install_problem_documents(app: FastAPI) -> None:
    """Answer every error of the service, of the framework and of nobody with a problem document."""
    app.add_exception_handler(ServiceError, _service_error)
    app.add_exception_handler(HTTPException, _framework_error)
    app.add_exception_handler(Exception, _unexpected_error)


async def _service_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, ServiceError)  # noqa: S101 (registered for this class)
    in_body = request.method in {"POST", "PUT", "PATCH"} and not error.in_query
    response = _response(problem_of(error, in_body=in_body))
    response.headers.update(error.headers)
    return response


def problem_of(error: ServiceError, *, in_body: bool) -> Problem:
    """The problem document of an error; its faults stand in the body or in the query."""
    faults = [_field_fault(fault, in_body=in_body) for fault in error.faults]
    return Problem(
        type=f"/problems/{error.code}",
        title=error.title,
        status=error.status,
        detail=error.detail,
        errors=faults or None,
    )


async def _framework_error(_request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 (registered for this class)
    title = HTTPStatus(error.status_code).phrase
    problem = Problem(
        type="about:blank", title=title, status=error.status_code, detail=str(error.detail or title)
    )
    response = _response(problem)
    response.headers.update(error.headers or {})
    return response


async def _unexpected_error(_request: Request, error: Exception) -> Response:
    return _response(unexpected_problem(error))


def unexpected_problem(error: Exception) -> Problem:
    """The problem document of an error that is our own: it is logged, and tells nothing of the inside."""
    _LOG.error("unexpected error", exc_info=error)
    return Problem(
        type="about:blank",
        title=HTTPStatus.INTERNAL_SERVER_ERROR.phrase,
        status=HTTPStatus.INTERNAL_SERVER_ERROR,
        detail="The service met an error of its own; it has been logged.",
    )


def _field_fault(fault: FaultOfField, *, in_body: bool) -> FieldFault:
    """Where a fault stands: a JSON Pointer (RFC 6901) into the body, or a parameter's name."""
    names = [_sendable(str(step)) for step in fault.path]
    if not in_body:
        return FieldFault(parameter=names[0] if names else None, found=fault.found, allowed=fault.allowed)
    steps = (name.replace("~", "~0").replace("/", "~1") for name in names)
    pointer = "#" + "".join(f"/{step}" for step in steps)
    return FieldFault(pointer=pointer, found=fault.found, allowed=fault.allowed)


def _sendable(name: str) -> str:
    """A name as it came, but short, and without what no encoding can send."""
    return name[:_MOST_CHARACTERS].encode("utf-8", "replace").decode()


def _response(problem: Problem) -> Response:
    content = problem.model_dump_json(exclude_none=True)
    return Response(content, status_code=problem.status, media_type=PROBLEM_JSON)
