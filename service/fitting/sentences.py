"""The sentence of every reason code, and for each failure what would have to change, in English.

Lengths in a sentence are in mm. A sentence can be said aloud at a counter: what was found, what the axle
needs, by how much. The other languages stand in ``locale``, each sentence beside its code and the English.
"""

FASTENINGS = {
    "threaded_wall": "threaded wall",
    "two_piece": "two piece",
    "bolt_and_nut": "bolt and nut",
}

COLUMNS = {
    "shaft_mm": "thickness (shaft_mm)",
    "shaft_tolerance": "tolerance class (shaft_tolerance)",
    "thread": "thread",
    "barrel_mm": "barrel length (barrel_mm)",
    "barrel_mouth_mm": "barrel mouth (barrel_mouth_mm)",
    "barrel_thread_mm": "depth of thread in the barrel (barrel_thread_mm)",
    "screw_mm": "screw length (screw_mm)",
    "keyed_profile": "head profile (keyed_profile)",
}

PROBABILITIES = {
    "nearly_certain": "over 99.9 %",
    "nearly_impossible": "under 0.1 %",
}

REASONS = {
    # fastening
    "fastening_equal": "The axle is of the fastening {axle}, as the frame is.",
    "fastening_not_given": "The axle is of the fastening {axle}; the frame's fastening was not given.",
    "fastening_differs": "The axle is of the fastening {axle}, but the frame is of the fastening {frame}.",
    # width
    "width_in_window": "The frame measures {value} mm over its walls; the axle serves {minimum} to {maximum} mm, "
    "which leaves {margin} mm to the nearer limit. It fits in width with a probability of {probability}.",
    "width_leaves_axle_proud": "The frame measures {value} mm over its walls and the axle serves {minimum} to "
    "{maximum} mm, but it stands {proud} mm proud of the far wall; more than 0.5 mm is unusual.",
    "width_near_limit": "The frame measures {value} mm over its walls with a standard uncertainty of "
    "{uncertainty} mm; the axle serves {minimum} to {maximum} mm. So near a limit it fits in width with a "
    "probability of only {probability}: measure again.",
    "width_too_uncertain": "The frame measures {value} mm over its walls, within the {minimum} to {maximum} mm "
    "that the axle serves, but the measurement is too uncertain ({uncertainty} mm) for so narrow a range.",
    "width_too_great": "The frame measures {value} mm over its walls, {excess} mm more than the greatest width "
    "of {maximum} mm that the axle serves.",
    "width_too_small": "The frame measures {value} mm over its walls, {shortfall} mm less than the least width "
    "of {minimum} mm that the axle serves.",
    "width_has_no_window": "On this frame's walls the axle's thread holds at no width: it would need to engage "
    "over a greater length than the parts allow.",
    # engagement
    "engagement_in_wall": "{value} mm of thread engage in the tapped wall, {turns} full turns; at least {minimum} mm "
    "must. It would strip at {strip_torque} N·m; the assembly torque is {assembly_torque} N·m.",
    "engagement_in_wall_short": "Only {value} mm of thread engage in the tapped wall, {turns} full turns; at least "
    "{minimum} mm must, and {usual} mm are usual. It would strip at {strip_torque} N·m; the assembly torque is "
    "{assembly_torque} N·m.",
    "engagement_in_wall_too_short": "Only {value} mm of thread engage in the tapped wall, {turns} full turns: "
    "{short} mm less than the {minimum} mm that must. It would strip at {strip_torque} N·m; the assembly torque is "
    "{assembly_torque} N·m.",
    "engagement_in_barrel": "The screw engages over {value} mm in the barrel, {turns} full turns; at least {minimum} mm "
    "must. It would strip at {strip_torque} N·m; the assembly torque is {assembly_torque} N·m.",
    "engagement_in_barrel_short": "The screw engages over only {value} mm in the barrel, {turns} full turns; at least "
    "{minimum} mm must, and {usual} mm, a standard nut's height, are usual. It would strip at {strip_torque} N·m; the "
    "assembly torque is {assembly_torque} N·m.",
    "engagement_in_barrel_too_short": "The screw engages over only {value} mm in the barrel, {turns} full turns: "
    "{short} mm less than the {minimum} mm that must. It would strip at {strip_torque} N·m; the assembly torque is "
    "{assembly_torque} N·m.",
    "engagement_in_nut": "{value} pitches of the bolt's thread show beyond the nut; at least one must.",
    "engagement_in_nut_too_short": "Only {value} pitches of the bolt's thread show beyond the nut; at least one "
    "must, so that the nut carries with its whole height.",
    "engagement_needs_far_wall": "How far the thread engages is not known, since the far wall's thickness was not "
    "given.",
    "engagement_needs_column": "How far the thread engages is not known, since the part's {column} is missing in "
    "the catalogue.",
    "engagement_rests_on_makers_word": "The range of widths rests on the maker's word; how far the thread engages "
    "is not known, since the part's {column} is missing in the catalogue.",
    # bore
    "bore_equal": "The axle is {value} mm thick, as the frame's bore of {maximum} mm takes it.",
    "bore_differs": "The axle is {value} mm thick, but the frame's bore is {bore} mm.",
    "bore_uncertain": "The axle is {value} mm thick; the bore as measured, {bore} mm, is of that class with a "
    "probability of only {probability}.",
    "bore_not_given": "The axle is {value} mm thick; the frame's bore was not given.",
    "bore_of_no_class": "The bore of {bore} mm as measured is near none of the classes 6, 6.3 and 8 mm.",
    "bore_needs_column": "Whether the axle's thickness suits is not known, since the part's {column} is missing in "
    "the catalogue.",
    # bearing fit
    "bearing_fit_by_hand": "A shaft of class {class} goes into the bearing by hand, with {least_um} to {greatest_um} µm of "
    "clearance.",
    "bearing_fit_may_be_tight": "A shaft of class {class} has {least_um} to {greatest_um} µm of clearance in the bearing: "
    "it may need pressing on by hand, never a hammer.",
    "bearing_fit_has_play": "A shaft of class {class} has {least_um} to {greatest_um} µm of clearance in the bearing: more "
    "than 100 µm can be felt as play.",
    "bearing_fit_tight_or_loose": "A shaft of class {class} has {least_um} to {greatest_um} µm of clearance in the bearing: "
    "one may need pressing on by hand, never a hammer, another may have play.",
    "bearing_fit_needs_column": "How the shaft goes into the bearing is not known, since the part's {column} is missing "
    "in the catalogue.",
    # bending
    "bending_has_reserve": "Under a rider of {mass} kg on one wheel, taken three times, the shaft has {value} times the "
    "strength that it needs; {minimum} times is enough.",
    "bending_has_little_reserve": "Under a rider of {mass} kg on one wheel, taken three times, the shaft has only {value} "
    "times the strength that it needs; {minimum} times is enough.",
    "bending_has_no_reserve": "Under a rider of {mass} kg on one wheel, taken three times, the shaft has {value} times the "
    "strength that it needs: it would bend. It bears a rider of {bears} kg at the most.",
    "bending_needs_column": "How well the shaft bears the rider is not known, since the part's {column} is missing in the "
    "catalogue.",
    # thread
    "thread_equal": "The axle's thread is {axle}, as the frame's is.",
    "thread_differs": "The axle's thread is {axle}, but the frame's is {frame}.",
    "thread_usual": "The axle's thread is {axle}, the usual one for its thickness; the frame's was not given. "
    "Compare it with the old axle.",
    "thread_unusual": "The axle's thread is {axle}, which is not the usual one for its thickness; the frame's was "
    "not given. Compare it with the old axle before you buy.",
    "thread_needs_column": "Whether the threads match is not known, since the part's {column} is missing in the "
    "catalogue.",
    # holes
    "holes_round": "The axle is straight, as round holes need it.",
    "holes_taken_as_round": "The axle is straight; the shape of the holes was not given, and they are taken as "
    "round.",
    "holes_oval_for_straight": "The axle is straight, but the frame's holes are oval and need an offset axle.",
    "holes_offset_equal": "The axle is offset by {value} mm, as the frame's oval holes are.",
    "holes_offset_differs": "The axle is offset by {value} mm, but the frame's oval holes by {maximum} mm.",
    "holes_round_for_offset": "The axle is offset by {value} mm, but the frame's holes are round.",
    "holes_not_given_for_offset": "The axle is offset by {value} mm and needs oval holes; the shape of the holes "
    "was not given.",
    "holes_offset_not_given": "The axle is offset by {value} mm; the offset of the frame's oval holes was not given.",
    # heads
    "heads_keyed_equal": "The axle's head is keyed {axle}, as the frame's recess is.",
    "heads_keyed_differ": "The axle's head is keyed {axle}, but the frame's recess is keyed {frame}.",
    "heads_round_in_keyed": "The axle's heads are round, but the frame's recess is keyed {frame}.",
    "heads_round": "The axle's heads are round, as the frame's holes need them.",
    "heads_keyed_in_round": "The axle's head is keyed {axle}, but the frame's holes are round.",
    "heads_round_where_one_key": "The axle's heads are round and take a key on each side, but the old axle took "
    "one key: the frame holds its head.",
    "heads_keyed_profile_not_given": "The axle's head is keyed {axle}; the old axle took one key, so the frame is "
    "keyed, but its profile was not given.",
    "heads_keyed_not_given": "The axle's head is keyed {axle}; the profile of the frame's recess was not given.",
    "heads_round_not_given": "The axle's heads are round; whether the frame's recesses are was not given.",
    "heads_need_column": "Whether the heads suit the frame is not known, since the part's {column} is missing in "
    "the catalogue.",
    # brake
    "brake_axle": "The axle carries the brake with a thread of {axle} at its end; the brake's own thread was not "
    "given.",
    "brake_thread_equal": "The axle carries the brake with a thread of {axle} at its end, as the brake needs.",
    "brake_thread_differs": "The axle carries the brake with a thread of {axle} at its end, but the brake needs "
    "{frame}.",
    "brake_axle_needed": "The axle has no thread at its end for the brake, which this position needs.",
    "brake_axle_elsewhere": "The axle has a thread of {axle} at its end for a brake, which this position does not "
    "need.",
    # sleeve, thin axle
    "sleeve_needed": "The axle of {inner} mm needs a sleeve of {inner} mm inside and {outer} mm outside through "
    "the wheel: {name} ({sku}), {value} mm long.",
    "sleeve_not_in_catalogue": "The axle of {inner} mm needs a sleeve of {inner} mm inside, {outer} mm outside and "
    "{value} mm long through the wheel, and the catalogue has none.",
    "thin_axle_under_adult": "The shaft is {shaft} mm thick, and axles under 8 mm are not for riders of {maximum} kg "
    "or more; this rider weighs {value} kg.",
    "thin_axle_rider_not_given": "The shaft is {shaft} mm thick, and axles under 8 mm are not for riders of "
    "{maximum} kg or more; the rider's mass was not given.",
    "thin_axle_under_light_rider": "The shaft is {shaft} mm thick, and the rider of {value} kg is lighter than the "
    "{maximum} kg from which axles under 8 mm are not to be used.",
    "thin_axle_under_child": "The shaft is {shaft} mm thick, and the skate is a child's; axles under 8 mm are not "
    "for riders of {maximum} kg or more.",
    # the frame alone
    "readings_agree": "The outside width differs by {value} mm from the inside width and the walls together; up "
    "to {maximum} mm is within the measurement's uncertainty.",
    "readings_disagree": "The outside width differs by {value} mm from the inside width and the walls together, "
    "more than the {maximum} mm that the measurement's uncertainty explains: measure again.",
    "hub_has_room": "Between the walls are {inside} mm for a wheel of {hub} mm over its bearings, which leaves "
    "{value} mm.",
    "hub_too_wide": "Between the walls are {inside} mm, {lacking} mm less than a wheel of {hub} mm over its bearings "
    "needs: it does not go in.",
    "hub_has_too_much_room": "Between the walls are {inside} mm for a wheel of {hub} mm over its bearings; with "
    "{value} mm to spare, frame washers seem to be missing.",
    "bore_class_found": "The bore of {value} mm as measured is of the class {class} mm.",
    "bore_class_uncertain": "The bore of {value} mm as measured is of the class {class} mm with a probability of "
    "only {probability}: measure again, or measure the old axle.",
}

