"""The choice of a kit's parts: parts left out before it change nothing, and its sums are exact."""

import random

import pytest

from service.fitting.kits import programme
from service.fitting.kits.choice import choose, choose_among_all
from service.fitting.kits.dominance import reduced
from service.fitting.kits.errors import KitNotSolvedError
from service.fitting.kits.programme import Programme
from service.fitting.kits.task import Demand, Part, Task


def part(sku, **others):
    return Part(sku=sku, **others)


def task(parts, *demands, sleeves=None):
    """Demands are pairs of a number of positions and the verdicts there; all parts fit if none are given."""
    made, place = [], 0
    for count, verdicts in demands:
        fitting = dict.fromkeys([p.sku for p in parts], 0) if verdicts is None else verdicts
        made.append(Demand(places=tuple(range(place, place + count)), verdicts=fitting))
        place += count
    return Task(demands=tuple(made), axles={p.sku: p for p in parts}, sleeves=sleeves or {})


def axles_of(choice):
    return [sku for _, sku in sorted(choice.axle_at.items())]


def random_task(seed, prices):
    drawn = random.Random(seed)  # noqa: S311 (draws examples, guards nothing)
    thin = drawn.random() < 0.4

    def some(sku, **others):
        return part(
            sku,
            pack_quantity=drawn.choice([1, 1, 2, 3, 4, 8]),
            price=drawn.choice([None, 0, *[prices(drawn)] * 6]),
            stock=drawn.choice([None, 0, 1, 2, 3, 10, 99]),
            **others,
        )

    axles = [
        some(
            f"A{n}",
            missed=drawn.choice([0, 0, 1]),
            sleeve_mm=drawn.choice([6.0, 6.3, None]) if thin else None,
        )
        for n in range(12)
    ]
    demands = [
        (drawn.randint(1, 4), {p.sku: drawn.choice([0, 0, 1, 2]) for p in axles if drawn.random() < 0.7})
        for _ in range(drawn.randint(1, 4))
    ]
    sleeves = {inner: [some(f"S{inner}{n}") for n in range(3)] for inner in (6.0, 6.3)}
    return task(axles, *demands, sleeves=sleeves)


@pytest.mark.parametrize(
    "prices",
    [lambda drawn: drawn.randint(50, 400), lambda drawn: drawn.choice([100, 150, 200])],
    ids=["few prices alike", "many prices alike"],
)
def test_the_parts_left_out_before_the_choice_change_nothing(prices):
    left_out = 0
    for seed in range(40):
        whole = random_task(seed, prices)
        assert choose(whole) == choose_among_all(whole), seed
        left_out += len(whole.axles) - len(reduced(whole).axles)
    assert left_out > 100  # else the test would hold nothing


def test_prices_of_nearly_a_million_are_added_exactly():
    parts = [
        part("A", price=100_000_000),
        part("B", price=99_999_999, stock=3),
        part("C", price=99_999_998, stock=1),
    ]
    assert axles_of(choose_among_all(task(parts, (3, None)))) == ["B", "B", "C"]
    # A pack of three for 299 999 997 is 1 less than 99 999 998 + 2 × 100 000 000, in minor units.
    parts[1] = part("B", price=299_999_997, stock=1, pack_quantity=3)
    assert axles_of(choose_among_all(task(parts, (3, None)))) == ["B", "B", "B"]


def test_sums_that_are_greater_than_the_solver_tells_apart_from_its_tolerances_are_held_exactly():
    axle = part("C", price=100_000_000, stock=3, sleeve_mm=6.0)
    sleeves = {6.0: [part("S", price=99_999_486), part("T", price=99_999_027, stock=2)]}
    found = choose(task([axle], (1, {}), (3, None), sleeves=sleeves))
    # The two cheaper sleeves that are in stock, and one more; the first SKU goes to the first of the three.
    assert (axles_of(found), list(found.sleeve_at.values())) == (["C", "C", "C"], ["S", "T", "T"])


@pytest.mark.parametrize("prices", [lambda drawn: drawn.randint(99_999_000, 100_000_000)])
def test_great_prices_that_hardly_differ_are_chosen_from_alike(prices):
    for seed in range(15):
        whole = random_task(seed, prices)
        assert choose(whole) == choose_among_all(whole), seed


