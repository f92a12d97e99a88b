"""stack against numpy: planes by a linear solve, positions by summing the rotations of each layer.

What this does not do: large angles; the calculation is for small ones.
"""

import numpy as np


def distance_to_sides(corners, at):
    """Signed distances by barycentric heights: share of a corner times its height over the other side."""
    corners = np.array(corners)
    system = np.vstack([corners.T, np.ones(3)])
    shares = np.linalg.solve(system, [at[0], at[1], 1.0])
    heights = []
    for i in range(3):
        a, b, c = corners[i], corners[i - 1], corners[i - 2]
        along = (c - b) / np.linalg.norm(c - b)
        off = (a - b) - np.dot(a - b, along) * along
        heights.append(np.linalg.norm(off))
    return shares * np.array(heights)


def layer(rng):
    post = lambda x, y: {
        "x_mm": x + rng.uniform(-40, 40),
        "y_mm": y + rng.uniform(-40, 40),
        "height_mm": rng.uniform(60, 200),
    }
    load = lambda: {
        "x_mm": rng.uniform(0, 600),
        "y_mm": rng.uniform(0, 300),
        "mass_kg": rng.uniform(0, 5),
        "centre_height_mm": rng.uniform(10, 150),
    }
    return {
        "posts": [post(50, 50), post(550, 50), post(300, 250)],
        "shelf": {
            "length_mm": 600,
            "width_mm": 300,
            "thickness_mm": rng.uniform(5, 25),
            "mass_kg": rng.uniform(1, 10),
        },
        "loads": [load() for _ in range(rng.randint(0, 5))],
    }


def check(ask, rng):
    for _ in range(100):
        layers = [layer(rng) for _ in range(rng.randint(1, 9))]
        answer = ask("stack", {"layers": layers})
        slope, lean, top = np.zeros(2), np.zeros(2), 0.0
        slopes, leans, masses = [], [np.zeros(2)], []
        for own in layers:
            rows = [[p["x_mm"], p["y_mm"], 1.0] for p in own["posts"]]
            tops = [p["height_mm"] for p in own["posts"]]
            gradient = np.linalg.solve(rows, tops)[:2]
            thickness = own["shelf"]["thickness_mm"]
            lean = lean - slope * np.mean(tops)
            slope = slope + gradient
            lean = lean - slope * thickness
            top += np.mean(tops) + thickness
            slopes.append(slope)
            leans.append(lean)
            here = [(own["shelf"]["mass_kg"], np.array([300.0, 150.0]) + lean + slope * thickness / 2)]
            for load in own["loads"]:
                at = np.array([load["x_mm"], load["y_mm"]])
                here.append((load["mass_kg"], at + lean - slope * load["centre_height_mm"]))
            masses.append(here)
        assert abs(answer["height_mm"] - top) < 1e-8
        for i, own in enumerate(layers):
            carried = [mass for here in masses[i:] for mass in here]
            total = sum(mass for mass, _ in carried)
            centre = sum(mass * at for mass, at in carried) / total - leans[i]
            corners = [(p["x_mm"], p["y_mm"]) for p in own["posts"]]
            row = answer["layers"][i]
            pairs = [
                (row["margin_mm"], min(distance_to_sides(corners, centre))),
                (row["slope_mm_per_m"], 1000 * np.linalg.norm(slopes[i])),
                (row["lean_mm"], np.linalg.norm(leans[i + 1])),
                (row["carried_kg"], total),
            ]
            assert all(abs(a - b) <= 1e-8 * max(1, abs(b)) for a, b in pairs), (layers, i, pairs)
        margins = [row["margin_mm"] for row in answer["layers"]]
        assert answer["worst_layer"] == int(np.argmin(margins))
    return "by numpy"
