"""The HTTP server, set up so that its own refusals are problem documents too."""

from __future__ import annotations

from typing import Any

from httptools import HttpParserError, HttpParserUpgrade, HttpRequestParser
from uvicorn.protocols.http.httptools_impl import STATUS_LINE, HttpToolsProtocol

from service.errors import ServiceError
from service.web.problems import problem_response
from service.web.refusals import HeadersTooLargeError, NotHttpError

# More than the limits of ours (request_size.py), which say what is too large and answer first.
_MOST_FRUITLESS_BYTES = 64 * 1024
_EMPTY_LINE_BYTES = len(b"\r\n")
"""One empty line may stand before a request (RFC 9112, 2.2)."""
_LINGER_SECONDS = 1.0
_VERSIONS = frozenset({"1.0", "1.1"})


class ProblemProtocol(HttpToolsProtocol):
    """HTTP/1.1 whose refusal of what is no request is a problem document, not plain text.

    The parser is strict about the form of a message, and knows no limit; what it lets through and HTTP does
    not, and bytes of which nothing comes, are refused here. An upgrade is never taken up (RFC 9110, 7.8).
    """

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self._refusal: ServiceError | None = None
        self._refused = False
        self._in_head = False
        self._asks_for_upgrade = False
        self._between = True
        self._fruitful = False
        self._fruitless_bytes = 0

    def data_received(self, data: bytes) -> None:
        """Read on, unless something was refused: then nobody knows where the next request begins."""
        if self._refusal is not None:
            return
        self._unset_keepalive_if_required()
        self._fruitful = False
        try:
            self._feed(data)
        except HttpParserError as error:
            cause = error.__context__
            self._refuse(cause if isinstance(cause, ServiceError) else NotHttpError(_sentence(error)))
            return
        self._fruitless_bytes = 0 if self._fruitful else self._fruitless_bytes + len(data)
        if self._between and self._fruitless_bytes > _EMPTY_LINE_BYTES:
            self._refuse(NotHttpError("A request begins with its request line."))
        elif self._fruitless_bytes > _MOST_FRUITLESS_BYTES:
            detail = "The address and the headers together are more than the service reads."
            self._refuse(HeadersTooLargeError(detail))

    def _feed(self, data: bytes) -> None:
        """Parse; a head that asks for an upgrade is parsed again without its wish.

        The parser takes what follows such a head for another protocol, its body too.
        """
        while True:
            try:
                self.parser.feed_data(data)
            except HttpParserUpgrade as upgrade:
                data = self._head_without_upgrade() + data[upgrade.args[0] :]
                self.parser = HttpRequestParser(self)
                self.parser.set_dangerous_leniencies(lenient_data_after_close=True)  # as the base has it
            else:
                return

    def _head_without_upgrade(self) -> bytes:
        version = self.parser.get_http_version().encode()
        lines = [b"%b %b HTTP/%b" % (self.parser.get_method(), self.url, version)]
        lines += [b"%b: %b" % (name, value) for name, value in self.headers if name != b"upgrade"]
        return b"\r\n".join([*lines, b"", b""])

    # --- what the parser tells ------------------------------------------------------------------------

    def on_message_begin(self) -> None:
        """A request begins."""
        self._fruitful = self._in_head = True
        self._between = self._asks_for_upgrade = False
        super().on_message_begin()

    def on_header(self, name: bytes, value: bytes) -> None:
        """A header, without the spaces around it (RFC 9112, 5.1); one that follows the body is dropped."""
        if self._in_head:
            super().on_header(name, value.strip(b" \t"))

    def on_headers_complete(self) -> None:
        """A request has its head, and is passed on."""
        self._fruitful, self._in_head = True, False
        method = self.parser.get_method()
        if method == b"CONNECT":
            raise NotHttpError("CONNECT is a method of proxies.")
        self._asks_for_upgrade = self.parser.should_upgrade()
        if self._asks_for_upgrade:
            return
        _require_http(self.parser.get_http_version(), self.headers)
        if self.url == b"*":  # the server as a whole (RFC 9112, 3.2.4), of which there is nothing to say
            self.url = b"/*"
        super().on_headers_complete()

    def on_body(self, body: bytes) -> None:
        """A part of a body."""
        self._fruitful = True
        super().on_body(body)

    def on_message_complete(self) -> None:
        """A request has ended, if it is not to be read again."""
        self._fruitful = self._between = True
        if not self._asks_for_upgrade:
            super().on_message_complete()

    # --- refusals -------------------------------------------------------------------------------------

    def _refuse(self, error: ServiceError) -> None:
        """Answer what cannot be read, after the requests before it; where an answer has begun, hang up."""
        self._refusal = error
        broken = self.cycle if self.cycle and self.cycle.more_body else None
        if broken is not None and not broken.response_complete:
            broken.disconnected = True  # it has lost its body, and its answer goes nowhere
            broken.message_event.set()
            if self.pipeline and self.pipeline[0][0] is broken:
                self.pipeline.popleft()  # its turn has not come, and others are answered first
            elif broken.response_started:
                self.transport.close()
            else:
                self._send_refusal()
        elif self.cycle is None or self.cycle.response_complete:
            self._send_refusal()

    def on_response_complete(self) -> None:
        """Go on with the next request, or with a refusal that has waited for this answer."""
        last = not self.pipeline
        super().on_response_complete()
        if last and self._refusal is not None and not self.transport.is_closing():
            self._send_refusal()

    def _send_refusal(self) -> None:
        error = self._refusal
        if error is None or self._refused:
            return
        self._refused = True
        response = problem_response(error)
        headers = [*self.server_state.default_headers, *response.raw_headers, (b"connection", b"close")]
        head = b"".join(b"%b: %b\r\n" % header for header in headers)
        self.transport.write(STATUS_LINE[error.status] + head + b"\r\n" + bytes(response.body))
        self._hang_up()

    def _hang_up(self) -> None:
        """Close, but not with bytes unread: their sender would lose the answer (RFC 9112, 9.6)."""
        self._unset_keepalive_if_required()
        if self.transport.can_write_eof():
            self.transport.write_eof()
            self.loop.call_later(_LINGER_SECONDS, self.transport.close)
        else:
            self.transport.close()


def _require_http(version: str, headers: list[tuple[bytes, bytes]]) -> None:
    """Refuse what the parser lets through, and HTTP/1.1 does not."""
    if version not in _VERSIONS:
        raise NotHttpError("The service speaks HTTP/1.1.")
    hosts = 0
    for name, value in headers:
        if name == b"host":
            hosts += 1
        elif name == b"transfer-encoding" and (value.lower() != b"chunked" or version == "1.0"):
            raise NotHttpError("The one transfer coding is chunked, of HTTP/1.1.")  # RFC 9112, 6.1
    if hosts > 1 or (not hosts and version == "1.1"):
        raise NotHttpError("A request of HTTP/1.1 has one header Host.")  # RFC 9112, 3.2


def _sentence(error: HttpParserError) -> str:
    """What the parser says, which quotes nothing of what was sent."""
    told = str(error.args[0]) if error.args else ""
    return f"This is not a request of HTTP/1.1. {told}.".replace("..", ".") if told else "This is no request."


PROTOCOL: dict[str, Any] = {
    "http": ProblemProtocol,
    "ws": "none",  # an upgrade is not taken up, and the request answered as it is (RFC 9110, 7.8)
}
"""How the server reads requests: to be given to it as settings."""
