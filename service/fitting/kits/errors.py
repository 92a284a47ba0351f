"""The error of kits; it is one of the tree in `service/errors.py`."""

from __future__ import annotations

from types import MappingProxyType

from service.errors import ServiceError


class KitNotSolvedError(ServiceError):
    """The best kit could not be proven to be the best in the time there is; nothing less is answered.

    Send the request again after the seconds that `Retry-After` says. If it happens again, describe the frame
    more closely, so that fewer axles are left to choose from, or ask for one frame at a time.
    """

    status = 503
    code = "kit-not-solved"
    title = "Kit not solved"
    headers = MappingProxyType({"Retry-After": "5"})
