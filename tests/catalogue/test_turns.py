"""Work that others of the process do not wait for."""

import gc
import sys
import time
import weakref

import pytest

from service.catalogue.turns import Turns, giving_way, let_go


class Piece:
    """Something that can be watched."""


def test_after_some_work_there_is_a_rest_of_half_its_length():
    rest = Turns()
    until = time.thread_time() + 0.02
    while time.thread_time() < until:
        pass
    began = time.perf_counter()
    rest()
    assert time.perf_counter() - began >= 0.01


def test_while_a_thread_gives_way_its_turns_are_short_and_old_objects_are_left_alone():
    interval, thresholds = sys.getswitchinterval(), gc.get_threshold()
    with giving_way():
        assert sys.getswitchinterval() < interval
        assert gc.get_threshold()[2] > 1000 * thresholds[2]
    assert (sys.getswitchinterval(), gc.get_threshold()) == (interval, thresholds)


def test_of_two_that_give_way_the_last_one_puts_all_back():
    before = sys.getswitchinterval(), gc.get_threshold()
    first, second = giving_way(), giving_way()
    first.__enter__()
    second.__enter__()
    first.__exit__(None, None, None)
    assert sys.getswitchinterval() < before[0]
    second.__exit__(None, None, None)
    assert (sys.getswitchinterval(), gc.get_threshold()) == before


def fail_while_giving_way():
    with giving_way():
        raise RuntimeError


def test_after_an_error_all_is_as_it_was_too():
    interval, thresholds = sys.getswitchinterval(), gc.get_threshold()
    with pytest.raises(RuntimeError):
        fail_while_giving_way()
    assert (sys.getswitchinterval(), gc.get_threshold()) == (interval, thresholds)


def test_pieces_are_let_go_some_at_a_time_with_a_rest_after_each():
    pieces = [Piece() for _ in range(20)]
    watched = [weakref.ref(piece) for piece in pieces]
    left = []
    let_go(pieces, lambda: left.append(sum(one() is not None for one in watched)))
    assert left == [12, 4, 0]
