"""Whole answers to lookups, kept for as long as one edition answers, in a bounded number of bytes.

An answer is kept under its entity tag, which names the edition, the request's normal form and the language;
and the tag under each query that led to it, so that a query that comes again is not even read.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

from schemas.codes import Language

Asked = tuple[bytes, Language]
"""A query as it was sent, and the language of its answer."""
_SHARE_FOR_QUERIES = 8
_BESIDE_BYTES = 400
"""About what an entry takes beside its bytes: keys, tuples, its place in the order."""


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """An answer as it is sent: its headers, without those of the single request, and its content."""

    tag: str
    headers: tuple[tuple[bytes, bytes], ...]
    body: bytes


class AnswerCache:
    """The answers that were asked for last; used in the event loop alone."""

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._most_query_bytes = most_bytes // _SHARE_FOR_QUERIES
        self._edition: str | None = None
        self._answers: OrderedDict[str, KeptAnswer] = OrderedDict()
        self._tags: OrderedDict[Asked, str] = OrderedDict()
        self._bytes = self._query_bytes = 0

    def __len__(self) -> int:
        return len(self._answers)

    @property
    def bytes(self) -> int:
        """How much is kept, of answers and of queries."""
        return self._bytes + self._query_bytes

    def of_query(self, asked: Asked, edition: str) -> KeptAnswer | None:
        """The answer to this very query, if this edition has given it."""
        if edition != self._edition:
            self._begin(edition)
            return None
        tag = self._tags.get(asked)
        if tag is None:
            return None
        kept = self.of_tag(tag)
        if kept is not None:
            self._tags.move_to_end(asked)
        return kept

    def of_tag(self, tag: str) -> KeptAnswer | None:
        """The answer with this entity tag; the tag tells its edition."""
        kept = self._answers.get(tag)
        if kept is not None:
            self._answers.move_to_end(tag)
        return kept

    def keep(self, asked: Asked, answer: KeptAnswer) -> None:
        """Keep an answer, and that this query leads to it; what was not asked for longest goes."""
        if answer.tag not in self._answers:
            self._answers[answer.tag] = answer
            self._bytes += _size_of(answer)
        if asked not in self._tags:
            self._tags[asked] = answer.tag
            self._query_bytes += len(asked[0]) + _BESIDE_BYTES
        while self._bytes > self._most_bytes - self._most_query_bytes and self._answers:
            self._bytes -= _size_of(self._answers.popitem(last=False)[1])
        while self._query_bytes > self._most_query_bytes and self._tags:
            (query, _), _ = self._tags.popitem(last=False)
            self._query_bytes -= len(query) + _BESIDE_BYTES

    def _begin(self, edition: str) -> None:
        """Forget what another edition has answered."""
        self._edition = edition
        self._answers.clear()
        self._tags.clear()
        self._bytes = self._query_bytes = 0


def _size_of(answer: KeptAnswer) -> int:
    return len(answer.body) + sum(len(name) + len(value) for name, value in answer.headers) + _BESIDE_BYTES
