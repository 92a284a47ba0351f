"""The parsers that are fuzzed: each a function of bytes that fails if the parser breaks its promise."""

import io
import json
import tempfile
from pathlib import Path

from service.app import create_app
from service.catalogue.csv_files import FileFaultsError, read_csv, write_csv
from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.commands.serve import DEMO_LOOKUP, load_demonstration
from service.engine.threads import parse_thread
from service.errors import CursorError
from service.fitting.cursor import Cursors
from service.settings import SEED_DATA, Settings
from service.store.database import Database
from service.store.schema import upgrade
from tests.faults.asgi import InProcess

REFUSED = {400, 401, 404, 405, 406, 409, 412, 413, 414, 415, 422, 428, 431}
_JSON = (b"content-type", b"application/json")
_LOOKUP = b'{"fastening":"threaded_wall","outside_width_mm":[36.4,36.5],"far_wall_mm":6,"thread":"M8x1.25"}'
_BODIES = {
    "/v1/fits": _LOOKUP,
    "/v1/kits": b'{"frame":"QH-ALDER","brake":"right","offset_positions":[1,4]}',
    "/v1/rockers": b'{"axle_positions_mm":[0,80,160,240],"wheel_diameters_mm":[76,80,80,76]}',
    "/v1/axles/identify": b'{"fastening":"two_piece","overall_length_mm":40,"grip_mm":33.5,"shaft_mm":8}',
}
_HEADERS = (
    "accept-encoding",
    "accept-language",
    "content-length",
    "content-type",
    "if-none-match",
    "origin",
    "traceparent",
    "x-forwarded-for",
    "x-request-id",
    "access-control-request-method",
)
_WRITE_HEADERS = (
    "authorization",
    "if-match",
    "if-none-match",
    "idempotency-key",
    "content-type",
    "content-encoding",
)


def of_csv():
    """A file is refused with its faults, or its records written out and read again are the same."""
    tables = list(TABLES.values())

    def held(octets):
        table = tables[octets[0] % len(tables)] if octets else tables[0]
        try:
            entries = [entry for chunk in read_csv(table, io.BytesIO(octets[1:])) for entry in chunk]
        except FileFaultsError as error:
            faults = error.faults
        else:
            _reads_as_written(table, entries)
            return
        assert faults
        assert all(fault.row >= 1 and fault.allowed for fault in faults)

    return held, [
        bytes([place]) + b"".join((SEED_DATA / f"{name}.csv").read_bytes().splitlines(keepends=True)[:4])
        for place, name in enumerate(TABLES)
    ]


def _reads_as_written(table, entries):
    out = io.StringIO(newline="")
    write_csv(table, [table.record.model_validate_json(entry.json) for entry in entries], out)
    again = [entry for chunk in read_csv(table, io.BytesIO(out.getvalue().encode())) for entry in chunk]
    assert [entry.json for entry in again] == [entry.json for entry in entries]


def of_ndjson():
    """Each line that is not empty has its result, in order, however the body was cut into pieces."""
    service = _demonstration()
    content_type = (b"content-type", b"application/x-ndjson")

    def held(octets):
        size = 1 + octets[0] if octets else 1
        body = octets[1:]
        parts = [body[place : place + size] for place in range(0, len(body), size)] or [b""]
        answer = service.request("POST", "/v1/fits/batch", headers=[content_type], parts=parts)
        assert answer.status == 200, answer
        *results, end = [json.loads(line) for line in answer.body.splitlines()]
        wanted = [number for number, line in enumerate(body.split(b"\n"), start=1) if line.strip(b" \t\r")]
        assert [result["line"] for result in results] == wanted
        assert end["count"] == len(wanted)
        assert {result["status"] for result in results} <= {200} | REFUSED

    return held, [
        b"\x30" + b'{"id":"a","outside_width_mm":36.4}\n\n{"id":2,"bore_mm":8}\n',
        b"\x01{}\r\n[]\n{",
    ]


def of_thread():
    """A designation is refused as one, or names a thread whose own designation names it again."""

    def held(octets):
        try:
            thread = parse_thread(octets.decode("utf-8", "replace"))
        except ValueError:
            return
        assert parse_thread(thread.designation) == thread

    return held, [b"M8x1.25", b"M6", b" M10 x 1 ", b"M8X1,25", "M8×1.25".encode()]


def of_cursor():
    """No cursor but one that was given out leads anywhere."""
    service = _demonstration()
    snapshot = service.snapshot
    cursors = Cursors("a secret of the fuzzer")
    given = {cursors.after(offset, request=DEMO_LOOKUP, snapshot=snapshot): offset for offset in range(20)}

    def held(octets):
        text = octets.decode("utf-8", "replace")  # the schema lets no half characters in
        try:
            offset = cursors.offset_of(text, request=DEMO_LOOKUP, snapshot=snapshot)
        except CursorError:
            assert text not in given
            return
        assert given[text] == offset

    return held, [text.encode() for text in given]


def of_headers():
    """Whatever the headers of a read or of a write say, the answer is one of those that are promised."""
    service = _demonstration()

    def held(octets):
        names = _WRITE_HEADERS if octets[:1] > b"\x7f" else _HEADERS
        lines = octets[1:].split(b"\n")[:12]
        headers = [(names[line[0] % len(names)].encode(), line[1:].strip()) for line in lines if line]
        if names is _HEADERS:
            answer = service.request("GET", "/v1/guides/tools", headers=headers)
            assert answer.status in {200, 304} | REFUSED, answer
        else:
            answer = service.request("PUT", "/v1/axles/NEW", headers=headers, parts=[b'{"sku":"NEW"}'])
            assert answer.status in REFUSED, answer
        if answer.status in REFUSED:
            assert answer.problem

    return held, [
        b'\x00\x04"a", W/"b"\n\x01de-AT;q=0.8, en',
        b"\x00\x0600-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
        b'\xff\x00Bearer axf_0123\n\x01"a"\n\x03key\n\x04application/json',
    ]


def of_json():
    """Whatever a body is, the answer is one of those that are promised, and an answer or a problem."""
    service = _demonstration()
    paths = list(_BODIES)

    def held(octets):
        path = paths[octets[0] % len(paths)] if octets else paths[0]
        answer = service.request("POST", path, headers=[_JSON], parts=[octets[1:]])
        assert answer.status in {200} | REFUSED, answer
        json.loads(answer.body)
        if answer.status != 200:
            assert answer.problem

    return held, [bytes([place]) + body for place, body in enumerate(_BODIES.values())]


def _demonstration():
    """The service on the demonstration catalogue, in this process."""
    folder = Path(tempfile.mkdtemp(prefix="axlefit-fuzzed-"))  # it is needed to the end of the process
    url = f"sqlite:///{folder / 'shop.sqlite3'}"
    database = Database(url, create=True)
    upgrade(database)
    load_demonstration(database)
    service = InProcess(create_app(Settings(database_url=url, refresh_seconds=60)))
    service.snapshot = read_snapshot(database)
    database.close()
    return service


TARGETS = {
    "csv": of_csv,
    "ndjson": of_ndjson,
    "thread": of_thread,
    "cursor": of_cursor,
    "headers": of_headers,
    "json": of_json,
}
