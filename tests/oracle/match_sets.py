"""match against an exact integer programme over all subsets.

What this does not do: compare the sets themselves; there are ties.
"""

import math

from packing import best, candidates


def instance(rng):
    size = rng.choice([2, 3, 3, 3, 4])
    n = rng.randint(1, {2: 26, 3: 18, 4: 14}[size])
    clusters = [rng.randrange(10000, 20000) for _ in range(rng.randint(1, 3))]
    width = rng.choice([10, 40, 150])
    heights = [rng.choice(clusters) + rng.randrange(width) for _ in range(n)]
    return size, heights, rng.choice([0, 5, 20, 50]), rng.choice([0, 10, 50, 100])


def check(ask, rng):
    n_sets = n_ground = 0
    for _ in range(120):
        size, heights, tolerance, dress_max = instance(rng)
        question = {
            "posts": [{"code": f"P{i}", "height_mm": h / 100} for i, h in enumerate(heights)],
            "set_size": size,
            "tolerance_mm": tolerance / 100,
            "dress_max_mm": dress_max / 100,
        }
        used = tolerance
        if rng.random() < 0.3:
            # With a guard band the amounts ground off are no whole hundredths: match without grinding.
            dress_max = question["dress_max_mm"] = 0
            question["u_height_mm"], question["coverage"] = rng.choice([0.01, 0.03]), 1.645
            used = tolerance - 164.5 * math.sqrt(2) * question["u_height_mm"]
        sets = candidates(range(len(heights)), heights, size, used, [dress_max] * len(heights))
        values = {chosen: (1, -removed, -spread) for chosen, (removed, spread) in sets.items()}
        expected = best(values) or (0, 0, 0)
        answer = ask("match", question)
        found = (answer["n_sets"], -answer["total_removed_mm"] * 100, -answer["total_spread_mm"] * 100)
        assert all(abs(a - b) < 1e-6 for a, b in zip(found, expected)), (question, found, expected)
        n_sets += answer["n_sets"]
        n_ground += answer["total_removed_mm"] > 0
    return f"{n_sets} sets, {n_ground} answers with grinding, by CP-SAT"
