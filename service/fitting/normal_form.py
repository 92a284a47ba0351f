"""One spelling for all requests that mean the same, and one name for the state that answers them."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from typing import Any

from schemas.base import WireModel
from service import API_VERSION, __version__
from service.catalogue.snapshot import Snapshot
from service.engine.threads import parse_thread

_THREADS = {"thread", "brake_thread"}
_IN_ORDER = {"axle_positions_mm", "wheel_diameters_mm", "offsets_mm"}
"""Values for one thing after the other, from the front: they are no readings of one."""
_GTIN_DIGITS = 14

_latest: list[tuple[WireModel | None, dict[str, Any]]] = [(None, {})]
"""The request that was spelled last: its tag, its links and its cursor follow one another.

A request is never changed, and whoever replaces the pair replaces it whole, so that threads do no harm.
"""


def normal_fields(request: WireModel) -> dict[str, Any]:
    """The fields of a request that say something, each in its one spelling.

    What is as it would be if it were left out is left out; readings of the same thing are in order.
    """
    latest, fields = _latest[0]
    if latest is not request:
        given = request.model_dump(mode="json", exclude_defaults=True)
        fields = {
            name: value if name in _IN_ORDER else _spelling(name, value) for name, value in given.items()
        }
        _latest[0] = (request, fields)
    return fields.copy()


def digest_of(*parts: object) -> str:
    """A digest of these parts, which none could have been taken for others."""
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]


def edition_of(snapshot: Snapshot) -> str:
    """The name of what answers: this release on this state of the catalogue.

    The revision alone would not do: a database that was put back may have the same one again.
    """
    return _edition(API_VERSION, __version__, snapshot.revision, snapshot.written_at)


@lru_cache(maxsize=8)
def _edition(*parts: object) -> str:
    """Few editions answer at a time, and each answer asks for its own several times."""
    return digest_of(*parts)


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
