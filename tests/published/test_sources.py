"""Every published value stands beside its source, and beside how it was confirmed."""

import importlib.util
import re
from pathlib import Path

import pytest

MODULES = sorted(Path(__file__).parent.glob("test_*.py"))
CONFIRMED = re.compile(r"(seen|reproduced|recomputed)\b")
"""Seen in a public source, reproduced by a library, or recomputed from the formula; never memory alone."""


def rows_of(path):
    """The rows of a module of this folder; the folder is no package."""
    spec = importlib.util.spec_from_file_location(f"published_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return getattr(module, "PUBLISHED", [])


ROWS = {path.stem: rows_of(path) for path in MODULES if path != Path(__file__)}


@pytest.mark.parametrize(
    "rows", [rows for rows in ROWS.values() if rows], ids=[m for m, r in ROWS.items() if r]
)
def test_every_published_value_names_its_source_and_how_it_was_confirmed(rows):
    for what, _ours, _value, _tolerance, source, confirmed in rows:
        assert re.search(r"\d", source), f"{what}: the source names no edition or clause"
        assert CONFIRMED.search(confirmed), f"{what}: only from memory, or not confirmed"


@pytest.mark.parametrize(
    "rows", [rows for rows in ROWS.values() if rows], ids=[m for m, r in ROWS.items() if r]
)
def test_no_published_value_is_checked_twice_under_one_name(rows):
    names = [what for what, *_ in rows]
    assert len(set(names)) == len(names)


def test_there_are_many_more_published_values_than_the_sixty_that_are_asked_for():
    assert sum(len(rows) for rows in ROWS.values()) >= 60
