"""Client of the axle fit service, blocking and asynchronous.

::

    with AxleFit("http://127.0.0.1:8000") as shop:
        found = shop.fits(outside_width_mm=36.4, fastening="threaded_wall")
"""

from .client import AsyncAxleFit, AxleFit
from .errors import AnswerError, AxleFitError, ConnectionFailedError, ProblemError
from .records import Stored

__version__ = "0.1.0"
__all__ = [
    "AnswerError",
    "AsyncAxleFit",
    "AxleFit",
    "AxleFitError",
    "ConnectionFailedError",
    "ProblemError",
    "Stored",
]
