"""POST /v1/fits/batch: a line in, a line out, and a last one with their count and digest."""

import gzip
import hashlib
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import BatchEnd, BatchLine, BatchResult
from service.web import batch as batch_routes

LOOKUP = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "bore_mm": 8, "thread": "M8x1.25"}
OTHERS = [
    {"outside_width_mm": [34.1, 34.2], "fastening": "two_piece", "limit": 2, "near_misses": 0},
    {"inside_width_mm": 24, "head_wall_mm": 6, "far_wall_mm": 6, "bore_mm": 8, "limit": 1},
]
NDJSON = "application/x-ndjson"
MOST_LINE_BYTES = 256 * 1024


@pytest.fixture
def send(client):
    """Sends bytes as a batch."""

    def post(content, **headers):
        given = {"content-type": NDJSON, "accept-encoding": "identity"} | headers
        return client.post("/v1/fits/batch", content=content, headers=given)

    return post


def lines_of(response):
    """The results and the last line; count and digest are those of the results."""
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].partition(";")[0] == NDJSON
    assert response.content.endswith(b"\n")
    *before, last = response.content.splitlines(keepends=True)
    results, end = [json.loads(line) for line in before], json.loads(last)
    # FIPS 180-4: SHA-256 of the bytes of all lines before the last, with their ends.
    assert end["sha256"] == hashlib.sha256(b"".join(before)).hexdigest()
    answered = sum(result["status"] == 200 for result in results)
    assert (end["count"], end["answered"], end["refused"]) == (
        len(results),
        answered,
        len(results) - answered,
    )
    return results, end


@pytest.fixture
def results_of(send):
    """The results of a batch: lines of bytes, or objects."""

    def read(*lines):
        written = [line if isinstance(line, bytes) else json.dumps(line).encode() for line in lines]
        return lines_of(send(b"".join(line + b"\n" for line in written)))[0]

    return read


def pointers(result):
    return sorted(fault["pointer"] for fault in result["problem"]["errors"])


def test_each_line_has_its_result_in_order_with_the_callers_id(results_of):
    results = results_of({"id": "left skate"} | LOOKUP, {"id": 7} | OTHERS[0], {"id": "left skate"} | LOOKUP)
    assert [(r["id"], r["line"], r["status"]) for r in results] == [
        ("left skate", 1, 200),
        (7, 2, 200),
        ("left skate", 3, 200),
    ]


@pytest.mark.parametrize("lookup", [LOOKUP, *OTHERS])
def test_an_answer_is_byte_for_byte_that_of_the_lookup_alone(send, post_fits, lookup):
    alone = post_fits(lookup).content
    first = send(json.dumps({"id": 1} | lookup).encode()).content.splitlines()[0]
    assert first == b'{"id":1,"line":1,"status":200,"answer":' + alone + b"}"


@pytest.mark.parametrize("lookup", [{"outside_width_mm": -1, "limit": 0, "weather": "fine"}, {"limit": "x"}])
def test_a_problem_is_the_one_that_the_lookup_alone_gets(results_of, post_fits, lookup):
    (result,) = results_of({"id": 1} | lookup)
    assert result["problem"] == post_fits(lookup).json()
    assert result["status"] == result["problem"]["status"] == 422


def test_a_cursor_of_the_lookup_alone_goes_on_in_a_batch_and_the_other_way(results_of, post_fits):
    lookup = LOOKUP | {"limit": 1}
    (first,) = results_of({"id": "a"} | lookup)
    cursor = first["answer"]["next_cursor"]
    assert cursor == post_fits(lookup).json()["next_cursor"]
    (second,) = results_of({"id": "b"} | lookup | {"cursor": cursor})
    assert [fit["rank"] for fit in second["answer"]["fits"]] == [2]


@pytest.mark.parametrize(
    ("line", "status"),
    [
        (b"{", 400),
        (b"nothing", 400),
        (b"[1]", 400),
        (b"null", 400),
        (b'"id"', 400),
        (b"\xff\xfe", 400),
        (b"\0", 400),
        (b"[" * 100_000, 400),
        (b"1" * 5000, 400),
        (b"{}", 422),
        (b'{"id":1}', 422),
        (b'{"outside_width_mm":NaN}', 422),
        (b'{"outside_width_mm":1e999}', 422),
        (b'{"outside_width_mm":36.4,"thread":"M7x9"}', 422),
        (b'{"outside_width_mm":36.4,"cursor":"junk"}', 400),
        (b'{"outside_width_mm":36.4,"\\ud800":1}', 422),
    ],
)
def test_a_fault_on_one_line_leaves_the_others_alone(results_of, line, status):
    good = {"id": "good"} | LOOKUP
    before, between, after = results_of(good, line, good)
    assert (between["line"], between["status"], between["problem"]["status"]) == (2, status, status)
    assert before["answer"] == after["answer"]
    assert (before["line"], after["line"]) == (1, 3)


