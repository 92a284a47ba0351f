"""What goes over the wire: the requests, answers, import records and problems of version 1.

Relative imports only: a partner can use this package without the service.
"""

from .answers import FitsResponse
from .batch import BatchEnd, BatchLine, BatchResult
from .facets import FacetsRequest, FacetsResponse
from .guides import MeasuringGuideResponse, ToolsGuideResponse
from .lookup import FrameLookupRequest, LookupRequest
from .parts import AxleRecord, FrameRecord, SleeveRecord
from .problems import FieldFault, Problem
from .rockers import RockersRequest, RockersResponse

__all__ = [
    "AxleRecord",
    "BatchEnd",
    "BatchLine",
    "BatchResult",
    "FacetsRequest",
    "FacetsResponse",
    "FieldFault",
    "FitsResponse",
    "FrameLookupRequest",
    "FrameRecord",
    "LookupRequest",
    "MeasuringGuideResponse",
    "Problem",
    "RockersRequest",
    "RockersResponse",
    "SleeveRecord",
    "ToolsGuideResponse",
]
