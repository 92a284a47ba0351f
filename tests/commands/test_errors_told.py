"""What is wrong outside of the catalogue is told in a sentence; it ends with 1, and wrong settings with 2."""

import pytest


def test_a_file_that_cannot_be_written_ends_with_1_and_its_name(run, demonstration_file, tmp_path):
    status, _, err = run("export", "axles", tmp_path / "no" / "f.csv", on=demonstration_file)
    assert status == 1
    assert "f.csv" in err


def test_a_setting_that_is_wrong_ends_with_2_and_its_name(run, demonstration_file, monkeypatch):
    monkeypatch.setenv("AXLEFIT_PORT", "abc")
    status, _, err = run("export", "axles", on=demonstration_file)
    assert status == 2
    assert "AXLEFIT_PORT" in err


@pytest.mark.parametrize(
    "origin", ["shop.example", "https://shop.example/", "HTTPS://shop.example", "https://Shop.example", "*"]
)
def test_an_origin_that_no_browser_would_send_ends_with_2_and_the_settings_name(
    run, demonstration_file, monkeypatch, origin
):
    # A browser sends scheme, host and port, in lower case (RFC 6454, 6.2).
    monkeypatch.setenv("AXLEFIT_CORS_ORIGINS", f"https://till.example, {origin}")
    status, _, err = run("export", "axles", on=demonstration_file)
    assert status == 2
    assert "AXLEFIT_CORS_ORIGINS" in err
