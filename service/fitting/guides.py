"""The guides as answers: every number from the engine's constants, every drive from the catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from schemas.answers import CautionAnswer
from schemas.codes import InstrumentCode, Language
from schemas.guides import (
    DriveGuideAnswer,
    GuideStepAnswer,
    InstrumentAnswer,
    MeasureAnswer,
    MeasuringGuideResponse,
    TighteningAnswer,
    ToolsGuideResponse,
)
from service.catalogue.snapshot import Snapshot
from service.engine.constants import (
    ASSEMBLY_TORQUE_NM,
    BORE_CLASSES_MM,
    COMMON_PRACTICE,
    DISAGREEMENT_FACTOR,
    DRIVE_ORDER,
    DRIVE_STANDARDS,
    HUB_WIDTH_MM,
    INSTRUMENT_HALF_WIDTH_MM,
    UNCERTAINTY,
)
from service.engine.measurement import quantity_from_readings
from service.engine.ranking import drive_family
from service.fitting.languages import sentences_in
from service.fitting.wording import number

_INSTRUMENTS: tuple[InstrumentCode, ...] = ("calliper", "ruler", "tape", "declared")
_ANY: tuple[InstrumentCode, ...] = _INSTRUMENTS
_CALLIPER: tuple[InstrumentCode, ...] = ("calliper",)
_MEASURES: dict[str, tuple[InstrumentCode, ...]] = {
    "outside_width_mm": _ANY,
    "inside_width_mm": _ANY,
    "head_wall_mm": ("calliper", "declared"),
    "far_wall_mm": ("calliper", "declared"),
    "recess_mm": ("calliper", "declared"),
    "bore_mm": ("calliper", "declared"),
    "hub_width_mm": ("calliper", "ruler", "declared"),
    "hole_offset_mm": _CALLIPER,
    "thread": _CALLIPER,
}
"""What a lookup asks to be measured, and what can measure it, best first."""
_READINGS = {
    "readings_square": COMMON_PRACTICE,
    "readings_several": UNCERTAINTY,
    "readings_closed": UNCERTAINTY,
    "readings_each_axle": COMMON_PRACTICE,
}
_KEYS = ("keys_one", "keys_two", "keys_in_line")
_WORN_SOCKET = (
    "worn_stop",
    "worn_clean",
    "worn_other_side",
    "worn_never_heat",
    "worn_workshop",
    "worn_check_thread",
    "worn_replace",
)
_TWO_KEYS = 2


def measuring_guide(*, language: Language = Language.ENGLISH) -> MeasuringGuideResponse:
    """How to measure each width, with which instrument, and what error to expect."""
    told = {
        "classes": ", ".join(number(bore) for bore in BORE_CLASSES_MM),
        "hub": number(HUB_WIDTH_MM),
        # Four widths, each read once: their uncertainties add in squares, as in `reconcile_widths`.
        "gap": number(DISAGREEMENT_FACTOR * 4**0.5 * _standard_uncertainty("calliper")),
    }
    return MeasuringGuideResponse(
        instruments=[_instrument_answer(instrument, language) for instrument in _INSTRUMENTS],
        measures=[
            MeasureAnswer(
                field=field,
                instruments=list(instruments),
                standard_uncertainty_mm=round(_standard_uncertainty(instruments[0]), 3),
                text=_said(f"measure_{field}", language, **told),
                source=COMMON_PRACTICE,
            )
            for field, instruments in _MEASURES.items()
        ],
        readings=[
            GuideStepAnswer(code=code, text=_said(code, language, **told), source=source)
            for code, source in _READINGS.items()
        ],
        cautions=_cautions(("maker_and_workshop_first",), ("caution_never_ride_unsure",), language),
    )


def tools_guide(snapshot: Snapshot, *, language: Language = Language.ENGLISH) -> ToolsGuideResponse:
    """Which key turns which axle of the catalogue, how tight, and what to do about a worn socket."""
    names = sentences_in(language).guides
    order = ", ".join(names[f"drive_name_{family}"] for family in DRIVE_ORDER)
    return ToolsGuideResponse(
        catalogue_revision=snapshot.revision,
        drives=_drives(snapshot, language),
        keys=_steps(_KEYS, language),
        tightening=TighteningAnswer(
            torque_nm=ASSEMBLY_TORQUE_NM,
            code="tightening_torque",
            text=_said("tightening_torque", language, torque=number(ASSEMBLY_TORQUE_NM)),
            source=COMMON_PRACTICE,
        ),
        worn_socket=_steps(_WORN_SOCKET, language, order=order),
        cautions=_cautions(
            (
                "maker_and_workshop_first",
                "tighten_and_check_again",
                "never_ride_proud_or_loose",
                "replace_rounded_socket",
                "thread_locking_as_maker_says",
                "child_skate_checked_by_adult",
            ),
            ("caution_eyes_and_hands",),
            language,
        ),
    )


def _standard_uncertainty(instrument: InstrumentCode) -> float:
    """Of one reading [mm]; it does not depend on what was read."""
    half_width = INSTRUMENT_HALF_WIDTH_MM[instrument]
    return quantity_from_readings([HUB_WIDTH_MM], half_width_mm=half_width).standard_uncertainty_mm


def _instrument_answer(instrument: InstrumentCode, language: Language) -> InstrumentAnswer:
    half_width = INSTRUMENT_HALF_WIDTH_MM[instrument]
    return InstrumentAnswer(
        instrument=instrument,
        half_width_mm=half_width,
        standard_uncertainty_mm=round(_standard_uncertainty(instrument), 3),
        text=_said(f"instrument_{instrument}", language, half_width=number(half_width)),
        source=f"half width: {COMMON_PRACTICE}; standard uncertainty: {UNCERTAINTY}",
    )


def _drives(snapshot: Snapshot, language: Language) -> list[DriveGuideAnswer]:
    """The drives of the catalogue's axles; those that survive use best first, then by size."""
    axles = [axle for axle in snapshot.engine_axles if axle.drive is not None]
    counts = Counter(axle.drive for axle in axles if axle.drive is not None)
    with_two_keys = Counter(axle.drive for axle in axles if axle.driven_heads == _TWO_KEYS)

    def place(drive: str) -> tuple[int, int, str]:
        return DRIVE_ORDER.index(drive_family(drive)), len(drive), drive

    return [
        _drive_answer(drive, counts[drive], with_two_keys[drive], language)
        for drive in sorted(counts, key=place)
    ]


