"""A batch of lookups: each line gets what the lookup alone would get, and none minds the others."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from pydantic import ValidationError

from schemas.batch import BatchId, BatchIdentity, BatchResult
from schemas.lookup import LookupRequest
from schemas.problems import FaultOfField, faults_of
from service.errors import BodyTooLargeError, ServiceError
from service.fitting.answer_bytes import ready_answer
from service.fitting.batch import BatchResults, batch_lookup
from service.web.answers import NDJSON, answers
from service.web.arriving import Line
from service.web.decoding import NO_QUERY, validated
from service.web.dependencies import CursorsDep, SettingsDep, SnapshotDep
from service.web.exchange import Limits, LineExchange
from service.web.json_bodies import MOST_BYTES, object_in, require_length, require_media_type
from service.web.languages import LanguageDep, in_language, in_languages
from service.web.links import LOOKUP_PATH, links_of
from service.web.places import BATCH_PLACE
from service.web.problems import problem_of, unexpected_problem

_BLANK = b" \t\r"
_LINES: dict[str, Any] = {"schema": {"type": "string"}}
_DESCRIBED: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "description": "Lines of JSON, each an object with the fields of a lookup and, beside them, `id`.",
        "content": {
            NDJSON: _LINES
            | {"example": '{"id":"a","outside_width_mm":36.4,"bore_mm":8}\n{"id":2,"outside_width_mm":-1}\n'}
        },
    }
}
_RESULTS: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "A line for each line, in order: `id`, `line`, `status`, and `answer` or `problem`; "
        "then one with `count`, `answered`, `refused`, `catalogue_revision`, and `sha256` of all before it.",
        "content": {NDJSON: _LINES},
    }
}

batch_router = APIRouter()


async def _limits_of_body(request: Request, settings: SettingsDep) -> Limits:
    """The limits for a body of lines; one that says itself that it is too large is refused at once."""
    require_media_type(request, NDJSON)
    require_length(request, settings.batch_max_bytes)
    return Limits(lines=settings.batch_max_lines, bytes=settings.batch_max_bytes, line_bytes=MOST_BYTES)


@batch_router.post(
    "/v1/fits/batch",
    response_class=Response,  # of no media type: lines are all that is answered
    responses=answers(BatchResult, 413, 415, 422, 503) | _RESULTS,
    openapi_extra=in_languages(_DESCRIBED),
    dependencies=[NO_QUERY, BATCH_PLACE],
    tags=["fits"],
)
async def post_batch(
    request: Request,
    limits: Annotated[Limits, Depends(_limits_of_body)],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
) -> Response:
    """Many lookups on one revision, a line each; a result for each line, then their count and digest."""

    def answer(lookup: LookupRequest) -> bytes:
        ready = ready_answer(lookup, snapshot, cursors, language=language)
        links = links_of(LOOKUP_PATH, lookup, ready.next_cursor)
        return ready.body if links is None else ready.with_links(links.model_dump_json().encode())

    lines = _LookupLines(batch_lookup(answer), BatchResults(snapshot.revision), limits)
    exchange = LineExchange(request, lines, limits)
    return in_language(exchange, language)


class _LookupLines:
    """Answers lines with lookups."""

    def __init__(
        self, look_up: Callable[[LookupRequest], bytes], results: BatchResults, limits: Limits
    ) -> None:
        self._look_up = look_up
        self._results = results
        self._limits = limits

    def answer(self, line: Line) -> bytes:
        """The result of a line; an empty one has none, as lines of JSON allow."""
        if line.content is None:
            error = BodyTooLargeError(f"A line has at most {self._limits.line_bytes} bytes.")
            return self._results.refused(line.number, None, problem_of(error, in_body=True))
        if not line.content.strip(_BLANK):
            return b""
        try:
            identifier, request = _named_lookup_in(line.content)
            return self._results.answered(line.number, identifier, self._look_up(request))
        except ServiceError as error:
            problem = problem_of(error, in_body=True)
        except Exception as error:  # noqa: BLE001 (it is logged, and the other lines have their answers)
            problem = unexpected_problem(error)
        return self._results.refused(line.number, _identifier_despite_faults(line.content), problem)

    def refuse_from(self, number: int) -> bytes:
        """One result in place of all that would be too many."""
        detail = (
            f"A batch has at most {self._limits.lines} lines and {self._limits.bytes} bytes: "
            "from this line on, nothing was answered."
        )
        return self._results.refused(number, None, problem_of(BodyTooLargeError(detail), in_body=True))

    def end(self) -> bytes:
        """Count and digest of the results."""
        return self._results.end()


def _named_lookup_in(content: bytes) -> tuple[BatchId | None, LookupRequest]:
    """The lookup of a line, and the caller's name for it."""
    values, faults = object_in(content, kind="line")
    identifier, of_identifier = _identifier_of(values.pop("id", None))
    return identifier, validated(LookupRequest, values, of_identifier + faults)


def _identifier_of(value: object) -> tuple[BatchId | None, list[FaultOfField]]:
    try:
        return BatchIdentity.model_validate({"id": value}).id, []
    except ValidationError as error:
        return None, faults_of(error, BatchIdentity)


def _identifier_despite_faults(content: bytes) -> BatchId | None:
    """The name of a line that is refused, so that the caller knows which it was; None if it is unclear."""
    try:
        values = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_names_that_stand_once)
    except (ValueError, RecursionError):
        return None
    return _identifier_of(values.get("id"))[0] if isinstance(values, dict) else None


def _names_that_stand_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    counts = Counter(name for name, _ in pairs)
    return {name: value for name, value in pairs if counts[name] == 1}
