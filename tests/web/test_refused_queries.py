"""A query that cannot be answered is refused by the name of the parameter, with what is allowed there."""

import pytest

WIDTH = "outside_width_mm=36.4"


@pytest.mark.parametrize(
    ("query", "field", "allowed"),
    [
        ("", "outside_width_mm", "the width over both walls"),
        ("inside_width_mm=24.4&head_wall_mm=6", "outside_width_mm", "far_wall_mm"),
        ("outside_width_mm=", "outside_width_mm", "a number"),
        ("outside_width_mm=-36.4", "outside_width_mm", "greater than 0"),
        ("outside_width_mm=0", "outside_width_mm", "greater than 0"),
        ("outside_width_mm=200.1", "outside_width_mm", "at most 200"),
        ("outside_width_mm=NaN", "outside_width_mm", "a number"),
        ("outside_width_mm=Infinity", "outside_width_mm", "a number"),
        ("outside_width_mm=-inf", "outside_width_mm", "a number"),
        ("outside_width_mm=1e999", "outside_width_mm", "a number"),
        ("outside_width_mm=1e1", "outside_width_mm", "a number"),
        ("outside_width_mm=12,5", "outside_width_mm", "a number with a decimal point: 12.5"),
        ("outside_width_mm=36.4cm", "outside_width_mm", "1.417in"),
        ("outside_width_mm=1,417in", "outside_width_mm", "a number with a decimal point: 1.417in"),
        ("outside_width_mm=1.417inch", "outside_width_mm", "1.417in"),
        ("outside_width_mm=7.875in", "outside_width_mm", "at most 200 mm"),  # 200.025 mm
        ("outside_width_mm=-1in", "outside_width_mm", "greater than 0 mm"),
        ("outside_width_mm=3/0in", "outside_width_mm", "1 3/8in"),
        (f"{WIDTH}&rider_mass_kg=80kg", "rider_mass_kg", "without a unit"),
        (f"{WIDTH}&rider_mass_kg=80in", "rider_mass_kg", "without a unit"),
        (f"{WIDTH}&keys_needed=1in", "keys_needed", "without a unit"),
        ("outside_width_mm=36.4%00", "outside_width_mm", "a number"),
        ("outside_width_mm=%ED%A0%80", "outside_width_mm", "a number"),
        ("outside_width_mm=9223372036854775808", "outside_width_mm", ""),
        (f"outside_width_mm={'9' * 5000}", "outside_width_mm", ""),
        ("outside_width_mm=36.4&outside_width_mm=x", "outside_width_mm", "a number"),
        ("outside_widht_mm=36.4&outside_width_mm=36", "outside_widht_mm", "did you mean outside_width_mm?"),
        (f"{WIDTH}&weather=fine", "weather", "a known name"),
        (f"{WIDTH}&thread=M8&thread=M7x1", "thread", "one value"),
        (f"{WIDTH}&limit=5&limit=5", "limit", "one value"),
        (f"{WIDTH}&thread=M8x0.8", "thread", "M8x1.25"),
        (f"{WIDTH}&thread=%00", "thread", ""),
        (f"{WIDTH}&fastening=glued", "fastening", "'threaded_wall', 'two_piece' or 'bolt_and_nut'"),
        (f"{WIDTH}&instrument=eye", "instrument", "'calliper'"),
        (f"{WIDTH}&wall_material=cheese", "wall_material", "aluminium_6061_t6"),
        (f"{WIDTH}&keyed_profile=Larch%0D%0A", "keyed_profile", "a lower-case word"),
        (f"{WIDTH}&keys_needed=3", "keys_needed", "at most 2"),
        (f"{WIDTH}&limit=0", "limit", "at least 1"),
        (f"{WIDTH}&limit=101", "limit", "at most 100"),
        (f"{WIDTH}&limit=9223372036854775808", "limit", "at most 100"),
        (f"{WIDTH}&limit={'9' * 5000}", "limit", ""),
        (f"{WIDTH}&limit=2.5", "limit", "whole number"),
        (f"{WIDTH}&near_misses=21", "near_misses", "at most 20"),
        (f"{WIDTH}&rider_mass_kg=9.99", "rider_mass_kg", "at least 10"),
        (f"{WIDTH}&rider_mass_kg=250.1", "rider_mass_kg", "at most 250"),
        (f"{WIDTH}&child=perhaps", "child", "true or false"),
        (f"{WIDTH}&hole_offset_mm=1", "hole_offset_mm", "holes=oval"),
        (f"{WIDTH}&brake_thread=M6x1", "brake_thread", "position=brake"),
        (f"{WIDTH}&cursor=junk", "cursor", "next_cursor"),
        (f"{WIDTH}&cursor=%00", "cursor", ""),
        (f"{WIDTH}&%00=1", "\0", "a known name"),
        (f"{WIDTH}&=1", "", "a known name"),
    ],
)
def test_a_query_is_refused_by_parameter(get_fits, problem_in, query, field, allowed):
    (fault,) = problem_in(get_fits(query))["errors"]
    assert fault["parameter"] == field
    assert allowed in fault["allowed"]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("outside_width_mm=12,5", "12,5"),
        ("outside_width_mm=7.875in", "7.875in"),
        ("outside_width_mm=%00", r"\x00"),
        (f"outside_width_mm={'9' * 5000}", "9" * 79 + "…"),
        (f"{WIDTH}&limit=101", "101"),
    ],
)
def test_what_was_found_is_shown_short_and_printable(get_fits, problem_in, query, found):
    (fault,) = problem_in(get_fits(query))["errors"]
    assert fault["found"] == found


def test_more_readings_than_anyone_takes_are_refused(get_fits, fields_of):
    assert fields_of(get_fits("&".join([WIDTH] * 101))) == ["outside_width_mm"]
    assert get_fits("&".join([WIDTH] * 100)).status_code == 200


def test_all_faults_of_a_query_are_told_at_once(get_fits, fields_of):
    query = "outside_width_mm=12,5&limit=0&thread=a&thread=b&weather=fine&fastening=glued"
    assert sorted(fields_of(get_fits(query))) == [
        "fastening", "limit", "outside_width_mm", "thread", "weather",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/v1/axles?fastening=glued", "fastening"),
        ("/v1/axles?gtin=12345", "gtin"),
        ("/v1/axles?thread=M8x9", "thread"),
        ("/v1/axles?outside_width_mm=12,5", "outside_width_mm"),
        ("/v1/axles?colour=black&colour=white", "colour"),
        ("/v1/axles?color=black", "color"),
        ("/v1/axles?cursor=junk", "cursor"),
        ("/v1/frames?limit=1000", "limit"),
        ("/v1/frames?wheels=4", "wheels"),
        ("/v1/frames/QH-BRACKEN/fits", "axle_position"),
        ("/v1/frames/QH-BRACKEN/fits?axle_position=5", "axle_position"),
        ("/v1/frames/QH-ALDER/fits?axle_position=0", "axle_position"),
        ("/v1/frames/QH-ALDER/fits?outside_width_mm=36.4", "outside_width_mm"),
    ],
)
def test_other_paths_refuse_by_parameter_too(client, fields_of, path, field):
    assert fields_of(client.get(path)) == [field]
