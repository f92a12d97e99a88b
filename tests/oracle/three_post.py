"""three-post against numpy and a root finder: planes by a linear solve, tipping masses by trying masses.

What this does not do: use any closed form for the mass that tips; it is found where a share reaches zero.
"""

import math

import numpy as np
from scipy.optimize import brentq

SHAPES = ["rectangle", "disc", "half-disc"]


def rim(shape, length, width):
    if shape == "rectangle":
        return [(0, 0), (length, 0), (length, width), (0, width)]
    r, end = length / 2, math.pi if shape == "half-disc" else 2 * math.pi
    middle = 0 if shape == "half-disc" else r
    return [(r + r * math.cos(a), middle + r * math.sin(a)) for a in np.linspace(0, end, 3601)]


def tipping_mass(shares, centre, mass, place):
    """The least mass at `place` at which a post carries nothing."""
    least = lambda m: min(shares((mass * centre + m * np.array(place)) / (mass + m)))
    masses = np.concatenate([[0.0], mass * np.logspace(-4, 6, 120)])
    values = [least(m) for m in masses]
    for low, high, value in zip(masses, masses[1:], values[1:]):
        if value < 0:
            return brentq(least, low, high, xtol=1e-13, rtol=1e-14)
    return None


def check(ask, rng):
    tipped = 0
    for _ in range(60):
        shape = rng.choice(SHAPES)
        length = rng.uniform(200, 700)
        width = {"rectangle": rng.uniform(150, 500), "disc": length, "half-disc": length / 2}[shape]
        spots = [(rng.uniform(0.1, 0.4), 0.15), (rng.uniform(0.6, 0.9), 0.15), (rng.uniform(0.3, 0.7), 0.85)]
        rng.shuffle(spots)
        at = lambda a, b: {"x_mm": a * length, "y_mm": b * width}
        posts = [at(a, b) | {"height_mm": rng.uniform(148, 152)} for a, b in spots]
        loads = [
            at(rng.uniform(0.3, 0.7), rng.uniform(0.2, 0.6)) | {"mass_kg": rng.uniform(0, 3)}
            for _ in range(rng.randint(0, 4))
        ]
        mass, u = rng.uniform(1, 12), rng.uniform(0.01, 0.1)
        shelf = {"length_mm": length, "width_mm": width, "mass_kg": mass, "shape": shape}
        answer = ask("three-post", {"posts": posts, "shelf": shelf, "loads": loads, "u_height_mm": u})
        plan = np.array([[p["x_mm"], p["y_mm"], 1.0] for p in posts])
        tops = np.array([p["height_mm"] for p in posts])
        slope = lambda tops: np.linalg.solve(plan, tops)[:2]
        g = slope(tops)
        middle = np.array([length / 2, 2 * length / (3 * math.pi) if shape == "half-disc" else width / 2])
        total = mass + sum(load["mass_kg"] for load in loads)
        moments = [load["mass_kg"] * np.array([load["x_mm"], load["y_mm"]]) for load in loads]
        centre = (mass * middle + sum(moments)) / total
        shares = lambda at: np.linalg.solve(plan.T, [at[0], at[1], 1.0])
        # First order: the change of the slope's size with each height, by a central difference.
        step = 1e-4
        change = [
            (np.linalg.norm(slope(tops + step * e)) - np.linalg.norm(slope(tops - step * e))) / (2 * step)
            for e in np.eye(3)
        ]
        pairs = [
            (answer["slope_mm_per_m"], 1000 * np.linalg.norm(g)),
            (answer["tilt_deg"], math.degrees(math.atan(np.linalg.norm(g)))),
            (answer["downhill_deg"], math.degrees(math.atan2(-g[1], -g[0]))),
            (answer["centre_of_mass"]["x_mm"], centre[0]),
            (answer["centre_of_mass"]["y_mm"], centre[1]),
            *zip(answer["reaction_shares"], shares(centre)),
        ]
        assert all(abs(a - b) <= 1e-9 * max(1, abs(b)) for a, b in pairs), (posts, pairs)
        assert abs(answer["tilt_u_deg"] / math.degrees(u * np.linalg.norm(change)) - 1) < 1e-4
        assert answer["tips"] == (min(shares(centre)) < 0)
        if answer["tips"]:
            continue
        tipped += 1
        n_corners = {"rectangle": 4, "disc": 0, "half-disc": 2}[shape]
        places = [(0, 0), (length, 0), (length, width), (0, width)][:n_corners]
        assert len(answer["corner_tip_kg"]) == n_corners
        for found, place in zip(answer["corner_tip_kg"], places):
            expected = tipping_mass(shares, centre, total, place)
            assert (found is None) == (expected is None), (posts, place, found, expected)
            assert found is None or abs(found / expected - 1) < 1e-8, (posts, place, found, expected)
        weakest = answer["rim_tip"]
        expected = tipping_mass(shares, centre, total, (weakest["x_mm"], weakest["y_mm"]))
        assert abs(weakest["mass_kg"] / expected - 1) < 1e-8
        # Nowhere on the rim does less do it: the mass needed is least where the place is farthest beyond a
        # side, so a coarse walk around the rim finds none lighter.
        for place in rim(shape, length, width)[:: 1 if shape == "rectangle" else 120]:
            tries = (mass_here for mass_here in [tipping_mass(shares, centre, total, place)] if mass_here)
            assert all(mass_here >= weakest["mass_kg"] * (1 - 1e-6) for mass_here in tries), (posts, place)
    return f"{tipped} that stand, with their tipping masses, by numpy"
