"""Many lookups: those that are equal share their work; their results as lines."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from functools import lru_cache

from schemas.batch import BatchEnd
from schemas.lookup import LookupRequest
from schemas.problems import Problem

_ANSWERS_KEPT = 256  # of some 25 kB each


def batch_lookup(look_up: Callable[[LookupRequest], bytes]) -> Callable[[LookupRequest], bytes]:
    """The lookup of a batch: its answers as JSON; some are kept for equal requests."""
    return lru_cache(maxsize=_ANSWERS_KEPT)(look_up)


class BatchResults:
    """Makes the lines of results, counts them and takes their digest."""

    def __init__(self, revision: int) -> None:
        self._revision = revision
        self._digest = hashlib.sha256()
        self._answered = 0
        self._refused = 0

    def answered(self, line: int, identifier: str | int | None, answer: bytes) -> bytes:
        """The result of a line that was answered; the answer is JSON."""
        self._answered += 1
        return self._result(line, identifier, b'"status":200,"answer":%b' % answer)

    def refused(self, line: int, identifier: str | int | None, problem: Problem) -> bytes:
        """The result of a line that was not."""
        self._refused += 1
        told = problem.model_dump_json(exclude_none=True)
        return self._result(line, identifier, f'"status":{problem.status},"problem":{told}'.encode())

    def end(self) -> bytes:
        """The last line."""
        end = BatchEnd(
            count=self._answered + self._refused,
            answered=self._answered,
            refused=self._refused,
            catalogue_revision=self._revision,
            sha256=self._digest.hexdigest(),
        )
        return f"{end.model_dump_json()}\n".encode()

    def _result(self, line: int, identifier: str | int | None, outcome: bytes) -> bytes:
        name = json.dumps(identifier, ensure_ascii=False)
        result = b'{"id":%b,"line":%d,%b}\n' % (name.encode(), line, outcome)
        self._digest.update(result)
        return result
