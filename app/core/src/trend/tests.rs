//! What must hold of any line and its crossing.
//!
//! What this does not do: published values; they are in tests/reference/trend.rs.
use super::*;
use proptest::prelude::*;

fn readings() -> impl Strategy<Value = Vec<Reading>> {
    let reading = (0.0..400.0, 140.0..160.0).prop_map(|(firing, value_mm)| Reading { firing, value_mm });
    prop::collection::vec(reading, 3..40)
}

fn line(readings: &[Reading]) -> Result<Line, TestCaseError> {
    fit_line(readings).map_err(|err| TestCaseError::fail(err.to_string()))
}

proptest! {
    #[test]
    fn fieller_limits_are_where_the_band_meets_the_limit(readings in readings(), limit in 100.0..200.0) {
        let line = line(&readings)?;
        let t = t_quantile(0.95, line.degrees_of_freedom());
        let (slope_low, slope_high) = line.slope_limits(t);
        let told = slope_low > 0.0 || slope_high < 0.0;
        let crossing = line.crossing(limit, t);
        prop_assert_eq!(crossing.between.is_some(), told);
        if let (Some(at), Some((low, high))) = (crossing.at, crossing.between) {
            prop_assert!(low <= at && at <= high);
            for end in [low, high] {
                let apart = (line.at(end) - limit).abs();
                let wide = line.half_width(end, t);
                prop_assert!((apart - wide).abs() <= 1e-7 * wide.max(1.0), "{apart} is not {wide}");
            }
        }
    }

    #[test]
    fn moving_the_origin_moves_only_the_crossing(readings in readings(), limit in 100.0..200.0) {
        let moved: Vec<Reading> = readings.iter()
            .map(|r| Reading { firing: r.firing + 64.0, value_mm: r.value_mm + 32.0 }).collect();
        let (here, there) = (line(&readings)?, line(&moved)?);
        let near = |one: f64, two: f64| (one - two).abs() <= 1e-7 * one.abs().max(1.0);
        prop_assert!(near(here.slope_mm_per_firing, there.slope_mm_per_firing));
        prop_assert!(near(here.residual_sd_mm, there.residual_sd_mm));
        let at = |line: &Line, limit| line.crossing(limit, 2.0).at;
        if let (Some(one), Some(two)) = (at(&here, limit), at(&there, limit + 32.0)) {
            prop_assert!((one + 64.0 - two).abs() <= 1e-6 * two.abs().max(1.0) / here.slope_mm_per_firing.abs().min(1.0));
        }
    }

    #[test]
    fn theil_sen_is_the_middle_of_all_slopes(readings in readings()) {
        let found = theil_sen_slope(&readings).ok_or_else(|| TestCaseError::fail("no slope"))?;
        let mut slopes = Vec::new();
        for (i, one) in readings.iter().enumerate() {
            for two in readings.iter().skip(i + 1).filter(|two| two.firing != one.firing) {
                slopes.push((two.value_mm - one.value_mm) / (two.firing - one.firing));
            }
        }
        let below = slopes.iter().filter(|slope| **slope < found - 1e-12 * found.abs()).count();
        let above = slopes.iter().filter(|slope| **slope > found + 1e-12 * found.abs()).count();
        prop_assert!(2 * below <= slopes.len() && 2 * above <= slopes.len());
    }

    #[test]
    fn one_slip_does_not_move_theil_sen(n in 9..30_u32, slip in 10.0..1e4) {
        let mut straight: Vec<Reading> = (0..n)
            .map(|i| Reading { firing: f64::from(i), value_mm: 152.0 - 0.125 * f64::from(i) }).collect();
        straight[3].value_mm += slip;
        prop_assert_eq!(theil_sen_slope(&straight), Some(-0.125));
    }
}

#[test]
fn a_level_line_meets_nothing() {
    let level = [1.0, 2.0, 3.0].map(|firing| Reading { firing, value_mm: 150.0 });
    let found = fit_line(&level).map(|line| line.crossing(149.0, 2.0));
    let none = Crossing { at: None, between: None };
    assert_eq!(found, Ok(none));
}

#[test]
fn a_line_without_scatter_meets_its_limit_at_one_firing() {
    let straight = [0.0, 1.0, 2.0, 3.0].map(|firing| Reading { firing, value_mm: 152.0 - 0.5 * firing });
    let found = fit_line(&straight).map(|line| line.crossing(148.0, 4.3));
    let expected = Crossing { at: Some(8.0), between: Some((8.0, 8.0)) };
    assert_eq!(found, Ok(expected));
}

#[test]
fn says_why_there_is_no_line() {
    let at = |firing| Reading { firing, value_mm: 1.0 };
    assert_eq!(fit_line(&[at(1.0), at(2.0)]), Err(NoLine::TooFew { n_readings: 2 }));
    assert_eq!(fit_line(&[at(0.1); 7]), Err(NoLine::OneFiring));
    assert_eq!(fit_line(&[at(0.0), at(0.0), at(1e-300)]), Err(NoLine::OneFiring));
}
