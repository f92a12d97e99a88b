//! Labels of ours as a camera sees them, and pictures that hold none.
use super::scene::{Printed, Scene};
use super::*;
use proptest::prelude::*;
use tripoise_core::label::Symbol;

/// As a label says it.
const LABEL: &str = "HTTPS://TRIPOISE.LOCAL:7443/L/0000000000000000000000000ZNF6Y";

fn printed(text: &str) -> Printed {
    let symbol = Symbol::of(text).unwrap_or_else(|problem| panic!("{problem}"));
    let (side, runs) = (symbol.side, symbol.runs);
    Printed { side, runs, at: (0.5, 0.5), module_px: 8.0, turned_deg: 0.0, lean: 0.0 }
}

/// A label alone, spoilt by `spoil`.
fn scene(spoil: impl FnOnce(&mut Printed, &mut Scene)) -> Scene {
    let (mut label, mut scene) = (printed(LABEL), Scene::new(640, 480));
    spoil(&mut label, &mut scene);
    scene.printed = vec![label];
    scene
}

fn check(what: &str, spoil: impl FnOnce(&mut Printed, &mut Scene)) {
    assert_eq!(read(&scene(spoil).picture()), [LABEL], "{what}");
}

#[test]
fn a_label_is_read_however_the_phone_is_held() {
    check("squarely", |_, _| ());
    for turned_deg in [7.0, 45.0, 90.0, 133.0, 180.0, 301.0] {
        check(&format!("turned by {turned_deg}"), |label, _| label.turned_deg = turned_deg);
    }
    for lean in [0.1, 0.2, -0.2, 0.3] {
        check(&format!("leaning by {lean}"), |label, _| label.lean = lean);
    }
    check("turned and leaning, off the middle", |label, _| {
        *label = Printed { turned_deg: 25.0, lean: 0.2, at: (0.4, 0.45), module_px: 6.0, ..label.clone() };
    });
    check("close", |label, _| label.module_px = 12.0);
    check("far", |label, _| label.module_px = 3.0);
}

#[test]
fn a_label_is_read_in_dust_and_bad_light() {
    check("out of focus", |_, scene| scene.blur_px = 3);
    check("grainy", |_, scene| scene.grain = 60);
    check("in the shade on one side", |_, scene| scene.shade = 0.7);
    check("all of it", |label, scene| {
        (label.turned_deg, label.lean) = (16.0, 0.15);
        (scene.blur_px, scene.grain, scene.shade) = (2, 30, 0.5);
    });
}

#[test]
fn the_symbol_nearest_to_the_middle_comes_first() {
    let mut scene = Scene::new(960, 480);
    let aside = Printed { at: (0.2, 0.5), module_px: 7.0, ..printed("another text") };
    // The second is too small to be read at half the size, where the first is read at once.
    for module_px in [7.0, 3.2] {
        scene.printed = vec![aside.clone(), Printed { at: (0.6, 0.5), module_px, ..printed(LABEL) }];
        assert_eq!(read(&scene.picture()).first().map(String::as_str), Some(LABEL), "{module_px}");
    }
    // The same label twice is one finding.
    scene.printed = [0.25, 0.75].map(|x| Printed { at: (x, 0.5), module_px: 6.0, ..printed(LABEL) }).into();
    assert_eq!(read(&scene.picture()), [LABEL]);
}

#[test]
fn where_there_is_no_symbol_or_half_of_one_nothing_is_read() {
    assert_eq!(read(&Scene::new(320, 240).picture()), [""; 0]);
    assert_eq!(read(&scene(|label, _| label.at = (1.0, 0.5)).picture()), [""; 0]);
    let far = scene(|label, _| label.module_px = 0.8);
    assert_eq!(read(&far.picture()), [""; 0]);
}

#[test]
fn a_canvas_s_pixels_are_read_like_a_picture() {
    let scene = scene(|_, _| ());
    let grey = Grey::from_rgba(640, 480, &scene.rgba());
    assert_eq!(grey.as_ref().map(Grey::shades), Some(scene.picture().shades()));
    assert_eq!(Grey::from_rgba(640, 481, &scene.rgba()), None);
    assert_eq!(Grey::from_rgba(640, 480, &scene.rgba()[1..]), None);
    let check = |rgb: [u8; 3], expected: u8| assert_eq!(luma(&[rgb[0], rgb[1], rgb[2], 255]), expected);
    check([255, 255, 255], 255);
    check([255, 0, 0], 76);
    check([0, 255, 0], 149);
    check([0, 0, 255], 28);
}

#[test]
fn a_picture_without_room_is_refused() {
    assert_eq!(Grey::new(20, 400, vec![0; 8000]), None);
    assert_eq!(Grey::new(usize::MAX, usize::MAX, vec![]), None);
    assert!(Grey::new(21, 21, vec![0; 441]).is_some());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Patches of black and white look more like symbols than grain does.
    #[test]
    fn no_picture_stops_it(
        width in 21_usize..200, height in 21_usize..150, patch in 1_usize..9, seed: u64, bits in prop::collection::vec(any::<bool>(), 64..4096)
    ) {
        let shade = |at: usize| {
            let (x, y) = (at % width / patch, at / width / patch);
            let bit = bits[(x + y.wrapping_mul(31).wrapping_add((seed % 97) as usize)) % bits.len()];
            if bit { 230 } else { 20 }
        };
        let grey = Grey::new(width, height, (0..width * height).map(shade).collect());
        prop_assert!(grey.is_some_and(|grey| read(&grey).len() < 100));
    }

    #[test]
    fn no_bytes_stop_it(width in 21_usize..90, height in 21_usize..90, bytes in prop::collection::vec(any::<u8>(), 8100)) {
        let grey = Grey::new(width, height, bytes[..width * height].to_vec());
        prop_assert!(grey.is_some_and(|grey| read(&grey).len() < 100));
    }

    /// A label with part of it painted over: found regions, broken contents.
    #[test]
    fn a_spoilt_label_is_read_right_or_not_at_all(x in 0_usize..160, y in 0_usize..160, side in 1_usize..120, shade: u8, turned in 0_u32..360) {
        let mut scene = Scene::new(160, 160);
        scene.printed = vec![Printed { module_px: 3.2, turned_deg: f64::from(turned), ..printed(LABEL) }];
        let picture = scene.picture();
        let mut shades = picture.shades().to_vec();
        for row in y..(y + side).min(160) {
            shades[row * 160 + x..row * 160 + (x + side).min(160)].fill(shade);
        }
        if let Some(spoilt) = Grey::new(160, 160, shades) {
            let found = read(&spoilt);
            prop_assert!(found.is_empty() || found == [LABEL], "{found:?}");
        }
    }
}
