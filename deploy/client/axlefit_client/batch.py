"""Many lookups at once, as lines of JSON in both directions.

They are sent in parts that a server can take in whole before it answers. In one long request, server and
client could each wait for the other to read; and what was lost half way would have to be asked from the
beginning. A part's answer is handed over when its count and digest are right.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from pydantic import ValidationError

from .errors import AnswerError
from .schemas.batch import BatchEnd, BatchResult
from .schemas.lookup import LookupRequest
from .wire import FieldValue, decoded, fields_of

BATCH_PATH = "/v1/fits/batch"
NDJSON = "application/x-ndjson"
_MOST_LINES = 100
_MOST_BYTES = 64 * 1024

Lookup: TypeAlias = tuple[str | int, LookupRequest | Mapping[str, FieldValue]]
"""A lookup with the caller's identifier."""


@dataclass(frozen=True, slots=True)
class Part:
    """Some lookups as lines."""

    lines: tuple[bytes, ...]

    @property
    def content(self) -> bytes:
        """The lines as a body."""
        return b"".join(self.lines)


def parts(lookups: Iterable[Lookup]) -> Iterator[Part]:
    """The lookups in parts of at most a hundred lines and 64 KiB; a longer line goes alone."""
    lines: list[bytes] = []
    size = 0
    for line in map(_line, lookups):
        if lines and (len(lines) == _MOST_LINES or size + len(line) > _MOST_BYTES):
            yield Part(tuple(lines))
            lines, size = [], 0
        lines.append(line)
        size += len(line)
    if lines:
        yield Part(tuple(lines))


def _line(lookup: Lookup) -> bytes:
    identifier, given = lookup
    request, more = (given, {}) if isinstance(given, LookupRequest) else (None, given)
    fields = {"id": identifier} | fields_of(request, more)
    return json.dumps(fields, separators=(",", ":")).encode() + b"\n"


def results_in(content: bytes, *, of: Part) -> list[BatchResult]:
    """The results in the answer to a part.

    Raises
    ------
    AnswerError
        If the last line is missing, or the lines before are not those that it counts and digests.
    """
    lines = content.splitlines(keepends=True)
    try:
        last = BatchEnd.model_validate_json(lines.pop() if lines else b"", extra="ignore")
    except ValidationError:
        raise AnswerError("the batch was cut off: its last line is missing") from None
    if hashlib.sha256(b"".join(lines)).hexdigest() != last.sha256:
        raise AnswerError("the batch was altered on its way: its digest is another")
    if not last.count == len(lines) == len(of.lines):
        raise AnswerError(f"the batch has {len(lines)} results for {len(of.lines)} lookups")
    return [decoded(BatchResult, line) for line in lines]
