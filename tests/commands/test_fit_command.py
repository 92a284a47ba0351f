"""A lookup on the terminal."""

import json
import os
import pty
import threading

import pytest

ESCAPE = "\x1b["
LOOKUP = ["fit", "--fastening", "threaded_wall", "--outside-width-mm", "36.4", "--far-wall-mm", "6"]


def test_the_table_shows_axles_with_their_reasons_and_the_near_misses(run, demonstration_file):
    status, out, err = run(*LOOKUP, "--bore-mm", "8", "--thread", "M8x1.25", on=demonstration_file)
    assert (status, err) == (0, "")
    assert "TW8-36-M8-" in out
    assert "The axle's thread is M8x1.25, as the frame's is." in out
    assert "It would fit " in out
    assert "qualified workshop" in out


def test_a_frame_that_nothing_fits_is_said_to_be_one(run, demonstration_file):
    status, out, _ = run("fit", "--outside-width-mm", "90", on=demonstration_file)
    assert status == 0
    assert "No axle of the catalogue fits this frame." in out


def test_the_json_is_the_answer_of_the_api(run, demonstration_file, client):
    status, out, _ = run(*LOOKUP, "--in-stock", "--json", on=demonstration_file)
    assert status == 0
    query = "fastening=threaded_wall&outside_width_mm=36.4&far_wall_mm=6&in_stock=true"
    assert json.loads(out) == client.get(f"/v1/fits?{query}").json()


def test_the_answer_comes_in_the_language_that_is_asked_for(run, demonstration_file, client):
    status, out, _ = run(*LOOKUP, "--language", "de", "--json", on=demonstration_file)
    assert status == 0
    query = "fastening=threaded_wall&outside_width_mm=36.4&far_wall_mm=6"
    assert json.loads(out) == client.get(f"/v1/fits?{query}", headers={"Accept-Language": "de"}).json()
    assert "Fachwerkstatt" in run(*LOOKUP, "--language", "de", on=demonstration_file)[1]


def test_an_option_given_several_times_is_several_readings(run, demonstration_file):
    readings = [part for width in ("36.3", "36.4", "36.5") for part in ("--outside-width-mm", width)]
    _, out, _ = run("fit", *readings, "--json", on=demonstration_file)
    # s = 0.1, u = √(0.1²/3 + 0.05²/3) = 0.0645
    assert json.loads(out)["frame"]["outside_width_mm"] == {"value": 36.4, "standard_uncertainty": 0.065}


def test_a_width_in_inches_gives_the_answer_in_mm(run, demonstration_file):
    # 1.417 × 25.4 = 35.9918
    in_inches, in_mm = (run("fit", "--outside-width-mm", width, on=demonstration_file)
                        for width in ("1.417in", "35.9918"))  # fmt: skip
    assert in_inches == in_mm
    assert "Frame: 35.99 mm over its walls" in in_inches[1]


@pytest.mark.parametrize(
    ("options", "field", "allowed"),
    [
        ([], "outside_width_mm", "the width over both walls"),
        (["--outside-width-mm", "12,5"], "outside_width_mm", "a number with a decimal point: 12.5"),
        (["--outside-width-mm", "-5"], "outside_width_mm", "greater than 0"),
        (["--outside-width-mm", "36.4", "--limit", "0"], "limit", "at least 1"),
        (["--outside-width-mm", "36.4", "--thread", "M8x0.8"], "thread", "M8x1.25"),
        (["--outside-width-mm", "36.4", "--fastening", "glued"], "fastening", "'two_piece'"),
        (["--outside-width-mm", "36.4", "--cursor", "junk"], "cursor", "next_cursor"),
    ],
    ids=str,
)
def test_a_bad_value_ends_with_1_and_names_the_field(run, demonstration_file, options, field, allowed):
    status, out, err = run("fit", *options, on=demonstration_file)
    assert (status, out) == (1, "")
    (fault,) = err.splitlines()[1:]
    assert fault.strip().startswith(field)
    assert allowed in fault


def test_in_a_pipe_there_is_no_colour(run, demonstration_file):
    assert ESCAPE not in run(*LOOKUP, on=demonstration_file)[1]


def test_on_a_terminal_there_is_colour(run, demonstration_file, monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    assert ESCAPE in printed_on_a_terminal(lambda: run(*LOOKUP, on=demonstration_file), monkeypatch)


def printed_on_a_terminal(command, monkeypatch):
    """What a command prints where standard output is a terminal."""
    ours, theirs = pty.openpty()
    read = []

    def drain():
        try:
            while octets := os.read(ours, 4096):
                read.append(octets)
        except OSError:  # what Linux says when the other side has closed
            pass

    reader = threading.Thread(target=drain)
    reader.start()
    with monkeypatch.context() as patched, os.fdopen(theirs, "w", encoding="utf-8") as terminal:
        patched.setattr("sys.stdout", terminal)
        command()
    reader.join()
    os.close(ours)
    return b"".join(read).decode()
