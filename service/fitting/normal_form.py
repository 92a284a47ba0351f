"""One spelling for all requests that mean the same, and one name for the state that answers them."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from schemas.base import WireModel
from service import API_VERSION, __version__
from service.catalogue.snapshot import Snapshot
from service.engine.threads import parse_thread

_THREADS = {"thread", "brake_thread"}
_IN_ORDER = {"axle_positions_mm", "wheel_diameters_mm", "offsets_mm"}
"""Values for one thing after the other, from the front: they are no readings of one."""
_GTIN_DIGITS = 14


def normal_fields(request: WireModel) -> dict[str, Any]:
    """The fields of a request that say something, each in its one spelling.

    What is as it would be if it were left out is left out; readings of the same thing are in order.
    """
    given = request.model_dump(mode="json", exclude_defaults=True)
    return {name: value if name in _IN_ORDER else _spelling(name, value) for name, value in given.items()}


def digest_of(*parts: object) -> str:
    """A digest of these parts, which none could have been taken for others."""
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]


def edition_of(snapshot: Snapshot) -> str:
    """The name of what answers: this release on this state of the catalogue.

    The revision alone would not do: a database that was put back may have the same one again.
    """
    return digest_of(API_VERSION, __version__, snapshot.revision, snapshot.written_at)


def _spelling(name: str, value: Any) -> Any:
    if isinstance(value, list):
        return sorted(_spelling(name, part) for part in value)
    if isinstance(value, float):
        return value + 0.0  # minus nothing is nothing
    if name in _THREADS:
        return _designation(value)
    return value.zfill(_GTIN_DIGITS) if name == "gtin" else value


def _designation(thread: str) -> str:
    """The thread's full designation; one that does not exist stays, and is refused where it is used."""
    try:
        return parse_thread(thread).designation
    except ValueError:
        return thread
