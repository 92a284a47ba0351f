"""Whether the shaft bears the rider."""

from __future__ import annotations

from service.engine.checks.case import Case
from service.engine.codes import Check, Fastening, Outcome
from service.engine.constants import (
    BEAM,
    BENDING_CAUTION_FROM,
    BENDING_PASS_FROM,
    PART_DATA,
    UNKNOWN_RIDER_MASS_KG,
    UNKNOWN_WALL_MM,
    USUAL_HUB_ROOM_MM,
)
from service.engine.frame import Frame
from service.engine.measurement import Quantity
from service.engine.parts import Axle
from service.engine.reasons import Reason
from service.engine.strength import bending_moment_nmm, bending_reserve, material_of, section_modulus_mm3
from service.engine.threads import thread_dimensions


def shaft_bears_rider(case: Case) -> Reason:
    """The shaft has a reserve against bending under the whole rider on one wheel."""
    axle, frame = case.axle, case.frame
    missing = _missing_column(axle)
    if missing is not None:
        return Reason(
            Check.BENDING, Outcome.UNKNOWN, "bending_needs_column", PART_DATA, facts={"column": missing}
        )
    mass = UNKNOWN_RIDER_MASS_KG if frame.rider_mass_kg is None else frame.rider_mass_kg
    reserve = bending_reserve(
        bending_moment_on(frame),
        modulus_mm3=section_modulus_mm3(axle.shaft_mm or 0.0, _hollow_mm(axle)),
        yield_mpa=material_of(axle.material).yield_mpa,
    )
    if reserve >= BENDING_PASS_FROM:
        outcome, code = Outcome.PASS, "bending_has_reserve"
    elif reserve >= BENDING_CAUTION_FROM:
        outcome, code = Outcome.CAUTION, "bending_has_little_reserve"
    else:
        outcome, code = Outcome.FAIL, "bending_has_no_reserve"
    facts = {"mass": mass, "bears": mass * reserve, "remarks": _taken_for_granted(axle, frame)}
    return Reason(Check.BENDING, outcome, code, BEAM, reserve, BENDING_PASS_FROM, None, None, facts)


def _missing_column(axle: Axle) -> str | None:
    """The column without which the section is not known; a barrel is hollow, so its thread counts."""
    if axle.shaft_mm is None:
        return "shaft_mm"
    if axle.fastening is Fastening.TWO_PIECE and (axle.thread is None or _hollow_mm(axle) >= axle.shaft_mm):
        return "thread"
    return None


def greatest_moments_nmm(axle: Axle) -> tuple[float, ...]:
    """Bending moments up to which a shaft has its whole reserve, and up to which it does not yield.

    Valid as `bending_reserve` is.

    Parameters
    ----------
    axle : Axle
        Its shaft and its thread [mm] and its material are used.

    Returns
    -------
    tuple of floats
        The two moments, the lesser one first [N·mm]; none where the section is not known.

    Examples
    --------
    >>> bolt = Axle(sku="A", fastening=Fastening.BOLT_AND_NUT, shaft_mm=8.0, material="steel_8_8")
    >>> [round(moment) for moment in greatest_moments_nmm(bolt)]
    [21447, 32170]

    References
    ----------
    σ = M/Z: Shigley's Mechanical Engineering Design, 3-10; the reserves: common practice, no source.
    """
    if _missing_column(axle) is not None:
        return ()
    modulus = section_modulus_mm3(axle.shaft_mm or 0.0, _hollow_mm(axle))
    bears = modulus * material_of(axle.material).yield_mpa
    return bears / BENDING_PASS_FROM, bears / BENDING_CAUTION_FROM


def _hollow_mm(axle: Axle) -> float:
    """The bore that a barrel has over its thread; 0 for a solid shaft [mm]."""
    if axle.fastening is Fastening.TWO_PIECE and axle.thread is not None:
        return thread_dimensions(axle.thread).internal_minor_mm
    return 0.0


def bending_moment_on(frame: Frame, far_wall: Quantity | None = None) -> float:
    """Greatest bending moment in any axle on a frame, with what is not known of it taken for granted.

    Valid as `bending_moment_nmm` is.

    Parameters
    ----------
    frame : Frame
        Its walls, its inside width and the wheel's hub [mm] are used, and the rider's mass [kg].
    far_wall : Quantity, optional
        A far wall that is taken instead of the frame's own [mm].

    Returns
    -------
    float
        Moment, positive [N·mm].

    Examples
    --------
    >>> from service.engine.measurement import FrameWidths
    >>> width = Quantity(value_mm=36.4, standard_uncertainty_mm=0.03)
    >>> round(bending_moment_on(Frame(widths=FrameWidths(outside=width))))
    9929

    References
    ----------
    Shigley's Mechanical Engineering Design, table A-9; what is taken for granted: common practice, no source.
    """
    mass_kg = UNKNOWN_RIDER_MASS_KG if frame.rider_mass_kg is None else frame.rider_mass_kg
    widths = frame.widths
    far = far_wall or widths.far_wall or widths.head_wall
    head = widths.head_wall or far
    mean_wall = (head.value_mm + far.value_mm) / 2.0 if head and far else UNKNOWN_WALL_MM
    room = USUAL_HUB_ROOM_MM if widths.inside is None else widths.inside.value_mm - frame.hub_width_mm
    return bending_moment_nmm(rider_mass_kg=mass_kg, mean_wall_mm=mean_wall, hub_room_mm=room)


def _taken_for_granted(axle: Axle, frame: Frame) -> tuple[str, ...]:
    """What was not known, and is said to have been taken as usual."""
    widths, taken = frame.widths, []
    if frame.rider_mass_kg is None:
        taken.append("rider_mass_taken_as_100_kg")
    if widths.head_wall is None and widths.far_wall is None:
        taken.append("wall_taken_as_6_mm")
    if widths.inside is None:
        taken.append("hub_room_taken_as_usual")
    if axle.material is None:
        taken.append("material_taken_as_steel_4_6")
    return tuple(taken)
