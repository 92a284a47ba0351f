"""Faults of files that hide behind one another, or behind a number's last digit."""

import pytest


def test_a_length_finer_than_a_micrometre_is_refused_however_small(faults_in):
    written = "sku,name,fastening,length_mm\nA-1,An axle,two_piece,0.0000000001\n"
    assert [fault[:2] for fault in faults_in("axles", written)] == [(2, "length_mm")]


@pytest.mark.parametrize(("mouth", "thread", "barrel"), [("1.1", "2.2", "3.3"), ("0.1", "0.2", "0.3")])
def test_a_thread_may_reach_the_barrels_end_to_the_micrometre(records_in, mouth, thread, barrel):
    header = "sku,name,fastening,barrel_mouth_mm,barrel_thread_mm,barrel_mm"
    assert len(records_in("axles", f"{header}\nA-1,An axle,two_piece,{mouth},{thread},{barrel}\n")) == 1


def test_cells_that_do_not_go_together_are_told_with_what_was_found(faults_in):
    written = "sku,name,fastening,grip_min_mm,grip_max_mm\nA-1,An axle,two_piece,38,33\n"
    ((_, _, found, _),) = faults_in("axles", written)
    assert found == "33"


def test_faults_before_a_broken_quote_are_told_too(faults_in):
    written = 'sku,name,fastening\nA-1,One,glued\nA-2,"Two"x,two_piece\n'
    assert [fault[0] for fault in faults_in("axles", written)] == [2, 3]


def test_faults_before_a_byte_that_is_not_utf_8_are_told_too_and_the_byte_with_its_row(faults_in):
    written = b"sku,name,fastening\nA-1,One,glued\nA-2,\xff,two_piece\n"
    assert [fault[0] for fault in faults_in("axles", written)] == [2, 3]


def test_every_word_of_a_row_that_the_table_cannot_hold_is_told(faults_in):
    header = "sku,name,fastening,thread,brake_thread,price,currency"
    written = f"{header}\nA-1,One,threaded_wall,M8x9,M13,1,ZZZ\n"
    assert [f[1] for f in faults_in("axles", written)] == ["thread", "brake_thread", "currency"]


def test_a_key_that_stands_twice_is_told_even_where_its_first_row_is_faulty(faults_in):
    written = "sku,name,fastening\nA-1,One,glued\nA-1,Two,two_piece\n"
    assert [fault[:2] for fault in faults_in("axles", written)] == [(2, "fastening"), (3, "sku")]


def test_an_underscore_is_no_part_of_a_number(faults_in):
    written = "sku,name,fastening,length_mm,pack_quantity\nA-1,One,two_piece,3_6,1_0\n"
    assert [fault[1] for fault in faults_in("axles", written)] == ["length_mm", "pack_quantity"]


def test_a_frame_narrower_than_its_inside_and_its_wall_is_refused(faults_in):
    written = "code,name,wheels,outside_widths_mm,inside_width_mm,far_wall_mm\nF,A frame,4,12,24,6\n"
    assert [fault[:2] for fault in faults_in("frames", written)] == [(2, "outside_widths_mm")]
