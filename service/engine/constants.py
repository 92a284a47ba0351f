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
# Source: ISO 4032:2012, a standard nut's height is about 0.8 of the thread's diameter
STANDARD_NUT_HEIGHT_RATIO = 0.8
# Source: common practice, no source (one pitch of the bolt must show beyond the nut)
LEAST_SHOWN_PITCHES = 1.0
# Source: common practice, no source (two pitches show)
IDEAL_SHOWN_PITCHES = 2.0
# Source: common practice, no source (a longer end catches on things)
GREATEST_BOLT_END_MM = 5.0
# Source: common practice, no source
STATED_RANGE_REACH_MM = 0.1

# --- compatibilities -----------------------------------------------------------------------------

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

# --- what a reason names as its source -----------------------------------------------------------

# Source: this is the wording itself
COMMON_PRACTICE = "common practice, no source"
# Source: JCGM 106:2012 (ISO/IEC Guide 98-4), 7.4
CONFORMANCE = "conformance probability, JCGM 106:2012"
# Source: JCGM 100:2008, 4.2 and 4.3
UNCERTAINTY = "measurement uncertainty, JCGM 100:2008"
# Source: ISO 15:2017
BEARING_SIZES = "bearing 608, ISO 15"
# Source: the part's own row in the catalogue
PART_DATA = "the part's data in the catalogue"
