"""The demonstration: one command from nothing to a running service."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).resolve().parents[2]
ESCAPE = "\x1b["


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def get_json(url):
    with urlopen(url, timeout=5) as response:  # noqa: S310 (our own service on this machine)
        return json.load(response)


def wait_until_ready(demo, base):
    """The answer of a service that has started, within a minute."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline and demo.poll() is None:
        try:
            return get_json(f"{base}/health/ready")
        except URLError:
            time.sleep(0.1)
    demo.kill()
    pytest.fail(f"the demonstration did not start: {demo.communicate()}")


def test_the_demonstration_prints_a_lookup_and_serves_it(tmp_path):
    base = f"http://127.0.0.1:{(port := free_port())}"
    environment = os.environ | {
        "AXLEFIT_DATABASE_URL": f"sqlite:///{tmp_path / 'demo.sqlite3'}",
        "AXLEFIT_PORT": str(port),
        "PYTHONPATH": str(ROOT),
    }
    demo = subprocess.Popen(
        [sys.executable, "-m", "service", "demo"],
        cwd=tmp_path,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        ready = wait_until_ready(demo, base)
        assert ready["status"] == "ready"
        served = get_json(
            f"{base}/v1/fits?outside_width_mm=36.4&fastening=threaded_wall&thread=M8x1.25&bore_mm=8"
        )
        os.kill(demo.pid, signal.SIGTERM)
        out, _ = demo.communicate(timeout=30)
    finally:
        demo.kill()
        demo.wait()
    assert ready["catalogue_revision"] == served["catalogue_revision"] >= 1
    assert served["counts"]["fits"] + served["counts"]["fits_with_caution"] > 0
    (shown,) = re.findall(rf"curl '{base}(/v1/fits\?[^']*)'", out)
    assert "outside_width_mm=36.4" in shown
    assert "TW8-36-M8-" in out
    assert "It would fit " in out
    assert ESCAPE not in out
