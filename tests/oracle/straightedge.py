"""straightedge against numpy: the pseudo-inverse of the network's equations.

The pseudo-inverse gives the shortest of the best answers; planes change no reading, so it has none of them.

What this does not do: places that are merged from a little way off; its crossings are exact.
"""

import numpy as np

L, W = 600.0, 300.0
LINES = [
    ((0, 0), (L, W)),
    ((0, W), (L, 0)),
    ((0, W / 2), (L, W / 2)),
    ((L / 2, 0), (L / 2, W)),
    ((0, 0), (L, 0)),
    ((0, W), (L, W)),
    ((0, 0), (0, W)),
    ((L, 0), (L, W)),
]


def network(rng):
    chosen = LINES[: rng.choice([2, 3, 3, 4])] + rng.sample(LINES[4:], rng.randint(0, 4))
    fractions = rng.choice([[0.5], [0.25, 0.5, 0.75], [0.1, 0.5, 0.7]])
    lines = []
    for start, end in chosen:
        readings = [{"at": at, "dip_mm": round(rng.gauss(0.3, 0.3), 2)} for at in fractions]
        ends = [dict(zip(("x_mm", "y_mm"), place)) for place in (start, end)]
        lines.append({"from": ends[0], "to": ends[1], "readings": readings})
    return lines


def check(ask, rng):
    checked = open_ways = 0
    for _ in range(150):
        lines = network(rng)
        places, rows, dips, names = [], [], [], []

        def place(x, y):
            for i, other in enumerate(places):
                if abs(other[0] - x) + abs(other[1] - y) < 1e-6:
                    return i
            places.append((x, y))
            return len(places) - 1

        for i, line in enumerate(lines):
            (x0, y0), (x1, y1) = (tuple(line[end].values()) for end in ("from", "to"))
            ends = place(x0, y0), place(x1, y1)
            for j, reading in enumerate(line["readings"]):
                at = reading["at"]
                middle = place((1 - at) * x0 + at * x1, (1 - at) * y0 + at * y1)
                rows.append({middle: 1.0, ends[0]: at - 1, ends[1]: -at})
                dips.append(reading["dip_mm"])
                names.append((i, j))
        matrix = np.zeros((len(rows), len(places)))
        for row, parts in zip(matrix, rows):
            for i, part in parts.items():
                row[i] += part
        heights = np.linalg.pinv(matrix, rcond=1e-9) @ -np.array(dips)
        rank = np.linalg.matrix_rank(matrix, tol=1e-9)
        answer = ask("straightedge", {"length_mm": L, "width_mm": W, "lines": lines})
        found = answer["points"]
        assert [(p["x_mm"], p["y_mm"]) for p in found] == [(float(x), float(y)) for x, y in places]
        off = max(abs(p["z_mm"] - z) for p, z in zip(found, heights))
        assert off < 1e-10, (lines, off)
        assert answer["undetermined"] == len(places) - rank - 3, lines
        open_ways += answer["undetermined"] > 0
        misfits = matrix @ heights + dips
        if len(rows) == rank:
            assert answer["closure_rms_mm"] is None and answer["closure_worst"] is None
            continue
        checked += 1
        assert abs(answer["closure_rms_mm"] - np.sqrt(np.mean(misfits**2))) < 1e-10
        worst = answer["closure_worst"]
        here = misfits[names.index((worst["line"], worst["reading"]))]
        assert abs(worst["residual_mm"] - here) < 1e-10
        assert abs(here) >= np.max(np.abs(misfits)) - 1e-10
    return f"{checked} networks with closure, {open_ways} with a way open, by numpy"
