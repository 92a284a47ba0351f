"""Whose word is taken for a client's address: only that of the proxies that the settings name."""

import pytest

from service.environment import read_settings
from service.errors import SettingsError
from tests.commands.serving import Served

PATH = "/v1/axles?limit=1"


@pytest.mark.parametrize(
    ("trusted", "statuses"),
    # From one machine, said to be of one client, of another (RFC 5737), and of the first again.
    [
        ("127.0.0.1", [200, 200, 429]),
        ("127.0.0.0/8", [200, 200, 429]),
        ("192.0.2.7", [200, 429, 429]),
        ("", [200, 429, 429]),
    ],
)
def test_a_client_is_who_a_trusted_proxy_says(demonstration_copy, trusted, statuses):
    url = f"sqlite:///{demonstration_copy}"
    served = Served(url, limit_per_minute=1, trusted_proxies=trusted, log_level="error")
    clients = ["192.0.2.1", "192.0.2.2", "192.0.2.1"]
    found = [served.send("GET", PATH, X_Forwarded_For=client)[0] for client in clients]
    assert served.end() == []
    assert found == statuses


@pytest.mark.parametrize(
    "value", ["*", "localhost", "10.0.0.0/33", "192.0.2.1;192.0.2.2", "0.0.0.0/0", "::/0"]
)
def test_who_is_trusted_is_an_address_or_a_network_and_never_everybody(monkeypatch, value):
    monkeypatch.setenv("AXLEFIT_TRUSTED_PROXIES", value)
    with pytest.raises(SettingsError) as caught:
        read_settings()
    (fault,) = caught.value.faults
    assert fault.path == ("AXLEFIT_TRUSTED_PROXIES",)


@pytest.mark.parametrize("value", ["", "192.0.2.1", "10.0.0.0/8, 2001:db8::/32", "127.0.0.1,::1"])
def test_addresses_and_networks_can_be_trusted(monkeypatch, value):
    monkeypatch.setenv("AXLEFIT_TRUSTED_PROXIES", value)
    assert read_settings().trusted_proxies == value
