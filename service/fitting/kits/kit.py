"""A kit, from the request to the answer: a pure function of request and snapshot."""

from __future__ import annotations

from schemas.codes import Language
from schemas.kits import KitRequest, KitResponse
from service.catalogue.snapshot import Snapshot
from service.fitting.kits.answer import kit_answer
from service.fitting.kits.choice import choose
from service.fitting.kits.grounds import currencies_of, grounds_of, sleeves_for, task_in
from service.fitting.kits.made import MadeKit
from service.fitting.kits.positions import places_of
from service.fitting.translate import preferences_of


def make_kit(
    request: KitRequest, snapshot: Snapshot, *, language: Language = Language.ENGLISH
) -> KitResponse:
    """All axles for the skates with their sleeves and tools: the best verdicts, then the least price.

    Raises
    ------
    InvalidRequestError
        If the request describes no frame that can be, or axles that the frame does not have.
    KitNotSolvedError
        If the best kit cannot be proven to be the best.
    """
    places = places_of(request, snapshot)
    grounds = grounds_of(places, request, snapshot)
    sleeves = sleeves_for(grounds, snapshot)
    preferences = preferences_of(places[0].lookup)
    currencies = currencies_of(grounds, sleeves, snapshot)
    kits = []
    for currency in currencies or (None,):
        task = task_in(currency, grounds, sleeves, snapshot, preferences)
        kits.append((currency, task, choose(task)))
    # Prices in two currencies cannot be compared: what lacks decides, then the more usual currency.
    currency, task, choice = min(kits, key=lambda kit: kit[2].shortfall)
    made = MadeKit(
        request=request,
        snapshot=snapshot,
        places=places,
        grounds=grounds,
        currencies=currencies,
        currency=currency,
        task=task,
        choice=choice,
    )
    return kit_answer(made, language=language)
