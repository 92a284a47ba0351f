"""The cautions of a kit: what it lacks, what is not known of its parts, and those of any lookup."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from schemas.answers import CautionAnswer
from schemas.codes import Language
from service.engine.codes import Verdict
from service.fitting.cautions import cautions_for
from service.fitting.kits.grounds import sleeve_of
from service.fitting.kits.made import MadeKit
from service.fitting.languages import sentences_in
from service.fitting.wording import number

_Said = tuple[str, dict[str, object]]
"""A sentence's code, and what it mentions."""


def cautions_of(kit: MadeKit, *, language: Language) -> list[CautionAnswer]:
    """What to be careful about with this kit, then what holds for any axle."""
    texts = sentences_in(language).kits
    said = [*_of_what_lacks(kit), *_of_parts(kit), *_of_tools_and_brake(kit)]
    own = [CautionAnswer(code=code, text=texts[code].format_map(mentioned)) for code, mentioned in said]
    return own + cautions_for(kit.grounds[0].frame, kit.chosen, language=language)


def _of_what_lacks(kit: MadeKit) -> Iterator[_Said]:
    """Positions without an axle or with a lesser one, axles to check first, sleeves that are missing."""
    at_places = list(kit.at_places())
    counts = {
        "positions_stay_empty": sum(judgement is None for _, _, judgement in at_places),
        "lesser_verdict": sum(
            judgement is not None and judgement.verdict is not ground.best
            for _, ground, judgement in at_places
        ),
    }
    for code, count in counts.items():
        if count:
            yield code, {"count": count, "positions": len(at_places)}
    to_check = sum(judgement.verdict is Verdict.CHECK_FIRST for judgement in kit.chosen)
    if to_check:
        yield "check_first", {"count": to_check, "positions": len(kit.chosen)}
    missing = Counter(
        inner
        for place, _, judgement in at_places
        if judgement and (inner := sleeve_of(judgement.axle)) and place not in kit.choice.sleeve_at
    )
    hub = kit.grounds[0].frame.hub_width_mm
    for inner, count in sorted(missing.items()):
        yield "sleeves_missing", {"count": count, "inner": number(inner), "hub": number(hub)}


def _of_parts(kit: MadeKit) -> Iterator[_Said]:
    """Stock and prices that are not known, and parts whose prices are in another currency."""
    for taken in [*kit.axles, *kit.sleeves]:
        if taken.part.stock is None:
            yield "stock_not_known", {"sku": taken.part.sku}
        if taken.part.price is None:
            yield "price_not_known", {"sku": taken.part.sku}
    if len(kit.currencies) > 1:
        yield "one_currency", {"currency": kit.currency, "currencies": ", ".join(sorted(kit.currencies))}


def _of_tools_and_brake(kit: MadeKit) -> Iterator[_Said]:
    """Axles whose tool is not known, tools that have no price, and a brake that the kit leaves out."""
    records = [kit.snapshot.axles[taken.part.sku] for taken in kit.axles]
    for record in records:
        if record.drive is None or record.driven_heads is None:
            yield "tool_not_known", {"sku": record.sku}
    if any(record.drive for record in records):
        yield "tools_without_price", {}
    if kit.brake_position is not None and kit.request.brake == "none":
        yield "frame_takes_brake", {"position": kit.brake_position}
