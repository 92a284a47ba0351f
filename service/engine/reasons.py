"""A reason: what one check found, in numbers and codes; its sentence is made elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from service.engine.codes import Check, Outcome

NO_FACTS: Mapping[str, object] = MappingProxyType({})


class Reason(NamedTuple):
    """What one check found.

    ``code`` names the sentence; ``value``, ``minimum`` and ``maximum`` are in ``unit``; ``facts`` holds
    what else the sentence mentions. A named tuple, since a judgement makes a dozen of them: it is made
    in a third of a frozen dataclass's time.
    """

    check: Check
    outcome: Outcome
    code: str
    source: str
    value: float | None = None
    minimum: float | None = None
    maximum: float | None = None
    unit: str | None = None
    facts: Mapping[str, object] = NO_FACTS
