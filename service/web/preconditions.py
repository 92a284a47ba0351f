"""What the headers of a write say: which state of the record it means, and that it is sent again."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import Depends, Request

from schemas.problems import FaultOfField, shown
from service.catalogue.writing import Precondition
from service.errors import PreconditionRequiredError
from service.web.decoding import faults_of_query, invalid

_ENTITY_TAGS = re.compile(r'\s*"[\x21\x23-\x7e]*"\s*(,\s*"[\x21\x23-\x7e]*"\s*)*')
_IDEMPOTENCY_KEY = re.compile(r"[\x21-\x7e]{1,128}")


def faults_of_precondition(request: Request) -> list[FaultOfField]:
    """What is wrong with If-Match or If-None-Match; that there is neither is told apart."""
    if_match, if_none_match = request.headers.get("if-match"), request.headers.get("if-none-match")
    if if_match is not None:
        if if_match.strip() == "*" or _ENTITY_TAGS.fullmatch(if_match):
            return []
        return [_fault("If-Match", shown(if_match), "strong entity tags in quotes, as ETag gave them, or *")]
    if if_none_match not in {None, "*"}:
        return [_fault("If-None-Match", shown(if_none_match), "*: only if there is no such record")]
    return []


async def _precondition(request: Request) -> Precondition:
    """What If-Match or If-None-Match says of the record's state (RFC 9110, 13.1); no query goes with it."""
    if faults := faults_of_query(request) + faults_of_precondition(request):
        raise invalid(faults)
    if_match = request.headers.get("if-match")
    if if_match is None:
        if "if-none-match" not in request.headers:
            raise PreconditionRequiredError(
                "Send If-Match with the record's ETag, or If-None-Match: * for a new record.",
                [_fault("If-Match", None, "the record's ETag; or If-None-Match: * for a new record")],
            )
        return Precondition(absent=True)
    if if_match.strip() == "*":
        return Precondition(any_state=True)
    return Precondition(tags=frozenset(tag.strip() for tag in if_match.split(",")))


PreconditionDep = Annotated[Precondition, Depends(_precondition)]


def faults_of_idempotency_key(request: Request) -> list[FaultOfField]:
    """What is wrong with the Idempotency-Key; it is never shown, since who knows it gets its answer."""
    key = request.headers.get("idempotency-key")
    if key is None or _IDEMPOTENCY_KEY.fullmatch(key):
        return []
    return [_fault("Idempotency-Key", f"{len(key)} characters", "1 to 128 visible ASCII characters")]


async def _idempotency_key(request: Request) -> str | None:
    if faults := faults_of_idempotency_key(request):
        raise invalid(faults)
    return request.headers.get("idempotency-key")


IdempotencyKeyDep = Annotated[str | None, Depends(_idempotency_key)]


def _fault(header: str, found: str | None, allowed: str) -> FaultOfField:
    return FaultOfField(path=(header,), found=found, allowed=allowed, place="header")
