"""Times general-purpose libraries on what Tripoise's benchmarks do, on the machine of the benchmark.

    target/oracle/bin/python tests/oracle/peers.py match 60     # the most posts that CP-SAT groups in 60 s
    target/oracle/bin/python tests/oracle/peers.py life 10000   # lifelines on so many pieces

Prints one JSON object on stdout. `python3 tests/oracle/run.py --prepare` makes target/oracle.

What this does not do: time Tripoise; `cargo xtask bench` does, and sets both side by side.
"""

import json
import math
import random
import sys
import time
import warnings


def match(seconds):
    """Doubles the posts until CP-SAT no longer proves the best sets within the time."""
    from ortools.sat.python import cp_model

    from packing import candidates

    rng, proved, n_posts = random.Random(7), None, 12
    while True:
        # As dense as a studio's stock: one nominal height, 4 hundredths of a millimetre a post.
        heights = [15000 + rng.randrange(4 * n_posts) for _ in range(n_posts)]
        start = time.monotonic()
        order = sorted(range(n_posts), key=lambda i: heights[i])
        near = [order[at : at + 40] for at in range(0, n_posts, 20)]
        sets = {}
        for posts in near:
            sets.update(candidates(posts, heights, 3, 50, [0] * n_posts))
        model = cp_model.CpModel()
        take = {chosen: model.new_bool_var("") for chosen in sets}
        for post in range(n_posts):
            model.add_at_most_one(take[chosen] for chosen in sets if post in chosen)
        weight = 50 * n_posts + 1
        model.maximize(sum((weight - spread) * take[chosen] for chosen, (_, spread) in sets.items()))
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = 2
        status = solver.solve(model)
        took = time.monotonic() - start
        if status != cp_model.OPTIMAL or took > seconds:
            break
        proved = {"posts": n_posts, "seconds": took, "candidates": len(sets)}
        n_posts *= 2
    return {"peer": "OR-tools CP-SAT", "limit_s": seconds, "largest_proved": proved}


def life(n_pieces):
    import numpy as np
    from lifelines import KaplanMeierFitter, WeibullFitter

    rng = random.Random(7)
    ages = [150 * (-math.log(1 - rng.random())) ** 0.5 for _ in range(n_pieces)]
    ends = [rng.uniform(20, 300) for _ in range(n_pieces)]
    firings = np.array([max(1, math.ceil(min(age, end))) for age, end in zip(ages, ends)])
    retired = np.array([age <= end for age, end in zip(ages, ends)])
    start = time.monotonic()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        KaplanMeierFitter().fit(firings, retired)
        law = WeibullFitter().fit(firings, retired)
    took = time.monotonic() - start
    return {"peer": "lifelines", "pieces": n_pieces, "seconds": took, "shape": law.rho_}


if __name__ == "__main__":
    what, size = sys.argv[1], int(sys.argv[2])
    print(json.dumps({"match": match, "life": life}[what](size)))
