"""The routes of version 1: translate, call, translate."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Response

from schemas.answers import AxleListResponse, FitsResponse, FrameListResponse, HealthResponse
from schemas.browse import AxleListRequest, FrameListRequest
from schemas.lookup import FrameLookupRequest, LookupRequest
from schemas.parts import AxleRecord, FrameRecord
from service.fitting.browse import list_axles, list_frames, show_axle, show_frame
from service.fitting.known_frames import look_up_frame
from service.fitting.lookup import look_up
from service.web.answers import answers, json_answer
from service.web.decoding import from_body, from_query, json_body, query_parameters
from service.web.dependencies import SnapshotDep

# Every handler is `async def` without an await: it is arithmetic on the snapshot, and a plain function
# would be moved to a thread, which costs more than the work.
router = APIRouter()


@router.get(
    "/v1/fits",
    responses=answers(FitsResponse, 400, 422, 503),
    openapi_extra=query_parameters(LookupRequest),
    tags=["fits"],
)
async def get_fits(
    request: Annotated[LookupRequest, Depends(from_query(LookupRequest))], snapshot: SnapshotDep
) -> Response:
    """The axles that fit a frame as measured, best first, each with its reasons."""
    return json_answer(look_up(request, snapshot))


@router.post(
    "/v1/fits",
    responses=answers(FitsResponse, 400, 422, 503),
    openapi_extra=json_body(LookupRequest),
    tags=["fits"],
)
async def post_fits(
    request: Annotated[LookupRequest, Depends(from_body(LookupRequest))], snapshot: SnapshotDep
) -> Response:
    """The same lookup with its fields in one JSON object."""
    return json_answer(look_up(request, snapshot))


@router.get(
    "/v1/axles",
    responses=answers(AxleListResponse, 400, 422, 503),
    openapi_extra=query_parameters(AxleListRequest),
    tags=["catalogue"],
)
async def get_axles(
    request: Annotated[AxleListRequest, Depends(from_query(AxleListRequest))], snapshot: SnapshotDep
) -> Response:
    """The axles of the catalogue, by SKU."""
    return json_answer(list_axles(request, snapshot))


@router.get("/v1/axles/{sku}", responses=answers(AxleRecord, 404, 503), tags=["catalogue"])
async def get_axle(sku: str, snapshot: SnapshotDep) -> Response:
    """One axle of the catalogue."""
    return json_answer(show_axle(sku, snapshot))


@router.get(
    "/v1/frames",
    responses=answers(FrameListResponse, 400, 422, 503),
    openapi_extra=query_parameters(FrameListRequest),
    tags=["catalogue"],
)
async def get_frames(
    request: Annotated[FrameListRequest, Depends(from_query(FrameListRequest))], snapshot: SnapshotDep
) -> Response:
    """The known frames, by code."""
    return json_answer(list_frames(request, snapshot))


@router.get("/v1/frames/{code}", responses=answers(FrameRecord, 404, 503), tags=["catalogue"])
async def get_frame(code: str, snapshot: SnapshotDep) -> Response:
    """One known frame."""
    return json_answer(show_frame(code, snapshot))


@router.get(
    "/v1/frames/{code}/fits",
    responses=answers(FitsResponse, 400, 404, 422, 503),
    openapi_extra=query_parameters(FrameLookupRequest),
    tags=["fits"],
)
async def get_frame_fits(
    code: str,
    request: Annotated[FrameLookupRequest, Depends(from_query(FrameLookupRequest))],
    snapshot: SnapshotDep,
) -> Response:
    """The axles that fit a known frame, at one of its axles."""
    return json_answer(look_up_frame(code, request, snapshot))


@router.get("/health/live", responses=answers(HealthResponse), tags=["operation"])
async def get_live() -> Response:
    """Whether the process runs."""
    return json_answer(HealthResponse(status="live"))


@router.get("/health/ready", responses=answers(HealthResponse, 503), tags=["operation"])
async def get_ready(snapshot: SnapshotDep) -> Response:
    """Whether the service can answer lookups, and on which revision of the catalogue."""
    return json_answer(HealthResponse(status="ready", catalogue_revision=snapshot.revision))
