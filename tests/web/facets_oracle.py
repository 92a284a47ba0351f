"""The oracle of the facets: every axle that `GET /v1/fits` lists, page by page, counted here one by one."""

import json

from hypothesis import strategies as st

FACETS = ["drive", "colour", "driven_heads", "material", "pack_quantity", "in_stock"]
COUNTED = ["fits", "fits_with_caution", "check_first"]
LOOKUPS = st.fixed_dictionaries(
    {"outside_width_mm": st.sampled_from([20, 30.2, 33, 34, 35.2, 36.4, 37.9, 39, 41.2, 44, 52.5, 70])},
    optional={
        "fastening": st.sampled_from(["threaded_wall", "threaded_wall", "two_piece", "bolt_and_nut"]),
        "bore_mm": st.sampled_from([8, 8, 6, 6.3, 7.1]),
        "thread": st.sampled_from(["M8x1.25", "M8x1", "M7x1", "M6x1", "M5x0.8"]),
        "far_wall_mm": st.sampled_from([2, 4.5, 6, 9]),
        "head_wall_mm": st.sampled_from([4.5, 6]),
        "inside_width_mm": st.sampled_from([19, 24.4]),
        "instrument": st.sampled_from(["ruler", "tape"]),
        "keyed_profile": st.sampled_from(["none", "larch", "oak"]),
        "keys_needed": st.sampled_from([1, 2]),
        "position": st.just("brake"),
        "rider_mass_kg": st.sampled_from([30, 100, 200]),
        "recess_mm": st.sampled_from([0, 2]),
    },
)
FILTERS = st.fixed_dictionaries(
    {},
    optional={
        "drive": st.lists(st.sampled_from(["hexagon_4", "hexalobular_25", "slot", "hexagon_12"]), min_size=1),
        "colour": st.lists(st.sampled_from(["black", "silver", "white", "mauve"]), min_size=1),
        "driven_heads": st.sampled_from([1, 2]),
        "material": st.lists(st.sampled_from(["steel_8_8", "steel_12_9", "titanium_6al_4v"]), min_size=1),
        "pack_quantity": st.sampled_from([1, 2, 7, 8]),
        "in_stock": st.booleans(),
    },
)


def as_parameters(fields):
    """The fields as query parameters; true and false as JSON writes them."""
    return {name: json.dumps(value) if isinstance(value, bool) else value for name, value in fields.items()}


def listed(client, lookup):
    """Every axle that the lookup lists; none where its fields make no lookup."""
    found, cursor = [], {}
    while True:
        answer = client.get("/v1/fits", params=lookup | cursor | {"limit": 100, "near_misses": 0})
        if answer.status_code == 422:
            return []
        assert answer.status_code == 200
        page = answer.json()
        found += page["fits"]
        if page["next_cursor"] is None:
            return found
        cursor = {"cursor": page["next_cursor"]}


def has(fit, facet):
    """What an axle has in a facet."""
    axle = fit["axle"]
    if facet == "in_stock":
        return None if axle["stock"] is None else axle["stock"] > 0
    return axle[facet]


def passing(fits, filters, *, without=None):
    """The axles that pass every filter, or every one but one."""
    return [
        fit
        for fit in fits
        if all(
            has(fit, facet) in (chosen if isinstance(chosen, list) else [chosen])
            for facet, chosen in filters.items()
            if facet != without
        )
    ]


def by_verdict(fits):
    """How many of these axles came to which verdict."""
    verdicts = [fit["verdict"] for fit in fits]
    return {verdict: verdicts.count(verdict) for verdict in COUNTED}
