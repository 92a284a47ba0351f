"""The bytes that answers are put together of: records of parts, reasons with their sentences, cautions."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Sequence
from json import JSONEncoder
from typing import NamedTuple

from schemas.answers import ToolAnswer
from schemas.codes import Language
from service.catalogue.snapshot import Snapshot
from service.engine.checks import Case
from service.engine.codes import Verdict
from service.engine.frame import Frame
from service.engine.parts import Axle
from service.engine.reasons import Reason
from service.fitting.ready.ladders import NO_FACTS
from service.fitting.ready.scene import Found
from service.fitting.ready.statics import READS, STATIC_CHECKS, Statics, reason_of
from service.fitting.translate import names_sleeve, reason_answers, sleeve_answer

as_json = JSONEncoder(ensure_ascii=False).encode
VERDICTS = tuple(Verdict)
_MOST_AXLES = 20_000  # of some 800 bytes each
_MOST_REASONS = 8192  # of some 300 bytes each


class Said(NamedTuple):
    """What the checks that do not look at the width say of a manner, as JSON."""

    first: bytes
    others: bytes
    also_needed: bytes


def reason_json(reason: Reason, language: Language) -> bytes:
    """A reason with its sentence."""
    (answer,) = reason_answers([reason], language=language)
    return answer.model_dump_json().encode()


class Fragments:
    """The fragments of one snapshot; those that were used last are kept."""

    def __init__(self, snapshot: Snapshot, statics: Statics) -> None:
        self._snapshot = snapshot
        self._statics = statics
        self._axles: OrderedDict[str, tuple[bytes, bytes]] = OrderedDict()
        self._reasons: dict[Hashable, tuple[bytes, bytes]] = {}

    def axle(self, found: Found) -> tuple[bytes, bytes]:
        """The record of an axle, and the tool that it takes."""
        kind, member = found.place.kind, found.place.member
        sku = kind.skus[member]
        if (known := self._axles.get(sku)) is not None:
            self._axles.move_to_end(sku)
            return known
        keys = self._snapshot.axles[sku].driven_heads
        tool = ToolAnswer(drive=kind.drives[member], keys=keys).model_dump_json().encode()
        known = self._axles[sku] = self._snapshot.axle_json(sku), tool
        if len(self._axles) > _MOST_AXLES:
            self._axles.popitem(last=False)
        return known

    def said(self, manner: int, frame: Frame, keys: Sequence[Hashable], language: Language) -> Said:
        """What is said of a manner; the keys are what each check reads of the frame."""
        reasons, needed = [], []
        for place, key in enumerate(keys):
            reason, sleeve = self._reason(place, manner, frame, key, language)
            reasons.append(reason)
            if sleeve:
                needed.append(sleeve)
        return Said(reasons[0], b"".join([b"," + one for one in reasons[1:] if one]), b",".join(needed))

    def _reason(
        self, place: int, manner: int, frame: Frame, key: Hashable, language: Language
    ) -> tuple[bytes, bytes]:
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


def keys_of(frame: Frame) -> list[Hashable]:
    """What each check that does not look at the width reads of a frame."""
    return [READS[check].frame(frame) for check in STATIC_CHECKS]


def case_of(found: Found, frame: Frame, axle: Axle) -> Case:
    """The case of an axle, as the checks of the width look at it."""
    return Case(axle, frame, NO_FACTS, found.window, found.width_probability, 1.0)
