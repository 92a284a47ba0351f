"""The benchmark refuses what would measure something else, and its lookups are what they are said to be."""

import importlib.util
import socket
import sys
from pathlib import Path
from urllib.parse import parse_qsl

import pytest

from service.web.plain_queries import plain_lookup

HERE = Path(__file__).resolve().parent
TOLD = (
    'SUMMARY {"requests": 300, "microseconds": 2000000, "bytes": 9000, "p50_us": 500, "p99_us": 2500, '
    '"refused": %d, "connect": %d, "read": %d, "write": %d, "timeout": %d}\n'
)


@pytest.fixture(autouse=True)
def beside(monkeypatch):
    """The harness's modules are files beside each other, and find each other as such."""
    monkeypatch.syspath_prepend(str(HERE))


def module(name):
    """A module of the harness."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


def test_a_round_is_what_wrk_tells_of_it():
    found = module("driven").round_of("Running\n" + TOLD % (0, 0, 0, 0, 0), cpu_seconds=0.03)
    assert (found.rate, found.p50_ms, found.p99_ms) == (150, 0.5, 2.5)  # 300 in 2 s
    assert found.cpu_us == pytest.approx(100)  # 30 ms for 300


@pytest.mark.parametrize("fault", range(5))
def test_a_round_with_any_other_answer_than_success_is_refused(fault):
    counts = [0] * 5
    counts[fault] = 1
    with pytest.raises(module("driven").RefusedError):
        module("driven").round_of(TOLD % tuple(counts), cpu_seconds=1)


@pytest.mark.parametrize(
    "output", ["", "Running", (TOLD % (0, 0, 0, 0, 0)).replace('"requests": 300', '"requests": 0')]
)
def test_a_round_without_answers_is_refused(output):
    with pytest.raises(module("driven").RefusedError):
        module("driven").round_of(output, cpu_seconds=1)


def test_a_port_that_is_taken_is_refused():
    served = module("served")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(module("driven").RefusedError):
            served.require_free(taken.getsockname()[1])
    served.require_free(served.free_port())


@pytest.mark.parametrize("mix", ["shop", "everything"])
def test_lookups_are_distinct_the_same_for_a_seed_and_each_one_is_answered(mix):
    queries = module("lookup_mix").queries
    made = queries(2000, mix=mix)
    assert len(set(made)) == 2000
    assert made == queries(2000, mix=mix)
    assert set(made).isdisjoint(queries(500, mix=mix, seed=1)) or mix == "shop"
    assert all(plain_lookup(query.encode()) is not None for query in made)


def test_where_all_fields_vary_no_two_lookups_have_a_wall_or_a_mass_in_common():
    made = [dict(parse_qsl(query)) for query in module("lookup_mix").queries(1000, mix="everything")]
    for name in ("outside_width_mm", "far_wall_mm", "rider_mass_kg", "hub_width_mm"):
        assert len({fields[name] for fields in made}) > 990


def test_a_rate_is_told_as_a_share_of_the_rounds_around_it():
    bench, driven = module("bench"), module("driven")

    def round_(rate, p99):
        return driven.Round(requests=rate, seconds=1, bytes=0, p50_ms=1, p99_ms=p99, cpu_us=1)

    target = bench.Target(what="x", server=None, load=None)
    for rate, around in ((100, (150, 250)), (100, (100, 100)), (900, (1000, 1000))):
        target.note(round_(rate, 3), [round_(bare, 2) for bare in around])
    assert target.rate == pytest.approx(0.9)  # the middle of 0.5, 1 and 0.9
    assert target.p99 == pytest.approx(1.5)


def test_a_batch_whose_last_line_counts_fewer_answers_than_lines_is_refused():
    require_answered, refused = module("extras").require_answered, module("driven").RefusedError
    end = b'{"id":"9"}\n{"count":10,"answered":%d}\n'
    require_answered(200, end % 10, 10)
    for status, told in ((200, end % 9), (503, end % 10), (200, b""), (200, b'{"id":"9"}\n'), (200, b"9}\n")):
        with pytest.raises(refused):
            require_answered(status, told, 10)


def test_two_workers_share_cores_with_their_loads_only_where_there_are_too_few():
    cores_of_two = module("extras").cores_of_two
    assert cores_of_two([0, 1]) == cores_of_two([0, 1, 2]) == (0, 1, 1)  # the first worker is on core 0
    assert cores_of_two([0, 1, 2, 3]) == (1, 2, 3)


def test_the_table_is_written_between_its_marks_and_nothing_else_is_changed(tmp_path):
    told, file = module("told"), tmp_path / "page.md"
    file.write_text(f"above\n{told.BEGIN}\nan old one\n{told.END}\nbelow\n")
    told.keep(["a new", "one"], file)
    assert file.read_text() == f"above\n{told.BEGIN}\n\na new\none\n\n{told.END}\nbelow\n"


@pytest.mark.parametrize("marks", ["", "<!-- side by side: begin -->", "<!-- side by side: end -->"])
def test_a_page_without_both_marks_stays_as_it_is(tmp_path, marks):
    told, file = module("told"), tmp_path / "page.md"
    file.write_text(marks)
    with pytest.raises(module("driven").RefusedError):
        told.keep(["a new", "one"], file)
    assert file.read_text() == marks


def test_the_command_is_told_without_the_folder_of_this_machine():
    told = module("told").command(["--parts", "1000", "--folder", "/a/folder", "--keep"])
    assert told == "`python tests/performance/side_by_side.py --parts 1000 --keep`"


def test_developers_has_a_place_for_the_table():
    told = module("told")
    text = told.DEVELOPERS.read_text(encoding="utf-8")
    assert text.count(told.BEGIN) == text.count(told.END) == 1
    assert text.index(told.BEGIN) < text.index(told.END)


def test_a_round_of_a_slow_server_is_longer_and_no_round_is_shorter_than_asked_for():
    long_enough, connections = module("bench").long_enough, module("driven").CONNECTIONS
    assert long_enough(1000 * connections, 3) == 3
    assert long_enough(4 * connections, 3) == 5  # 20 answers for each connection
    assert long_enough(0.1, 3) == long_enough(0, 3) == 10
    assert long_enough(0.1, 30) == 30
