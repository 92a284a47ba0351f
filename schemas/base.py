"""What every model on the wire has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError


class WireModel(BaseModel):
    """Frozen, and closed: a field that it does not know is refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


def fault_of(field: str, allowed: str) -> PydanticCustomError:
    """A fault that several fields make together, told of the one to change."""
    return PydanticCustomError("fields_together", "{allowed}", {"field": field, "allowed": allowed})
