"""Texts that a spreadsheet would take for a formula: an apostrophe before them makes them text again.

It is put there on the way out and taken off on the way in; a text with one of its own has two in the file,
and comes back with one. Numbers are no texts: -0.5 stays as it is.
"""

from __future__ import annotations

import re

# The signs that begin a formula, and their wide forms, which some programs take for them. Tab and carriage
# return begin one too; no text of the catalogue holds either.
_SIGNS = "=+\\-@＝＋－＠"
_FORMULA = re.compile(f"'*[{_SIGNS}]")
_MARKED = re.compile(f"'+[{_SIGNS}]")
MARK = "'"
TEXTS = frozenset({"name"})
"""The columns that may hold any text."""


def as_cell(text: str) -> str:
    """The text as a cell that no spreadsheet calculates."""
    return MARK + text if _FORMULA.match(text) else text


def from_cell(cell: str) -> str:
    """The text of a cell."""
    return cell[1:] if _MARKED.match(cell) else cell
