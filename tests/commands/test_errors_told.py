"""What is wrong outside of the catalogue is told in a sentence, and the command ends with 1."""


def test_a_file_that_cannot_be_written_ends_with_1_and_its_name(run, demonstration_file, tmp_path):
    status, _, err = run("export", "axles", tmp_path / "no" / "f.csv", on=demonstration_file)
    assert status == 1
    assert "f.csv" in err


def test_a_setting_that_is_wrong_ends_with_1_and_its_name(run, demonstration_file, monkeypatch):
    monkeypatch.setenv("AXLEFIT_PORT", "abc")
    status, _, err = run("export", "axles", on=demonstration_file)
    assert status == 1
    assert "AXLEFIT_PORT" in err
