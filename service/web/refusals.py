"""What is refused for its form as HTTP (a path, a method, too much of a header), or for want of room."""

from __future__ import annotations

from types import MappingProxyType

from service.errors import ServiceError


class NoSuchPathError(ServiceError):
    """The service has no such path.

    Compare the path with `GET /openapi.json`, which lists all of them; there is no slash at the end, and
    upper and lower case differ.
    """

    status = 404
    code = "no-such-path"
    title = "No such path"


class MethodNotAllowedError(ServiceError):
    """The path is there, but not for this method.

    Use one of the methods that the header `Allow` names.
    """

    status = 405
    code = "method-not-allowed"
    title = "Method not allowed"


class AddressTooLongError(ServiceError):
    """The address with its query is longer than the service reads.

    Send fewer parameters or fewer readings, or the same fields in a body with `POST /v1/fits`.
    """

    status = 414
    code = "address-too-long"
    title = "Address too long"


class HeadersTooLargeError(ServiceError):
    """The headers are more than the service reads.

    Send fewer and shorter headers. Cookies are the usual reason; the service takes none.
    """

    status = 431
    code = "headers-too-large"
    title = "Headers too large"


class NotHttpError(ServiceError):
    """What arrived is not a request that HTTP/1.1 allows.

    Check what stands between you and the service. Names and values of headers are ASCII, an address has
    no spaces, and a body is as long as `Content-Length` says.
    """

    status = 400
    code = "not-http"
    title = "Not a request of HTTP"


class BusyError(ServiceError):
    """The service has as many batches or imports under way as it takes on at the same time.

    Send the request again after the seconds that `Retry-After` says. Send one batch or import after the other
    where you can: together they are not done any earlier.
    """

    status = 503
    code = "busy"
    title = "Too much under way"
    headers = MappingProxyType({"Retry-After": "2"})


class StoppingError(ServiceError):
    """The process that was asked is about to stop, and is not ready for more.

    Send requests to another one; behind a balancer nobody sees this. What is under way is finished.
    """

    status = 503
    code = "stopping"
    title = "About to stop"
    headers = MappingProxyType({"Retry-After": "1"})
