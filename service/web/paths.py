"""What the routes say of a path that was asked for: the path that it is most like."""

from __future__ import annotations

from difflib import get_close_matches

from fastapi import Request
from fastapi.routing import iter_route_contexts

_LONGEST_COMPARED = 200


def path_like(request: Request) -> str | None:
    """The path that was probably meant, as its routes write it."""
    known = {route.path_format for route in iter_route_contexts(request.app.routes) if route.path_format}
    close = get_close_matches(request.scope["path"][:_LONGEST_COMPARED], sorted(known), n=1)
    return close[0] if close else None
