"""What the client makes of a server that fails: refusals, lost connections, answers that cannot be right."""

import json
import socket
import time

import pytest
from axlefit_client import AnswerError, ConnectionFailedError, ProblemError, Stored
from axlefit_client.schemas import AxleRecord

AXLE = {"sku": "A-1", "name": "One", "fastening": "two_piece"}
JSON = {"content-type": "application/json"}
PROBLEM = {"content-type": "application/problem+json"}
DROPPED = (200, JSON, None)


def found(value, **headers):
    return 200, JSON | headers, json.dumps(value).encode()


def refused(status, **headers):
    problem = {"type": "/problems/x", "title": "Refused", "status": status, "detail": "Not now."}
    return (
        status,
        PROBLEM | {k.replace("_", "-"): v for k, v in headers.items()},
        json.dumps(problem).encode(),
    )


@pytest.fixture
def shop(connect, server):
    return connect(server.url, "axf_key", patience=10)


def read_axle(shop):
    return shop.get(AxleRecord, "A-1").record


@pytest.mark.parametrize("status", [429, 503])
def test_the_client_comes_back_when_retry_after_says_so(shop, server, status):
    server.answers += [refused(status, retry_after="1"), found(AXLE)]
    begun = time.monotonic()
    assert read_axle(shop).sku == "A-1"
    assert time.monotonic() - begun >= 1.0
    assert len(server.asked) == 2


def test_a_retry_after_beyond_the_patience_is_told_at_once(shop, server):
    server.answers += [refused(429, retry_after="11")]
    begun = time.monotonic()
    with pytest.raises(ProblemError) as told:
        read_axle(shop)
    assert time.monotonic() - begun < 5
    assert (told.value.problem.status, told.value.attempts) == (429, 1)


def test_an_answer_that_breaks_off_is_asked_for_again(shop, server):
    server.answers += [DROPPED, found(AXLE)]
    assert read_axle(shop).name == "One"
    assert len(server.asked) == 2


def test_where_nobody_listens_the_error_is_the_clients_own(connect):
    with socket.socket() as free:  # bound, and never listening
        free.bind(("127.0.0.1", 0))
        shop = connect(f"http://127.0.0.1:{free.getsockname()[1]}", patience=2)
        with pytest.raises(ConnectionFailedError, match=r"no answer after [2-9] attempts"):
            read_axle(shop)


def test_an_import_is_sent_again_with_the_same_key_and_file(shop, server):
    done = {"table": "axles", "records": 1, "catalogue_revision": 2, "dry_run": False}
    server.answers += [DROPPED, found(done), found(done)]
    assert shop.import_csv("axles", b"sku\n").records == 1
    first, second = server.asked
    assert first["headers"]["idempotency-key"] == second["headers"]["idempotency-key"]
    assert first["body"] == second["body"] == b"sku\n"
    # Another import is another piece of work.
    shop.import_csv("axles", b"sku\n")
    assert server.asked[2]["headers"]["idempotency-key"] != first["headers"]["idempotency-key"]


def test_a_write_is_sent_again_with_its_condition_and_a_412_then_tells_of_two_attempts(shop, server):
    server.answers += [DROPPED, refused(412)]
    with pytest.raises(ProblemError) as told:
        shop.put(AxleRecord.model_validate(AXLE), etag='"one"')
    assert [request["headers"]["if-match"] for request in server.asked] == ['"one"', '"one"']
    assert (told.value.problem.status, told.value.attempts) == (412, 2)


def test_a_refusal_that_would_be_repeated_is_told_at_once(shop, server):
    server.answers += [refused(422)]
    with pytest.raises(ProblemError, match="422 Refused: Not now"):
        read_axle(shop)
    assert len(server.asked) == 1


def test_a_refusal_by_something_before_the_service_is_a_problem_too(connect, server):
    server.answers += [(502, {"content-type": "text/html"}, b"<h1>Bad gateway</h1>")]
    with pytest.raises(ProblemError, match=r"502 Bad Gateway: .*text/html") as told:
        read_axle(connect(server.url, patience=0))
    assert told.value.problem.type == "about:blank"  # RFC 9457, 4.2.1


def test_a_redirection_is_not_taken_for_an_answer(shop, server):
    server.answers += [(302, {"location": "/elsewhere"}, b"")]
    with pytest.raises(ProblemError, match="302 Found"):
        read_axle(shop)


def test_fields_that_a_later_service_has_added_are_left_out(shop, server):
    problem = {"type": "/problems/x", "title": "None", "status": 404, "detail": "No.", "instance": "/1"}
    faults = [{"parameter": "sku", "allowed": "another", "hint": "new"}]
    server.answers += [
        found(AXLE | {"weight_g": 12}),
        (404, PROBLEM, json.dumps(problem | {"errors": faults}).encode()),
    ]
    assert read_axle(shop) == AxleRecord.model_validate(AXLE)
    with pytest.raises(ProblemError, match=r"404 None: No\.; sku: another"):
        read_axle(shop)


