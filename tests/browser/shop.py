"""The invented shop's page as another origin serves it, with the policy that a careful shop sends."""

from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

FOLDER = Path(__file__).resolve().parents[2] / "deploy/embed"
WRITTEN = "http://127.0.0.1:8000"
"""The service's address as the page of the repository has it."""
TYPES = {".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css"}


@contextmanager
def shop_page(api, pages=None):
    """The address of the demonstration page's folder on another port; `pages` replaces or adds files."""
    policy = (
        "default-src 'none'; base-uri 'none'; form-action 'none'; style-src 'self'; "
        f"script-src 'self' {api}; connect-src {api}; img-src {api}"
    )
    texts = {path.name: path.read_text(encoding="utf-8").replace(WRITTEN, api) for path in FOLDER.iterdir()}
    texts |= {name: text.replace(WRITTEN, api) for name, text in (pages or {}).items()}

    class Files(SimpleHTTPRequestHandler):
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
