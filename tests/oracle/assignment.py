"""Shelves and sets assigned to layers, against scipy's linear_sum_assignment on fresh random costs.

Each row may be left without a column at a cost of its own, which scipy is told as a column that only this row may take.
What this does not do: ask about the demands that join shelves and sets; brute force does, beside the code.
"""

import numpy
from scipy.optimize import linear_sum_assignment

# Large enough to be never taken, small enough for exact sums in double precision.
NEVER = 10**9


def check(ask, rng):
    n_left, largest = 0, 0
    for _ in range(120):
        n_rows = rng.choice([1, 2, 5, 20, 40])
        n_columns = rng.choice([0, 1, n_rows // 2, n_rows, 3 * n_rows, 300])
        width = rng.choice([3, 100, 20_000])
        allowed = rng.choice([1.0, 0.9, 0.4])
        cells = [
            [rng.randrange(-width, width) if rng.random() < allowed else None for _ in range(n_columns)]
            for _ in range(n_rows)
        ]
        leave = [rng.randrange(width, 40 * width) for _ in range(n_rows)]
        answer = ask("assignment", {"n_columns": n_columns, "cells": cells, "leave": leave})
        table = numpy.full((n_rows, n_columns + n_rows), NEVER, dtype=numpy.int64)
        for row, costs in enumerate(cells):
            for column, cost in enumerate(costs):
                if cost is not None:
                    table[row, column] = cost
            table[row, n_columns + row] = leave[row]
        rows, columns = linear_sum_assignment(table)
        expected = int(table[rows, columns].sum())
        assert answer["cost"] == expected == answer["bound"], (answer, expected)
        taken = [column for column in answer["columns"] if column is not None]
        assert len(taken) == len(set(taken)), answer
        again = sum(
            leave[row] if column is None else cells[row][column]
            for row, column in enumerate(answer["columns"])
        )
        assert again == expected, (answer, again)
        n_left += answer["columns"].count(None)
        largest = max(largest, n_rows * n_columns)
    return f"{n_left} rows left without a column, up to {largest} cells, by scipy's linear_sum_assignment"