@pytest.mark.parametrize(
    ("others", "chosen"),
    [
        pytest.param({"price": 99}, "B", id="less"),
        pytest.param({"price": 100}, "A", id="as much, so the first SKU"),
        pytest.param({"price": 101}, "A", id="more"),
        pytest.param({"price": 99, "stock": 1}, "AB", id="less, but too few of them"),
        pytest.param({"price": 99, "stock": 0}, "A", id="less, but none of them"),
        pytest.param({"price": None}, "A", id="a price that is not known"),
        pytest.param({"price": 199, "pack_quantity": 2}, "B", id="a pack that is less"),
        pytest.param({"price": 200, "pack_quantity": 3}, "A", id="a pack as dear, with one left over"),
        pytest.param({"price": 200, "pack_quantity": 2}, "A", id="a pack as dear, with none left over"),
    ],
)
def test_of_two_axles_as_good_the_kit_has_the_cheaper(others, chosen):
    found = choose(task([part("A", price=100), part("B", **others)], (2, None)))
    assert set(axles_of(found)) == set(chosen)


def test_a_part_that_serves_all_positions_goes_before_two_that_cost_as_much():
    parts = [part("A", price=100), part("B", price=100), part("C", price=100)]
    # A fits the first, B the second, C both.
    assert axles_of(choose(task(parts, (1, {"A": 0, "C": 0}), (1, {"B": 0, "C": 0})))) == ["C", "C"]


def test_of_kits_at_one_price_with_as_many_parts_the_one_with_fewer_pieces_left_over_is_made():
    parts = [part("A", price=200, pack_quantity=3), part("B", price=200, pack_quantity=2)]
    assert axles_of(choose(task(parts, (2, None)))) == ["B", "B"]


def test_a_preference_decides_between_kits_that_are_equal_otherwise_and_never_against_the_price():
    parts = [part("A", price=100, missed=1), part("B", price=100)]
    assert axles_of(choose(task(parts, (2, None)))) == ["B", "B"]
    parts = [part("A", price=99, missed=1), part("B", price=100)]
    assert axles_of(choose(task(parts, (2, None)))) == ["A", "A"]


def test_the_verdict_goes_before_the_price():
    parts = [part("A", price=100), part("B", price=900)]
    assert axles_of(choose(task(parts, (2, {"A": 1, "B": 0})))) == ["B", "B"]


def test_the_best_axles_go_as_far_as_their_stock_and_no_position_stays_empty_for_a_verdict():
    parts = [part("A", price=900, stock=1), part("B", price=100, stock=1), part("C", price=100, stock=0)]
    found = choose(task(parts, (3, {"A": 0, "B": 2, "C": 0})))
    assert (axles_of(found), len(found.axle_at)) == (["A", "B"], 2)


def test_an_axle_that_only_one_position_can_have_is_left_to_it():
    parts = [part("A", price=100, stock=1), part("B", price=300)]
    # At the second position nothing but A fits; at the first, B does too.
    assert axles_of(choose(task(parts, (1, {"A": 0, "B": 0}), (1, {"A": 0})))) == ["B", "A"]
    # As an axle with a caution B would still fill the first.
    assert axles_of(choose(task(parts, (1, {"A": 0, "B": 1}), (1, {"A": 0})))) == ["B", "A"]


def test_a_dearer_axle_without_a_sleeve_goes_before_a_thin_one_whose_sleeves_are_out_of_stock():
    thin, thick = part("A", price=100, sleeve_mm=6.0), part("B", price=500)
    sleeves = {6.0: [part("S", price=10, stock=0)]}
    assert axles_of(choose(task([thin, thick], (2, None), sleeves=sleeves))) == ["B", "B"]
    sleeves = {6.0: [part("S", price=10)]}
    found = choose(task([thin, thick], (2, None), sleeves=sleeves))
    assert (axles_of(found), dict(found.sleeve_at)) == (["A", "A"], {0: "S", 1: "S"})


def test_the_price_of_the_sleeves_counts():
    thin, thick = part("A", price=100, sleeve_mm=6.0), part("B", price=150)
    sleeves = {6.0: [part("S", price=60)]}
    assert axles_of(choose(task([thin, thick], (2, None), sleeves=sleeves))) == ["B", "B"]


def test_what_no_solver_can_prove_in_its_time_is_an_error(monkeypatch):
    monkeypatch.setattr(programme, "_SECONDS", 0.0)
    with pytest.raises(KitNotSolvedError):
        choose_among_all(random_task(1, lambda drawn: drawn.randint(50, 400)))


def test_a_programme_holds_what_it_brought_to_its_least():
    made = Programme()
    one, other = made.unknown(5), made.unknown(5)
    made.row({one: 2, other: 3}, lower=7)
    assert made.minimise({one: 1, other: 1}) == 3  # 2·2 + 3·1 = 7; with two alone at most 6
    assert made.minimise({other: 1}) == 1
    assert made.solution == [2, 1]
