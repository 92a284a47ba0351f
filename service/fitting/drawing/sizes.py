"""Sizes that a drawing takes for granted, each with its source; what is drawn by them is dashed or standard.

A test holds this module to its word: a source stands on the line above each number.
"""

# Source: ISO 15:2017, bearing 608: outside diameter 22 mm (bore and width stand with the fit model)
BEARING_OUTSIDE_MM = 22.0
# Source: common practice, no source (the seat of the bearings in the hub, and the hub around it)
HUB_RADIUS_MM = 14.0
# Source: common practice, no source (the shoulder between the bearings)
HUB_SHOULDER_RADIUS_MM = 9.5
# Source: common practice, no source (how far the walls are drawn over and under the axle before they end)
WALL_ABOVE_MM, WALL_BELOW_MM = 18.0, 14.0
# Source: common practice, no source
WALL_MM = 6.0
# Source: none needed: what is thinner than this cannot be seen on the sheet
LEAST_DRAWN_MM = 0.3
# Source: common practice, no source (of a head that takes a key inside: across, and its height)
HEAD_ACROSS_OF_SHAFT, HEAD_HEIGHT_MM = 1.5, 2.5
# Source: common practice, no source (a head sunk into its wall fills no more of it than this)
HEAD_SHARE_OF_WALL = 0.6
# Source: ISO 4032:2012, a style 1 nut's height is about 0.8 to 0.9 of the thread's diameter (from memory)
NUT_HEIGHT_OF_THREAD = 0.85
# Source: ISO 272:1982, the corners of a hexagon stand 2/√3 of its width across flats apart
CORNERS_OF_FLATS = 1.1547
# Source: ISO 272:1982, widths across flats by thread diameter (all but M7 seen in tables of ISO 4032) [mm]
WIDTHS_ACROSS_FLATS_MM = {3: 5.5, 4: 7.0, 5: 8.0, 6: 10.0, 7: 11.0, 8: 13.0, 10: 16.0, 12: 18.0}
# Source: common practice, no source (how deep an end is tapped for the brake)
BRAKE_THREAD_DEPTH_MM = 8.0
# Source: common practice, no source (lengths of a barrel and screw that the catalogue does not know)
BARREL_SHORT_OF_GRIP_MM, SCREW_OF_GRIP, MOUTH_MM, BARREL_THREAD_OF_GRIP = 2.0, 0.4, 1.0, 0.33
# Source: common practice, no source (how far a thread goes on behind the wall it sits in)
THREAD_BEHIND_WALL_MM = 4.0
# Source: common practice, no source (the depth of a key's socket in its head)
SOCKET_OF_HEAD = 0.7

# --- the sheet -----------------------------------------------------------------------------------

# Source: none needed: narrow enough for a telephone, where 100 mm are 360 px
SHEET_WIDTH_MM = 100.0
# Source: none needed: beside the parts stand the marks and the numbers
PARTS_OF_SHEET = 0.5
# Source: ISO 128-2:2020: line groups with widths 2 : 1 (0.5 and 0.25 mm)
THICK_MM, THIN_MM = 0.5, 0.25
# Source: ISO 3098-1:2015, heights of lettering 2.5, 3.5 and 5 mm: type of these sizes is about as high
SMALL_MM, TEXT_MM, LARGE_MM = 2.9, 3.3, 5.5
# Source: ISO 129-1:2018, an arrowhead's length is about 10 line widths
ARROW_MM = 2.4
