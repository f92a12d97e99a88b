//! What must hold for any shelf: balance, mirroring, superposition, scaling, a mesh fine enough.
use super::*;
use proptest::prelude::*;

/// Fractions of the sides, and a pad in millimetres that is a point in two cases of five.
fn foot() -> impl Strategy<Value = (f64, f64, f64)> {
    let pad = prop_oneof![2 => Just(0.0), 3 => 10.0..60.0f64];
    (0.0..=1.0f64, 0.0..=1.0f64, pad)
}

fn at(plate: &Plate, (x, y, pad_mm): (f64, f64, f64)) -> Foot {
    Foot { x_mm: x * plate.length_mm, y_mm: y * plate.width_mm, pad_mm }
}

/// A shelf on 3 to 5 posts, spread so widely that a figure means something, with up to 2 loads.
fn case() -> impl Strategy<Value = PlateCase> {
    let sides = (200.0..700.0f64, 200.0..700.0f64, 8.0..25.0f64);
    let stuff = (20.0..300.0f64, 0.0..0.45f64, 0.0..3.0f64);
    let bearing = (prop::collection::vec(foot(), 3..6), 0.0..2.0f64);
    let loads = prop::collection::vec((foot(), 0.0..8.0f64), 0..3);
    (sides, stuff, bearing, loads).prop_filter_map(
        "posts too near one line",
        |(sides, stuff, bearing, loads)| {
            let (length_mm, width_mm, thickness_mm) = sides;
            let (youngs_gpa, poisson, density) = stuff;
            let plate = Plate {
                length_mm,
                width_mm,
                thickness_mm,
                youngs_gpa,
                poisson,
                density_g_cm3: Some(density + 0.1),
            };
            let place_load = |(foot, mass_kg)| PlateLoad { foot: at(&plate, foot), mass_kg };
            let supports: Vec<Foot> = bearing.0.iter().map(|foot| at(&plate, *foot)).collect();
            let loads = loads.into_iter().map(place_load).collect();
            let spread = |a: &Foot, b: &Foot, c: &Foot| {
                let (ux, uy, vx, vy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm, c.x_mm - a.x_mm, c.y_mm - a.y_mm);
                (ux * vy - uy * vx).abs() / (length_mm * width_mm)
            };
            let apart = |a: &Foot, b: &Foot| (a.x_mm - b.x_mm).abs() + (a.y_mm - b.y_mm).abs() > 60.0;
            let each = supports.iter().enumerate().all(|(i, a)| supports[..i].iter().all(|b| apart(a, b)));
            (each && spread(&supports[0], &supports[1], &supports[2]) > 0.25).then_some(PlateCase {
                plate,
                supports,
                pressure_kpa: bearing.1,
                loads,
                edges: EdgeHold::Free,
            })
        },
    )
}

fn close(name: &str, a: f64, b: f64, share: f64) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() <= share * a.abs().max(b.abs()) + 1e-12, "{}: {} and {}", name, a, b);
    Ok(())
}

fn moment(found: Option<Found>) -> f64 {
    found.map_or(0.0, |found| found.value)
}

