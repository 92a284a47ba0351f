"""The routes of the rocker and of the guides: translate, call, translate."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Response

from schemas.guides import MeasuringGuideResponse, ToolsGuideResponse
from schemas.rockers import RockersRequest, RockersResponse
from service.fitting.guides import measuring_guide, tools_guide
from service.fitting.rockers import answer_rocker
from service.web.answers import answers
from service.web.caching import NOT_MODIFIED, ReadDep
from service.web.decoding import NO_QUERY, from_body, json_body
from service.web.dependencies import SnapshotDep
from service.web.languages import LanguageDep, in_languages, worded_answer

rocker_router = APIRouter()


@rocker_router.post(
    "/v1/rockers",
    responses=answers(RockersResponse, 404, 415, 422, 503),
    openapi_extra=in_languages(json_body(RockersRequest)),
    tags=["rockers"],
)
async def post_rockers(
    request: Annotated[RockersRequest, Depends(from_body(RockersRequest))],
    snapshot: SnapshotDep,
    language: LanguageDep,
) -> Response:
    """How wheels at different heights stand, and which offset axles bring them to the heights asked for."""
    return worded_answer(answer_rocker(request, snapshot, language=language), language)


@rocker_router.get(
    "/v1/guides/measuring",
    responses=answers(MeasuringGuideResponse, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages({}),
    dependencies=[NO_QUERY],
    tags=["guides"],
)
async def get_measuring_guide(language: LanguageDep, read: ReadDep) -> Response:
    """How to measure each width, with which instrument, and what error to expect."""
    return read.answer(None, lambda: measuring_guide(language=language), language)


@rocker_router.get(
    "/v1/guides/tools",
    responses=answers(ToolsGuideResponse, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages({}),
    dependencies=[NO_QUERY],
    tags=["guides"],
)
async def get_tools_guide(snapshot: SnapshotDep, language: LanguageDep, read: ReadDep) -> Response:
    """Which key turns which axle of the catalogue, how tight, and what to do about a worn socket."""
    return read.answer(None, lambda: tools_guide(snapshot, language=language), language)
