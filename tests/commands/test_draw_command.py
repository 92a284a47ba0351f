"""The command that draws."""

from xml.etree.ElementTree import fromstring

import pytest

from service.__main__ import main

FIELDS = ["--outside-width-mm", "36.4", "--far-wall-mm", "6", "--thread", "M8x1.25"]


@pytest.fixture
def drawing(demonstration_file, monkeypatch):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", f"sqlite:///{demonstration_file}")
    return lambda *options, sku="TW8-36-M8-HX6": main(["draw", "--sku", sku, *FIELDS, *options])


def test_a_drawing_goes_to_the_terminal(drawing, capsys):
    assert drawing() == 0
    assert fromstring(capsys.readouterr().out).get("lang") == "en"  # noqa: S314 (our own file)


def test_a_drawing_goes_into_a_file_in_another_language(drawing, tmp_path, capsys):
    path = tmp_path / "axle.svg"
    assert drawing("--output", str(path), "--language", "de") == 0
    assert capsys.readouterr().out == ""
    assert fromstring(path.read_text(encoding="utf-8")).get("lang") == "de"  # noqa: S314 (our own file)


def test_an_axle_that_is_not_there_is_told(drawing, capsys):
    assert drawing(sku="NO-SUCH") == 1
    assert "sku: found NO-SUCH" in capsys.readouterr().err
