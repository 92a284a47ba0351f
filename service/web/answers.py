"""Answers as bytes: made once by pydantic, described in OpenAPI, never validated a second time."""

from __future__ import annotations

from typing import Any

from fastapi import Response
from pydantic import BaseModel

from schemas.problems import Problem
from service.web.problems import PROBLEM_JSON


def json_answer(model: BaseModel) -> Response:
    """The model as a JSON answer."""
    return Response(model.model_dump_json(), media_type="application/json")


def answers(model: type[BaseModel], *problems: int) -> dict[int | str, dict[str, Any]]:
    """The OpenAPI entries for an answer and the problems that may stand in its place."""
    described: dict[int | str, dict[str, Any]] = {200: {"model": model, "description": "The answer."}}
    for status in problems:
        described[status] = {
            "description": "A problem document (RFC 9457).",
            "content": {PROBLEM_JSON: {"schema": Problem.model_json_schema()}},
        }
    return described
