"""The checks of one axle on one frame; each gives one reason, or none where it does not apply.

To add one: write a function of a `Case` in the module it belongs to, and name it in `CHECKS`.
"""

from service.engine.checks.bending import shaft_bears_rider
from service.engine.checks.bore import bore, goes_into_bearing, sleeve_is_to_be_had, thin_axle_suits_rider
from service.engine.checks.case import Case
from service.engine.checks.match import (
    brake_axle_where_needed,
    fastening_equal,
    heads_sit_in_frame,
    holes_take_axle,
    thread_equal,
)
from service.engine.checks.width import thread_engages_enough, width_in_window

CHECKS = (
    fastening_equal,
    width_in_window,
    thread_engages_enough,
    bore,
    goes_into_bearing,
    thread_equal,
    holes_take_axle,
    heads_sit_in_frame,
    brake_axle_where_needed,
    sleeve_is_to_be_had,
    shaft_bears_rider,
    thin_axle_suits_rider,
)

__all__ = ["CHECKS", "Case"]
