"""Requests as examples in the OpenAPI document: in the demonstration catalogue each is answered as shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple


class Example(NamedTuple):
    """One request that succeeds: the parameters that go together, and the body."""

    parameters: Mapping[str, Any] = {}
    body: Any = None


_FRAME = {
    "fastening": "threaded_wall",
    "outside_width_mm": 36.4,
    "far_wall_mm": 6,
    "bore_mm": 8,
    "thread": "M8x1.25",
}
_LOOKUP = _FRAME | {"limit": 3, "near_misses": 1}
_AXLE, _FRAME_CODE, _SLEEVE = {"sku": "TW8-36-M8-HX6"}, {"code": "QH-ALDER"}, {"sku": "SL-6-24"}
# The tags of these records as the demonstration catalogue has them; reading a record tells its own.
_AXLE_TAG = {"If-Match": '"610a0bcad5e9ed1d82bf2079383f8491"'}
_FRAME_TAG = {"If-Match": '"af7e808bf9daa75ab102e43d2667a50c"'}
_SLEEVE_TAG = {"If-Match": '"6b1e0dfed00da202c19de1e89e2475f9"'}
_NEW = {"If-None-Match": "*"}
_NEW_AXLE = {
    "name": "Threaded-wall axle 8 x 36.5 mm (invented)",
    "fastening": "threaded_wall",
    "shaft_mm": 8,
    "length_mm": 36.5,
    "thread": "M8x1.25",
    "thread_length_mm": 11,
    "drive": "hexalobular_25",
    "driven_heads": 1,
    "material": "steel_12_9",
    "price": "3.90",
    "currency": "EUR",
    "stock": 40,
}
_NEW_FRAME = {
    "name": "Tamarisk 4 x 80 (invented frame)",
    "fastening": "threaded_wall",
    "bore_mm": 8,
    "holes": "round",
    "outside_widths_mm": [36.4],
    "far_wall_mm": 6,
    "thread": "M8x1.25",
    "wheels": 4,
    "axle_positions_mm": [0, 83, 166, 249],
}
_NEW_SLEEVE = {"name": "Sleeve 6 x 8 x 25 mm (invented)", "inner_mm": 6, "outer_mm": 8, "length_mm": 25}
_BATCH = '{"id":"a","outside_width_mm":36.4,"bore_mm":8}\n{"id":2,"outside_width_mm":-1}\n'
_FILE = "sku,name,inner_mm,outer_mm,length_mm,stock\nSL-6-26,Sleeve 6 x 8 x 26 mm (invented),6,8,26,12\n"

EXAMPLES: Mapping[str, Example] = {
    "get_fits": Example(_LOOKUP | {"Accept-Language": "de-AT, de;q=0.9, en;q=0.5"}),
    "post_fits": Example({"Accept-Language": "fr"}, _LOOKUP | {"outside_width_mm": [36.4, 36.3, 36.4]}),
    "post_batch": Example({"Accept-Language": "nl"}, _BATCH),
    "post_rockers": Example(
        {"Accept-Language": "de"},
        {
            "axle_positions_mm": [0, 80, 160, 240],
            "wheel_diameters_mm": 76,
            "wanted_offsets_mm": [1, 0, 0, 1],
        },
    ),
    "get_fit_drawing": Example(
        _FRAME | {"sku": "TW8-36-M8-HX6", "Accept-Language": "de-AT, de;q=0.9, en;q=0.5"}
    ),
    "get_rocker_drawing": Example(
        {
            "axle_positions_mm": [0, 80, 160, 240],
            "wheel_diameters_mm": [76],
            "offsets_mm": [1, 0, 0, 1],
            "Accept-Language": "nl",
        }
    ),
    "get_measuring_guide": Example({"Accept-Language": "es"}),
    "get_tools_guide": Example({"Accept-Language": "it"}),
    "get_facets": Example(_FRAME | {"drive": ["hexalobular_25", "hexalobular_30"], "in_stock": [True]}),
    "post_kit": Example({"Accept-Language": "es"}, {"frame": "QH-ALDER", "brake": "right"}),
    "get_axles": Example({"fastening": "threaded_wall", "outside_width_mm": 36.4, "limit": 5}),
    "get_axle": Example(_AXLE),
    "get_frames": Example({"fastening": "threaded_wall", "limit": 5}),
    "get_frame": Example(_FRAME_CODE),
    "get_frame_fits": Example(_FRAME_CODE | {"axle_position": 1, "rider_mass_kg": 75, "limit": 3}),
    "get_sleeves": Example({"limit": 5}),
    "get_sleeve": Example(_SLEEVE),
    "get_changes": Example({"since": 0, "limit": 5}),
    "post_identify": Example(
        {"Accept-Language": "it"},
        {"fastening": "threaded_wall", "overall_length_mm": 36, "shaft_mm": 7.98, "limit": 5},
    ),
    "get_equivalents": Example(_AXLE | {"rider_mass_kg": 75, "limit": 5}),
    "get_axle_frames": Example(_AXLE | {"rider_mass_kg": 75, "limit": 5}),
    "put_axle": Example({"sku": "TW8-365-M8-HX"} | _NEW, _NEW_AXLE),
    "put_frame": Example({"code": "QH-TAMARISK"} | _NEW, _NEW_FRAME),
    "put_sleeve": Example({"sku": "SL-6-25"} | _NEW, _NEW_SLEEVE),
    "patch_axle": Example(_AXLE | _AXLE_TAG, {"stock": 12, "colour": None}),
    "patch_frame": Example(_FRAME_CODE | _FRAME_TAG, {"recess_mm": 0}),
    "patch_sleeve": Example(_SLEEVE | _SLEEVE_TAG, {"stock": 79}),
    "delete_axle": Example(_AXLE | _AXLE_TAG),
    "delete_frame": Example(_FRAME_CODE | _FRAME_TAG),
    "delete_sleeve": Example(_SLEEVE | _SLEEVE_TAG),
    "post_import": Example(
        {"table": "sleeves", "dry_run": False, "Idempotency-Key": "sleeves-of-monday"}, _FILE
    ),
}
"""The examples by the operation's identifier; an operation not named here may have its own in its route."""

