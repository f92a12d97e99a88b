"""plate against scikit-fem: quintic C1 triangles (Argyris) on an even mesh, supports as exact constraints.

Supports, pads and loads lie on the mesh's lattice, so that a pad is a whole number of cells. Deflection is
compared to 0.5 %, the larger of the two moments to 1 % (sagging) and 5 % (hogging), reactions to 0.5 % of
the load: the accuracy that `tripoise calc plate --help` speaks of.

What this does not do: small pads and odd places; the even mesh could not follow them. The project's own
tests hold those against a finer mesh of its own kind.
"""

import time

import numpy as np
from scipy.sparse import bmat, csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, LinearForm, MeshTri
from skfem.element import ElementTriArgyris
from skfem.helpers import dd, ddot, eye, trace

GRAVITY = 9.80665
CELLS = 20  # along the short side, so that the rim of a disc passes through vertices
SHORT = 400.0  # mm, so that a cell is 20 mm
RATIOS = [1.0, 1.25, 1.5, 2.0]
DISC = 0.1


def places_on_a_triangle(n):
    pairs = [(i / n, j / n) for i in range(n + 1) for j in range(n + 1 - i)]
    points = np.array(pairs).T
    return points, np.full(points.shape[1], 0.5 / points.shape[1])


def question(rng):
    """A shelf on 3 to 5 feet that are not near one line, with up to 2 loads."""
    ratio = rng.choice(RATIOS)
    sides = (round(CELLS * ratio), CELLS)
    step = SHORT / CELLS
    while True:
        feet = []
        for _ in range(rng.randint(3, 5)):
            pad = rng.choice([0, 2, 2])  # cells; a pad's centre is a lattice point one cell or more inside
            low = pad // 2
            feet.append((rng.randint(low, sides[0] - low), rng.randint(low, sides[1] - low), pad))
        apart = all(
            max(abs(a[0] - b[0]), abs(a[1] - b[1])) > 4 for i, a in enumerate(feet) for b in feet[:i]
        )
        (ax, ay, _), (bx, by, _), (cx, cy, _) = feet[:3]
        if apart and abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) > 0.3 * sides[0] * sides[1]:
            break
    foot = lambda place: {"x_mm": place[0] * step, "y_mm": place[1] * step, "pad_mm": place[2] * step}
    load = lambda: foot((rng.randint(1, sides[0] - 1), rng.randint(1, sides[1] - 1), 2))
    return {
        "length_mm": sides[0] * step,
        "width_mm": SHORT,
        "thickness_mm": rng.uniform(8, 25),
        "youngs_gpa": rng.uniform(20, 350),
        "poisson": rng.uniform(0.05, 0.35),
        "density_g_cm3": rng.choice([None, rng.uniform(1.9, 3.1)]),
        "supports": [foot(place) for place in feet],
        "pressure_kpa": rng.uniform(0.1, 1),
        "loads": [{**load(), "mass_kg": rng.uniform(0.2, 2)} for _ in range(rng.randint(0, 2))],
    }


def spread_over(basis, foot):
    """The mean over a foot as a row of the finite-element space."""
    at, half = np.array([foot["x_mm"], foot["y_mm"]]) / SHORT, foot["pad_mm"] / SHORT / 2
    if half == 0:
        vertex = int(np.argmin(np.linalg.norm(basis.mesh.p - at[:, None], axis=0)))
        row = np.zeros(basis.N)
        row[basis.nodal_dofs[0, vertex]] = 1.0
        return row
    middles = basis.mesh.p[:, basis.mesh.t].mean(axis=1)
    inside = np.all(np.abs(middles - at[:, None]) < half, axis=0)
    part = Basis(basis.mesh, basis.elem, elements=np.flatnonzero(inside), intorder=8)
    return LinearForm(lambda v, w: v / (2 * half) ** 2).assemble(part)


