"""The form that every published value has, and how a test is given one at a time."""

from collections.abc import Callable
from typing import NamedTuple


class Published(NamedTuple):
    """A value that is printed outside of the project, and what of ours must give it.

    ``tolerance`` is half a unit of the last printed digit, unless the module says why it is more.
    ``source`` names work, edition and clause; ``confirmed`` says how the value was confirmed, and
    ``from memory`` where a part of it is only remembered.
    """

    what: str
    ours: Callable[[], float | tuple[float, ...]]
    value: float | tuple[float, ...]
    tolerance: float
    source: str
    confirmed: str


def pytest_generate_tests(metafunc):
    """A test that asks for ``published`` is run with each row of its module's ``PUBLISHED``."""
    if "published" in metafunc.fixturenames:
        rows = [Published(*row) for row in metafunc.module.PUBLISHED]
        metafunc.parametrize("published", rows, ids=[row.what for row in rows])
