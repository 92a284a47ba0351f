"""What goes over the wire: the requests, answers, import records and problems of version 1.

Relative imports only: a partner can use this package without the service.
"""

from .answers import FitsResponse
from .batch import BatchEnd, BatchLine, BatchResult
from .lookup import FrameLookupRequest, LookupRequest
from .parts import AxleRecord, FrameRecord, SleeveRecord
from .problems import FieldFault, Problem

__all__ = [
    "AxleRecord",
    "BatchEnd",
    "BatchLine",
    "BatchResult",
    "FieldFault",
    "FitsResponse",
    "FrameLookupRequest",
    "FrameRecord",
    "LookupRequest",
    "Problem",
    "SleeveRecord",
]