def _drive_answer(drive: str, axles: int, two_keys: int, language: Language) -> DriveGuideAnswer:
    family = drive_family(drive)
    size = drive.removeprefix(family).removeprefix("_").upper() or None
    return DriveGuideAnswer(
        drive=drive,
        family=family,
        size=size,
        standard=DRIVE_STANDARDS[family],
        axles=axles,
        axles_with_two_keys=two_keys,
        text=_said(f"drive_{family}", language, size=size or ""),
        source=f"size: {DRIVE_STANDARDS[family]}; advice: {COMMON_PRACTICE}",
    )


def _steps(codes: Iterable[str], language: Language, **told: str) -> list[GuideStepAnswer]:
    return [
        GuideStepAnswer(code=code, text=_said(code, language, **told), source=COMMON_PRACTICE)
        for code in codes
    ]


def _cautions(general: Iterable[str], own: Iterable[str], language: Language) -> list[CautionAnswer]:
    """Cautions of every lookup, and those of a guide's own."""
    sentences = sentences_in(language)
    texts = {code: sentences.cautions[code] for code in general}
    texts |= {code: sentences.guides[code] for code in own}
    return [CautionAnswer(code=code, text=text) for code, text in texts.items()]


def _said(code: str, language: Language, **told: str) -> str:
    return sentences_in(language).guides[code].format_map(told)