REMARKS = {
    "material_taken_as_steel_4_6": "The part's material is not known and counts as steel 4.6.",
    "rider_mass_taken_as_100_kg": "The rider's mass was not given and is taken as 100 kg.",
    "wall_taken_as_6_mm": "The walls' thickness was not given and is taken as 6 mm.",
    "hub_room_taken_as_usual": "The inside width was not given; half a millimetre of room for the wheel is assumed.",
}

WOULD_FIT_IF = {
    "fastening_differs": "It would fit if the frame were of the fastening {axle}.",
    "width_too_great": "It would fit if the frame measured at most {maximum} mm over its walls, {excess} mm less "
    "than it does.",
    "width_too_small": "It would fit if the frame measured at least {minimum} mm over its walls, {shortfall} mm more "
    "than it does.",
    "width_near_limit": "It would fit if a surer measurement put the frame between {minimum} and {maximum} mm and "
    "its bore in the axle's class.",
    "bore_uncertain": "It would fit if a surer measurement put the frame's bore at {value} mm.",
    "width_too_uncertain": "It would fit if a surer measurement kept the frame between {minimum} and {maximum} mm.",
    "width_has_no_window": "It would fit if the walls let more of the thread engage.",
    "bore_differs": "It would fit if the frame's bore were {value} mm instead of {bore} mm.",
    "bore_of_no_class": "It would fit if the frame's bore, measured again, were {value} mm.",
    "bending_has_no_reserve": "It would fit a rider of up to {bears} kg.",
    "thread_differs": "It would fit if the frame's thread were {axle} instead of {frame}.",
    "holes_oval_for_straight": "It would fit if the frame's holes were round.",
    "holes_offset_differs": "It would fit if the frame's oval holes were offset by {value} mm instead of {maximum} mm.",
    "holes_round_for_offset": "It would fit if the frame's holes were oval, offset by {value} mm.",
    "heads_keyed_differ": "It would fit if the frame's recess were keyed {axle} instead of {frame}.",
    "heads_round_in_keyed": "It would fit if the frame's holes were round instead of keyed {frame}.",
    "heads_keyed_in_round": "It would fit if the frame's recess were keyed {axle}.",
    "heads_round_where_one_key": "It would fit if the old axle had taken a key on each side.",
    "brake_axle_needed": "It would fit at a position that carries no brake.",
    "brake_thread_differs": "It would fit if the brake's thread were {axle} instead of {frame}.",
}

