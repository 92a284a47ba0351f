"""The bytes that answers are put together of: records of parts, reasons with their sentences, cautions."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable
from typing import NamedTuple

from schemas.answers import ToolAnswer
from schemas.codes import Language
from service.catalogue.snapshot import Snapshot
from service.engine.frame import Frame
from service.fitting.ready.kept import Kept
from service.fitting.ready.reasons import reason_json
from service.fitting.ready.scene import Found
from service.fitting.ready.statics import BENDING, STATIC_CHECKS, Statics, reason_of
from service.fitting.translate import names_sleeve, sleeve_answer

_MOST_AXLES = 20_000  # of some 800 bytes each
_MOST_REASONS = 4096  # of some 300 bytes each
_MOST_FRAMES = 256  # each with what is said of the manners that were answered with, of some 1500 bytes each
_MOST_WIDTHS = 32_768  # of some 800 bytes each
_ALIKE = range(BENDING)
"""The checks before that of bending: few frames differ in what these read."""
_OWN = range(BENDING, len(STATIC_CHECKS))
"""The others: they read the rider's mass, which may be anything."""


class Said(NamedTuple):
    """What the checks that do not look at the width say of a manner, as JSON."""

    first: bytes
    others: bytes
    also_needed: bytes


class Fragments:
    """The fragments of one snapshot; those that were used last are kept."""

    def __init__(self, snapshot: Snapshot, statics: Statics) -> None:
        self._snapshot = snapshot
        self._statics = statics
        self.class_of = statics.class_of
        self._axles: OrderedDict[str, tuple[bytes, bytes]] = OrderedDict()
        self._reasons: dict[Hashable, tuple[bytes, bytes]] = {}
        self.of_width: dict[Hashable, bytes] = {}
        """What is said about the width and the engagement: by kind, and by what that reads of a frame."""
        self._frames: Kept[Hashable, dict[int, Said]] = Kept(_MOST_FRAMES)
        self._sayings: Kept[Hashable, Sayings] = Kept(_MOST_FRAMES)

    def axle(self, found: Found) -> tuple[bytes, bytes]:
        """The record of an axle, and the tool that it takes."""
        kind, member = found.place.kind, found.place.member
        sku = kind.skus[member]
        if (known := self._axles.get(sku)) is not None:
            self._axles.move_to_end(sku)
            return known
        keys = kind.axle.driven_heads
        tool = ToolAnswer(drive=kind.drives[member], keys=keys).model_dump_json().encode()
        known = self._axles[sku] = self._snapshot.axle_json(sku), tool
        if len(self._axles) > _MOST_AXLES:
            self._axles.popitem(last=False)
        return known

    def keep_of_width(self, key: Hashable, said: bytes) -> None:
        """Keep what is said about a width: the next frame that measures as much is told it again."""
        if len(self.of_width) >= _MOST_WIDTHS:
            self.of_width.clear()
        self.of_width[key] = said

    def about(self, frame: Frame, keys: tuple[Hashable, ...], language: Language) -> Sayings:
        """What is said of manners before all frames of which the checks read these keys."""

        def made() -> Sayings:
            alike: dict[int, Said] = self._frames.get((*keys[:BENDING], language), dict)
            return Sayings(self, frame, keys, language, alike)

        return self._sayings.get((keys, language), made)

    def reason(
        self, place: int, manner: int, frame: Frame, key: Hashable, language: Language
    ) -> tuple[bytes, bytes]:
        """What one check says of a manner, and the sleeve that it names."""
        named = place, self._statics.class_of[place][manner], key, language
        if (known := self._reasons.get(named)) is None:
            if len(self._reasons) >= _MOST_REASONS:
                self._reasons.clear()
            known = self._reasons[named] = self._made(place, manner, frame, language)
        return known

    def _made(self, place: int, manner: int, frame: Frame, language: Language) -> tuple[bytes, bytes]:
        axle = self._statics.axles[manner]
        reason = reason_of(STATIC_CHECKS[place], axle, frame, self._snapshot.facts)
        if reason is None:
            return b"", b""
        sleeve = sleeve_answer(reason, language).model_dump_json().encode() if names_sleeve(reason) else b""
        return reason_json(reason, language), sleeve


class Sayings:
    """What is said of the manners before one frame."""

    def __init__(
        self,
        fragments: Fragments,
        frame: Frame,
        keys: tuple[Hashable, ...],
        language: Language,
        alike: dict[int, Said],
    ) -> None:
        self._fragments = fragments
        self._frame = frame
        self._keys = keys
        self._language = language
        self._alike = alike
        self._known: dict[int, Said] = {}
        self._own: dict[tuple[int, ...], bytes] = {}

    def of(self, manner: int) -> Said:
        """What is said of a manner."""
        if (known := self._known.get(manner)) is None:
            if (alike := self._alike.get(manner)) is None:
                alike = self._alike[manner] = self._said(manner, _ALIKE)
            known = Said(alike.first, alike.others + self._own_of(manner), alike.also_needed)
            self._known[manner] = known
        return known

    def _own_of(self, manner: int) -> bytes:
        """What the checks say that read the rider's mass, once for all manners that are alike to them."""
        classes = tuple([self._fragments.class_of[place][manner] for place in _OWN])
        if (own := self._own.get(classes)) is None:
            own = self._own[classes] = self._said(manner, _OWN).others
        return own

    def _said(self, manner: int, places: range) -> Said:
        """The reasons of some checks; the first check of all stands before those of the width."""
        reasons, needed = [], []
        for place in places:
            reason, sleeve = self._fragments.reason(
                place, manner, self._frame, self._keys[place], self._language
            )
            reasons.append(reason)
            if sleeve:
                needed.append(sleeve)
        first = 1 if places.start == 0 else 0
        others = b"".join([b"," + one for one in reasons[first:] if one])
        return Said(reasons[0], others, b",".join(needed))
