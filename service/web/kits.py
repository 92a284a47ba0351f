"""The route of kits: all axles for a pair of skates."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Response

from schemas.kits import KitRequest, KitResponse
from service.fitting.kits.kit import make_kit
from service.web.answers import answers
from service.web.decoding import from_body, json_body
from service.web.dependencies import SnapshotDep
from service.web.languages import LanguageDep, in_languages, worded_answer

kit_router = APIRouter()


@kit_router.post(
    "/v1/kits",
    responses=answers(KitResponse, 415, 422, 503),
    openapi_extra=in_languages(json_body(KitRequest)),
    tags=["fits"],
)
def post_kit(  # a plain function: a kit is several lookups and a solver, and would keep the others waiting
    request: Annotated[KitRequest, Depends(from_body(KitRequest))],
    snapshot: SnapshotDep,
    language: LanguageDep,
) -> Response:
    """All axles for a pair of skates, with sleeves and tools: the best verdicts, then the least price."""
    return worded_answer(make_kit(request, snapshot, language=language), language)
