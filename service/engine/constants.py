"""Every constant of the fit model, each with its source.

A test holds this module to its word: a source stands on the line above each number.
"""

# --- measurement ---------------------------------------------------------------------------------

# Source: common practice, no source
INSTRUMENT_HALF_WIDTH_MM = {"calliper": 0.05, "ruler": 0.5, "tape": 1.0, "declared": 0.2}
# Source: common practice, no source
DEFAULT_LENGTH_TOLERANCE_MM = 0.2
# Source: common practice, no source (readings that differ by more than 3 standard uncertainties disagree)
DISAGREEMENT_FACTOR = 3.0
# Source: common practice, no source
BORE_CLASSES_MM = (6.0, 6.3, 8.0)
# Source: common practice, no source (wear and play of a bore, added to the reading's own uncertainty)
BORE_SPREAD_MM = 0.05
# Source: common practice, no source
BORE_CLASS_REACH_MM = 0.15

# --- width windows -------------------------------------------------------------------------------

# Source: common practice, no source (the tip of a thread is chamfered or burred: one pitch does not carry)
LEAD_PITCHES = 1.0
# Source: common practice, no source
LEAST_ENGAGED_PITCHES = 2.0
# Source: common practice, no source
LEAST_SHARE_OF_FLUSH_ENGAGEMENT = 0.6
# Source: common practice, no source
CAUTION_SHARE_OF_FLUSH_ENGAGEMENT = 0.8
# Source: common practice, no source
PROUD_REFUSED_MM = 1.0
# Source: common practice, no source
PROUD_CAUTION_MM = 0.5
# Source: common practice, no source
SHANK_REACH_PITCHES = 0.5
# Source: common practice, no source (used where the far wall, and so the engagement, is unknown)
UNKNOWN_WALL_REACH_MM = 0.5
# Source: common practice, no source (the barrel's end must not meet the other head)
BARREL_CLEARANCE_MM = 0.2
# Source: DIN 934, a standard nut's height is about 0.8 of the thread's diameter (from memory)
STANDARD_NUT_HEIGHT_RATIO = 0.8
# Source: common practice, no source (one pitch of the bolt must show beyond the nut)
LEAST_SHOWN_PITCHES = 1.0
# Source: common practice, no source (two pitches show)
IDEAL_SHOWN_PITCHES = 2.0
# Source: common practice, no source (a longer end catches on things)
GREATEST_BOLT_END_MM = 5.0
# Source: common practice, no source
STATED_RANGE_REACH_MM = 0.1

# Source: none needed: a width on a limit is within it, whatever the last binary digit says
LIMIT_ROUNDING_MM = 1e-9

# --- compatibilities -----------------------------------------------------------------------------

# Source: common practice, no source (an axle whose seat were further off would not go through a wheel)
GREATEST_OFFSET_MM = 10.0
# Source: common practice, no source (two offsets nearer than this are the same)
OFFSET_MATCH_MM = 0.05
# Source: common practice, no source (over both bearings of a wheel)
HUB_WIDTH_MM = 24.0
# Source: common practice, no source
HUB_ROOM_LEAST_MM = -0.1
# Source: common practice, no source
HUB_ROOM_GREATEST_MM = 1.0
# Source: ISO 15:2017, bearing 608: bore 8 mm
BEARING_BORE_MM = 8.0
# Source: common practice, no source (a sleeve this much off the hub's width still carries both bearings)
SLEEVE_LENGTH_MATCH_MM = 0.3
# Source: common practice, no source
ADULT_MASS_KG = 60.0

# --- verdict -------------------------------------------------------------------------------------

# Source: common practice, no source (5 % for no fit, 80 % for check first, 95 % for a caution)
NO_FIT_BELOW, CHECK_FIRST_BELOW, CAUTION_BELOW = 0.05, 0.80, 0.95
# Source: common practice, no source (a width missed by more is shown after the other near misses)
NEAR_WIDTH_MM = 2.0
# Source: common practice, no source (how well a drive survives use, best first)
DRIVE_ORDER = ("hexalobular", "hexagon", "external_hexagon", "cross", "slot")
# What each drive's size goes by.
# Source: as it names (from memory): keys, screwdrivers and widths across flats
DRIVE_STANDARDS = {
    "hexalobular": "ISO 10664",
    "hexagon": "ISO 2936",
    "external_hexagon": "ISO 272",
    "cross": "ISO 4757",
    "slot": "ISO 2380-1",
}

# --- ISO metric threads --------------------------------------------------------------------------

