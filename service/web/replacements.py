"""The routes about replacing an axle: what an old one is, what can stand in, and which frames it fits."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Response

from schemas.identify import IdentifyRequest, IdentifyResponse
from schemas.replacements import (
    AxleFramesRequest,
    AxleFramesResponse,
    EquivalentsRequest,
    EquivalentsResponse,
)
from service.fitting.axle_frames import frames_for
from service.fitting.equivalents import equivalents_of
from service.fitting.identify import identify
from service.web.answers import answers
from service.web.caching import NOT_MODIFIED, ReadDep
from service.web.decoding import from_body, from_query, json_body, query_parameters
from service.web.dependencies import CursorsDep, SnapshotDep
from service.web.languages import LanguageDep, in_languages, worded_answer

replacement_router = APIRouter(tags=["replacements"])


@replacement_router.post(
    "/v1/axles/identify",
    responses=answers(IdentifyResponse, 415, 422, 503),
    openapi_extra=in_languages(json_body(IdentifyRequest)),
)
async def post_identify(
    request: Annotated[IdentifyRequest, Depends(from_body(IdentifyRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
) -> Response:
    """What an old axle is, as measured and seen, and what replaces it."""
    return worded_answer(identify(request, snapshot, cursors, language=language), language)


@replacement_router.get(
    "/v1/axles/{sku}/equivalents",
    responses=answers(EquivalentsResponse, 404, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(EquivalentsRequest)),
)
async def get_equivalents(
    sku: str,
    request: Annotated[EquivalentsRequest, Depends(from_query(EquivalentsRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The parts that can stand in for an axle, best first, each with what differs."""
    return read.page(
        request, lambda: equivalents_of(sku, request, snapshot, cursors, language=language), language
    )


@replacement_router.get(
    "/v1/axles/{sku}/frames",
    responses=answers(AxleFramesResponse, 404, 422, 503) | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(AxleFramesRequest)),
)
async def get_axle_frames(
    sku: str,
    request: Annotated[AxleFramesRequest, Depends(from_query(AxleFramesRequest))],
    snapshot: SnapshotDep,
    cursors: CursorsDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The known frames that an axle fits, best first, with the reasons at each of their axles."""
    return read.page(
        request, lambda: frames_for(sku, request, snapshot, cursors, language=language), language
    )
