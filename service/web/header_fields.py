"""The headers of requests and answers in the OpenAPI document."""

from __future__ import annotations

from typing import Any

_PAGES = (
    "FitsResponse",
    "AxleListResponse",
    "FrameListResponse",
    "SleeveListResponse",
    "EquivalentsResponse",
    "AxleFramesResponse",
)


def _header(description: str) -> dict[str, Any]:
    return {"description": description, "schema": {"type": "string"}}


_ETAG = {"ETag": _header("The entity tag of this answer (RFC 9110, 8.8.3).")}
_LINK = {"Link": _header("Links to the first and the next page (RFC 8288).")}
_REVISION = {"Catalogue-Revision": _header("The catalogue's revision after the write.")}
RATE_LIMITS = {
    "RateLimit": _header("How many requests are left, and for how long."),
    "RateLimit-Policy": _header("How many requests a minute are let through."),
    "Retry-After": _header("After how many seconds to try again (RFC 9110, 10.2.3)."),
}


def _asked(name: str, description: str) -> dict[str, Any]:
    return {
        "name": name,
        "in": "header",
        "required": False,
        "description": description,
        "schema": {"type": "string"},
    }


_KNOWN = _asked("If-None-Match", "Entity tags that the caller has; 304 if one is current (RFC 9110, 13.1.2).")
_CONDITIONS = [
    _asked("If-Match", "The `ETag` of the record that is meant (RFC 9110, 13.1.1)."),
    _asked("If-None-Match", "`*` where there must be no such record yet (RFC 9110, 13.1.2)."),
]
IDEMPOTENCY_KEY = _asked(
    "Idempotency-Key", "1 to 128 visible ASCII characters; what is sent twice with one is done once."
)


def describe_headers(operation: dict[str, Any]) -> None:
    """Add the headers that the operation's answers tell of: entity tags, conditions, links, revisions."""
    responses = operation["responses"]
    parameters = operation.setdefault("parameters", [])
    if "304" in responses:
        parameters.append(_KNOWN.copy())
        _add(responses["200"], _ETAG)
        _add(responses["304"], _ETAG)
    if "428" in responses:
        parameters += [condition.copy() for condition in _CONDITIONS]
    for status, response in responses.items():
        if status < "300" and "428" in responses:
            _add(response, _REVISION if status == "204" else _REVISION | _ETAG)
        if status < "300" and _schema_of(response) in _PAGES:
            _add(response, _LINK)
    if not parameters:
        del operation["parameters"]


def _add(response: dict[str, Any], headers: dict[str, Any]) -> None:
    response["headers"] = response.get("headers", {}) | headers


def _schema_of(response: dict[str, Any]) -> str:
    schema = response.get("content", {}).get("application/json", {}).get("schema", {})
    return str(schema.get("$ref", "")).rpartition("/")[2]
