"""flatness against qhull, a linear programme and numpy.

The minimum zone is the least distance from zero of a facet of the hull of all differences of two points:
qhull takes that hull outright for up to 40 points. For more, HiGHS solves the vertical programme in a frame
turned to the plane found, again and again until the plane stays.

What this does not do: trust a tolerance of a library; a plane found is measured over all points.
"""

import math

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull


def face(rng, n):
    bow, twist, tilt = rng.uniform(-2, 2), rng.uniform(-1, 1), rng.choice([0.001, 0.05, 1.0])
    noise, step = rng.choice([0.0, 0.05, 0.5, 200.0]), rng.choice([0, 0, 0.05])
    side, slope_x, slope_y = round(math.sqrt(n)), rng.gauss(0, tilt), rng.gauss(0, tilt)
    points = []
    for i in range(n):
        u, v = rng.uniform(-1, 1), rng.uniform(-1, 1)
        if step:
            u, v = (2 * (k % max(2, side)) / max(1, side - 1) - 1 for k in (i, i // max(2, side)))
        z = bow * u * u + twist * u * v + 300 * slope_x * u + 150 * slope_y * v + noise * rng.uniform(-1, 1)
        points.append([300 * u + 300, 150 * v + 150, round(z / step) * step if step else z])
    return np.array(points)


def by_hull(points):
    """The least distance of a facet of the differences' hull from zero."""
    differences = (points[:, None, :] - points[None, :, :]).reshape(-1, 3)
    return float(np.min(np.abs(ConvexHull(differences, qhull_options="Qt").equations[:, 3])))


def by_programme(points):
    """The zone by vertical programmes in frames turned to the plane of the last."""
    points = points - points.mean(axis=0)
    normal = np.linalg.svd(points, full_matrices=False)[2][2]
    width = np.ptp(points @ normal)
    for _ in range(20):
        frame = np.linalg.qr(np.column_stack([normal, np.eye(3)]))[0][:, :3]
        local = points @ frame[:, [1, 2, 0]]
        scale = np.array([np.abs(local[:, 0]).max(), np.abs(local[:, 1]).max(), np.ptp(local[:, 2])])
        x, y, z = (local / scale).T
        ones = np.ones(len(x))
        rows = np.vstack([np.column_stack([-x, -y, -ones, -ones]), np.column_stack([x, y, ones, -ones])])
        bounds = [(None, None)] * 3 + [(0, None)]
        found = linprog([0, 0, 0, 1], A_ub=rows, b_ub=np.concatenate([-z, z]), bounds=bounds)
        assert found.status == 0, found.message
        a, b = found.x[:2] * scale[2] / scale[:2]
        turned = frame[:, [1, 2, 0]] @ np.array([-a, -b, 1.0])
        turned /= np.linalg.norm(turned)
        next_width = np.ptp(points @ turned)
        if next_width >= width - 1e-13:
            break
        normal, width = turned, next_width
    return float(width)


def check_rest(answer, points):
    centred = points - points.mean(axis=0)
    normal = np.linalg.svd(centred, full_matrices=False)[2][2]
    heights = centred @ (normal * np.sign(normal[2]))
    pairs = [
        ("least_squares_mm", np.ptp(heights)),
        ("peak_mm", heights.max()),
        ("valley_mm", -heights.min()),
        ("rms_mm", math.sqrt(np.mean(heights**2))),
    ]
    low, high = points.min(axis=0), points.max(axis=0)
    u, v = ((2 * points - low - high) / np.where(high > low, high - low, 1))[:, :2].T
    terms = lambda u, v: np.array([np.ones_like(u), u, v, u * u, u * v, v * v]).T
    c, _, rank, _ = np.linalg.lstsq(terms(u, v), points[:, 2], rcond=1e-8)
    if len(points) >= 6 and rank == 6 and answer["bow_mm"] is not None:
        corner = lambda u, v: float(terms(np.array([u]), np.array([v]))[0] @ c)
        corners = [corner(-1, -1), corner(1, 1), corner(-1, 1), corner(1, -1)]
        pairs.append(("bow_mm", corner(0.0, 0.0) - sum(corners) / 4))
        pairs.append(("twist_mm", (corners[0] + corners[1] - corners[2] - corners[3]) / 2))
    elif len(points) < 6 or rank < 6:
        assert answer["bow_mm"] is None and answer["twist_mm"] is None
    for name, value in pairs:
        assert abs(answer[name] - value) <= 1e-8 * max(1, abs(value)), (name, answer[name], value)


def check(ask, rng):
    by_qhull = by_highs = 0
    for _ in range(150):
        n = rng.choice([4, 5, 6, 9, 12, 25, 36, 40, 60, 400])
        points = face(rng, n)
        if np.linalg.svd(points[:, :2] - points[:, :2].mean(axis=0))[1][1] < 1:
            continue
        rows = [{"x_mm": x, "y_mm": y, "z_mm": z} for x, y, z in points.tolist()]
        answer = ask("flatness", {"points": rows})
        thick = np.linalg.svd(points - points.mean(axis=0))[1][2]
        if n <= 40 and thick > 1e-6:
            by_qhull += 1
            expected = by_hull(points)
            assert abs(answer["minimum_zone_mm"] - expected) <= 1e-9, (rows, answer, expected)
        else:
            by_highs += 1
            expected = by_programme(points)
            # A local search may stop short of the least of all; never below it.
            assert answer["minimum_zone_mm"] <= expected + 1e-9, (rows, answer, expected)
            assert thick > 50 or answer["minimum_zone_mm"] >= expected - 1e-9, (rows, answer, expected)
        check_rest(answer, points)
    return f"{by_qhull} zones by qhull, {by_highs} by HiGHS"
