"""All kinds of problems that the service can answer with: the tree of its errors."""

from __future__ import annotations

from collections.abc import Iterator

import service.web.refusals  # noqa: F401 (its errors are kinds too)
from service.errors import OperatorError, ServiceError


def problem_kinds() -> list[type[ServiceError]]:
    """All problems that the service can answer with, by status."""
    kinds = [kind for kind in _tree(ServiceError) if not issubclass(kind, OperatorError)]
    return sorted(kinds, key=lambda kind: (kind.status, kind.code))


def _tree(kind: type[ServiceError]) -> Iterator[type[ServiceError]]:
    yield kind
    for inner in kind.__subclasses__():
        yield from _tree(inner)