# Nominal diameter: pitches, coarse first [mm].
# Source: ISO 261:1998, table 2 (from memory; the sizes that ISO 262 selects agree with ISO 965-2)
PITCHES_MM = {
    3.0: (0.5, 0.35),
    3.5: (0.6, 0.35),
    4.0: (0.7, 0.5),
    4.5: (0.75, 0.5),
    5.0: (0.8, 0.5),
    6.0: (1.0, 0.75),
    7.0: (1.0, 0.75),
    8.0: (1.25, 1.0, 0.75),
    9.0: (1.25, 1.0, 0.75),
    10.0: (1.5, 1.25, 1.0, 0.75),
    11.0: (1.5, 1.0, 0.75),
    12.0: (1.75, 1.5, 1.25, 1.0),
}
# The sizes that screws are made in: nominal diameter: pitches [mm].
# Source: ISO 262:1998, table 1 (from memory)
SELECTED_PITCHES_MM = {
    3.0: (0.5,),
    3.5: (0.6,),
    4.0: (0.7,),
    5.0: (0.8,),
    6.0: (1.0,),
    7.0: (1.0,),
    8.0: (1.25, 1.0),
    10.0: (1.5, 1.25, 1.0),
    12.0: (1.75, 1.5, 1.25),
}
# Pitch: deviation es of position g, tolerance Td of grade 6, tolerance TD1 of grade 6 [mm].
# Source: ISO 965-1:2013, tables 1, 4 and 3 (confirmed by public copies of the limits in DIN 13)
THREAD_MAJOR_AND_MINOR_MM = {
    0.35: (-0.019, 0.085, 0.100),
    0.5: (-0.020, 0.106, 0.140),
    0.6: (-0.021, 0.125, 0.160),
    0.7: (-0.022, 0.140, 0.180),
    0.75: (-0.022, 0.140, 0.190),
    0.8: (-0.024, 0.150, 0.200),
    1.0: (-0.026, 0.180, 0.236),
    1.25: (-0.028, 0.212, 0.265),
    1.5: (-0.032, 0.236, 0.300),
    1.75: (-0.034, 0.265, 0.335),
}
# Greatest diameter of the range: pitch: tolerance Td2, tolerance TD2, both of grade 6 [mm].
# Source: ISO 965-1:2013, tables 6 and 5 (confirmed by public copies of the limits in DIN 13)
THREAD_PITCH_DIAMETER_MM = {
    5.6: {
        0.35: (0.067, 0.090),
        0.5: (0.075, 0.100),
        0.6: (0.085, 0.112),
        0.7: (0.090, 0.118),
        0.75: (0.090, 0.118),
        0.8: (0.095, 0.125),
    },
    11.2: {0.75: (0.100, 0.132), 1.0: (0.112, 0.150), 1.25: (0.118, 0.160), 1.5: (0.132, 0.180)},
    22.4: {1.0: (0.118, 0.160), 1.25: (0.132, 0.180), 1.5: (0.140, 0.190), 1.75: (0.150, 0.200)},
}

# --- strength ------------------------------------------------------------------------------------

# Source: Shigley's Mechanical Engineering Design, 8-8 (torque and tension; K = 0.2)
NUT_FACTOR = 0.2
# Source: common practice, no source
ASSEMBLY_TORQUE_NM = 4.0
# Source: common practice, no source (a thread is to hold twice the preload)
STRIP_RESERVE = 2.0
# Source: rule for steels, shear strength about 0.6 of tensile strength
SHEAR_OF_TENSILE = 0.6
# Tensile strength, yield strength, shear strength [MPa].
# Source: ISO 898-1, ISO 3506-1; aluminium typical, titanium least handbook values (its shear from memory)
MATERIALS_MPA = {
    "steel_4_6": (400.0, 240.0, SHEAR_OF_TENSILE * 400.0),
    "steel_8_8": (800.0, 640.0, SHEAR_OF_TENSILE * 800.0),
    "steel_10_9": (1040.0, 940.0, SHEAR_OF_TENSILE * 1040.0),
    "steel_12_9": (1220.0, 1100.0, SHEAR_OF_TENSILE * 1220.0),
    "stainless_a2_70": (700.0, 450.0, SHEAR_OF_TENSILE * 700.0),
    "aluminium_6061_t6": (310.0, 276.0, 207.0),
    "aluminium_7075_t6": (572.0, 503.0, 331.0),
    "titanium_6al_4v": (897.0, 828.0, 550.0),
}
# Source: common practice, no source (the weakest of the table)
UNKNOWN_MATERIAL = "steel_4_6"
# Source: CGPM 1901, standard acceleration of gravity [m/s²]
GRAVITY = 9.80665
# Source: common practice, no source
DYNAMIC_FACTOR = 3.0
# Source: common practice, no source
UNKNOWN_RIDER_MASS_KG = 100.0
# Source: common practice, no source
UNKNOWN_WALL_MM = 6.0
# Source: common practice, no source (taken where the inside width is not known)
USUAL_HUB_ROOM_MM = 0.5
# Source: ISO 15:2017, bearing 608: width 7 mm
BEARING_WIDTH_MM = 7.0
# Source: common practice, no source
BENDING_PASS_FROM, BENDING_CAUTION_FROM = 1.5, 1.0

