"""Answers that are asked for again by their entity tag."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

import httpx


class AnswerCache:
    """The answers used last, in memory; each is asked for again, and sent again only if it has changed."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._answers: OrderedDict[str, httpx.Response] = OrderedDict()
        self._lock = Lock()  # a blocking client may be shared by threads

    def find(self, request: httpx.Request) -> httpx.Response | None:
        """The answer that the request had before."""
        if request.method != "GET":
            return None
        with self._lock:
            answer = self._answers.get(str(request.url))
            if answer is not None:
                self._answers.move_to_end(str(request.url))
            return answer

    def keep(self, request: httpx.Request, answer: httpx.Response) -> None:
        """Keep an answer that has an entity tag and may be stored; the one used longest ago makes room."""
        storable = "no-store" not in answer.headers.get("Cache-Control", "").lower()
        if request.method != "GET" or "ETag" not in answer.headers or not storable:
            return
        with self._lock:
            self._answers[str(request.url)] = answer
            self._answers.move_to_end(str(request.url))
            while len(self._answers) > self._size:
                self._answers.popitem(last=False)
