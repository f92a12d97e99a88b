//! The plate's equations on a mesh: assembled and factorised once, then solved for any supports and loads.
//!
//! What this does not do: know units. Lengths are in short sides, forces in newtons, the plate's stiffness
//! is 1, and deflection and moment are made dimensional by the caller.
//!
//! Supports are not built into the matrix. The free plate, held at three of its corners by springs that any
//! balanced load leaves at rest, is factorised; each support's unit force is solved for; and the reactions
//! and the plate's rigid movement follow from a small dense system in which every support's deflection is
//! 0 and the forces balance (the force method). So moving a support costs one solution, not a
//! factorisation, and a support need not lie on a mesh line.
//! Source: the energy is Kirchhoff's, Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed.
//! 1959, equation (109); held corners as in C. Felippa's free-free flexibility method (2000, from memory).
use super::band::{Band, dot, solve_dense};
use super::spline::{Basis, DEGREE, ORDER, product};

/// A rectangle on the plate in short sides; a point where its sides are 0.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Patch {
    /// Least and greatest x.
    pub(super) x: [f64; 2],
    /// Least and greatest y.
    pub(super) y: [f64; 2],
}

impl Patch {
    /// A point.
    pub(super) fn point(x: f64, y: f64) -> Self {
        Self { x: [x, x], y: [y, y] }
    }
}

/// How all four edges are held.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum EdgeHold {
    /// Not at all: the plate lies on its supports only.
    #[default]
    Free,
    /// At deflection 0, free to turn.
    SimplySupported,
    /// At deflection 0 and slope 0.
    Clamped,
}

/// A plate's matrix, factorised.
#[derive(Clone, Debug)]
pub(super) struct System {
    /// Functions along x.
    pub(super) x: Basis,
    /// Functions along y.
    pub(super) y: Basis,
    x_is_fast: bool,
    hold: EdgeHold,
    matrix: Band,
    uniform: Vec<f64>,
}

/// Why there is no solution.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Unsolved {
    /// The matrix lost its positive pivots: the sizes are too far apart for doubles.
    Matrix,
    /// The supports leave the plate free to move, or are too close to tell apart.
    Supports,
}

/// House choice: each support gives by this share of the plate's own give there, so that supports which the
/// mesh cannot tell apart (a whole edge of them) share their load instead of making the system singular; a
/// deflection changes by as little.
const GIVE: f64 = 1e-10;
/// House choice: the least pivot, as a share of the largest entry, that still leaves a digit beside [`GIVE`].
const LEAST_PIVOT: f64 = 1e-13;

impl System {
    /// Assembles and factorises. `poisson` is ν.
    pub(super) fn new(x: Basis, y: Basis, poisson: f64, hold: EdgeHold) -> Result<Self, Unsolved> {
        let x_is_fast = x.len() <= y.len();
        let matrix = Band::zeros(x.len() * y.len(), DEGREE * (x.len().min(y.len()) + 1));
        let mut system = Self { x, y, x_is_fast, hold, matrix, uniform: Vec::new() };
        let (along_x, along_y) = (system.x.means(0.0, span(&system.x)), system.y.means(0.0, span(&system.y)));
        let area = span(&system.x) * span(&system.y);
        system.uniform = system.outer(&along_x, &along_y);
        for entry in &mut system.uniform {
            *entry *= area;
        }
        system.assemble(poisson);
        if system.matrix.factorise() { Ok(system) } else { Err(Unsolved::Matrix) }
    }

    /// How many unknowns.
    pub(super) fn len(&self) -> usize {
        self.uniform.len()
    }

    /// Where the coefficient of function `i` along x and `j` along y stands.
    pub(super) fn index(&self, i: usize, j: usize) -> usize {
        if self.x_is_fast { j * self.x.len() + i } else { i * self.y.len() + j }
    }

    /// Whether the edges' hold takes this function out.
    fn held(&self, i: usize, j: usize) -> bool {
        let rim = match self.hold {
            EdgeHold::Free => return false,
            EdgeHold::SimplySupported => 1,
            EdgeHold::Clamped => 2,
        };
        i < rim || j < rim || i + rim >= self.x.len() || j + rim >= self.y.len()
    }

