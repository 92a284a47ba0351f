"""JSON objects read from bodies: of their media type, not too large, every repeated name told."""

from __future__ import annotations

import json
from collections import Counter, deque
from typing import Any, NamedTuple

from fastapi import Request

from schemas.problems import FaultOfField, shown
from service.errors import BodyTooLargeError, MalformedRequestError, UnsupportedMediaTypeError

MOST_BYTES = 256 * 1024
_MOST_REPEATED = 10
_MOST_DIGITS = 18


class JsonObject(NamedTuple):
    """An object as it was sent, and the faults that it has as JSON."""

    values: dict[str, Any]
    faults: list[FaultOfField]


class _Place(NamedTuple):
    """Where a value stands: in what, and under which name or number there."""

    within: _Place | None
    step: str | int

    @property
    def path(self) -> tuple[str | int, ...]:
        """The steps from the top."""
        steps, place = [self.step], self.within
        while place is not None:
            steps.append(place.step)
            place = place.within
        return tuple(reversed(steps))


class _WithRepeatedNames(dict[str, Any]):
    """An object in which names stand more than once; the last value of each counts."""

    repeated: tuple[str, ...] = ()


async def json_object(request: Request, *accepted: str) -> JsonObject:
    """The JSON object in the body, of one of the accepted media types.

    Raises
    ------
    UnsupportedMediaTypeError
        If the body is said to be something else, or not said to be anything.
    BodyTooLargeError
        If it has too many bytes, or is said to.
    MalformedRequestError
        If it is no JSON object.
    """
    require_media_type(request, *(accepted or ("application/json",)))
    require_length(request, MOST_BYTES)
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST_BYTES:
            raise body_too_large(len(body), MOST_BYTES)
    return object_in(bytes(body), kind="body")


def object_in(content: bytes, *, kind: str) -> JsonObject:
    """The JSON object in a body or in a line.

    Raises
    ------
    MalformedRequestError
        If it is no JSON object.
    """
    found_repeated = False

    def keep(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal found_repeated
        values = dict(pairs)
        if len(values) == len(pairs):
            return values
        found_repeated = True
        marked = _WithRepeatedNames(values)
        counts = Counter(name for name, _ in pairs)
        marked.repeated = tuple(name for name, count in counts.items() if count > 1)[:_MOST_REPEATED]
        return marked

    try:
        # NaN and Infinity, which JSON does not have, are left to the field that they stand in.
        value = json.loads(content.decode("utf-8-sig"), object_pairs_hook=keep)
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise MalformedRequestError(f"The {kind} is not JSON (RFC 8259): see {where}.") from None
    except UnicodeDecodeError as error:
        raise MalformedRequestError(f"The {kind} is not UTF-8: see byte {error.start + 1}.") from None
    except (ValueError, RecursionError):  # a number of thousands of digits, lists in lists without an end
        raise MalformedRequestError(f"The {kind} is JSON beyond all measure.") from None
    if not isinstance(value, dict):
        raise MalformedRequestError(f"The {kind} is JSON, but not an object.")
    return JsonObject(value, _repeated_names(value) if found_repeated else [])


def _repeated_names(value: Any) -> list[FaultOfField]:
    """The names that stand more than once in their object, at any depth."""
    faults: list[FaultOfField] = []
    # A place is a chain back to the top: copied paths of a deep body would take memory without measure.
    waiting: deque[tuple[_Place | None, Any]] = deque([(None, value)])
    while waiting and len(faults) < _MOST_REPEATED:
        place, value = waiting.popleft()
        if isinstance(value, _WithRepeatedNames):
            faults += [_repeated(_Place(place, name)) for name in value.repeated]
        inner = value.items() if isinstance(value, dict) else enumerate(value)
        waiting += ((_Place(place, step), part) for step, part in inner if isinstance(part, dict | list))
    return faults[:_MOST_REPEATED]


def _repeated(place: _Place) -> FaultOfField:
    found, allowed = "the name more than once", "the name once"
    return FaultOfField(path=place.path, found=found, allowed=allowed, place="body")


def require_media_type(request: Request, *accepted: str) -> None:
    """Refuse a body of another media type, of none, and one that is compressed (RFC 9110, 15.5.16)."""
    encoding = request.headers.get("content-encoding", "")
    media_type = request.headers.get("content-type", "")
    if encoding.strip().lower() not in {"", "identity"}:
        raise _unsupported(
            "Content-Encoding", encoding, allowed="none", headers={"Accept-Encoding": "identity"}
        )
    if media_type.partition(";")[0].strip().lower() not in accepted:
        # RFC 5789, 2.2 has a header of its own for patches.
        name = "Accept-Patch" if request.method == "PATCH" else "Accept"
        headers = {name: ", ".join(accepted)}
        raise _unsupported("Content-Type", media_type, allowed=" or ".join(accepted), headers=headers)


def _unsupported(
    name: str, found: str, *, allowed: str, headers: dict[str, str]
) -> UnsupportedMediaTypeError:
    fault = FaultOfField(path=(name,), found=shown(found or None), allowed=allowed, place="header")
    return UnsupportedMediaTypeError(f"This path takes {name}: {allowed}.", [fault], headers=headers)


def require_length(request: Request, most: int) -> None:
    """Refuse a body that is announced as too large, before any of it is read."""
    announced = request.headers.get("content-length", "")
    if len(announced) > _MOST_DIGITS or (announced.isdecimal() and int(announced) > most):
        raise body_too_large(announced, most)


def body_too_large(found: object, most: int) -> BodyTooLargeError:
    """The error for a body of so many bytes, or of that many at least."""
    fault = FaultOfField(
        path=(), found=f"{shown(found)} bytes", allowed=f"at most {most} bytes", place="body"
    )
    return BodyTooLargeError(f"A body has at most {most} bytes here.", [fault])
