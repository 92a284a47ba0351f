"""Whether threads strip and shafts bend: reserves for comparing axles, never a certificate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from service.engine.constants import (
    ASSEMBLY_TORQUE_NM,
    BEARING_WIDTH_MM,
    DYNAMIC_FACTOR,
    GRAVITY,
    MATERIALS_MPA,
    NUT_FACTOR,
    STRIP_RESERVE,
    UNKNOWN_MATERIAL,
)
from service.engine.threads import Thread, shear_areas_mm2_per_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Strengths of a material [MPa]."""

    tensile_mpa: float
    yield_mpa: float
    shear_mpa: float


_MATERIALS = {
    code: Material(tensile_mpa=tensile, yield_mpa=yields, shear_mpa=shear)
    for code, (tensile, yields, shear) in MATERIALS_MPA.items()
}


def material_of(code: str | None) -> Material:
    """The material of this code; one that is not known counts as the weakest steel."""
    return _MATERIALS[code or UNKNOWN_MATERIAL]


def preload_n(thread: Thread, *, torque_nm: float = ASSEMBLY_TORQUE_NM) -> float:
    """Force that a tightening torque puts into the thread.

    Valid as an estimate: friction scatters it by a quarter and more.

    Parameters
    ----------
    thread : Thread
        Its major diameter [mm] is used.
    torque_nm : float
        Tightening torque [N·m].

    Returns
    -------
    float
        Preload, positive in tension [N].

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> round(preload_n(parse_thread("M8x1.25")))
    2500

    References
    ----------
    Shigley's Mechanical Engineering Design, 8-8: T = K·F·d, K = 0.2; the torque: common practice, no source.
    """
    return torque_nm * 1e3 / (NUT_FACTOR * thread.major_mm)


def strip_force_n_per_mm(thread: Thread, *, external_shear_mpa: float, internal_shear_mpa: float) -> float:
    """Axial force at which the weaker of two mating threads strips, for each mm of engagement.

    Valid while the load spreads over all engaged turns, some 1.5 diameters at most.

    Parameters
    ----------
    thread : Thread
        The thread of both [mm].
    external_shear_mpa, internal_shear_mpa : float
        Shear strengths of screw and wall or barrel [MPa].

    Returns
    -------
    float
        Force per engaged length [N/mm].

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> m8 = parse_thread("M8x1.25")
    >>> round(strip_force_n_per_mm(m8, external_shear_mpa=480.0, internal_shear_mpa=207.0) / 1000, 2)
    3.48

    References
    ----------
    FED-STD-H28/2B, II.B.1.
    """
    internal, external = shear_areas_mm2_per_mm(thread)
    return min(internal * internal_shear_mpa, external * external_shear_mpa)


@lru_cache(maxsize=4096)
def strip_length_mm(thread: Thread, external: str | None, internal: str | None) -> float:
    """Engaged length at which the weaker thread would strip at twice the preload.

    Valid as `preload_n` and `strip_force_n_per_mm` are.

    Parameters
    ----------
    thread : Thread
        The thread of both [mm].
    external, internal : str or None
        Material codes of the axle or screw, and of the wall or barrel; None counts as steel 4.6.

    Returns
    -------
    float
        Least length that holds [mm].

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> round(strip_length_mm(parse_thread("M8x1.25"), "steel_8_8", "aluminium_6061_t6"), 2)
    1.44

    References
    ----------
    FED-STD-H28/2B, II.B.1; the reserve of 2: common practice, no source.
    """
    force = _strip_force(thread, external, internal)
    return STRIP_RESERVE * preload_n(thread) / force


