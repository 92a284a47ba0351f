"""An integer programme with objectives in order: each is brought to its least and held there.

All numbers are whole. The solver (HiGHS) works in floating point with gaps of 0; each of its solutions is
rounded to whole numbers and tested in whole numbers against every row, and its bound must leave no room for
a better one. So an optimum is exact, or there is an error.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import highspy

from service.fitting.kits.errors import KitNotSolvedError

_TOLERANCE = 1e-9
_ROUNDING = 1e-4
"""A solution's numbers lie no farther from whole ones."""
_ROOM = 0.5
"""Sums are whole: half of one more or less lets no other in, and keeps the limit clear of rounding."""
_COLUMN = 10_000
"""Greater factors in a row are more than floating point can hold apart from the solver's tolerances."""
_SECONDS = 20.0


class _Row(NamedTuple):
    terms: Mapping[int, int]
    lower: int | None
    upper: int | None

    def holds_for(self, solution: Sequence[int]) -> bool:
        total = _value(self.terms, solution)
        return (self.lower is None or total >= self.lower) and (self.upper is None or total <= self.upper)


class _QuietSolver(highspy.Highs):
    """The solver without callbacks, which cost time and print a line at the start."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    def enableCallbacks(self) -> None:  # noqa: N802 (the solver's own name)
        """Called when the solver is made."""
        self.silent()


class Programme:
    """Whole unknowns from 0 to their upper limits, rows that bind them, and a solution that is kept."""

    def __init__(self) -> None:
        self._solver = _QuietSolver()
        for option, value in {
            "threads": 1,
            "random_seed": 0,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": 0.0,
            "mip_feasibility_tolerance": _TOLERANCE,
            "primal_feasibility_tolerance": _TOLERANCE,
            "dual_feasibility_tolerance": _TOLERANCE,
            "time_limit": _SECONDS,
        }.items():
            self._solver.setOptionValue(option, value)
        self._limits: list[tuple[int, int]] = []
        self._rows: list[_Row] = []
        self._costs: Mapping[int, int] = {}
        self.solution: list[int] | None = None

    def unknown(self, upper: int, *, value: int | None = None) -> int:
        """The number of a new unknown, from 0 to its limit; with its value the solution is kept."""
        number = len(self._limits)
        self._solver.addCol(0.0, 0.0, float(upper), 0, [], [])
        self._solver.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        self._limits.append((0, upper))
        self.solution = None if self.solution is None or value is None else [*self.solution, value]
        return number

    def at_least(self, unknown: int, lower: int) -> None:
        """Raise the lower limit of an unknown."""
        upper = self._limits[unknown][1]
        self._solver.changeColBounds(unknown, float(lower), float(upper))
        self._limits[unknown] = (lower, upper)

    def row(self, terms: Mapping[int, int], *, lower: int | None = None, upper: int | None = None) -> None:
        """A sum of unknowns within limits."""
        row = _Row(dict(terms), lower, upper)
        self._rows.append(row)
        self._solver.addRow(
            -highspy.kHighsInf if lower is None else lower - _ROOM,
            highspy.kHighsInf if upper is None else upper + _ROOM,
            len(row.terms),
            list(row.terms),
            [float(factor) for factor in row.terms.values()],
        )
        if self.solution is not None and not row.holds_for(self.solution):
            self.solution = None

    def minimise(self, costs: Mapping[int, int], *, least: int = 0) -> int:
        """Bring a sum to its least value and hold it there; ``least`` is a value that it cannot go below."""
        value = _value(costs, self.solution) if self.solution is not None else None
        if value is None or value > least:
            value = self._solved(costs)
        self._hold(costs, value)
        return value

    def _hold(self, costs: Mapping[int, int], value: int) -> None:
        """Keep a sum at its least; a sum of great numbers in two rows, as one adds in columns."""
        if max(costs.values(), default=0) <= _COLUMN:
            self.row(costs, upper=value)
            return
        high, low = divmod(value, _COLUMN)
        costs_high = {unknown: cost // _COLUMN for unknown, cost in costs.items()}
        costs_low = {unknown: cost % _COLUMN for unknown, cost in costs.items()}
        carried = None if self.solution is None else high - _value(costs_high, self.solution)
        carry = self.unknown(high, value=carried)
        self.row(costs_low | {carry: -_COLUMN}, lower=low, upper=low)
        self.row(costs_high | {carry: 1}, lower=high, upper=high)

    def _solved(self, costs: Mapping[int, int]) -> int:
        for unknown in self._costs:
            self._solver.changeColCost(unknown, 0.0)
        for unknown, cost in costs.items():
            self._solver.changeColCost(unknown, float(cost))
        self._costs = dict(costs)
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise KitNotSolvedError("The best kit was not found in time; describe the frame more closely.")
        found = self._solver.getSolution().col_value
        solution = [round(number) for number in found]
        exact = all(abs(f - s) <= _ROUNDING for f, s in zip(found, solution, strict=True))
        value = _value(costs, solution)
        bound = self._solver.getInfo().mip_dual_bound if costs else 0.0
        if not (exact and self._holds_for(solution) and math.isfinite(bound) and bound > value - 1 + _ROOM):
            raise KitNotSolvedError("The kit's prices are too far apart for an exact sum.")
        self.solution = solution
        return value

    def _holds_for(self, solution: Sequence[int]) -> bool:
        within = all(low <= n <= up for n, (low, up) in zip(solution, self._limits, strict=True))
        return within and all(row.holds_for(solution) for row in self._rows)


def _value(terms: Mapping[int, int], solution: Sequence[int]) -> int:
    return sum(factor * solution[unknown] for unknown, factor in terms.items())
