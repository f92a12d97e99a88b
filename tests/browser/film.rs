//! What Chromium's stand-in for a camera shows: a drawn label, as a film of one picture.
//!
//! What this does not do: move. `app/scan` reads pictures that are turned, blurred and grainy.
use anyhow::Result;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use tripoise_core::label::Symbol;
use tripoise_scan::Grey;
use tripoise_scan::scene::{Printed, Scene};

/// A camera's picture of a symbol with this text, a little turned.
///
/// # Errors   When the text is too long for a symbol.
pub fn picture(text: &str) -> Result<Grey> {
    let symbol = Symbol::of(text)?;
    let (side, runs) = (symbol.side, symbol.runs);
    let printed = Printed { side, runs, at: (0.5, 0.5), module_px: 8.0, turned_deg: 8.0, lean: 0.1 };
    Ok(Scene { printed: vec![printed], blur_px: 1, grain: 12, ..Scene::new(640, 480) }.picture())
}

/// A film of one picture (YUV4MPEG2, planes of 4:2:0, no colour).
///
/// # Errors   When it cannot be written.
pub fn film(folder: &TempDir, picture: &Grey) -> Result<PathBuf> {
    let (width, height) = picture.size();
    let mut film = format!("YUV4MPEG2 W{width} H{height} F10:1 Ip A1:1 C420mpeg2\n").into_bytes();
    for _ in 0..10 {
        film.extend_from_slice(b"FRAME\n");
        film.extend_from_slice(picture.shades());
        film.resize(film.len() + width * height / 2, 128);
    }
    let file = folder.path().join("film.y4m");
    fs::write(&file, film)?;
    Ok(file)
}