def strip_torque_nm(thread: Thread, external: str | None, internal: str | None, engaged_mm: float) -> float:
    """Tightening torque at which the weaker thread would strip over this engaged length.

    Valid as `preload_n` and `strip_force_n_per_mm` are.

    Parameters
    ----------
    thread : Thread
        The thread of both [mm].
    external, internal : str or None
        Material codes of the axle or screw, and of the wall or barrel; None counts as steel 4.6.
    engaged_mm : float
        Engaged length, 0 or more [mm].

    Returns
    -------
    float
        Torque [N·m].

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> m8 = parse_thread("M8x1.25")
    >>> round(strip_torque_nm(m8, "steel_8_8", "aluminium_6061_t6", 4.35), 1)
    24.2

    References
    ----------
    FED-STD-H28/2B, II.B.1; Shigley's Mechanical Engineering Design, 8-8.
    """
    return NUT_FACTOR * thread.major_mm * _strip_force(thread, external, internal) * engaged_mm / 1e3


@lru_cache(maxsize=4096)
def _strip_force(thread: Thread, external: str | None, internal: str | None) -> float:
    return strip_force_n_per_mm(
        thread,
        external_shear_mpa=material_of(external).shear_mpa,
        internal_shear_mpa=material_of(internal).shear_mpa,
    )


def bending_moment_nmm(*, rider_mass_kg: float, mean_wall_mm: float, hub_room_mm: float) -> float:
    """Greatest bending moment in an axle that carries the whole rider on one wheel.

    Valid for an axle simply supported at mid wall, loaded by half at the middle of each bearing.

    Parameters
    ----------
    rider_mass_kg : float
        Mass of the rider [kg].
    mean_wall_mm : float
        Mean thickness of the two walls [mm].
    hub_room_mm : float
        What the inside width exceeds the hub's width by, both sides together; below 0 counts as 0 [mm].

    Returns
    -------
    float
        Moment, positive [N·mm].

    Examples
    --------
    >>> round(bending_moment_nmm(rider_mass_kg=100.0, mean_wall_mm=6.0, hub_room_mm=0.5))
    9929

    References
    ----------
    Shigley's Mechanical Engineering Design, table A-9, twin loads: M = F/2·a; factor 3: common practice,
    no source.
    """
    force = DYNAMIC_FACTOR * rider_mass_kg * GRAVITY
    lever = mean_wall_mm / 2.0 + max(hub_room_mm, 0.0) / 2.0 + BEARING_WIDTH_MM / 2.0
    return force / 2.0 * lever


def section_modulus_mm3(outer_mm: float, inner_mm: float = 0.0) -> float:
    """Elastic section modulus of a round shaft, hollow or solid.

    Valid for a concentric bore.

    Parameters
    ----------
    outer_mm : float
        Outer diameter [mm].
    inner_mm : float
        Inner diameter, less than the outer, 0 for a solid shaft [mm].

    Returns
    -------
    float
        Z = π(d⁴ − d_i⁴)/(32·d) [mm³].

    Raises
    ------
    ValueError
        If the inner diameter is not less than the outer.

    Examples
    --------
    >>> round(section_modulus_mm3(8.0), 2)
    50.27

    References
    ----------
    Shigley's Mechanical Engineering Design, table A-18.
    """
    if inner_mm >= outer_mm:
        raise ValueError("a hollow shaft needs a wall")
    return math.pi * (outer_mm**4 - inner_mm**4) / (4 * 4 * 2 * outer_mm)


def bending_reserve(moment_nmm: float, *, modulus_mm3: float, yield_mpa: float) -> float:
    """How often the moment would have to be taken before the shaft begins to yield.

    Valid in the elastic range, without stress concentrations.

    Parameters
    ----------
    moment_nmm : float
        Bending moment, greater than 0 [N·mm].
    modulus_mm3 : float
        Section modulus [mm³].
    yield_mpa : float
        Yield strength [MPa].

    Returns
    -------
    float
        Yield strength over bending stress [1]; below 1 the shaft bends for good.

    Examples
    --------
    >>> round(bending_reserve(1000.0, modulus_mm3=10.0, yield_mpa=150.0), 9)
    1.5

    References
    ----------
    σ = M/Z: Shigley's Mechanical Engineering Design, 3-10.
    """
    return yield_mpa * modulus_mm3 / moment_nmm
