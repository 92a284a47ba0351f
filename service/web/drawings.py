"""The routes of the drawings: translate, call, translate."""

from __future__ import annotations

import base64
import hashlib
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response

from schemas.drawings import FitDrawingRequest, RockerDrawingRequest
from service.fitting.drawing.answer import drawing_answer
from service.fitting.drawing.rocker_sheet import rocker_drawing
from service.fitting.drawing.sheet import fit_drawing
from service.fitting.drawing.svg import STYLE
from service.fitting.rockers import answer_rocker, require_known_frame
from service.web.answers import answers
from service.web.caching import NOT_MODIFIED, ReadDep
from service.web.decoding import from_query, query_parameters
from service.web.dependencies import SnapshotDep
from service.web.languages import LanguageDep, in_languages

SVG = "image/svg+xml"
STYLE_SOURCE = f"'sha256-{base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()}'"
"""What a page that puts drawings into itself names in the `style-src` of its Content-Security-Policy."""
_HEADERS = {
    # Opened by itself, a drawing loads and runs nothing, whatever it may come to hold.
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; "
    f"style-src {STYLE_SOURCE}",
    "X-Content-Type-Options": "nosniff",
}
_AS_SVG: dict[int | str, dict[str, Any]] = {
    200: {"content": {SVG: {"schema": {"type": "string"}}}, "description": "The drawing."}
}

drawing_router = APIRouter()


@drawing_router.get(
    "/v1/fits/drawing.svg",
    responses=answers(None, 422, 503) | _AS_SVG | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(FitDrawingRequest)),
    response_class=Response,
    tags=["fits"],
)
def get_fit_drawing(  # a plain function: some milliseconds of making text would keep the others waiting
    request: Annotated[FitDrawingRequest, Depends(from_query(FitDrawingRequest))],
    snapshot: SnapshotDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The cross-section of one axle in a frame as measured, to scale, and what is wrong where it is wrong."""
    return read.made(
        request,
        lambda: _drawing(
            fit_drawing(drawing_answer(request, snapshot, language=language), language=language)
        ),
        language,
    )


@drawing_router.get(
    "/v1/rockers/drawing.svg",
    responses=answers(None, 422, 503) | _AS_SVG | NOT_MODIFIED,
    openapi_extra=in_languages(query_parameters(RockerDrawingRequest)),
    response_class=Response,
    tags=["rockers"],
)
def get_rocker_drawing(
    request: Annotated[RockerDrawingRequest, Depends(from_query(RockerDrawingRequest))],
    snapshot: SnapshotDep,
    language: LanguageDep,
    read: ReadDep,
) -> Response:
    """The stances of wheels at different heights, to scale: which touch, and the curve that they make."""

    def make() -> Response:
        require_known_frame(request.frame, snapshot)
        return _drawing(
            rocker_drawing(answer_rocker(request.rocker, snapshot, language=language), language=language)
        )

    return read.made(request, make, language)


def _drawing(svg: str) -> Response:
    return Response(svg, media_type=SVG, headers=_HEADERS)
