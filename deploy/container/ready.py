"""Succeeds while the service of this container is ready: the container's health check."""

import os
import sys
from http.client import HTTPConnection, HTTPException

_PATIENCE_SECONDS = 3


def is_ready(port: int) -> bool:
    """Whether the service on this port answers that it is ready."""
    connection = HTTPConnection("127.0.0.1", port, timeout=_PATIENCE_SECONDS)
    try:
        connection.request("GET", "/health/ready")
        return connection.getresponse().status == 200
    except (OSError, HTTPException):
        return False
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(0 if is_ready(int(os.environ.get("AXLEFIT_PORT", "8000"))) else 1)