# --- bearing fit ---------------------------------------------------------------------------------

# Source: ISO 492:2014, Normal class, bore over 2.5 to 10 mm: 0/-8 µm
BEARING_BORE_DEVIATION_UM = (-8.0, 0.0)
# Source: common practice, no source (an axle with more play in its bearing is felt)
GREATEST_CLEARANCE_MM = 0.10
# Upper end of the size range (the lower end is excluded): standard tolerance by grade [µm].
# Source: ISO 286-1:2010, table 1
TOLERANCE_GRADES_UM = {
    6.0: {5: 5, 6: 8, 7: 12, 8: 18, 9: 30, 10: 48, 11: 75, 12: 120},
    10.0: {5: 6, 6: 9, 7: 15, 8: 22, 9: 36, 10: 58, 11: 90, 12: 150},
}
# Source: ISO 286-1:2010, table 1: the lower band begins above 3 mm
LEAST_TOLERANCED_MM = 3.0
# Upper end of the size range: upper deviation es of positions c to h, lower deviation ei of k to s [µm].
# Source: ISO 286-1:2010, tables 4 and 5
UPPER_DEVIATIONS_UM = {
    6.0: {"c": -70, "d": -30, "e": -20, "f": -10, "g": -4, "h": 0},
    10.0: {"c": -80, "d": -40, "e": -25, "f": -13, "g": -5, "h": 0},
}
# Source: ISO 286-1:2010, table 5
LOWER_DEVIATIONS_UM = {
    6.0: {"k": 1, "m": 4, "n": 8, "p": 12, "r": 15, "s": 19},
    10.0: {"k": 1, "m": 6, "n": 10, "p": 15, "r": 19, "s": 23},
}
# Source: ISO 286-1:2010, table 5: position k deviates in grades 4 to 7 only
GREATEST_GRADE_OF_K = 7

# --- identification of an old axle ---------------------------------------------------------------

# Source: common practice, no source (worn crests and dirt, added to the reading's own uncertainty)
THREAD_WEAR_SPREAD_MM = 0.05
# Source: common practice, no source (a diameter further outside a size's limits is not of that size)
THREAD_REACH_MM = 0.15
# Source: common practice, no source (finding the same flank at both ends of the turns counted)
PITCH_SPREAD_MM = 0.02
# Nominal diameter: height k of a hexagon head, and its deviation either way (grade A) [mm].
# Source: ISO 4014:2011, table 1 (heights agree with public copies; deviations from memory)
HEXAGON_HEAD_MM = {
    3.0: (2.0, 0.125),
    4.0: (2.8, 0.125),
    5.0: (3.5, 0.15),
    6.0: (4.0, 0.15),
    8.0: (5.3, 0.15),
    10.0: (6.4, 0.18),
    12.0: (7.5, 0.18),
}

# --- what a reason names as its source -----------------------------------------------------------

# Source: this is the wording itself
COMMON_PRACTICE = "common practice, no source"
# Source: JCGM 106:2012 (ISO/IEC Guide 98-4), 7.4
CONFORMANCE = "conformance probability, JCGM 106:2012"
# Source: JCGM 100:2008, 4.2 and 4.3
UNCERTAINTY = "measurement uncertainty, JCGM 100:2008"
# Source: ISO 15:2017
BEARING_SIZES = "bearing 608, ISO 15"
# Source: as it names
SHEAR_AREAS = "thread shear areas, FED-STD-H28/2B, with ISO 965 6H/6g limits"
# Source: as it names
BEAM = "simply supported beam, Shigley A-9; dynamic factor 3: common practice, no source"
# Source: as it names
LIMITS_AND_FITS = "ISO 286-1 limits, ISO 492 Normal class bearing bore"
# Source: Euclid, Elements, book III
PLANE_GEOMETRY = "circles and tangents in the plane: Euclid, Elements, book III"
# Source: the part's own row in the catalogue
PART_DATA = "the part's data in the catalogue"
# Source: as it names
THREAD_LIMITS = "ISO 261 sizes in use, ISO 965 6g limits; Bayes' theorem, equal priors"
# Source: as it names
HEAD_HEIGHT = "hexagon head height, ISO 4014"
