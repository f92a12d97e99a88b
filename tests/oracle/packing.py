"""Exact set packing by an integer programme (OR-tools CP-SAT): what the oracles of grouping share.

What this does not do: use any order of the posts, or any theorem about it. Every subset is a candidate.
"""

from itertools import combinations

from ortools.sat.python import cp_model


def cost(heights, tolerance, limits):
    """(removed, spread after grinding) of one set, or None; limits are per post, heights in any order."""
    lowest = min(heights)
    cuts = [max(0, height - lowest - tolerance) for height in heights]
    if tolerance < 0 or any(cut > limit for cut, limit in zip(cuts, limits)):
        return None
    finished = [height - cut for height, cut in zip(heights, cuts)]
    return sum(cuts), max(finished) - min(finished)


def candidates(posts, heights, size, tolerance, limits):
    """Every subset of `posts` that can be a set: {posts: (removed, spread)}."""
    found = {}
    for chosen in combinations(sorted(posts), size):
        worth = cost([heights[i] for i in chosen], tolerance, [limits[i] for i in chosen])
        if worth is not None:
            found[chosen] = worth
    return found


def best(values):
    """The lexicographic maximum of summed integer tuples over disjoint sets; values: {posts: tuple}.

    One programme per criterion, each held for the next, so no weight can overflow or be too small.
    """
    if not values:
        return None
    model = cp_model.CpModel()
    take = {chosen: model.new_bool_var(str(chosen)) for chosen in values}
    for post in {post for chosen in values for post in chosen}:
        model.add_at_most_one(take[chosen] for chosen in values if post in chosen)
    reached = []
    for criterion in range(len(next(iter(values.values())))):
        total = sum(values[chosen][criterion] * take[chosen] for chosen in values)
        model.maximize(total)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        status = solver.solve(model)
        assert status == cp_model.OPTIMAL, solver.status_name(status)
        reached.append(round(solver.objective_value))
        model.add(total == reached[-1])
    return tuple(reached)
