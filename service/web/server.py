"""The HTTP server, set up so that its own refusals are problem documents too."""

from __future__ import annotations

import sys
from http import HTTPStatus
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from service.errors import ServiceError
from service.web.problems import problem_response
from service.web.refusals import HeadersTooLargeError, NotHttpError


class ProblemProtocol(H11Protocol):
    """HTTP/1.1 whose refusal of what is no request is a problem document, not plain text."""

    def send_400_response(self, msg: str) -> None:
        """Answer what cannot be read as a request, if nothing of an answer is sent yet, and hang up."""
        if self.cycle is not None:  # a request under way has lost its body, and its answer goes nowhere
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if self.conn.our_state in {h11.IDLE, h11.SEND_RESPONSE}:
            self._send(_refusal(sys.exc_info()[1], msg))
        self.transport.close()

    def _send(self, error: ServiceError) -> None:
        response = problem_response(error)
        headers = [*self.server_state.default_headers, *response.raw_headers, (b"connection", b"close")]
        start = h11.Response(
            status_code=error.status, headers=headers, reason=HTTPStatus(error.status).phrase.encode()
        )
        for event in (start, h11.Data(data=bytes(response.body)), h11.EndOfMessage()):
            self.transport.write(self.conn.send(event) or b"")


def _refusal(error: BaseException | None, message: str) -> ServiceError:
    """What to tell: more headers than are read, or something that is no request."""
    if getattr(error, "error_status_hint", None) == HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE:
        return HeadersTooLargeError("The address and the headers together are more than the service reads.")
    return NotHttpError(message)


# More than the limits of ours (request_size.py), which say what is too large and answer first.
_MOST_BYTES_BEFORE_BODY = 64 * 1024
PROTOCOL: dict[str, Any] = {
    "http": ProblemProtocol,
    "ws": "none",  # an upgrade is not taken up, and the request answered as it is (RFC 9110, 7.8)
    "h11_max_incomplete_event_size": _MOST_BYTES_BEFORE_BODY,
}
"""How the server reads requests: to be given to it as settings."""
