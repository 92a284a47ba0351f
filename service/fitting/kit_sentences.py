"""The sentences of a kit in English: why a position stays empty, and what to be careful about."""

KITS = {
    # why a position stays empty
    "nothing_fits": "No axle of the catalogue fits here.",
    "stock_too_small": "There are axles that fit here, but their stock is too small for this position too.",
    "priced_in_another_currency": "There are axles that fit here, but their prices are in another currency "
    "than this kit's.",
    # cautions
    "positions_stay_empty": "Without an axle: {count} of {positions} positions; each of them says why.",
    "lesser_verdict": "With an axle of a lesser verdict than another one reaches there, whose stock is too "
    "small or whose price is in another currency: {count} of {positions} positions.",
    "check_first": "To be checked before you buy: {count} of {positions} axles; their reasons say what.",
    "sleeves_missing": "Without the sleeve that a thin axle needs, of {inner} mm inside and as long as the "
    "wheel's hub of {hub} mm: {count} axles; there is none, or its stock is too small.",
    "stock_not_known": "The stock of {sku} is not known: count it before you promise this kit.",
    "price_not_known": "The price of {sku} is not known, and the total is without it.",
    "one_currency": "Parts that would do have prices in several currencies ({currencies}). This kit is in "
    "{currency} alone, since prices in different currencies are not compared.",
    "tool_not_known": "What turns {sku}, or how many of its heads take a key, is not known: look at the axle "
    "before you choose the tool.",
    "tools_without_price": "The tools have no price in the catalogue, and the total is without them.",
    "frame_takes_brake": "This frame can carry a brake at axle {position}, and this kit has no brake axle.",
}
