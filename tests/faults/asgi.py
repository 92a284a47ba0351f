"""The application called as a server calls it, in this process and without a network."""

import asyncio
import json
from typing import NamedTuple


class Answered(NamedTuple):
    """An answer: what a client would see."""

    status: int
    headers: dict[bytes, bytes]
    body: bytes

    @property
    def problem(self):
        """The problem document that it is."""
        assert self.headers[b"content-type"] == b"application/problem+json", self.headers
        problem = json.loads(self.body)
        assert problem["status"] == self.status
        assert problem["detail"]
        return problem


class InProcess:
    """A started application; requests are answered one after the other."""

    def __init__(self, app):
        self._app = app
        self._loop = asyncio.new_event_loop()
        self._lifespan = app.router.lifespan_context(app)
        self._loop.run_until_complete(self._lifespan.__aenter__())

    def request(self, method, path, query=b"", headers=(), parts=(b"",)):
        """Send one request whose body comes in these parts."""
        return self._loop.run_until_complete(self._answer(method, path, query, headers, list(parts)))

    async def _answer(self, method, path, query, headers, parts):
        sent, waiting = [], asyncio.Event()

        async def receive():
            if parts:
                body = parts.pop(0)
                return {"type": "http.request", "body": body, "more_body": bool(parts)}
            await waiting.wait()  # the client stays until it has its answer
            return {"type": "http.disconnect"}

        async def send(message):
            sent.append(message)
            if message["type"] == "http.response.body" and not message.get("more_body", False):
                waiting.set()

        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode(),
            "root_path": "",
            "query_string": query,
            "headers": list(headers),
            "client": ("127.0.0.1", 50000),
            "server": ("127.0.0.1", 8000),
        }
        await self._app(scope, receive, send)
        start = next(message for message in sent if message["type"] == "http.response.start")
        body = b"".join(message.get("body", b"") for message in sent if message["type"] != start["type"])
        return Answered(start["status"], dict(start["headers"]), body)
