"""The answer to a lookup as ready bytes: to the letter those of the model that `look_up` makes."""

from __future__ import annotations

from typing import NamedTuple

from schemas.answers import FitsResponse
from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.catalogue.snapshot import Snapshot
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.ready.lookup import ready_lookup
from service.fitting.translate import frame_of

_NO_LINKS = b"null}"
_LAST = b'null,"links":null}'


class ReadyAnswer(NamedTuple):
    """An answer as JSON without links, and the cursor of the next page, which its links name."""

    body: bytes
    next_cursor: str | None

    def with_links(self, links: bytes) -> bytes:
        """The answer with its links, which are JSON."""
        return self.body[: -len(_NO_LINKS)] + links + b"}"


def ready_answer(
    request: LookupRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> ReadyAnswer:
    """The answer to a lookup, without links.

    Raises
    ------
    InvalidRequestError
        If the request describes no frame that can be.
    CursorError
        If the cursor is not one of this request at this revision.
    """
    frame = frame_of(request)
    offset = cursors.offset_of(request.cursor, request=request, snapshot=snapshot)
    body, end, listed = ready_lookup(snapshot).page(request, frame, offset, language)
    if end >= listed:
        return ReadyAnswer(body + _LAST, None)
    cursor = cursors.after(end, request=request, snapshot=snapshot)
    return ReadyAnswer(b'%b"%b","links":null}' % (body, cursor.encode()), cursor)


def ready(answer: FitsResponse) -> ReadyAnswer:
    """The bytes of an answer that was made as a model: what all others have to equal."""
    return ReadyAnswer(answer.model_dump_json().encode(), answer.next_cursor)


def answer_bytes(
    request: LookupRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> bytes:
    """The answer to a lookup as JSON, without links; it refuses what `ready_answer` refuses."""
    return ready_answer(request, snapshot, cursors, language=language).body
