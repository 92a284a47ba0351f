"""Cursors: where a list goes on, signed, and bound to the request and the catalogue that it began with."""

from __future__ import annotations

import hashlib

from itsdangerous import BadData, Signer, URLSafeSerializer

from schemas.base import WireModel
from schemas.problems import FaultOfField, shown
from service.catalogue.snapshot import Snapshot
from service.errors import CursorError
from service.fitting.normal_form import digest_of, edition_of, normal_fields
from service.settings import Settings

_NOT_BOUND = {"cursor", "limit"}
_DIGITS = 16


class Cursors:
    """Gives out cursors and takes them back; those that share a secret take each other's."""

    def __init__(self, secret: str) -> None:
        self._signed = URLSafeSerializer(
            secret,
            salt="axlefit.cursor",
            signer_kwargs={"key_derivation": "hmac", "digest_method": hashlib.sha256},
        )
        # The same signatures, with the key derived once instead of for each cursor.
        derived = self._signed.make_signer().derive_key()
        self._signer = Signer(derived, key_derivation="none", digest_method=hashlib.sha256)

    def after(self, offset: int, *, request: WireModel, snapshot: Snapshot) -> str:
        """The cursor that goes on after so many items."""
        payload = self._signed.dump_payload([offset, _bound_to(request), _edition(snapshot)])
        return self._signer.sign(payload).decode()

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
        if self._signed.dumps([offset, bound, edition]) != cursor:
            # Base64 has bits to spare at its ends; a cursor has one spelling all the same.
            raise _refused(cursor, "The cursor is not one that this service gave out.")
        if bound != _bound_to(request):
            raise _refused(cursor, "The cursor belongs to another request.")
        if edition != _edition(snapshot):
            detail = "The catalogue has changed since the cursor was given out: begin again without it."
            raise _refused(cursor, detail)
        return int(offset)


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
