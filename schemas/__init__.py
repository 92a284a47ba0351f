"""What goes over the wire: the requests, answers, import records and problems of version 1.

Relative imports only: a partner can use this package without the service.
"""

from .answers import FitsResponse
from .batch import BatchEnd, BatchLine, BatchResult
from .facets import FacetsRequest, FacetsResponse
from .guides import MeasuringGuideResponse, ToolsGuideResponse
from .identify import IdentifyRequest, IdentifyResponse
from .kits import KitRequest, KitResponse
from .lookup import FrameLookupRequest, LookupRequest
from .parts import AxleRecord, FrameRecord, SleeveRecord
from .problems import FieldFault, Problem
from .replacements import AxleFramesResponse, EquivalentsResponse
from .rockers import RockersRequest, RockersResponse

__all__ = [
    "AxleFramesResponse",
    "AxleRecord",
    "BatchEnd",
    "BatchLine",
    "BatchResult",
    "EquivalentsResponse",
    "FacetsRequest",
    "FacetsResponse",
    "FieldFault",
    "FitsResponse",
    "FrameLookupRequest",
    "FrameRecord",
    "IdentifyRequest",
    "IdentifyResponse",
    "KitRequest",
    "KitResponse",
    "LookupRequest",
    "MeasuringGuideResponse",
    "Problem",
    "RockersRequest",
    "RockersResponse",
    "SleeveRecord",
    "ToolsGuideResponse",
]