    fn outer(&self, along_x: &[f64], along_y: &[f64]) -> Vec<f64> {
        let mut vector = vec![0.0; along_x.len() * along_y.len()];
        for (i, a) in along_x.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            for (j, b) in along_y.iter().enumerate() {
                if !self.held(i, j) {
                    vector[self.index(i, j)] = a * b;
                }
            }
        }
        vector
    }

    /// ∫ (w_xx δw_xx + w_yy δw_yy + ν (w_xx δw_yy + w_yy δw_xx) + 2 (1 − ν) w_xy δw_xy), function by function.
    fn assemble(&mut self, nu: f64) {
        let (ix, iy) = (self.x.integrals(), self.y.integrals());
        let (nx, ny) = (self.x.len(), self.y.len());
        for i in 0..nx {
            for k in i.saturating_sub(DEGREE)..nx.min(i + ORDER) {
                let [value, slope, bend] =
                    [&ix.value, &ix.slope, &ix.bend].map(|products| product(products, i, k));
                let (mixed, turned) = (product(&ix.mixed, i, k), product(&ix.mixed, k, i));
                for j in 0..ny {
                    let row = self.index(i, j);
                    for l in j.saturating_sub(DEGREE)..ny.min(j + ORDER) {
                        let column = self.index(k, l);
                        if column > row || self.held(i, j) || self.held(k, l) {
                            continue;
                        }
                        let energy = bend * product(&iy.value, j, l)
                            + value * product(&iy.bend, j, l)
                            + nu * (mixed * product(&iy.mixed, l, j) + turned * product(&iy.mixed, j, l))
                            + 2.0 * (1.0 - nu) * slope * product(&iy.slope, j, l);
                        self.matrix.add(row, column, energy);
                    }
                }
            }
        }
        self.steady(nx, ny);
    }

    /// Takes held functions out, or holds a free plate at three corners by springs of its own stiffness.
    fn steady(&mut self, nx: usize, ny: usize) {
        if self.hold == EdgeHold::Free {
            for (i, j) in [(0, 0), (nx - 1, 0), (0, ny - 1)] {
                let at = self.index(i, j);
                self.matrix.add(at, at, 1.0);
            }
            return;
        }
        for i in 0..nx {
            for j in 0..ny {
                if self.held(i, j) {
                    let at = self.index(i, j);
                    self.matrix.add(at, at, 1.0 - self.matrix.diagonal(at));
                }
            }
        }
    }

    /// The unit force spread over `patch`: also the mean deflection there, as a product with coefficients.
    pub(super) fn force_on(&self, patch: &Patch) -> Vec<f64> {
        self.outer(&self.x.means(patch.x[0], patch.x[1]), &self.y.means(patch.y[0], patch.y[1]))
    }

    /// The load vector of `pressure` everywhere.
    pub(super) fn pressure(&self, pressure: f64) -> Vec<f64> {
        self.uniform.iter().map(|entry| entry * pressure).collect()
    }

    /// The deflection due to `force` of the plate held at its three corners (or edges).
    pub(super) fn bent_by(&self, force: &[f64]) -> Vec<f64> {
        let mut bent = force.to_vec();
        self.matrix.solve(&mut bent);
        bent
    }

    /// The three rigid movements: up, and turning about either axis; none where the edges are held.
    fn rigid(&self) -> Vec<Vec<f64>> {
        if self.hold != EdgeHold::Free {
            return Vec::new();
        }
        let (gx, gy) = (self.x.coefficients_of_x(), self.y.coefficients_of_x());
        let (ux, uy) = (vec![1.0; gx.len()], vec![1.0; gy.len()]);
        vec![self.outer(&ux, &uy), self.outer(&gx, &uy), self.outer(&ux, &gy)]
    }

    /// Puts the plate on its supports.
    ///
    /// `loaded` is [`Self::bent_by`] of the load `force`; `supports` are the supports' unit forces with what
    /// [`Self::bent_by`] gives for each. Returns the coefficients of the deflection (in the direction of the
    /// load) and the reactions (against it).
    pub(super) fn supported(
        &self,
        force: &[f64],
        loaded: &[f64],
        supports: &[(Vec<f64>, Vec<f64>)],
    ) -> Result<(Vec<f64>, Vec<f64>), Unsolved> {
        let rigid = self.rigid();
        let (m, n) = (supports.len(), supports.len() + rigid.len());
        let mut matrix = vec![0.0; n * n];
        let mut right = vec![0.0; n];
        for (i, (unit, _)) in supports.iter().enumerate() {
            for (j, (_, bent)) in supports.iter().enumerate() {
                matrix[i * n + j] = dot(unit, bent);
            }
            for (r, movement) in rigid.iter().enumerate() {
                let moved = -dot(unit, movement);
                matrix[i * n + m + r] = moved;
                matrix[(m + r) * n + i] = moved;
            }
            matrix[i * n + i] *= 1.0 + GIVE;
            right[i] = dot(unit, loaded);
        }
        for (r, movement) in rigid.iter().enumerate() {
            right[m + r] = -dot(force, movement);
        }
        if n > 0 && !solve_dense(&mut matrix, &mut right, LEAST_PIVOT) {
            return Err(Unsolved::Supports);
        }
        let mut deflection = loaded.to_vec();
        let pulls = supports.iter().map(|(_, bent)| bent).zip(&right[..m]).map(|(v, r)| (v, -r));
        let moves = rigid.iter().zip(&right[m..]).map(|(v, r)| (v, *r));
        for (vector, factor) in pulls.chain(moves) {
            for (sum, entry) in deflection.iter_mut().zip(vector) {
                *sum += factor * entry;
            }
        }
        right.truncate(m);
        Ok((deflection, right))
    }
}

fn span(basis: &Basis) -> f64 {
    basis.lines()[basis.lines().len() - 1]
}
