"""Times general-purpose libraries on what Tripoise's benchmarks do, on the machine of the benchmark.

    target/oracle/bin/python tests/oracle/peers.py match 60            # the most posts that CP-SAT groups in 60 s
    target/oracle/bin/python tests/oracle/peers.py flatness FILE       # scipy's linear programme
    target/oracle/bin/python tests/oracle/peers.py plate FILE          # scikit-fem at the accuracy of the contract
    target/oracle/bin/python tests/oracle/peers.py life FILE           # lifelines

FILE is the input of `tripoise calc`, as `cargo xtask bench` leaves it in target/workloads. Reading it is not timed.

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


def best_of(times, run):
    """The least of some runs: what the machine takes when nothing else asks for it."""
    least = math.inf
    for _ in range(times):
        start = time.monotonic()
        run()
        least = min(least, time.monotonic() - start)
    return least


def flatness(file):
    import numpy as np

    from flatness import by_programme

    asked = json.load(open(file))["points"]
    points = np.array([[point["x_mm"], point["y_mm"], point["z_mm"]] for point in asked])
    return {"peer": "scipy linprog", "seconds": best_of(5, lambda: by_programme(points)), "zone_mm": by_programme(points)}


def plate(file):
    from plate import solve

    asked = json.load(open(file))
    deflection = solve(asked)[0]
    return {"peer": "scikit-fem", "seconds": best_of(3, lambda: solve(asked)), "deflection_mm": float(deflection.max())}


def life(file):
    import numpy as np
    from lifelines import KaplanMeierFitter, WeibullFitter

    asked = json.load(open(file))["pieces"]
    firings = np.array([piece["firings"] for piece in asked])
    retired = np.array([piece["retired"] for piece in asked])

    def run():
        KaplanMeierFitter().fit(firings, retired)
        return WeibullFitter().fit(firings, retired)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return {"peer": "lifelines", "seconds": best_of(3, run), "shape": run().rho_}


if __name__ == "__main__":
    what, argument = sys.argv[1], sys.argv[2]
    if what == "match":
        print(json.dumps(match(int(argument))))
    else:
        print(json.dumps({"flatness": flatness, "plate": plate, "life": life}[what](argument)))
