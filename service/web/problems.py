"""Every error as a problem document (RFC 9457)."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from http import HTTPStatus
from urllib.parse import quote

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from schemas.problems import FaultOfField, FieldFault, Problem, shown, without_secrets
from service.errors import InvalidRequestError, MalformedRequestError, OperatorError, ServiceError
from service.web.methods import methods_of
from service.web.paths import path_like
from service.web.refusals import MethodNotAllowedError, NoSuchPathError

_LOG = logging.getLogger("axlefit")
PROBLEM_JSON = "application/problem+json"
_MOST_CHARACTERS = 80
_LONGEST_POINTER = 400
# What a URI fragment may hold as it is (RFC 3986, 3.5); RFC 6901, 6 has the rest percent-encoded.
_IN_FRAGMENT = "!$&'()*+,;=:@-._~?"


def install_problem_documents(app: FastAPI) -> None:
    """Answer every error of the service, of the framework and of nobody with a problem document."""
    app.add_exception_handler(ServiceError, _service_error)
    app.add_exception_handler(HTTPException, _framework_error)
    app.add_exception_handler(RequestValidationError, _framework_faults)
    app.add_exception_handler(ClientDisconnect, _gone)
    app.add_exception_handler(Exception, _internal_error)


def problem_response(error: ServiceError, *, in_body: bool = False) -> Response:
    """The answer that an error comes to; where its fields stand unless a fault says so itself."""
    problem = problem_of(error, in_body=in_body)
    content = problem.model_dump_json(exclude_none=True)
    return Response(content, status_code=problem.status, media_type=PROBLEM_JSON, headers=dict(error.headers))


def problem_of(error: ServiceError, *, in_body: bool = False) -> Problem:
    """The problem document of an error."""
    return Problem(
        type=problem_type(type(error)),
        title=error.title,
        status=error.status,
        detail=error.detail,
        errors=[_field_fault(fault, in_body=in_body) for fault in error.faults] or None,
    )


def problem_type(kind: type[ServiceError]) -> str:
    """The type of a problem: a reference to the page about it."""
    return f"/problems/{kind.code}"


async def _service_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, ServiceError)  # noqa: S101 (registered for this class)
    if isinstance(error, OperatorError):
        raise error  # nobody expects it here, and what it says is not for callers
    return problem_response(error, in_body=request.method in {"POST", "PUT", "PATCH"})


async def _framework_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 (registered for this class)
    if error.status_code == HTTPStatus.NOT_FOUND:
        return problem_response(_no_such_path(request))
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        return problem_response(_method_not_allowed(request))
    title = HTTPStatus(error.status_code).phrase  # RFC 9457, 4.2.1: about:blank says no more than the status
    problem = Problem(type="about:blank", title=title, status=error.status_code, detail=title)
    content = problem.model_dump_json(exclude_none=True)
    return Response(
        content, status_code=error.status_code, media_type=PROBLEM_JSON, headers=dict(error.headers or {})
    )


def _no_such_path(request: Request) -> NoSuchPathError:
    like = path_like(request)
    meant = f" Did you mean {like}?" if like else ""
    fault = FaultOfField(
        path=(), found=shown(request.url.path), allowed="a path of GET /openapi.json", place="path"
    )
    return NoSuchPathError(f"The service has no such path.{meant}", [fault])


def _method_not_allowed(request: Request) -> MethodNotAllowedError:
    methods = ", ".join(methods_of(request.app.router, request.scope))
    fault = FaultOfField(path=(), found=shown(request.method), allowed=methods, place="path")
    detail = f"This path takes {methods}."
    return MethodNotAllowedError(detail, [fault], headers={"Allow": methods})


async def _framework_faults(_request: Request, error: Exception) -> Response:
    """What the framework finds wrong with a typed parameter; its place comes first in its path."""
    assert isinstance(error, RequestValidationError)  # noqa: S101 (registered for this class)
    faults = []
    for found in error.errors():
        place, *path = found["loc"]
        where = place if place in {"query", "path", "header"} else "body"
        shown_input = None if found["type"] == "missing" else shown(found.get("input"))
        faults.append(
            FaultOfField(path=tuple(path), found=shown_input, allowed=str(found["msg"]), place=where)
        )
    return problem_response(InvalidRequestError("The request cannot be answered as it is.", faults))


async def _gone(_request: Request, _error: Exception) -> Response:
    """The caller went away in the middle of its body; nobody reads this, and it is no error of ours."""
    return problem_response(MalformedRequestError("The body ended before its end."))


async def _internal_error(_request: Request, error: Exception) -> Response:
    _LOG.error("unexpected error", exc_info=error)
    return problem_response(_of_our_own())


def unexpected_problem(error: Exception) -> Problem:
    """The problem document of an error that nobody expected; it is logged."""
    _LOG.error("unexpected error", exc_info=error)
    return problem_of(_of_our_own())


def _of_our_own() -> ServiceError:
    return ServiceError("The service met an error of its own; it has been logged.")


def _field_fault(fault: FaultOfField, *, in_body: bool) -> FieldFault:
    """Where a fault stands: a pointer into the body, or the name of a parameter or of a header."""
    place = fault.place or ("body" if in_body else "query")
    names = [_sendable(str(step)) for step in fault.path]
    where = {"found": fault.found, "allowed": fault.allowed}
    if place == "body":
        return FieldFault(pointer=_pointer(str(step) for step in fault.path), **where)
    if place == "file":  # a file has no JSON Pointer; row and column read like one
        return FieldFault(pointer="#" + "".join(f"/{name}" for name in names), **where)
    first = names[0] if names else None
    return FieldFault(header=first, **where) if place == "header" else FieldFault(parameter=first, **where)


def _pointer(steps: Iterable[str]) -> str:
    """A JSON Pointer (RFC 6901, 6); where it would not be short, to what the place is within."""
    pointer = "#"
    for step in steps:
        name = without_secrets(step).replace("~", "~0").replace("/", "~1")
        longer = f"{pointer}/{quote(name, safe=_IN_FRAGMENT, errors='replace')}"
        if len(longer) > _LONGEST_POINTER:
            break
        pointer = longer
    return pointer


def _sendable(name: str) -> str:
    """A name as it came, but short, and without what no encoding can send."""
    short = without_secrets(name[: 2 * _MOST_CHARACTERS])[:_MOST_CHARACTERS]
    return short.encode("utf-8", "replace").decode()
