"""Present sets kept together, against an exact integer programme over all subsets.

What this does not do: compare what is ground off; only the number of sets and of posts that leave are
stated to be the best.
"""

from packing import best, candidates, cost


def check(ask, rng):
    n_left = 0
    for _ in range(60):
        size = rng.choice([2, 3, 3, 4])
        n = rng.randint(size, {2: 20, 3: 16, 4: 13}[size])
        heights = [1000 + rng.randrange(rng.choice([15, 60])) for _ in range(n)]
        tolerance, dress_max = rng.choice([3, 8]), rng.choice([0, 0, 5])
        order = rng.sample(range(n), n)
        present = [order[i * size : (i + 1) * size] for i in range(rng.randint(0, n // size))]
        holds = [cost([heights[i] for i in old], tolerance, [0] * size) is not None for old in present]
        broken = [set(old) for old, whole in zip(present, holds) if not whole]
        free = set(range(n)) - {i for old, whole in zip(present, holds) if whole for i in old}
        values = {}
        for chosen in candidates(free, heights, size, tolerance, [dress_max] * n):
            stay = max((len(old & set(chosen)) for old in broken), default=0)
            values[chosen] = (1, stay if 2 * stay > size else 0)
        n_sets, n_stay = best(values) or (0, 0)
        question = {
            "heights": heights,
            "present": present,
            "set_size": size,
            "tolerance": tolerance,
            "dress_max": dress_max,
        }
        answer = ask("keep", question)
        assert answer["leaving_is_least"], question
        found = (answer["n_sets"] - sum(holds), answer["n_leaving"])
        expected = (n_sets, len(broken) * size - n_stay)
        assert found == expected, (question, found, expected)
        n_left += answer["n_leaving"]
    return f"{n_left} posts left their sets, by CP-SAT"
