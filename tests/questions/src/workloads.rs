//! The inputs that are measured: the sizes that a budget speaks of, the same for Tripoise and for its peers.
//!
//! What this does not do: time anything; benches/calculations.rs does, and tests/oracle/peers.py beside it.
use crate::chance::Chance;
use serde_json::{Value, json};

/// One measured input.
#[derive(Clone, Copy, Debug)]
pub struct Workload {
    /// The calculation.
    pub kind: &'static str,
    /// What is measured: "flatness_25".
    pub name: &'static str,
    /// How many points, posts or pieces; 0 where that says nothing.
    pub size: usize,
}

/// Everything measured.
pub const ALL: [Workload; 7] = [
    Workload { kind: "flatness", name: "flatness_25", size: 25 },
    Workload { kind: "flatness", name: "flatness_10000", size: 10_000 },
    // As many as OR-tools proves in a minute on two cores.
    Workload { kind: "match", name: "match_96", size: 96 },
    Workload { kind: "match", name: "match_10000", size: 10_000 },
    Workload { kind: "match", name: "match_1000000", size: 1_000_000 },
    Workload { kind: "plate", name: "plate", size: 0 },
    Workload { kind: "life", name: "life_10000", size: 10_000 },
];

impl Workload {
    /// The input, always the same.
    #[must_use]
    pub fn input(&self) -> Value {
        let mut chance = Chance::new(7);
        match self.kind {
            "flatness" => face(self.size, &mut chance),
            "match" => posts(self.size, &mut chance),
            "life" => pieces(self.size, &mut chance),
            _ => shelf(),
        }
    }
}

/// A dished and twisted shelf read on a square grid, to a hundredth.
fn face(n: usize, chance: &mut Chance) -> Value {
    let side = (1..).find(|side| side * side >= n).unwrap_or(1);
    let along = |at: usize| 2.0 * at as f64 / (side - 1) as f64 - 1.0;
    let point = |at: usize| {
        let (u, v) = (along(at % side), along(at / side));
        let z = 1.2 * (u * u + v * v) + 0.3 * u * v + chance.between(-0.05, 0.05);
        json!({"x_mm": 300.0 + 300.0 * u, "y_mm": 150.0 + 150.0 * v, "z_mm": (z * 100.0).round() / 100.0})
    };
    json!({"points": (0..n).map(point).collect::<Vec<_>>()})
}

/// Posts of one nominal height, as many as a step of the caliper allows: 4 hundredths of a millimetre a post.
fn posts(n: usize, chance: &mut Chance) -> Value {
    let step = |chance: &mut Chance| chance.whole(0, 4 * n) as f64;
    let post =
        |at: usize| json!({"code": format!("P{at:07}"), "height_mm": (15_000.0 + step(chance)) / 100.0});
    let posts: Vec<Value> = (0..n).map(post).collect();
    json!({"posts": posts, "set_size": 3, "tolerance_mm": 0.5})
}

/// Pieces that wear out by a Weibull law of shape 2 and scale 150, watched for 20 to 300 firings.
fn pieces(n: usize, chance: &mut Chance) -> Value {
    let piece = |_| {
        let age = 150.0 * (-(1.0 - chance.between(0.0, 1.0)).ln()).sqrt();
        let end = chance.between(20.0, 300.0);
        json!({"firings": age.min(end).ceil().max(1.0), "retired": age <= end})
    };
    json!({"pieces": (0..n).map(piece).collect::<Vec<_>>(), "next_firings": 12})
}

/// A cordierite shelf on three posts of 40 mm, 8 kg of ware spread over it; all on a lattice of 20 mm, so that a
/// peer's even mesh can follow it.
fn shelf() -> Value {
    let post = |x_mm: f64, y_mm: f64| json!({"x_mm": x_mm, "y_mm": y_mm, "pad_mm": 40.0});
    json!({
        "length_mm": 600.0, "width_mm": 400.0, "thickness_mm": 19.0, "youngs_gpa": 60.0, "poisson": 0.2,
        "density_g_cm3": 2.0, "pressure_kpa": 0.33, "loads": [],
        "supports": [post(60.0, 60.0), post(60.0, 340.0), post(540.0, 200.0)],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_input_is_answered() {
        for workload in ALL.iter().filter(|workload| workload.size <= 10_000) {
            let answer = crate::answer(workload.kind, &workload.input().to_string());
            assert!(answer.starts_with("= "), "{}: {answer}", workload.name);
        }
    }
}