fn solved(case: &PlateCase) -> Result<PlateAnswer, TestCaseError> {
    solve_plate(case).map_err(|err| TestCaseError::fail(err.to_string()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]

    /// Forces and moments about both axes.
    #[test]
    fn reactions_balance_the_load(case in case()) {
        let answer = solved(&case)?;
        let plate = &case.plate;
        let spread = answer.load_n - case.loads.iter().map(|load| load.mass_kg * GRAVITY_M_S2).sum::<f64>();
        let middle = |foot: &Foot| {
            let x = clip(foot.x_mm, foot.pad_mm, plate.length_mm);
            let y = clip(foot.y_mm, foot.pad_mm, plate.width_mm);
            [1.0, 0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1])]
        };
        let centre = [1.0, 0.5 * plate.length_mm, 0.5 * plate.width_mm];
        let size: f64 = answer.reactions_n.iter().map(|r| r.abs()).sum();
        for (axis, level_arm) in centre.into_iter().enumerate() {
            let loads: f64 =
                case.loads.iter().map(|l| l.mass_kg * GRAVITY_M_S2 * middle(&l.foot)[axis]).sum();
            let carried: f64 =
                case.supports.iter().zip(&answer.reactions_n).map(|(s, r)| r * middle(s)[axis]).sum();
            let wanted = spread * level_arm + loads;
            prop_assert!((carried - wanted).abs() < 1e-8 * size * 700.0, "{}: {} {}", axis, carried, wanted);
        }
        let pulling: Vec<usize> =
            (0..answer.reactions_n.len()).filter(|i| answer.reactions_n[*i] < -1e-6 * size).collect();
        prop_assert!(pulling.iter().all(|i| answer.lifts.contains(i)));
    }

    /// Left for right, and length for width. Rounding may lay one cell more or less, hence not to the last digit.
    #[test]
    fn a_mirrored_shelf_bends_the_same(case in case()) {
        let answer = solved(&case)?;
        let mut mirrored = case.clone();
        let mut turned = case.clone();
        turned.plate.length_mm = case.plate.width_mm;
        turned.plate.width_mm = case.plate.length_mm;
        let feet = |case: &mut PlateCase, change: &dyn Fn(&mut Foot)| {
            case.supports.iter_mut().for_each(change);
            case.loads.iter_mut().for_each(|load| change(&mut load.foot));
        };
        feet(&mut mirrored, &|foot| foot.x_mm = case.plate.length_mm - foot.x_mm);
        feet(&mut turned, &|foot| (foot.x_mm, foot.y_mm) = (foot.y_mm, foot.x_mm));
        for other in [solved(&mirrored)?, solved(&turned)?] {
            close("deflection", answer.deflection_mm.value, other.deflection_mm.value, 1e-4)?;
            close("centre", answer.centre_deflection_mm, other.centre_deflection_mm, 1e-4)?;
            close("sagging", moment(answer.sagging_n), moment(other.sagging_n), 5e-3)?;
            close("hogging", moment(answer.hogging_n), moment(other.hogging_n), 5e-3)?;
            for (a, b) in answer.reactions_n.iter().zip(&other.reactions_n) {
                prop_assert!((a - b).abs() < 1e-4 * answer.load_n.max(a.abs()), "{} {}", a, b);
            }
        }
    }

    /// Loads apart add up to loads together, for whatever is linear in them.
    #[test]
    fn loads_add_up(case in case(), share in 0.1..3.0f64) {
        let whole = solved(&case)?;
        let mut pressed = case.clone();
        pressed.loads.iter_mut().for_each(|load| load.mass_kg = 0.0);
        let mut laden = case.clone();
        laden.pressure_kpa = 0.0;
        laden.plate.density_g_cm3 = None;
        let (pressed, laden) = (solved(&pressed)?, solved(&laden)?);
        let size = pressed.centre_deflection_mm.abs() + laden.centre_deflection_mm.abs();
        let sum = pressed.centre_deflection_mm + laden.centre_deflection_mm;
        prop_assert!((sum - whole.centre_deflection_mm).abs() < 1e-7 * size, "{} {}", sum, whole.centre_deflection_mm);
        for (i, together) in whole.reactions_n.iter().enumerate() {
            let sum = pressed.reactions_n[i] + laden.reactions_n[i];
            prop_assert!((sum - together).abs() < 1e-7 * whole.load_n.max(sum.abs()), "{} {}", sum, together);
        }
        let mut thicker = case.clone();
        thicker.plate.thickness_mm *= 1.0 + share;
        thicker.plate.density_g_cm3 = case.plate.density_g_cm3.map(|density| density / (1.0 + share));
        let left = stiffness_left(thicker.plate.thickness_mm, case.plate.thickness_mm);
        close("thicker", solved(&thicker)?.deflection_mm.value * left, whole.deflection_mm.value, 1e-9)?;
    }

    /// The same shelf in other units of length: pressure up by k, sizes by k, stiffness by k.
    #[test]
    fn a_scaled_shelf_is_stressed_the_same(case in case(), k in 0.2..5.0f64) {
        let mut scaled = case.clone();
        scaled.loads.iter_mut().for_each(|load| load.mass_kg *= k * k);
        for side in [&mut scaled.plate.length_mm, &mut scaled.plate.width_mm, &mut scaled.plate.thickness_mm] {
            *side *= k;
        }
        scaled.plate.density_g_cm3 = case.plate.density_g_cm3.map(|density| density / k);
        let feet = scaled.loads.iter_mut().map(|load| &mut load.foot).chain(&mut scaled.supports);
        feet.for_each(|foot| *foot = Foot { x_mm: foot.x_mm * k, y_mm: foot.y_mm * k, pad_mm: foot.pad_mm * k });
        let (a, b) = (solved(&case)?, solved(&scaled)?);
        close("deflection", a.deflection_mm.value * k, b.deflection_mm.value, 1e-6)?;
        close("sagging", moment(a.sagging_n) * a.mpa_per_n, moment(b.sagging_n) * b.mpa_per_n, 1e-5)?;
        close("hogging", moment(a.hogging_n) * a.mpa_per_n, moment(b.hogging_n) * b.mpa_per_n, 1e-5)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2, ..ProptestConfig::default() })]

    /// The contract's accuracy against a mesh of a third the cell, on layouts nobody chose.
    #[test]
    fn a_finer_mesh_changes_little(case in case()) {
        let fine = Grade { base: 0.06, point: 0.004, pad: 0.3, growth: 0.3 };
        let coarse = solved(&case)?;
        let fine = solve_on(&case, mesh(&case, &fine)).map_err(|err| TestCaseError::fail(err.to_string()))?;
        close("deflection", coarse.deflection_mm.value, fine.deflection_mm.value, 0.005)?;
        // Of the two moments, the lesser may be a trifle that stresses nothing.
        let larger = moment(fine.sagging_n).max(moment(fine.hogging_n));
        for (kind, a, b, share) in [
            ("sagging", coarse.sagging_n, fine.sagging_n, 0.01),
            ("hogging", coarse.hogging_n, fine.hogging_n, 0.05),
        ] {
            prop_assert!((moment(a) - moment(b)).abs() < share * larger, "{}: {:?} {:?}", kind, a, b);
        }
    }
}
