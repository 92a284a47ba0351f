"""The invented shop's page as another origin serves it, with the policy that a careful shop sends."""

import time
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "deploy/embed"
WRITTEN = "http://127.0.0.1:8000"
"""The service's address as the page of the repository has it."""
LANGUAGES = ("en", "de", "fr", "nl", "es", "it")
TYPES = {".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css"}


@contextmanager
def shop_page(api, pages=None):
    """The address of the demonstration page's folder on another port; `pages` replaces or adds files.

    The page is there in every language too, as `en.html` and so on.
    """
    policy = (
        "default-src 'none'; base-uri 'none'; form-action 'none'; style-src 'self'; "
        f"script-src 'self' {api}; connect-src {api}; img-src {api}"
    )
    texts = {path.name: path.read_text(encoding="utf-8").replace(WRITTEN, api) for path in FOLDER.iterdir()}
    page = texts["demonstration.html"]
    texts |= {f"{language}.html": page.replace('lang="de"', f'lang="{language}"') for language in LANGUAGES}
    texts |= {name: text.replace(WRITTEN, api) for name, text in (pages or {}).items()}

    class Files(BaseHTTPRequestHandler):
        def do_GET(self):
            name = self.path.removeprefix("/")
            known = name in texts
            content = texts.get(name, "").encode()
            self.send_response(200 if known else 404)
            self.send_header("Content-Type", TYPES.get(Path(name).suffix, "text/plain"))
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Content-Security-Policy", policy)
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Files)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://localhost:{server.server_port}"
    finally:
        server.shutdown()
        thread.join(10)
        server.server_close()


def until(page, expression, seconds=10):
    """Wait until this is true in the page, whose policy forbids the library's own way to wait for it."""
    deadline = time.monotonic() + seconds
    while not page.evaluate(expression):
        if time.monotonic() > deadline:
            pytest.fail(f"never true: {expression}; the page says {page.inner_text('body')}")
        page.wait_for_timeout(20)
