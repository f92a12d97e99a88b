//! Where the mesh lines of one direction go: through supports and pads, fine there and coarse between.
//!
//! What this does not do: look at the answer. The grading is laid down before anything is solved: the
//! moment near a point support grows like the logarithm of the distance, so cells that grow in proportion
//! to that distance meet it equally well at every scale.

/// Something near which the moment changes quickly, seen in one direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Feature {
    /// Its centre.
    pub(super) at: f64,
    /// Half the pad it bears on; 0 for a point.
    pub(super) half: f64,
}

/// How fine the mesh is, in units of the plate's short side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grade {
    /// Largest cell.
    pub(super) base: f64,
    /// Cell beside a point support or point load.
    pub(super) point: f64,
    /// Cell at the middle of a pad, as a share of half its side.
    pub(super) pad: f64,
    /// Growth of the cell per distance from either.
    pub(super) growth: f64,
}

/// Least cell, as a share of the short side. House choice: 1/400, a 0.75 mm pad under a 300 mm shelf; the
/// stiffness matrix's condition grows with the cell's fourth power, 400⁴ = 2.6e10, which leaves 5 digits.
const LEAST_CELL: f64 = 0.0025;
/// Lines nearer than this share of the cell wanted there become one. House choice: a sliver narrower than
/// a third adds unknowns and no accuracy.
const MERGE: f64 = 0.3;
/// The least cells along the longer side are this share of it. House choice: 36 cells follow any bending
/// between supports; a long strip needs no more than the grading adds.
const LONG_CELLS: f64 = 1.0 / 36.0;
/// House choice: steps of the integral of cell density between two fixed lines.
const STEPS: usize = 48;

impl Grade {
    fn cell(&self, x: f64, span: f64, features: &[Feature]) -> f64 {
        let base = self.base.max(span * LONG_CELLS);
        features.iter().fold(base, |least, feature| {
            let finest =
                if feature.half > 0.0 { (self.pad * feature.half).max(LEAST_CELL) } else { self.point };
            least.min(finest + self.growth * (x - feature.at).abs())
        })
    }
}

/// Rising mesh lines from 0 to `span`.
pub(super) fn graded_lines(span: f64, features: &[Feature], grade: &Grade) -> Vec<f64> {
    let fixed = fixed_lines(span, features, grade);
    let mut lines = vec![0.0];
    for pair in fixed.windows(2) {
        fill(pair[0], pair[1], |x| grade.cell(x, span, features), &mut lines);
    }
    lines
}

/// Both ends, every point and every pad's edges; near neighbours merged into their mean.
fn fixed_lines(span: f64, features: &[Feature], grade: &Grade) -> Vec<f64> {
    let edges = features.iter().flat_map(|f| [f.at - f.half, f.at + f.half]);
    let mut wanted: Vec<f64> = edges.filter(|x| *x > 0.0 && *x < span).collect();
    wanted.sort_by(f64::total_cmp);
    let close = |a: f64, b: f64| b - a < MERGE * grade.cell(0.5 * (a + b), span, features);
    let mut groups: Vec<Vec<f64>> = vec![vec![0.0]];
    for x in wanted.into_iter().chain([span]) {
        match groups.last_mut() {
            Some(group) if close(group[group.len() - 1], x) => group.push(x),
            _ => groups.push(vec![x]),
        }
    }
    let mut fixed: Vec<f64> =
        groups.iter().map(|group| group.iter().sum::<f64>() / group.len() as f64).collect();
    fixed[0] = 0.0;
    let last = fixed.len() - 1;
    if last == 0 {
        fixed.push(span);
    } else {
        fixed[last] = span;
    }
    fixed
}

/// Appends the lines after `from` up to `to`, spaced so that each cell holds an equal share of ∫ dx / cell.
fn fill(from: f64, to: f64, cell: impl Fn(f64) -> f64, lines: &mut Vec<f64>) {
    let step = (to - from) / STEPS as f64;
    let place = |i: usize| from + step * i as f64;
    let mut shares = vec![0.0; STEPS + 1];
    let mut before = 1.0 / cell(from);
    for i in 1..=STEPS {
        let here = 1.0 / cell(place(i));
        shares[i] = shares[i - 1] + 0.5 * step * (before + here);
        before = here;
    }
    // A quarter of a cell too wide is let pass rather than halving them all.
    let count = libm::ceil(shares[STEPS] - 0.25).max(1.0);
    let mut i = 1;
    let mut done = 1.0;
    while done < count {
        let target = shares[STEPS] * (done / count);
        while i < STEPS && shares[i] < target {
            i += 1;
        }
        let part = (target - shares[i - 1]) / (shares[i] - shares[i - 1]);
        lines.push(place(i - 1) + step * part);
        done += 1.0;
    }
    lines.push(to);
}

#[cfg(test)]
mod tests {
    use super::*;

    const GRADE: Grade = Grade { base: 0.12, point: 0.02, pad: 1.0, growth: 0.5 };

    fn check(span: f64, features: &[Feature]) -> Vec<f64> {
        let lines = graded_lines(span, features, &GRADE);
        assert_eq!((lines[0], lines[lines.len() - 1]), (0.0, span));
        assert!(lines.windows(2).all(|pair| pair[1] - pair[0] > 1e-4), "{lines:?}");
        lines
    }

    #[test]
    fn passes_through_points_and_pad_edges() {
        let lines = check(1.0, &[Feature { at: 0.3, half: 0.0 }, Feature { at: 0.7, half: 0.05 }]);
        for wanted in [0.3, 0.65, 0.75] {
            assert!(lines.iter().any(|x| (x - wanted).abs() < 1e-12), "{wanted} in {lines:?}");
        }
        let finest = lines.windows(2).map(|p| p[1] - p[0]).fold(1.0, f64::min);
        assert!(finest < 0.03, "{finest}");
    }

    #[test]
    fn hundreds_of_features_stay_bounded_and_none_is_needed() {
        let many: Vec<_> = (0..500).map(|i| Feature { at: f64::from(i) / 499.0, half: 0.0 }).collect();
        assert!(check(1.0, &many).len() < 200);
        assert!(check(1.0, &[]).len() < 12);
        assert!(check(1000.0, &[Feature { at: 1000.0, half: 0.5 }]).len() < 60);
    }

    #[test]
    fn mirrored_features_give_mirrored_lines() {
        let features = [Feature { at: 0.13, half: 0.02 }, Feature { at: 0.8, half: 0.0 }];
        let mirrored = features.map(|f| Feature { at: 1.5 - f.at, half: f.half });
        let (a, b) = (check(1.5, &features), check(1.5, &mirrored));
        assert_eq!(a.len(), b.len());
        for (x, y) in a.iter().zip(b.iter().rev()) {
            assert!((x - (1.5 - y)).abs() < 1e-9, "{a:?} {b:?}");
        }
    }
}