_VALUES: Mapping[str, Any] = {
    "rider_mass_kg": 75,
    "hub_width_mm": 24,
    "prefer_drive": "hexagon_4",
    "prefer_colour": "black",
    "outside_width_mm": 36.4,
    "inside_width_mm": 24.4,
    "head_wall_mm": 6,
    "far_wall_mm": 6,
    "bore_mm": 8,
    "shaft_mm": 8,
    "thread": "M8x1.25",
    "recess_mm": 0.5,
    "hole_offset_mm": 2,
    "keyed_profile": "none",
    "keys_needed": 1,
    "brake_thread": "M6x1",
    "axle_position": 1,
    "frame": "QH-ALDER",
    "drive": "hexagon_4",
    "colour": "black",
    "driven_heads": 1,
    "pack_quantity": 8,
    "material": "steel_12_9",
    "gtin": "2000000000794",
    "Accept-Language": "de-AT, de;q=0.9, en;q=0.5",
    "If-Match": '"5d41402abc4b2a76"',
    "If-None-Match": '"5d41402abc4b2a76"',
    "Idempotency-Key": "sleeves-of-monday",
}
"""Values by the parameter's name, each right alone: not every parameter goes together with every other."""


def add_examples(operation: dict[str, Any]) -> None:
    """Put the operation's example where its parameters and its body are described, and values beside it."""
    example = EXAMPLES.get(operation["operationId"], Example())
    for parameter in operation.get("parameters", []):
        name = parameter["name"]
        if name in example.parameters:
            parameter["example"] = example.parameters[name]
        elif "example" not in parameter and name in _VALUES:
            value = [_VALUES[name]] if parameter["schema"].get("type") == "array" else _VALUES[name]
            parameter["schema"] = {"examples": [value]} | parameter["schema"]
    if example.body is not None:
        for media_type in operation["requestBody"]["content"].values():
            media_type["example"] = example.body
