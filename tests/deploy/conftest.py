"""The service behind the reverse proxy."""

import pytest

from tests.deploy.reverse_proxy import ADDRESS, running_proxy, running_wire
from tests.deploy.tools import tool
from tests.faults.workers import worker


@pytest.fixture(scope="module")
def service(demonstration_file):
    """The port of a process of the service."""
    tool("nginx")  # nobody waits for a service that no proxy will ask
    with worker(f"sqlite:///{demonstration_file}", trusted_proxies=ADDRESS) as port:
        yield port


@pytest.fixture(scope="module")
def long_wire(service):
    """A wire to the service."""
    with running_wire(service) as passing:
        yield passing


@pytest.fixture(scope="module")
def proxy(long_wire):
    """The proxy, at the end of that wire."""
    with running_proxy(long_wire.port) as running:
        yield running


@pytest.fixture
def wire(long_wire):
    """The wire, which tells what the proxy sends from now on."""
    long_wire.forget()
    return long_wire