def solve(asked):
    """Deflection (mm), moments (N) and places (mm) on a fine lattice, deflection at the centre, reactions."""
    nu, t = asked["poisson"], asked["thickness_mm"]
    stiffness = 1000 * asked["youngs_gpa"] * t**3 / (12 * (1 - nu**2))
    nx = round(asked["length_mm"] / SHORT * CELLS)
    mesh = MeshTri.init_tensor(np.linspace(0, nx / CELLS, nx + 1), np.linspace(0, 1, CELLS + 1))
    basis = Basis(mesh, ElementTriArgyris(), intorder=8)

    @BilinearForm
    def energy(u, v, w):
        moment = lambda h: (1 - nu) * h + nu * eye(trace(h), 2)
        return ddot(moment(dd(u)), dd(v))

    pressure = 0.001 * asked["pressure_kpa"] + (asked["density_g_cm3"] or 0) * 1e-6 * t * GRAVITY
    force = pressure * SHORT**2 * LinearForm(lambda v, w: 1.0 * v).assemble(basis)
    for load in asked["loads"]:
        force += load["mass_kg"] * GRAVITY * spread_over(basis, load)
    held = csr_matrix(np.array([spread_over(basis, foot) for foot in asked["supports"]]))
    system = bmat([[energy.assemble(basis), held.T], [held, None]], format="csc")
    solution = spsolve(system, np.concatenate([force, np.zeros(held.shape[0])]))
    bent, reactions = solution[: basis.N], solution[basis.N :]
    fine = Basis(mesh, ElementTriArgyris(), quadrature=places_on_a_triangle(4))
    field, at = fine.interpolate(bent), np.asarray(fine.global_coordinates())
    xx, xy, yy = field.hess[0, 0], field.hess[0, 1], field.hess[1, 1]
    mean, half = -(1 + nu) * (xx + yy) / 2, (1 - nu) * (xx - yy) / 2
    radius = np.hypot(half, (1 - nu) * xy)
    deflection = np.asarray(field) * SHORT**2 / stiffness
    middle = np.linalg.norm(at - np.array([nx / CELLS / 2, 0.5])[:, None, None], axis=0)
    centre = deflection.flat[int(np.argmin(middle))]
    return deflection, mean + radius, mean - radius, at * SHORT, centre, reactions


def outside(at, feet):
    least = np.full(at.shape[1:], np.inf)
    for foot in feet:
        least = np.minimum(least, np.hypot(at[0] - foot["x_mm"], at[1] - foot["y_mm"]))
    return least > DISC * SHORT * (1 - 1e-9)


def compare(asked, answer):
    deflection, most, least, at, centre, reactions = solve(asked)
    load, size = sum(reactions), np.abs(reactions).sum()
    points = [foot for foot in asked["supports"] if foot["pad_mm"] == 0]
    pulling = [asked["supports"][i] for i in answer["lifts"]]
    sagging = most[outside(at, [foot for foot in pulling if foot["pad_mm"] == 0])].max()
    hogging = -least[outside(at, points)].min()
    to_moment = asked["thickness_mm"] ** 2 / 6
    largest, moment = np.abs(deflection).max(), max(sagging, hogging)
    pairs = [
        ("centre", answer["centre_deflection_mm"], centre, 0.005 * largest),
        ("deflection", answer["max_deflection_mm"], deflection.max(), 0.005 * largest),
        ("rise", answer["max_rise_mm"], max(0, -deflection.min()), 0.005 * largest),
        ("sagging", answer["max_sagging_stress_mpa"] * to_moment, sagging, 0.01 * moment),
        ("hogging", answer["max_hogging_stress_mpa"] * to_moment, hogging, 0.05 * moment),
        ("load", answer["load_n"], load, 1e-6 * load),
    ]
    for i, reaction in enumerate(reactions):
        pairs.append((f"reaction {i}", answer["reactions_n"][i], reaction, 0.005 * size))
        assert abs(reaction) < 0.005 * size or (reaction < 0) == (i in answer["lifts"]), (asked, i)
    wrong = [pair for pair in pairs if not abs(pair[1] - pair[2]) <= pair[3]]
    assert not wrong, (wrong, asked)
    return max(abs(pair[1] - pair[2]) / pair[3] for pair in pairs if pair[0] != "load")


def check(ask, rng):
    seconds, worst = 0.0, 0.0
    n_shelves = 8
    for _ in range(n_shelves):
        asked = question(rng)
        answer = ask("plate", asked)
        start = time.monotonic()
        worst = max(worst, compare(asked, answer))
        seconds += time.monotonic() - start
    return f"by scikit-fem, {seconds / n_shelves:.1f} s a shelf; at worst {100 * worst:.0f} % of what is allowed"
