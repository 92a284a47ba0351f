"""The cautions that the facts of a lookup call for; the last word is always the frame maker's."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from schemas.answers import CautionAnswer
from schemas.codes import Language
from service.engine.codes import Fastening
from service.engine.constants import BEARING_BORE_MM
from service.engine.frame import Frame
from service.engine.judgement import Judgement
from service.fitting.languages import sentences_in


def cautions_for(
    frame: Frame, listed: Sequence[Judgement], *, language: Language = Language.ENGLISH
) -> list[CautionAnswer]:
    """The cautions for this frame, its rider and the axles listed."""
    texts = sentences_in(language).cautions
    axles = {(judgement.axle.fastening, judgement.axle.shaft_mm) for judgement in listed}
    return [CautionAnswer(code=code, text=texts[code]) for code in cautions_called_for(frame, axles)]


def cautions_called_for(frame: Frame, axles: Collection[tuple[Fastening, float | None]]) -> tuple[str, ...]:
    """The codes of the cautions where axles of these fastenings and shafts [mm] are listed."""
    called_for = {
        "maker_and_workshop_first": True,
        "tighten_and_check_again": True,
        "never_ride_proud_or_loose": True,
        "replace_rounded_socket": True,
        "thread_locking_as_maker_says": any(f is not Fastening.BOLT_AND_NUT for f, _ in axles),
        "child_skate_checked_by_adult": frame.child,
        "thin_axles_not_for_adults": frame.may_carry_an_adult
        and any(shaft is not None and shaft < BEARING_BORE_MM for _, shaft in axles),
    }
    return tuple([code for code, wanted in called_for.items() if wanted])
