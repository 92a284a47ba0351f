"""What a kit is chosen from: the axles judged at each of its positions, those that are alike judged once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from schemas.kits import KitRequest
from schemas.parts import AxleRecord, SleeveRecord
from service.catalogue.money import to_minor_units
from service.catalogue.snapshot import Snapshot
from service.engine.checks import Case
from service.engine.checks.bore import fitting_sleeves
from service.engine.codes import Verdict
from service.engine.constants import BEARING_BORE_MM
from service.engine.frame import Frame
from service.engine.judgement import Judgement
from service.engine.parts import Axle
from service.engine.ranking import NearMiss, Preferences, near_misses
from service.fitting.kits.positions import Place, frame_at
from service.fitting.kits.task import Demand, Part, Task
from service.fitting.lookup import judge_all

_HOW_GOOD = {Verdict.FITS: 0, Verdict.FITS_WITH_CAUTION: 1, Verdict.CHECK_FIRST: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Positions that are alike, the axles that fit there, and where there are none the near misses."""

    places: tuple[int, ...]
    frame: Frame
    listed: Mapping[str, Judgement]
    misses: Sequence[NearMiss]

    @property
    def best(self) -> Verdict:
        """The best verdict that any axle reaches here, its stock and price aside."""
        verdicts = {judgement.verdict for judgement in self.listed.values()}
        return min(verdicts, key=_HOW_GOOD.__getitem__, default=Verdict.NO_FIT)


def grounds_of(places: Sequence[Place], request: KitRequest, snapshot: Snapshot) -> list[Ground]:
    """The kit's positions, those with equal frames and equal needs together."""
    alike: dict[Place, list[int]] = {}
    for number, place in enumerate(places):
        alike.setdefault(place._replace(side=None, position=0), []).append(number)
    return [_ground(numbers, places[numbers[0]], request, snapshot) for numbers in alike.values()]


def _ground(numbers: Iterable[int], place: Place, request: KitRequest, snapshot: Snapshot) -> Ground:
    frame = frame_at(place, request)
    axles: Iterable[Axle] = snapshot.engine_axles
    if place.needs == "offset":
        axles = (axle for axle in axles if axle.offset_mm > 0.0)
    judged = judge_all(axles, frame, snapshot)
    listed = {j.axle.sku: j for j in judged if j.verdict is not Verdict.NO_FIT}
    misses = [] if listed else near_misses(judged, width=frame.widths.outside)[: place.lookup.near_misses]
    return Ground(places=tuple(numbers), frame=frame, listed=listed, misses=misses)


def sleeves_for(grounds: Sequence[Ground], snapshot: Snapshot) -> dict[float, list[SleeveRecord]]:
    """The sleeves that suit the wheel's hub, by the inner diameter that the thin axles listed need [mm]."""
    found: dict[float, list[SleeveRecord]] = {}
    for ground in grounds:
        for judgement in ground.listed.values():
            inner = sleeve_of(judgement.axle)
            if inner is not None and inner not in found:
                case = Case(judgement.axle, ground.frame, snapshot.facts, judgement.window, 1.0, 1.0)
                found[inner] = [snapshot.sleeves[sleeve.sku] for sleeve in fitting_sleeves(case)]
    return found


def sleeve_of(axle: Axle) -> float | None:
    """The inner diameter of the sleeve that an axle needs [mm], None for one of full thickness."""
    thin = axle.shaft_mm is not None and axle.shaft_mm < BEARING_BORE_MM
    return axle.shaft_mm if thin else None


def currencies_of(
    grounds: Sequence[Ground], sleeves: Mapping[float, Sequence[SleeveRecord]], snapshot: Snapshot
) -> list[str]:
    """The currencies of the parts in play; that of most of the catalogue's axles first."""
    records: list[AxleRecord | SleeveRecord] = [
        snapshot.axles[sku] for ground in grounds for sku in ground.listed
    ]
    records += [record for some in sleeves.values() for record in some]
    in_play = {record.currency for record in records if record.currency is not None}
    if len(in_play) < 2:
        return list(in_play)
    counts = snapshot.compact_axles.counts.currencies
    return sorted(in_play, key=lambda currency: (-counts.get(currency, 0), currency))


def task_in(
    currency: str | None,
    grounds: Sequence[Ground],
    sleeves: Mapping[float, Sequence[SleeveRecord]],
    snapshot: Snapshot,
    preferences: Preferences,
) -> Task:
    """The choice with the parts whose price is in this currency or is not known."""
    axles: dict[str, Part] = {}
    demands = []
    for ground in grounds:
        verdicts = {}
        for sku, judgement in ground.listed.items():
            record = snapshot.axles[sku]
            if record.currency not in {None, currency}:
                continue
            verdicts[sku] = _HOW_GOOD[judgement.verdict]
            if sku not in axles:
                axle = judgement.axle
                axles[sku] = _part(record, missed=preferences.missed_by(axle), sleeve_mm=sleeve_of(axle))
        demands.append(Demand(places=ground.places, verdicts=verdicts))
    priced = {
        inner: [_part(record) for record in some if record.currency in {None, currency}]
        for inner, some in sleeves.items()
    }
    return Task(demands=tuple(demands), axles=axles, sleeves=priced)


def _part(record: AxleRecord | SleeveRecord, *, missed: int = 0, sleeve_mm: float | None = None) -> Part:
    price = None
    if record.price is not None and record.currency is not None:
        price = to_minor_units(record.price, record.currency)
    return Part(
        sku=record.sku,
        pack_quantity=record.pack_quantity,
        price=price,
        stock=record.stock,
        missed=missed,
        sleeve_mm=sleeve_mm,
    )
