"""Cursors: where a list goes on, signed, and bound to the request and the catalogue that it began with."""

from __future__ import annotations

import hashlib
import hmac
import json

from itsdangerous import BadData, URLSafeSerializer
from itsdangerous.encoding import base64_encode

from schemas.base import WireModel
from schemas.problems import FaultOfField, shown
from service.catalogue.snapshot import Snapshot
from service.errors import CursorError
from service.fitting.normal_form import digest_of, edition_of, normal_fields
from service.settings import Settings

_NOT_BOUND = {"cursor", "limit"}
_DIGITS = 16
_COMPACT = json.JSONEncoder(separators=(",", ":"))


class Cursors:
    """Gives out cursors and takes them back; those that share a secret take each other's."""

    def __init__(self, secret: str) -> None:
        self._signed = URLSafeSerializer(
            secret,
            salt="axlefit.cursor",
            signer_kwargs={"key_derivation": "hmac", "digest_method": hashlib.sha256},
        )
        # The library derives the key for each signature anew, which takes half of its time.
        self._keyed = hmac.new(self._signed.make_signer().derive_key(), digestmod=hashlib.sha256)

    def after(self, offset: int, *, request: WireModel, snapshot: Snapshot) -> str:
        """The cursor that goes on after so many items."""
        return self._written([offset, _bound_to(request), _edition(snapshot)])

    def offset_of(self, cursor: str | None, *, request: WireModel, snapshot: Snapshot) -> int:
        """How many items the cursor skips.

        Raises
        ------
        CursorError
            If the cursor is not one of this request on this state of the catalogue.
        """
        if cursor is None:
            return 0
        try:
            offset, bound, edition = self._signed.loads(cursor)
        except BadData:
            raise _refused(cursor, "The cursor is not one that this service gave out.") from None
        if self._written([offset, bound, edition]) != cursor:
            # Base64 has bits to spare at its ends; a cursor has one spelling all the same.
            raise _refused(cursor, "The cursor is not one that this service gave out.")
        if bound != _bound_to(request):
            raise _refused(cursor, "The cursor belongs to another request.")
        if edition != _edition(snapshot):
            detail = "The catalogue has changed since the cursor was given out: begin again without it."
            raise _refused(cursor, detail)
        return int(offset)

    def _written(self, place: list[object]) -> str:
        """The cursor as the library writes it, which reads it too; digests are too short to compress."""
        payload = base64_encode(_COMPACT.encode(place))
        keyed = self._keyed.copy()
        keyed.update(payload)
        return (payload + b"." + base64_encode(keyed.digest())).decode("ascii")


DEMONSTRATION_CURSORS = Cursors("demonstration")
"""Cursors as they are signed where the settings name no secret."""


def cursors_of(settings: Settings) -> Cursors:
    """Cursors signed with the secret of the settings."""
    return Cursors(settings.cursor_secret.get_secret_value())


def _bound_to(request: WireModel) -> str:
    """What the cursor belongs to: the request, page size and place aside."""
    fields = {name: value for name, value in normal_fields(request).items() if name not in _NOT_BOUND}
    return digest_of(type(request).__name__, fields)[:_DIGITS]


def _edition(snapshot: Snapshot) -> str:
    edition: str | None = snapshot.workings.get("edition")
    if edition is None:
        edition = snapshot.workings["edition"] = edition_of(snapshot)[:_DIGITS]
    return edition


def _refused(cursor: str, detail: str) -> CursorError:
    allowed = "the next_cursor of the same request, while the catalogue has not changed"
    return CursorError(detail, [FaultOfField(path=("cursor",), found=shown(cursor), allowed=allowed)])
