//! Writes a camera's frame of a label, 960 × 720, four bytes a pixel, for measurements of the decoder: one held
//! near, or with `far` as a second word one whose modules are as small as can be read.
use std::error::Error;
use tripoise_core::label::Symbol;
use tripoise_scan::scene::{Printed, Scene};

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args_os().nth(1).ok_or("name the file to write")?;
    let far = std::env::args().nth(2).is_some_and(|word| word == "far");
    let symbol = Symbol::of("HTTPS://TRIPOISE.LOCAL:7443/L/0000000000000000000000000ZNF6Y")?;
    let (side, runs) = (symbol.side, symbol.runs);
    let label = Printed {
        side,
        runs,
        at: (0.45, 0.55),
        module_px: if far { 3.4 } else { 7.0 },
        turned_deg: 21.0,
        lean: if far { 0.0 } else { 0.15 },
    };
    let scene = Scene {
        printed: vec![label],
        blur_px: if far { 1 } else { 2 },
        grain: if far { 10 } else { 25 },
        shade: 0.4,
        ..Scene::new(960, 720)
    };
    Ok(std::fs::write(file, scene.rgba())?)
}
