"""The routes of version 1: translate, call, translate."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import StreamingResponse

from schemas.answers import (
    AxleListResponse,
    FitsResponse,
    FrameListResponse,
    HealthResponse,
    SleeveListResponse,
)
from schemas.browse import AxleListRequest, FrameListRequest, PageRequest
from schemas.facets import FacetsRequest, FacetsResponse
from schemas.feed import ChangesRequest, ChangesResponse
from schemas.lookup import FrameLookupRequest, LookupRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.feed import changes_since, snapshot_lines
from service.fitting.browse import (
    list_axles,
    list_frames,
    list_sleeves,
    show_axle,
    show_frame,
    show_sleeve,
)
from service.fitting.facets import count_facets
from service.fitting.known_frames import look_up_frame
from service.fitting.lookup import look_up
from service.web.answers import NDJSON, answers, json_answer
from service.web.caching import NOT_MODIFIED, ReadDep
from service.web.decoding import NO_QUERY, from_body, from_query, json_body, query_parameters
from service.web.dependencies import CursorsDep, DatabaseDep, KeeperDep, SnapshotDep
from service.web.languages import LanguageDep, in_language, in_languages
from service.web.links import page_answer
from service.web.stopping import NOT_STOPPING

# Every handler is `async def` without an await: it is arithmetic on the snapshot, and a plain function
# would be moved to a thread, which costs more than the work.
router = APIRouter()


@router.get(
    "/v1/fits",
    responses=answers(FitsResponse, 400, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(LookupRequest)),
    tags=["fits"],
)
async def get_fits(
    request: Annotated[LookupRequest, Depends(from_query(LookupRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The axles that fit a frame as measured, best first, each with its reasons."""
    return read.page(request, lambda: look_up(request, snapshot, cursors, language=language), language)


@router.post(
    "/v1/fits",
    responses=answers(FitsResponse, 415, 422, 503),
    openapi_extra=in_languages(json_body(LookupRequest)),
    tags=["fits"],
)
async def post_fits(
    http: Request,
    request: Annotated[LookupRequest, Depends(from_body(LookupRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
) -> Response:
    """The same lookup with its fields in one JSON object."""
    found = look_up(request, snapshot, cursors, language=language)
    return in_language(page_answer(http, request, found), language)


@router.get(
    "/v1/facets",
    responses=answers(FacetsResponse, 422, 503) | NOT_MODIFIED,
    openapi_extra=query_parameters(FacetsRequest),
    tags=["fits"],
)
async def get_facets(
    request: Annotated[FacetsRequest, Depends(from_query(FacetsRequest))],
    snapshot: SnapshotDep,
    read: ReadDep,
) -> Response:
    """How many of the axles that fit have which drive, colour and so on; for none, what would give some."""
    return read.answer(request, lambda: count_facets(request, snapshot))


@router.get(
    "/v1/axles",
    responses=answers(AxleListResponse, 400, 422, 503) | NOT_MODIFIED,
    openapi_extra=query_parameters(AxleListRequest),
    tags=["catalogue"],
)
async def get_axles(
    request: Annotated[AxleListRequest, Depends(from_query(AxleListRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    read: ReadDep,
) -> Response:
    """The axles of the catalogue, by SKU."""
    return read.page(request, lambda: list_axles(request, snapshot, cursors))


@router.get(
    "/v1/axles/{sku}",
    responses=answers(AxleRecord, 404, 422, 503) | NOT_MODIFIED,
    dependencies=[NO_QUERY],
    tags=["catalogue"],
)
async def get_axle(sku: str, snapshot: SnapshotDep, read: ReadDep) -> Response:
    """One axle of the catalogue."""
    return read.record(show_axle(sku, snapshot))


@router.get(
    "/v1/frames",
    responses=answers(FrameListResponse, 400, 422, 503) | NOT_MODIFIED,
    openapi_extra=query_parameters(FrameListRequest),
    tags=["catalogue"],
)
async def get_frames(
    request: Annotated[FrameListRequest, Depends(from_query(FrameListRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    read: ReadDep,
) -> Response:
    """The known frames, by code."""
    return read.page(request, lambda: list_frames(request, snapshot, cursors))


@router.get(
    "/v1/frames/{code}",
    responses=answers(FrameRecord, 404, 422, 503) | NOT_MODIFIED,
    dependencies=[NO_QUERY],
    tags=["catalogue"],
)
async def get_frame(code: str, snapshot: SnapshotDep, read: ReadDep) -> Response:
    """One known frame."""
    return read.record(show_frame(code, snapshot))


@router.get(
    "/v1/frames/{code}/fits",
    responses=answers(FitsResponse, 400, 404, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(FrameLookupRequest)),
    tags=["fits"],
)
async def get_frame_fits(
    code: str,
    request: Annotated[FrameLookupRequest, Depends(from_query(FrameLookupRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The axles that fit a known frame, at one of its axles."""
    return read.page(
        request, lambda: look_up_frame(code, request, snapshot, cursors, language=language), language
    )


@router.get(
    "/v1/sleeves",
    responses=answers(SleeveListResponse, 400, 422, 503) | NOT_MODIFIED,
    openapi_extra=query_parameters(PageRequest),
    tags=["catalogue"],
)
async def get_sleeves(
    request: Annotated[PageRequest, Depends(from_query(PageRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    read: ReadDep,
) -> Response:
    """The sleeves of the catalogue, by SKU."""
    return read.page(request, lambda: list_sleeves(request, snapshot, cursors))


@router.get(
    "/v1/sleeves/{sku}",
    responses=answers(SleeveRecord, 404, 422, 503) | NOT_MODIFIED,
    dependencies=[NO_QUERY],
    tags=["catalogue"],
)
async def get_sleeve(sku: str, snapshot: SnapshotDep, read: ReadDep) -> Response:
    """One sleeve of the catalogue."""
    return read.record(show_sleeve(sku, snapshot))


@router.get(
    "/v1/changes",
    responses=answers(ChangesResponse, 400, 410, 422, 503),
    openapi_extra=query_parameters(ChangesRequest),
    tags=["catalogue"],
)
def get_changes(
    request: Annotated[ChangesRequest, Depends(from_query(ChangesRequest))], database: DatabaseDep
) -> Response:
    """What changed in the catalogue since a revision, in order and without a gap."""
    return json_answer(changes_since(database, request))


@router.get(
    "/v1/snapshot",
    responses=answers(None, 422, 503)
    | {200: {"content": {NDJSON: {"schema": {"type": "string"}}}, "description": "Lines of JSON."}}
    | NOT_MODIFIED,
    response_class=StreamingResponse,
    dependencies=[NO_QUERY],
    tags=["catalogue"],
)
async def get_snapshot(snapshot: SnapshotDep, read: ReadDep) -> Response:
    """The whole catalogue at its revision, as lines of JSON; the last tells their number and digest."""
    return read.lines(lambda: snapshot_lines(snapshot))


@router.get(
    "/health/live", responses=answers(HealthResponse, 422), dependencies=[NO_QUERY], tags=["operation"]
)
async def get_live() -> Response:
    """Whether the process runs."""
    return json_answer(HealthResponse(status="live"))


@router.get(
    "/health/ready",
    responses=answers(HealthResponse, 422, 503),
    dependencies=[NO_QUERY, NOT_STOPPING],
    tags=["operation"],
)
async def get_ready(keeper: KeeperDep) -> Response:
    """Whether the service can answer lookups, on which revision, and how old that is if it cannot look."""
    return json_answer(
        HealthResponse(
            status="ready",
            catalogue_revision=keeper.current.revision,
            catalogue_age_seconds=keeper.age_seconds,
        )
    )
