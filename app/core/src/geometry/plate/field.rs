//! The solved deflection and moments, at any place.
//!
//! What this does not do: smooth or extrapolate. The splines' second derivatives are continuous, so the
//! moments are taken as they are. Their extremes are sought in `search`.
use super::spline::{Local, ORDER};
use super::system::System;

/// Deflection and principal moments at one place, in the system's units; moments positive when sagging.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(super) struct Sample {
    /// In the direction of the load.
    pub(super) deflection: f64,
    /// The greater principal moment.
    pub(super) most: f64,
    /// The lesser principal moment.
    pub(super) least: f64,
}

/// One solution's deflection as a function.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field<'a> {
    system: &'a System,
    coefficients: &'a [f64],
    poisson: f64,
}

/// Coefficients along y of the deflection and its first two derivatives along x, at one x.
pub(super) struct Slice {
    by_order: [Vec<f64>; 3],
}

impl<'a> Field<'a> {
    /// A field of the given coefficients.
    pub(super) fn new(system: &'a System, coefficients: &'a [f64], poisson: f64) -> Self {
        Self { system, coefficients, poisson }
    }

    /// The system it was solved on.
    pub(super) fn system(&self) -> &'a System {
        self.system
    }

    /// The plate's sides.
    pub(super) fn size(&self) -> [f64; 2] {
        [self.system.x.lines(), self.system.y.lines()].map(|lines| lines[lines.len() - 1])
    }

    /// What all places with this `x` share.
    pub(super) fn slice(&self, x: f64) -> Slice {
        let local = self.system.x.at(x);
        let by_order = local.by_order.map(|functions| {
            let sum = |j: usize| {
                let part = |r: usize| functions[r] * self.coefficients[self.system.index(local.first + r, j)];
                (0..ORDER).map(part).sum()
            };
            (0..self.system.y.len()).map(sum).collect()
        });
        Slice { by_order }
    }

    /// Deflection and principal moments where `slice` and `local` meet.
    pub(super) fn on(&self, slice: &Slice, local: &Local) -> Sample {
        let sum = |order_x: usize, order_y: usize| -> f64 {
            let along = &slice.by_order[order_x][local.first..local.first + ORDER];
            along.iter().zip(&local.by_order[order_y]).map(|(a, b)| a * b).sum()
        };
        self.sample_of(sum(0, 0), sum(2, 0), sum(0, 2), sum(1, 1))
    }

    fn sample_of(&self, deflection: f64, w_xx: f64, w_yy: f64, w_xy: f64) -> Sample {
        let nu = self.poisson;
        let mean = -0.5 * (1.0 + nu) * (w_xx + w_yy);
        let (half, twist) = (0.5 * (1.0 - nu) * (w_xx - w_yy), (1.0 - nu) * w_xy);
        let radius = (half * half + twist * twist).sqrt();
        Sample { deflection, most: mean + radius, least: mean - radius }
    }

    /// Deflection and principal moments at one place.
    pub(super) fn at(&self, at: [f64; 2]) -> Sample {
        let (across, along) = (self.system.x.at(at[0]), self.system.y.at(at[1]));
        let sum = |order_x: usize, order_y: usize| -> f64 {
            let mut sum = 0.0;
            for (r, fx) in across.by_order[order_x].iter().enumerate() {
                for (s, fy) in along.by_order[order_y].iter().enumerate() {
                    let index = self.system.index(across.first + r, along.first + s);
                    sum += fx * fy * self.coefficients[index];
                }
            }
            sum
        };
        self.sample_of(sum(0, 0), sum(2, 0), sum(0, 2), sum(1, 1))
    }

    /// Greatest less least deflection over the mesh lines' crossings and the places half way between.
    pub(super) fn peak_to_valley(&self) -> f64 {
        let halves = |lines: &[f64]| -> Vec<f64> {
            let middles = lines.windows(2).flat_map(|pair| [pair[0], 0.5 * (pair[0] + pair[1])]);
            middles.chain(lines.last().copied()).collect()
        };
        let locals: Vec<Local> =
            halves(self.system.y.lines()).into_iter().map(|y| self.system.y.at(y)).collect();
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for x in halves(self.system.x.lines()) {
            let slice = self.slice(x);
            for local in &locals {
                let deflection = self.on(&slice, local).deflection;
                least = least.min(deflection);
                most = most.max(deflection);
            }
        }
        most - least
    }
}
