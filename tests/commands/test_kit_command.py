"""A kit on the terminal."""

import json

import pytest


@pytest.mark.parametrize(
    ("options", "body"),
    [
        (["--frame", "QH-ALDER", "--brake", "right"], {"frame": "QH-ALDER", "brake": "right"}),
        (
            ["--outside-widths-mm", "38.5,37.5, 36.5", "--fastening", "threaded_wall", "--far-wall-mm", "6"],
            {
                "outside_widths_mm": [38.5, 37.5, 36.5],
                "lookup": {"fastening": "threaded_wall", "far_wall_mm": 6},
            },
        ),
        (
            ["--outside-width-mm", "36.4", "--outside-width-mm", "36.5", "--wheels", "4", "--child"],
            {"lookup": {"outside_width_mm": [36.4, 36.5]}, "wheels": 4, "child": True},
        ),
        (["--outside-widths-mm", "36.4"], {"outside_widths_mm": [36.4], "lookup": {}}),
        (
            ["--frame", "QH-BURDOCK", "--offset-positions", "1,2", "--offset-positions", "3"],
            {"frame": "QH-BURDOCK", "offset_positions": [1, 2, 3]},
        ),
    ],
    ids=str,
)
def test_the_json_is_the_answer_of_the_api(run, demonstration_file, client, options, body):
    status, out, err = run("kit", *options, "--json", on=demonstration_file)
    assert (status, err) == (0, "")
    assert json.loads(out) == client.post("/v1/kits", json=body).json()


def test_the_table_shows_where_each_axle_goes_what_to_take_and_the_total(run, demonstration_file, client):
    status, out, err = run("kit", "--frame", "QH-ALDER", "--brake", "right", on=demonstration_file)
    assert (status, err) == (0, "")
    answer = client.post("/v1/kits", json={"frame": "QH-ALDER", "brake": "right"}).json()
    rows = [line.split() for line in out.splitlines()]
    for position in answer["positions"]:
        wanted = {position["side"], str(position["position"]), position["needs"], position["sku"]}
        assert any(wanted <= set(row) for row in rows)
    for line in answer["lines"]:
        wanted = {line["kind"], line["sku"] or line["drive"], str(line["pieces"])}
        assert any(wanted <= set(row) for row in rows)
    assert f"Total: {answer['total']['amount']} EUR" in out
    assert "qualified workshop" in out


def test_a_position_that_stays_empty_says_why(run, demonstration_file):
    _, out, _ = run("kit", "--frame", "QH-ALDER", "--offset-positions", "1", on=demonstration_file)
    assert "left 1: No axle of the catalogue fits here." in out
    assert "It would fit if the frame's holes were oval" in out


def test_the_kit_comes_in_the_language_that_is_asked_for(run, demonstration_file):
    assert "Fachwerkstatt" in run("kit", "--frame", "QH-ALDER", "--language", "de", on=demonstration_file)[1]


@pytest.mark.parametrize(
    ("options", "field", "allowed"),
    [
        ([], "frame", "one of the two"),
        (["--frame", "QH-ELDER"], "frame", "did you mean QH-ALDER?"),
        (["--outside-width-mm", "12,5", "--wheels", "3"], "lookup, outside_width_mm", "12.5"),
        (["--frame", "QH-ALDER", "--brake", "rear"], "brake", "'both'"),
    ],
    ids=str,
)
def test_a_bad_value_ends_with_1_and_names_the_field(run, demonstration_file, options, field, allowed):
    status, out, err = run("kit", *options, on=demonstration_file)
    assert (status, out) == (1, "")
    (fault,) = err.splitlines()[1:]
    assert fault.strip().startswith(f"{field}:")
    assert allowed in fault
