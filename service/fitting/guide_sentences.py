"""The sentences of the guides, in English: how to measure, which key, what to do about a worn socket."""

GUIDES = {
    # instruments
    "instrument_calliper": "Close the jaws and see that the calliper reads nothing, then hold it square and read it "
    "without pressing. A reading is within {half_width} mm either way.",
    "instrument_ruler": "Lay the ruler's edge across and read both ends from straight above. A reading is within "
    "{half_width} mm either way.",
    "instrument_tape": "A tape is for want of anything better: its hook has play. A reading is within {half_width} mm "
    "either way.",
    "instrument_declared": "A width from the maker's sheet says how the frame was meant to be. Take it as within "
    "{half_width} mm either way, and measure where you can.",
    # what is measured
    "measure_outside_width_mm": "Take the wheel out. Close the calliper's outside jaws over both walls right beside the "
    "axle hole, and never over the heads of an axle; do not squeeze the walls together.",
    "measure_inside_width_mm": "With the wheel out, open the calliper's inside jaws between the walls at the axle hole "
    "until they just touch both.",
    "measure_head_wall_mm": "Measure the wall on the side where the key goes in, right beside the axle hole. A "
    "recess for the head does not belong to this measure: give its depth apart.",
    "measure_far_wall_mm": "Measure the wall opposite the one where the key goes in, right beside the axle hole: in this "
    "wall the thread of a threaded-wall axle holds.",
    "measure_recess_mm": "Measure with the calliper's depth rod how deep the heads sit in the walls, and add both sides.",
    "measure_bore_mm": "Measure the thickness of the old axle where the bearings sit, not on its thread: the classes are "
    "{classes} mm. Without the old axle, measure the hole of a bearing or sleeve.",
    "measure_hub_width_mm": "Measure the wheel's hub from the outside of one bearing to the outside of the other; {hub} mm "
    "are usual.",
    "measure_hole_offset_mm": "Measure how far the seat of the old axle rises and falls when it is turned about its "
    "ends: the offset is half of that.",
    "measure_thread": "Measure the outer diameter of the old axle's thread, and its length over several turns; divide "
    "the length by the number of turns. A thread gauge is surer.",
    # readings
    "readings_several": "Measure each width several times, at several places around the hole, and give all readings: "
    "their mean counts, and their scatter shows how sure it is.",
    "readings_square": "Clean the walls first, and measure square to them: a calliper held askew reads too much outside "
    "and too little inside.",
    "readings_closed": "The outside width is the inside width and both walls together. Measure all of them: a gap of "
    "more than {gap} mm with a calliper means that one was misread.",
    "readings_each_axle": "Many frames taper: measure at each axle, and say which one it was.",
    # drives
    "drive_hexagon": "A hexagon key of {size} mm, pushed in as far as it goes. An inch key that nearly fits ruins the "
    "socket.",
    "drive_hexalobular": "A hexalobular key or bit of size {size}, pushed in as far as it goes.",
    "drive_external_hexagon": "A ring spanner or socket of {size} mm; an open spanner slips off sooner.",
    "drive_cross": "A cross screwdriver of type and size {size}, pressed in firmly: a smaller one ruins the recess.",
    "drive_slot": "A flat screwdriver that fills the slot in width and thickness.",
    # keys
    "keys_one": "An axle with one driven head takes one key: the frame's thread or the keyed head holds the other side.",
    "keys_two": "An axle with two driven heads takes two keys at once: hold one still and turn the other.",
    "keys_in_line": "Push the key in fully and in line with the axle, and turn it slowly; a worn key is replaced before "
    "it wears the socket.",
    # tightening
    "tightening_torque": "The service reckons with {torque} N·m. What the frame maker states comes first; without a "
    "torque wrench, tighten until the axle is snug, and check that the wheel still turns freely.",
    # a worn socket
    "worn_stop": "Stop as soon as the key slips: each further try takes away what is left of the socket.",
    "worn_clean": "Pick the dirt out of the socket, push in a new key of the right size as far as it goes, and press it in "
    "while you turn slowly.",
    "worn_other_side": "See whether the other end can be gripped: a second driven head, a nut, or an end that stands out.",
    "worn_never_heat": "Use no heat: bearings, wheels and the boot suffer from it before the axle comes loose.",
    "worn_workshop": "Leave extractors, drilling and cutting to a qualified workshop: the frame's thread, the bearings "
    "and your hands are at risk.",
    "worn_check_thread": "When the axle is out, start the new one by hand: if it does not turn in easily over several turns, "
    "the frame's thread is damaged, and the frame belongs in a workshop.",
    "worn_replace": "Do not fit the old axle again. For the new one, drives survive use in this order, best first: "
    "{order}.",
    "drive_name_hexalobular": "hexalobular socket",
    "drive_name_hexagon": "hexagon socket",
    "drive_name_external_hexagon": "external hexagon",
    "drive_name_cross": "cross recess",
    "drive_name_slot": "slot",
    # cautions
    "caution_eyes_and_hands": "Keep your hand out of the way of a key that may slip, and wear eye protection when "
    "something may break.",
    "caution_never_ride_unsure": "Do not ride on an axle that you could not measure or tighten as it should be.",
}
