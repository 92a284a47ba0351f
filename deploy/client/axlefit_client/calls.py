"""What can be asked of the service; written once, for both clients."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import quote
from uuid import uuid4

import httpx
from pydantic_core import to_json

from .batch import BATCH_PATH, NDJSON, Lookup, parts, results_in
from .cache import AnswerCache
from .errors import error_of
from .flow import Flow, Give, Items, Pause, call, listing
from .records import R, Stored, path_of, path_of_key
from .retries import Waits
from .schemas.answers import FitsResponse
from .schemas.batch import BatchResult
from .schemas.browse import AxleListRequest, FrameListRequest
from .schemas.feed import ChangeAnswer, ImportResponse, TableName
from .schemas.lookup import FrameLookupRequest, LookupRequest
from .schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from .wire import FieldValue, Page, T, decoded, fields_of, next_url, query_of

# Source: RFC 9110, 4.1: every recipient should take URIs of at least 8000 octets.
_LONGEST_QUERY = 7000
_NOT_MODIFIED = 304


class Calls:
    """The methods of both clients.

    Parameters
    ----------
    base_url
        Where the service is, without `/v1`.
    key
        The API key, for writes.
    language
        The language of the sentences, as Accept-Language takes it.
    patience
        How long after the first attempt at a request another one may begin [s].
    cache_size
        How many answers are kept, to be asked for by their entity tag.
    options
        Options of httpx's client: `timeout`, `verify`, `proxy`, `transport` and others.
    """

    _http_client: ClassVar[type[httpx.Client | httpx.AsyncClient]]
    _http: httpx.Client | httpx.AsyncClient

    def __init__(
        self,
        base_url: str,
        key: str | None = None,
        *,
        language: str | None = None,
        patience: float = 30.0,
        cache_size: int = 256,
        **options: Any,
    ) -> None:
        given = {
            "User-Agent": "axle-fit-client",
            "Authorization": key and f"Bearer {key}",
            "Accept-Language": language,
        }
        headers = {name: value for name, value in given.items() if value}
        self._http = self._http_client(base_url=base_url, headers=headers, **{"timeout": 30.0} | options)
        self._patience = patience
        self._cache = AnswerCache(cache_size)

    # --- lookups ---------------------------------------------------------------------------------

    @call
    def fits(self, request: LookupRequest | None = None, /, **fields: FieldValue) -> Flow[FitsResponse]:
        """The axles that fit a frame as measured, best first, each with its reasons."""
        given = fields_of(request, fields)
        asked = self._http.build_request("GET", "/v1/fits", params=query_of(given))
        if len(asked.url.query) > _LONGEST_QUERY:  # of hundreds of readings
            asked = self._http.build_request("POST", "/v1/fits", json=given)
        response = yield from self._exchange(asked)
        return decoded(FitsResponse, response.content)

    @call
    def frame_fits(
        self, code: str, request: FrameLookupRequest | None = None, /, **fields: FieldValue
    ) -> Flow[FitsResponse]:
        """The axles that fit a known frame; `axle_position` says at which axle, where the widths differ."""
        params = query_of(fields_of(request, fields))
        path = f"/v1/frames/{quote(code, safe='')}/fits"
        response = yield from self._exchange(self._http.build_request("GET", path, params=params))
        return decoded(FitsResponse, response.content)

    @listing
    def batch(self, lookups: Iterable[Lookup]) -> Items[BatchResult]:
        """The results of many lookups, in their order; the lookups are taken and sent as results are used."""
        for part in parts(lookups):
            headers = {"Content-Type": NDJSON, "Accept": NDJSON}
            asked = self._http.build_request("POST", BATCH_PATH, content=part.content, headers=headers)
            response = yield from self._exchange(asked)
            for result in results_in(response.content, of=part):
                yield Give(result)

    # --- lists -----------------------------------------------------------------------------------

    @listing
    def axles(self, request: AxleListRequest | None = None, /, **fields: FieldValue) -> Items[AxleRecord]:
        """The axles that meet every condition, by SKU."""
        return self._items(Page[AxleRecord], "/v1/axles", fields_of(request, fields))

    @listing
    def frames(self, request: FrameListRequest | None = None, /, **fields: FieldValue) -> Items[FrameRecord]:
        """The known frames, by code."""
        return self._items(Page[FrameRecord], "/v1/frames", fields_of(request, fields))

    @listing
    def sleeves(self) -> Items[SleeveRecord]:
        """The sleeves, by SKU."""
        return self._items(Page[SleeveRecord], "/v1/sleeves", {})

    @listing
    def changes(self, since: int, *, limit: int = 100) -> Items[ChangeAnswer]:
        """What changed in the catalogue since a revision, in order and without a gap; so many on a page."""
        return self._items(Page[ChangeAnswer], "/v1/changes", {"since": since, "limit": limit})

    # --- writes ----------------------------------------------------------------------------------

    @call
    def get(self, kind: type[R], key: str) -> Flow[Stored[R]]:
        """One record with its entity tag: `get(AxleRecord, sku)`."""
        return self._stored(kind, self._http.build_request("GET", path_of_key(kind, key)))

    @call
    def put(self, record: R, *, etag: str | None = None) -> Flow[Stored[R]]:
        """Write a whole record in the place of the one with this entity tag; without a tag, a new one.

        A field that this client does not know yet is lost by it: to change some fields, patch.
        """
        condition = {"If-None-Match": "*"} if etag is None else {"If-Match": etag}
        headers = {"Content-Type": "application/json"} | condition
        body = record.model_dump_json(exclude_none=True)
        asked = self._http.build_request("PUT", path_of(record), content=body, headers=headers)
        return self._stored(type(record), asked)

    @call
    def patch(self, stored: Stored[R], /, **changes: object) -> Flow[Stored[R]]:
        """Change some fields of a record that was read; None takes a field away (RFC 7396)."""
        headers = {"Content-Type": "application/merge-patch+json", "If-Match": stored.etag}
        body = to_json(changes, inf_nan_mode="constants")  # null would take the field away
        asked = self._http.build_request("PATCH", path_of(stored.record), content=body, headers=headers)
        return self._stored(type(stored.record), asked)

    @call
    def delete(self, stored: Stored[R]) -> Flow[None]:
        """Remove a record that was read."""
        headers = {"If-Match": stored.etag}
        yield from self._exchange(self._http.build_request("DELETE", path_of(stored.record), headers=headers))

    @call
    def import_csv(
        self,
        table: TableName,
        file: Path | bytes,
        *,
        dry_run: bool = False,
        idempotency_key: str | None = None,
    ) -> Flow[ImportResponse]:
        """Read a CSV file into a table, all of it or nothing; done once for an idempotency key.

        Without a key one is made, so that what is sent again after a lost answer is not done again.
        """
        headers = {"Content-Type": "text/csv", "Idempotency-Key": idempotency_key or str(uuid4())}
        params = query_of({"table": table, "dry_run": dry_run})
        content = file if isinstance(file, bytes) else file.read_bytes()
        response = yield from self._exchange(
            self._http.build_request("POST", "/v1/imports", params=params, content=content, headers=headers)
        )
        return decoded(ImportResponse, response.content)

    # --- how -------------------------------------------------------------------------------------

    def _exchange(self, request: httpx.Request) -> Flow[httpx.Response]:
        """Send a request until it is answered or patience ends; every request here can be repeated."""
        known = self._cache.find(request)
        if known is not None:
            request.headers["If-None-Match"] = known.headers["ETag"]
        waits = Waits(self._patience)
        while True:
            outcome = yield request
            assert outcome is not None  # noqa: S101 (the reply to a request)
            if isinstance(outcome, httpx.Response):
                if outcome.status_code == _NOT_MODIFIED and known is not None:
                    return known
                if outcome.is_success:
                    self._cache.keep(request, outcome)
                    return outcome
            seconds = waits.after(outcome)
            if seconds is None:
                raise error_of(outcome, waits.attempts)
            yield Pause(seconds)

    def _items(self, model: type[Page[T]], path: str, fields: dict[str, FieldValue]) -> Items[T]:
        """The items of all pages; a page is asked for when the one before is used up."""
        request = self._http.build_request("GET", path, params=query_of(fields))
        while True:
            response = yield from self._exchange(request)
            page = decoded(model, response.content)
            for item in page.items:
                yield Give(item)
            url = next_url(response, page.next_cursor)
            if url is None:
                return
            request = self._http.build_request("GET", url)

    def _stored(self, kind: type[R], request: httpx.Request) -> Flow[Stored[R]]:
        """The record that a request reads or writes."""
        response = yield from self._exchange(request)
        return Stored(decoded(kind, response.content), response.headers.get("ETag", ""))