def test_all_faults_of_a_line_are_told_at_once_with_its_id(results_of):
    (result,) = results_of({"id": 3, "outside_width_mm": [36.4, -1], "limit": 0, "weather": "fine"})
    assert result["id"] == 3
    assert pointers(result) == ["#/limit", "#/outside_width_mm/1", "#/weather"]


def test_a_name_that_stands_twice_is_refused_with_the_lines_id(results_of):
    twice, id_twice = results_of(
        b'{"id":"a","outside_width_mm":36.4,"outside_width_mm":30}',
        b'{"id":"a","id":"b","outside_width_mm":36.4}',
    )
    assert (twice["id"], pointers(twice)) == ("a", ["#/outside_width_mm"])
    assert (id_twice["id"], pointers(id_twice)) == (None, ["#/id"])


# --- the caller's id ---------------------------------------------------------------------------------


# RFC 8259, section 6: whole numbers between -(2**53 - 1) and 2**53 - 1 are the same for every reader.
@pytest.mark.parametrize(
    "identifier", ["a", "a" * 128, '\u2028 \n"\\/', "ü", "\0", "7", 0, 7, 2**53 - 1, -(2**53) + 1]
)
def test_an_id_comes_back_as_it_was(results_of, identifier):
    good, refused = results_of({"id": identifier} | LOOKUP, {"id": identifier})
    assert good["status"] == 200
    assert refused["status"] == 422
    for result in (good, refused):
        assert result["id"] == identifier
        assert type(result["id"]) is type(identifier)


@pytest.mark.parametrize("identifier", ["", "a" * 129, "\ud800", True, 7.0, 2**53, -(2**53), [1], {"a": 1}])
def test_an_id_of_another_form_is_refused_together_with_the_other_faults(results_of, identifier):
    (result,) = results_of({"id": identifier, "limit": 0} | LOOKUP)
    assert (result["id"], pointers(result)) == (None, ["#/id", "#/limit"])


@pytest.mark.parametrize("line", [LOOKUP, {"id": None} | LOOKUP])
def test_a_line_without_an_id_is_answered_and_told_by_its_number(results_of, line):
    assert [(r["id"], r["line"], r["status"]) for r in results_of(line, line)] == [
        (None, 1, 200),
        (None, 2, 200),
    ]


# --- lines -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("content", [b"", b"\n", b"\r\n\n  \t\n", b" "])
def test_a_batch_without_a_lookup_has_only_the_last_line(send, snapshot, content):
    results, end = lines_of(send(content))
    assert results == []
    assert (end["count"], end["catalogue_revision"]) == (0, snapshot.revision)


def test_empty_lines_are_passed_over_and_counted(send):
    good = json.dumps(LOOKUP).encode()
    results, _ = lines_of(send(b"\n" + good + b"\n \t\r\n" + good))
    assert [result["line"] for result in results] == [2, 4]


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
@pytest.mark.parametrize("last", [True, False])
def test_lines_may_end_as_on_any_system_and_the_last_needs_no_end(send, end, last):
    good = json.dumps(LOOKUP).encode()
    results, _ = lines_of(send(good + end + good + (end if last else b"")))
    assert [result["status"] for result in results] == [200, 200]


@pytest.mark.parametrize(("size", "status"), [(MOST_LINE_BYTES, 200), (MOST_LINE_BYTES + 1, 413)])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_line_that_is_too_long_is_a_fault_of_that_line(results_of, size, status, place):
    lines = [json.dumps({"id": "good"} | LOOKUP).encode()] * 3
    lines[place] = lines[place].ljust(size)
    results = results_of(*lines)
    assert [result["status"] for result in results] == [status if n == place else 200 for n in range(3)]


def test_a_line_that_does_not_end_is_a_fault_and_the_batch_ends(send):
    results, _ = lines_of(send(b"{" * (4 * MOST_LINE_BYTES)))
    assert [(result["line"], result["status"]) for result in results] == [(1, 413)]


# --- the whole ---------------------------------------------------------------------------------------


def test_all_lines_are_of_one_revision(send, snapshot):
    results, end = lines_of(send(json.dumps(LOOKUP).encode() + b"\n" + json.dumps(OTHERS[0]).encode()))
    assert {result["answer"]["catalogue_revision"] for result in results} == {snapshot.revision}
    assert end["catalogue_revision"] == snapshot.revision


def test_lines_in_and_out_are_as_the_schemas_have_them(send):
    lines = [
        BatchLine(id="a", outside_width_mm=(36.4,), bore_mm=(8,)),
        BatchLine(id=2, outside_width_mm=(1,)),
    ]
    asked = "\n".join(line.model_dump_json(exclude_none=True) for line in lines) + "\n{}"
    *results, end = send(asked.encode()).content.splitlines()
    first, second, refused = [BatchResult.model_validate_json(result) for result in results]
    assert (first.id, first.problem, second.id) == ("a", None, 2)
    assert (refused.id, refused.answer, refused.problem.status) == (None, None, refused.status)
    assert BatchEnd.model_validate_json(end).refused == 1


