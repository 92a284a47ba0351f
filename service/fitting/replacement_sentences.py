"""The sentences about an old axle and about what replaces an axle, in English; read by ``languages``."""

WORDS = {
    "not_known": "not known",
}

FEATURES = {
    "fastening": "Fastening",
    "overall_length_mm": "Whole length",
    "under_head_mm": "Length under the head",
    "grip_mm": "Distance between the heads",
    "shaft_mm": "Thickness",
    "shaft_tolerance": "Tolerance class of the shaft",
    "length_mm": "Length",
    "length_tolerance_mm": "Tolerance of the length",
    "grip_min_mm": "Stated least distance between the heads",
    "grip_max_mm": "Stated greatest distance between the heads",
    "barrel_mm": "Length of the barrel",
    "barrel_mouth_mm": "Mouth of the barrel",
    "barrel_thread_mm": "Depth of thread in the barrel",
    "screw_mm": "Length of the screw",
    "thread": "Thread",
    "thread_length_mm": "Length of the thread",
    "nut_height_mm": "Height of the nut",
    "drive": "Drive",
    "driven_heads": "Heads that take a key",
    "keyed_profile": "Profile of the head",
    "offset_mm": "Offset of the seat",
    "brake_thread": "Thread for the brake",
    "material": "Material",
    "colour": "Colour",
    "pack_quantity": "Axles in a pack",
    "price": "Price of a pack",
}

AGREEMENTS = {
    "part_lacks": "{feature}: {value}; that of the part is not known.",
    "seen_equal": "{feature}: {value}, as the part has it.",
    "of_class": "{feature}: {value}, which is the part's {expected} with a probability of {probability}.",
    "perhaps_of_class": "{feature}: {value}; that this is the part's {expected} has a probability of only "
    "{probability}.",
    "as_long": "{feature}: {value} mm, the part has {expected} mm; up to {limit} mm apart is within the uncertainty.",
    "within_range": "{feature}: {value} mm, within the {minimum} to {maximum} mm that the part serves.",
}

REPLACEMENTS = {
    "differs": "{feature}: {equivalent} instead of {axle}.",
    "one_frame_family": "It goes into frames of one family only, those with a recess keyed {profile}.",
    "no_window": "Which widths this axle serves cannot be computed, since the catalogue lacks: {columns}.",
}

INFERENCES = {
    # what was inferred
    "fastening_stated": "The axle is of the fastening {fastening}, as was said.",
    "fastening_from_pieces": "The axle is of the fastening {fastening}: only such an axle has what is there.",
    "shaft_found": "The shaft is of the class {class} mm, with a probability of {probability}.",
    "thread_found": "The thread is {thread}, with a probability of {probability} among the sizes in use.",
    "thread_stated": "The thread is {thread}, as was said.",
    "length_is_whole": "An axle for a threaded wall counts by its whole length, {value} mm.",
    "length_is_under_head": "A bolt counts by its length under the head, {value} mm.",
    "length_less_head": "A bolt counts by its length under the head: {value} mm, if the head is a standard one of "
    "{head} mm.",
    "length_is_grip": "The axle held {value} mm between its heads as it was mounted, which is how its fastening counts.",
    "widths_from_lengths": "By its lengths the axle serves frames of {minimum} to {maximum} mm, the recesses aside.",
    "holes_round": "The axle is straight, so the frame's holes are round.",
    "holes_oval": "The axle's seat is {value} mm off centre, so the frame's holes are oval with that offset.",
    "heads_keyed": "The head is keyed {profile}: the axle comes from a frame of that family, and goes into no other.",
    "heads_round": "The heads are round, so the frame's recesses are.",
    "brake_carried": "The axle carries a brake with a thread of {thread} at its end.",
    "width_from_length": "The frame is taken to be as wide as the axle is long, {value} mm, give or take half a "
    "millimetre: so far a well-fitted axle stands proud or falls short.",
    "width_from_grip": "The frame is taken to be {value} mm wide, the recesses of the heads left out.",
    # what could not be
    "fastening_not_told": "How the axle holds does not follow from what is there: say the fastening or the pieces.",
    "shaft_not_given": "The shaft was not measured: measure its thickness where the bearings sit.",
    "shaft_of_no_class": "The shaft of {value} mm as measured is near none of the classes 6, 6.3 and 8 mm.",
    "shaft_unsure": "The shaft of {value} mm as measured is of the class {class} mm with a probability of only "
    "{probability}: measure again.",
    "thread_not_given": "The thread was not measured: its outer diameter, and the length of ten turns divided by ten.",
    "thread_of_no_size": "No size in use has a thread of the diameter and pitch as measured: it may be worn, or no "
    "metric one.",
    "thread_unsure": "The thread may be {thread}, with a probability of only {probability}: measure the diameter and the pitch.",
    "length_not_given": "The length that counts for its fastening does not follow from what was measured.",
    "holes_not_told": "Whether the seat is off centre was not looked at: the frame's holes may be round or oval.",
    "heads_not_told": "Whether the head is keyed was not looked at: the frame may be of one family only.",
    "width_not_told": "The frame's width does not follow from the axle: measure it over both walls.",
    "no_part_agrees": "No part of the catalogue agrees with all that was measured and seen.",
    "parts_not_told_apart": "{count} parts agree so well that they cannot be told apart by what was measured; where "
    "they differ is listed.",
}
