"""What is said of a rocker, in English; lengths in mm, the radius in m, wheels and axles by position."""

ROCKERS = {
    "stance_level": "The skate stands level, on wheels {wheels}.",
    "stance_toes_up": "With the toes {tilt}° up the skate stands on wheels {wheels}.",
    "stance_toes_down": "With the toes {tilt}° down the skate stands on wheels {wheels}.",
    "curve_flat": "The wheels that touch the ground all touch at once: there is no rocker.",
    "curve_rockered": "The curve of the wheels is {depth} mm deep over {chord} mm, on a radius of {radius} m.",
    "wheels_never_touch": "In no stance is the ground touched by wheels {wheels}.",
    "wheels_have_no_room": "Wheels {front} and {rear} do not go on their axles: the room between them is {value} mm.",
    "holes_not_given": "An offset axle needs oval holes of its own offset; the shape of the holes was not given.",
    "holes_round": "The frame's holes are round: they take straight axles only.",
    "way_exact": "This is the shape asked for.",
    "way_nearest": "This comes within {miss} mm of the shape asked for.",
    "seat_up": "At {positions}: an axle with an offset of {offset} mm, turned up.",
    "seat_down": "At {positions}: an axle with an offset of {offset} mm, turned down.",
    "seat_straight": "At {positions}: a straight axle.",
    "wanted_reached": "Offset axles of the catalogue reach the shape asked for.",
    "wanted_needs_no_offset": "Straight axles are enough for the shape asked for.",
    "wanted_not_reached": "No offset axles of the catalogue reach the shape asked for; the nearest way comes within {miss} mm.",
    "wanted_has_no_seat": "The shape asked for cannot be reached: the catalogue has no axle for the holes at {positions}.",
    "rocker_changes_balance": "A rocker turns more easily and runs less straight: try it out slowly, with protectors.",
}
