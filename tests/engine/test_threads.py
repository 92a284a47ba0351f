import pytest

from service.engine.threads import parse_thread


@pytest.mark.parametrize(
    ("designation", "pitch"), [("M4", 0.7), ("M5", 0.8), ("M6", 1.0), ("M7", 1.0), ("M8", 1.25), ("M10", 1.5)]
)
def test_a_designation_without_pitch_is_the_coarse_thread(designation, pitch):
    # ISO 965-1:2013, 5 (designation); coarse pitches: ISO 261:1998.
    thread = parse_thread(designation)
    assert thread.major_mm == float(designation[1:])
    assert thread.pitch_mm == pitch


@pytest.mark.parametrize(
    ("written", "in_full"),
    [("M8", "M8x1.25"), ("M8x1", "M8x1"), ("M6", "M6x1"), ("M3", "M3x0.5"), ("M10x0.75", "M10x0.75")],
)
def test_a_thread_is_named_with_its_pitch_always(written, in_full):
    assert parse_thread(written).designation == in_full


@pytest.mark.parametrize("written", ["M8x1.25", "M8×1.25", "M8X1.25", "M8 x 1.25", " M8x1.25 "])
def test_a_thread_is_the_same_however_its_designation_is_spaced(written):
    assert parse_thread(written) == parse_thread("M8")


def test_a_fine_thread_is_not_the_coarse_one():
    assert parse_thread("M8x1") != parse_thread("M8")


@pytest.mark.parametrize(
    "written",
    [
        "",
        "8",
        "M",
        "M8x",
        "M8x1.25x2",
        "m8",
        "1/4-20",
        "M8-6g",
        "M8,5",
        "M٨",
        "M8xx1",
        "xM8",
        "M8y",
        "M08",
        "M0",
    ],
)
def test_what_is_no_metric_designation_is_refused(written):
    with pytest.raises(ValueError, match="ISO metric designation"):
        parse_thread(written)


def test_a_pitch_that_does_not_exist_is_refused_with_those_that_do():
    # ISO 261:1998: M8 has the pitches 1.25, 1 and 0.75.
    with pytest.raises(ValueError, match=r"M8x1\.5.*M8x1\.25, M8x1, M8x0\.75"):
        parse_thread("M8x1.5")


@pytest.mark.parametrize("written", ["M13", "M1", "M99"])
def test_a_diameter_that_does_not_exist_is_refused_with_those_that_do(written):
    with pytest.raises(ValueError, match=r"ISO 261.*M6, M7, M8"):
        parse_thread(written)
