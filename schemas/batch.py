"""A batch of lookups: a line in, a line out, and the line that ends it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from .answers import FitsResponse
from .base import WireModel
from .lookup import LookupRequest
from .problems import Problem

MOST_ID_CHARACTERS = 128
_GREATEST_ID = 2**53 - 1  # RFC 8259, section 6: whole numbers to here are the same for every reader


def _identifier(value: Any) -> Any:
    """Text that can be sent, or a whole number; true is none."""
    if isinstance(value, str) and 1 <= len(value) <= MOST_ID_CHARACTERS and not _has_surrogates(value):
        return value
    if type(value) is int and -_GREATEST_ID <= value <= _GREATEST_ID:
        return value
    raise PydanticCustomError(
        "identifier",
        f"text of 1 to {MOST_ID_CHARACTERS} characters, or a whole number of at most {_GREATEST_ID}",
    )


def _has_surrogates(text: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in text)


BatchId = Annotated[
    str | int,
    BeforeValidator(_identifier),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "minLength": 1, "maxLength": MOST_ID_CHARACTERS},
                {"type": "integer", "minimum": -_GREATEST_ID, "maximum": _GREATEST_ID},
            ]
        }
    ),
]
"""What a caller calls a line."""


class BatchIdentity(WireModel):
    """What a line is called; two lines may have the same name."""

    id: BatchId | None = Field(default=None, description="Comes back with the line's result.")


class BatchLine(BatchIdentity, LookupRequest):
    """One line of a batch: a lookup, with the caller's `id` beside its fields."""


class BatchResult(WireModel):
    """What came of one line: an answer with status 200, else the problem that the lookup alone would get."""

    id: BatchId | None = Field(description="The line's own; null where it has none that can be read.")
    line: int = Field(ge=1, description="The line's number in what was sent, empty lines counted.")
    status: int
    answer: FitsResponse | None = None
    problem: Problem | None = None


class BatchEnd(WireModel):
    """The last line: how many results there are, and the SHA-256 of their bytes, ends of lines included."""

    count: int
    answered: int
    refused: int
    catalogue_revision: int
    sha256: str
