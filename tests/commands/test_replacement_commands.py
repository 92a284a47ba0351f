"""Old axles, what stands in for an axle and which frames it fits, on the terminal."""

import json

import pytest

OLD = [
    "identify",
    "--pieces",
    "axle",
    "--overall-length-mm",
    "36.05",
    "--shaft-mm",
    "7.97",
    "--thread",
    "M8x1.25",
]


def test_an_old_axle_is_told_with_what_replaces_it(run, demonstration_file):
    status, out, err = run(*OLD, "--drive", "hexagon_4", "--offset-mm", "0", on=demonstration_file)
    assert (status, err) == (0, "")
    assert "1. TW8-36-M8-BK: " in out
    assert "cannot be told apart" in out
    assert "The axle is straight, so the frame's holes are round." in out
    assert "For the frame that follows from it: " in out


def test_the_json_of_an_old_axle_is_the_answer_of_the_api(run, demonstration_file, client):
    _, out, _ = run(*OLD, "--overall-length-mm", "36.01", "--json", "--language", "nl", on=demonstration_file)
    body = {"pieces": ["axle"], "overall_length_mm": [36.05, 36.01], "shaft_mm": 7.97, "thread": "M8x1.25"}
    answer = client.post("/v1/axles/identify", json=body, headers={"Accept-Language": "nl"})
    assert json.loads(out) == answer.json()


@pytest.mark.parametrize("command", ["equivalents", "frames"])
@pytest.mark.parametrize("named", ["TW8-36-M8-BK", "2000000000060", "02000000000060"])
def test_the_json_of_a_list_is_the_answer_of_the_api(run, demonstration_file, client, command, named):
    _, out, _ = run(command, named, "--limit", "2", "--json", on=demonstration_file)
    answer = client.get(f"/v1/axles/TW8-36-M8-BK/{command}?limit=2").json()
    assert answer.pop("links")["next"]
    assert json.loads(out) == answer | {"links": None}  # a command has no addresses


def test_the_parts_that_stand_in_are_told_with_what_differs(run, demonstration_file):
    status, out, _ = run("equivalents", "TW8-36-M8-BK", on=demonstration_file)
    assert status == 0
    assert "TW8-36-M8-HX: " in out
    assert "Drive: hexalobular_25 instead of hexagon_4." in out


def test_the_frames_are_told_with_the_verdict_at_their_axles(run, demonstration_file):
    status, out, _ = run("frames", "TW8-36-M8-BK", "--limit", "100", on=demonstration_file)
    assert status == 0
    coltsfoot = out[out.index("QH-COLTSFOOT") :]
    assert " axle 1: does not fit" in coltsfoot
    assert " axle 2: fits" in coltsfoot


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (["equivalents", "TW8-45-M8-BK"], "No part of the catalogue can stand in for it."),
        (["equivalents", "TW8-UNMEASURED"], "length_mm"),
        (["frames", "TW8-UNMEASURED"], "length_mm"),
        (["frames", "TW8-50-M8-A2"], "It fits none of the known frames."),
    ],
)
def test_an_empty_list_says_why_it_is(run, demonstration_file, command, said):
    status, out, _ = run(*command, on=demonstration_file)
    assert status == 0
    assert said in out


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (["identify"], "at least one thing"),
        (["identify", "--barrel-mm", "30", "--fastening", "threaded_wall"], "barrel_mm"),
        (["equivalents", "NOTHING"], "no axle"),
        (["frames", "TW8-36-M8-BK", "--limit", "0"], "at least 1"),
    ],
)
def test_what_cannot_be_answered_ends_with_1_and_says_why(run, demonstration_file, command, said):
    status, out, err = run(*command, on=demonstration_file)
    assert (status, out) == (1, "")
    assert said in err