QUESTIONS = {
    "fastening": "Look how the old axle holds: it screws into the far wall (threaded wall), it is a barrel and a screw with "
    "a head on both sides (two piece), or it is a bolt with a nut (bolt and nut).",
    "bore_mm": "Measure the old axle's thickness with a calliper where the bearings sit: 8, 6.3 or 6 mm.",
    "holes": "Look at the frame's axle holes from the side: round, or oval for an axle whose seat is off centre.",
    "hole_offset_mm": "Measure how far the seat of the old axle rises and falls when it is turned about its ends: the offset is half of that.",
    "thread": "Measure the thread of the old axle: its outer diameter, and the length of ten turns divided by ten.",
    "far_wall_mm": "Measure the thickness of the tapped wall, opposite the driven head, with a calliper at the axle hole.",
    "keys_needed": "See how many keys the old axle takes: one, or one on each side.",
    "keyed_profile": "Compare the recess on the side that takes no key with the keyed profiles of the catalogue.",
}

CAUTIONS = {
    "maker_and_workshop_first": "This compares parts by their measures. The frame maker's instructions come first; "
    "where they differ or you are unsure, ask a qualified workshop.",
    "tighten_and_check_again": "Tighten the axle, and check it again after the first ride and before each later one.",
    "never_ride_proud_or_loose": "Never ride with an axle that stands proud or is loose.",
    "replace_rounded_socket": "Replace an axle whose socket is rounded before it can no longer be undone.",
    "thread_locking_as_maker_says": "Use thread locking only as the frame maker says, and renew it when the axle has "
    "been undone.",
    "child_skate_checked_by_adult": "On a child's skate an adult fits the axles and checks them before each ride.",
    "thin_axles_not_for_adults": "Axles under 8 mm with a sleeve are not for adults.",
}
