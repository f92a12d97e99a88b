"""Sets of posts with limits of their own against an exact integer programme over all subsets.

What this does not do: ask for more than 26 posts; CP-SAT, not the search, is the slow one here.
"""

from packing import best, candidates


def check(ask, rng):
    refused = 0
    for _ in range(60):
        size = rng.choice([2, 3, 3, 4])
        n = rng.randint(1, {2: 26, 3: 20, 4: 14}[size])
        width = rng.choice([20, 60, 200])
        heights = [1000 + rng.randrange(width) for _ in range(n)]
        limits = [rng.choice([0, 0, rng.randrange(60)]) for _ in range(n)]
        tolerance = rng.choice([0, 3, 10])
        sets = candidates(range(n), heights, size, tolerance, limits)
        values = {chosen: (1, -removed, -spread) for chosen, (removed, spread) in sets.items()}
        question = {"heights": heights, "limits": limits, "set_size": size, "tolerance": tolerance}
        answer = ask.or_refusal("own-limits", question)
        if "refused" in answer:
            # Never a wrong answer; a refusal is allowed, but not as a habit.
            refused += 1
            continue
        found = (answer["n_sets"], -answer["removed"], -answer["spread"])
        expected = best(values) or (0, 0, 0)
        assert found == expected, (question, found, expected)
    assert refused <= 3, f"{refused} of 60 refused"
    return f"{refused} refused, by CP-SAT"