@pytest.mark.parametrize("body", [b"", b"[]", b"<html>", b'{"sku":"A-1"}'])
def test_an_answer_of_another_form_is_refused(shop, server, body):
    server.answers += [(200, JSON, body)]
    with pytest.raises(AnswerError, match="AxleRecord"):
        read_axle(shop)


def test_a_key_goes_with_every_request_and_shows_in_no_error(shop, server):
    server.answers += [refused(401)]
    with pytest.raises(ProblemError) as told:
        shop.delete(Stored(AxleRecord.model_validate(AXLE), '"one"'))
    assert server.asked[0]["headers"]["authorization"] == "Bearer axf_key"
    assert "axf_key" not in str(told.value) + repr(told.value) + repr(shop)


# --- entity tags (RFC 9110, 13.1.2 and 15.4.5) -----------------------------------------------------


def conditions(server):
    return [request["headers"].get("if-none-match") for request in server.asked]


def test_an_answer_is_asked_for_by_its_entity_tag_and_a_304_gives_it_again(shop, server):
    not_modified = (304, {"etag": '"one"'}, b"")
    server.answers += [found(AXLE, etag='"one"'), not_modified, not_modified]
    assert read_axle(shop) == read_axle(shop) == read_axle(shop)
    assert conditions(server) == [None, '"one"', '"one"']


def test_an_answer_that_has_changed_takes_the_place_of_the_one_before(shop, server):
    changed = AXLE | {"stock": 4}
    server.answers += [found(AXLE, etag='"one"'), found(changed, etag='"two"'), (304, {}, b"")]
    assert [read_axle(shop).stock for _ in range(3)] == [None, 4, 4]
    assert conditions(server) == [None, '"one"', '"two"']


def test_a_record_from_the_cache_has_the_entity_tag_of_its_state(shop, server):
    server.answers += [found(AXLE, etag='"one"'), (304, {}, b"")]
    assert shop.get(AxleRecord, "A-1") == shop.get(AxleRecord, "A-1")


@pytest.mark.parametrize("headers", [{}, {"etag": '"one"', "cache-control": "No-Store"}])
def test_an_answer_without_a_tag_or_not_to_be_stored_is_not_kept(shop, server, headers):
    server.answers += [found(AXLE, **headers)] * 2
    read_axle(shop)
    read_axle(shop)
    assert conditions(server) == [None, None]


def test_the_answer_used_longest_ago_makes_room(connect, server):
    shop = connect(server.url, cache_size=2)
    one, two, three = (found(AXLE, etag=f'"{n}"') for n in (1, 2, 3))
    not_modified = (304, {}, b"")
    server.answers += [one, two, not_modified, three, not_modified, two]
    for sku in ("one", "two", "one", "three", "one", "two"):
        shop.get(AxleRecord, sku)
    assert conditions(server) == [None, None, '"1"', None, '"1"', None]


def test_a_304_that_nobody_asked_for_is_no_answer(shop, server):
    server.answers += [(304, {}, b"")]
    with pytest.raises(ProblemError, match="304"):
        read_axle(shop)


def test_the_answer_to_a_write_is_neither_taken_from_the_cache_nor_kept_in_it(shop, server):
    server.answers += [found(AXLE, etag=f'"{n}"') for n in (1, 2, 3)]
    stored = shop.get(AxleRecord, "A-1")
    assert shop.patch(stored, name="One").etag == '"2"'
    shop.get(AxleRecord, "A-1")
    assert conditions(server) == [None, None, '"1"']


# --- what is sent ----------------------------------------------------------------------------------


def test_the_language_goes_with_every_request(connect, server):
    shop = connect(server.url, language="de, en;q=0.5")
    server.answers += [found(AXLE)]
    read_axle(shop)
    assert server.asked[0]["headers"]["accept-language"] == "de, en;q=0.5"
    assert "authorization" not in server.asked[0]["headers"]


def test_a_lookup_that_is_too_long_for_an_address_goes_in_a_body(shop, server):
    # RFC 9110, 4.1: 8000 octets are what every recipient should take.
    server.answers += [refused(422)] * 2
    for count in (2, 400):
        with pytest.raises(ProblemError):
            shop.fits(outside_width_mm=[36.41] * count, child=True)
    short, long = server.asked
    assert short["target"] == "/v1/fits?outside_width_mm=36.41&outside_width_mm=36.41&child=true"
    assert (long["method"], long["target"]) == ("POST", "/v1/fits")
    assert json.loads(long["body"]) == {"outside_width_mm": [36.41] * 400, "child": True}


def test_the_code_of_a_frame_stays_one_step_of_the_path(shop, server):
    server.answers += [refused(404)]
    with pytest.raises(ProblemError):
        shop.frame_fits("a/b?c", axle_position=1)
    assert server.asked[0]["target"] == "/v1/frames/a%2Fb%3Fc/fits?axle_position=1"


def test_a_service_below_a_path_is_found_there(connect, server):
    server.answers += [found(AXLE)]
    read_axle(connect(f"{server.url}/shop/"))
    assert server.asked[0]["target"] == "/shop/v1/axles/A-1"
