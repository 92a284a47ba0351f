"""Answers as bytes: made once by pydantic, described in OpenAPI, never validated a second time."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator
from http import HTTPStatus
from itertools import islice
from typing import Any

from fastapi import Request, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel

from service.catalogue.records import Record
from service.catalogue.writing import entity_tag
from service.web.described_problems import ANY_REQUEST, problem_reference
from service.web.methods import wants_body

NDJSON = "application/x-ndjson"
_LINES = 500


def json_answer(model: BaseModel) -> Response:
    """The model as a JSON answer."""
    return Response(model.model_dump_json(), media_type="application/json")


def record_answer(record: Record, *, status_code: int = 200) -> Response:
    """A record of the catalogue with its entity tag, which a write of it has to name."""
    response = json_answer(record)
    response.status_code = status_code
    response.headers["ETag"] = entity_tag(record)
    return response


def lines_answer(request: Request, lines: Iterator[bytes], *, gzip: bool) -> Response:
    """Lines of JSON, streamed, and compressed for whoever takes it."""
    if not wants_body(request):
        lines = iter(())
    if gzip:
        return StreamingResponse(_gzipped(lines), media_type=NDJSON, headers={"Content-Encoding": "gzip"})
    return StreamingResponse(_in_chunks(lines), media_type=NDJSON)


def takes_gzip(accept_encoding: str) -> bool:
    """Whether gzip is named and not refused (RFC 9110, 12.5.3)."""
    for choice in accept_encoding.lower().split(","):
        coding, _, weight = choice.replace(" ", "").partition(";q=")
        if coding == "gzip":
            return weight not in {"0", "0.0", "0.00", "0.000"}
    return False


def _in_chunks(lines: Iterator[bytes]) -> Iterator[bytes]:
    """Some hundred lines at a time: a line alone would cost a turn of the loop."""
    while chunk := b"".join(islice(lines, _LINES)):
        yield chunk


def _gzipped(lines: Iterator[bytes]) -> Iterator[bytes]:
    packer = zlib.compressobj(6, zlib.DEFLATED, zlib.MAX_WBITS | 16)  # 16: with gzip's header
    for chunk in _in_chunks(lines):
        if packed := packer.compress(chunk):
            yield packed
    yield packer.flush()


def answers(
    model: type[BaseModel] | None, *problems: int, success: Iterable[int] = (200,)
) -> dict[int | str, dict[str, Any]]:
    """The OpenAPI entries for an answer and the problems that may stand in its place."""
    described: dict[int | str, dict[str, Any]] = {}
    for status in success:
        described[status] = {"description": "The answer."}
        if model is not None and status != HTTPStatus.NO_CONTENT:
            described[status]["model"] = model
    return described | {status: problem_reference(status) for status in sorted({*problems, *ANY_REQUEST})}
