"""The errors of the client, one tree.

::

    AxleFitError
    ├── ProblemError             the service refused, and says why
    ├── AnswerError              the answer is not what the service gives: cut off, altered, of another kind
    └── ConnectionFailedError    no answer came
"""

from __future__ import annotations

from http import HTTPStatus

import httpx
from pydantic import ValidationError

from .schemas.problems import Problem


class AxleFitError(Exception):
    """A request that was not answered as it should be."""


class ProblemError(AxleFitError):
    """The service answered with a problem document (RFC 9457).

    `attempts` tells how often the request was sent. A write that was sent again after its answer had been
    lost may meet its own work, as a 412 or a 404: read the record to know.
    """

    def __init__(self, problem: Problem, attempts: int = 1) -> None:
        super().__init__(problem, attempts)
        self.problem = problem
        self.attempts = attempts

    def __str__(self) -> str:
        """The problem in one line, with every fault of the request."""
        faults = "".join(
            f"; {fault.parameter or fault.pointer or 'request'}: {fault.allowed}"
            for fault in self.problem.errors or ()
        )
        return f"{self.problem.status} {self.problem.title}: {self.problem.detail}{faults}"


class AnswerError(AxleFitError):
    """The answer cannot be used: it is cut off, altered, or not of the form that this client knows."""


class ConnectionFailedError(AxleFitError):
    """No answer came, for as long as the client had patience."""


def error_of(outcome: httpx.Response | httpx.RequestError, attempts: int) -> AxleFitError:
    """The error that a request ended with."""
    if isinstance(outcome, httpx.RequestError):
        return ConnectionFailedError(f"no answer after {attempts} attempts: {outcome!r}")
    return ProblemError(_problem_in(outcome), attempts)


def _problem_in(response: httpx.Response) -> Problem:
    """The problem document; one made of the status where something before the service answered."""
    try:
        return Problem.model_validate_json(response.content, extra="ignore")
    except ValidationError:
        status = response.status_code
        title = HTTPStatus(status).phrase if status in set(HTTPStatus) else "Unknown status"
        kind = response.headers.get("Content-Type", "no content type")
        detail = f"The answer is no problem document, but {kind}."
        return Problem(type="about:blank", title=title, status=status, detail=detail)