@pytest.mark.parametrize("content_type", ["application/json", "text/plain", "", "application/x-ndjson2"])
def test_a_body_of_another_media_type_is_refused(send, problem_in, content_type):
    assert problem_in(send(b"", **{"content-type": content_type}))["status"] == 415


@pytest.mark.parametrize("content_type", [f"{NDJSON}; charset=utf-8", NDJSON.upper()])
def test_a_media_type_may_be_written_in_any_way(send, content_type):
    assert send(b"", **{"content-type": content_type}).status_code == 200


def test_a_parameter_is_refused(client, fields_of):
    answer = client.post("/v1/fits/batch?weather=fine", content=b"", headers={"content-type": NDJSON})
    assert fields_of(answer) == ["weather"]


def test_whoever_takes_gzip_gets_the_same_lines_compressed(client, send):
    lines = b"".join(json.dumps({"id": n} | LOOKUP | {"limit": n}).encode() + b"\n" for n in range(1, 20))
    plain = send(lines)
    headers = {"content-type": NDJSON, "accept-encoding": "gzip"}
    with client.stream("POST", "/v1/fits/batch", content=lines, headers=headers) as packed:
        assert packed.headers["content-encoding"] == "gzip"
        sent = b"".join(packed.iter_raw())
    assert gzip.decompress(sent) == plain.content
    assert len(sent) < len(plain.content) / 3
    assert plain.headers["vary"] == packed.headers["vary"] == "Accept-Encoding, Accept-Language"


# --- limits ------------------------------------------------------------------------------------------


def test_lines_that_are_too_many_are_refused_by_one_result_and_those_before_answered(
    start_client, demonstration_file
):
    client = start_client(demonstration_file, batch_max_lines=2)
    for lines, expected in ((2, [200, 200]), (3, [200, 200, 413]), (50, [200, 200, 413])):
        content = (json.dumps(LOOKUP).encode() + b"\n") * lines
        results, _ = lines_of(
            client.post("/v1/fits/batch", content=content, headers={"content-type": NDJSON})
        )
        assert [result["status"] for result in results] == expected
        assert results[-1]["line"] == len(expected)


def test_a_batch_that_turns_out_too_large_is_refused_from_the_line_that_is_too_much(
    start_client, demonstration_file
):
    line = json.dumps(LOOKUP).encode() + b"\n"
    client = start_client(demonstration_file, batch_max_bytes=2 * len(line) + 5)
    for lines, expected in ((2, [200, 200]), (3, [200, 200, 413])):
        pieces = iter([line * lines])  # sent in chunks, without a length
        response = client.post("/v1/fits/batch", content=pieces, headers={"content-type": NDJSON})
        results, _ = lines_of(response)
        assert [result["status"] for result in results] == expected
        assert results[-1]["line"] == len(expected)


def test_a_batch_that_says_that_it_is_too_large_is_refused_at_once(
    start_client, demonstration_file, problem_in
):
    client = start_client(demonstration_file, batch_max_bytes=10)
    headers = {"content-type": NDJSON}
    assert client.post("/v1/fits/batch", content=b" " * 10, headers=headers).status_code == 200
    assert problem_in(client.post("/v1/fits/batch", content=b" " * 11, headers=headers))["status"] == 413


# --- whatever comes ----------------------------------------------------------------------------------

JUNK = st.binary(max_size=40).map(lambda line: line.replace(b"\n", b"")) | st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["id", "outside_width_mm", "limit", "thread", "child"]), inner)
    ),
    max_leaves=5,
).map(lambda value: json.dumps(value).encode())
GOOD = st.just(json.dumps({"id": "good", "limit": 1, "near_misses": 0} | OTHERS[1]).encode())


@settings(max_examples=60)
@given(st.lists(JUNK | JUNK | GOOD, max_size=6))
def test_whatever_lines_come_each_has_its_result_and_good_ones_are_answered(client, lines):
    headers = {"content-type": NDJSON}
    results, _ = lines_of(client.post("/v1/fits/batch", content=b"\n".join(lines), headers=headers))
    asked = [n for n, line in enumerate(lines, start=1) if line.strip(b" \t\r")]
    assert [result["line"] for result in results] == asked
    for result in results:
        line = lines[result["line"] - 1]
        assert result["status"] in {200, 400, 422}
        if b'"good"' in line:
            assert (result["id"], result["status"]) == ("good", 200)


def test_an_error_of_the_services_own_is_a_result_like_any_other_and_tells_nothing_of_the_inside(
    start_client, demonstration_file, monkeypatch
):
    def broken(_look_up):
        return lambda request: 1 / 0 if request.limit == 1 else b"{}"

    monkeypatch.setattr(batch_routes, "batch_lookup", broken)
    client = start_client(demonstration_file)
    lines = [json.dumps({"id": limit, "limit": limit} | LOOKUP) for limit in (2, 1, 2)]
    response = client.post("/v1/fits/batch", content="\n".join(lines), headers={"content-type": NDJSON})
    results, _ = lines_of(response)
    assert [(result["id"], result["status"]) for result in results] == [(2, 200), (1, 500), (2, 200)]
    assert b"division" not in response.content
