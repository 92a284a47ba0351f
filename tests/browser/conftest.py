"""Pages in headless Chromium, as a user sees them; whoever loads anything from another host fails."""

import os
import shutil
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

SWITCHES = [
    "--no-sandbox",  # the tests may run as root
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


@pytest.fixture(scope="module")
def chromium():
    """The system's Chromium; it ends with the module, since its event loop would be in the way of others."""
    # The shell is the same browser without the windows that nobody sees, and begins in half the time.
    program = next(
        filter(None, map(shutil.which, ("chromium-headless-shell", "chromium", "chromium-browser"))), None
    )
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is not installed; the pages cannot be tried.")
        pytest.skip("Chromium is not installed.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=SWITCHES)
        yield browser
        browser.close()


@pytest.fixture
def browse(chromium, served):
    """Opens a page of the service: a path, or an address on loopback; options are those of a context.

    At the end no page may have asked another host for anything, and none may have said an error.
    """
    contexts, asked, errors = [], [], []

    def open_page(path=None, **options):
        context = chromium.new_context(base_url=f"http://127.0.0.1:{served}", **options)
        contexts.append(context)
        context.on("request", lambda request: asked.append(request.url))
        context.on("weberror", lambda error: errors.append(str(error.error)))
        page = context.new_page()
        if path is not None:
            page.goto(path)
        return page

    open_page.errors = errors
    yield open_page
    for context in contexts:
        context.close()
    hosts = {urlsplit(address).hostname for address in asked if address.startswith(("http", "ws"))}
    assert hosts <= {"127.0.0.1", "localhost"}, asked
    assert errors == []


@pytest.fixture(scope="session")
def faults_of_access():
    """What axe-core finds at fault in a page for people who see, hear or point otherwise."""
    axe = Axe()

    def find(page):
        found = axe.run(page)
        return [
            (fault["id"], [node["html"] for node in fault["nodes"]]) for fault in found.response["violations"]
        ]

    return find
