"""Rockers and guides on the terminal."""

import json

import pytest

FOUR = ["--axle-positions-mm", "0", "80", "160", "240", "--wheel-diameters-mm", "76"]
WANTED = ["--wanted-offsets-mm", "1", "0", "0", "1"]


def test_stances_curve_and_ways_are_said_in_sentences(run, demonstration_file):
    status, out, err = run("rocker", *FOUR, *WANTED, on=demonstration_file)
    assert (status, err) == (0, "")
    assert "The skate stands level, on wheels 1, 2, 3, 4." in out
    assert "With the toes 0.72° up the skate stands on wheels 3, 4." in out  # atan(1/80)
    assert "At 1, 4: an axle with an offset of 1 mm, turned up." in out
    assert "TW8-36-M8-O100" in out
    assert "qualified workshop" in out


def test_the_json_is_the_answer_of_the_api(run, demonstration_file, client):
    lookup = [
        "--lookup",
        "outside_width_mm=36.3",
        "--lookup",
        "outside_width_mm=36.5",
        "--lookup",
        "bore_mm=8",
    ]
    offsets = ["--offsets-mm", "0", "-0.5", "-0.5", "0"]
    status, out, _ = run(
        "rocker", *FOUR, *WANTED, *offsets, *lookup, "--limit", "2", "--json", on=demonstration_file
    )
    assert status == 0
    body = {
        "axle_positions_mm": [0, 80, 160, 240],
        "wheel_diameters_mm": 76,
        "offsets_mm": [0, -0.5, -0.5, 0],
        "wanted_offsets_mm": [1, 0, 0, 1],
        "lookup": {"outside_width_mm": [36.3, 36.5], "bore_mm": 8},
        "limit": 2,
    }
    assert json.loads(out) == client.post("/v1/rockers", json=body).json()


def test_a_known_frame_stands_in_for_the_positions(run, demonstration_file):
    status, out, _ = run(
        "rocker", "--frame", "QH-BURDOCK", "--wheel-diameters-mm", "125", "--language", "de",
        on=demonstration_file,
    )  # fmt: skip
    assert status == 0
    assert "auf den Rollen 1, 2, 3." in out


@pytest.mark.parametrize(
    ("options", "where", "allowed"),
    [
        ([*FOUR, "--offsets-mm", "1"], "offsets_mm", "one for each of 4 axles"),
        ([*FOUR, "--lookup", "bore_mm"], "lookup", "FIELD=VALUE"),
        ([*FOUR, "--lookup", "bore_mm=8"], "lookup, outside_width_mm", "the width over both walls"),
        (["--frame", "QH-ALDER"], "wheel_diameters_mm", "a value is required"),
        ([*FOUR, "--limit", "0"], "limit", "at least 1"),
    ],
    ids=str,
)
def test_a_bad_value_ends_with_1_and_names_the_field(run, demonstration_file, options, where, allowed):
    status, out, err = run("rocker", *options, on=demonstration_file)
    assert (status, out) == (1, "")
    (fault,) = err.splitlines()[1:]
    assert fault.strip().startswith(f"{where}: ")
    assert allowed in fault


@pytest.mark.parametrize("guide", ["measuring", "tools"])
def test_a_guide_as_json_is_the_answer_of_the_api(run, demonstration_file, client, guide):
    status, out, _ = run("guide", guide, "--language", "fr", "--json", on=demonstration_file)
    assert status == 0
    assert json.loads(out) == client.get(f"/v1/guides/{guide}", headers={"Accept-Language": "fr"}).json()


@pytest.mark.parametrize(
    ("guide", "said"),
    [
        ("measuring", ["outside_width_mm: ", "calliper: ", "within 0.05 mm", "Many frames taper", "- "]),
        ("tools", ["hexagon_4 (", "two keys at once", "4 N·m", "1. Stop as soon as", "- Keep your hand"]),
    ],
)
def test_a_guide_is_read_from_the_terminal(run, demonstration_file, guide, said):
    status, out, err = run("guide", guide, on=demonstration_file)
    assert (status, err) == (0, "")
    assert [words for words in said if words not in " ".join(out.split())] == []


def test_the_guide_to_measuring_needs_no_catalogue(run, tmp_path):
    assert run("guide", "measuring", on=tmp_path / "none.sqlite3")[0] == 0
