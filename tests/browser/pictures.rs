//! The README's pictures, taken from the demo: `cargo xtask screenshots [FOLDER]`.
//!
//! On a phone and on a desk, by day and in the dark. What this does not do: test anything; it fails only
//! when a page does not come.
use anyhow::{Context as _, Result};
use browser_support::{Look, Phone, Studio};
use std::path::PathBuf;

/// Pages to picture: the picture's name and where it is taken. The demo's codes are fixed by its generator.
const PAGES: [(&str, &str); 6] = [
    ("next-load", "/"),
    ("rack", "/rack"),
    ("shelf", "/shelf/F17"),
    ("measure", "/shelf/F17/measure"),
    ("posts", "/posts"),
    ("set", "/set/K20"),
];
/// Windows to picture them in.
const LOOKS: [(&str, Look); 2] = [("phone", Look::PHONE), ("desk", Look::DESK)];

#[tokio::main]
async fn main() -> Result<()> {
    let folder = PathBuf::from(std::env::args().next_back().context("name the folder for the pictures")?);
    for (device, look) in LOOKS {
        let phone = Phone::with(Studio::Demo, look).await?;
        for (page, path) in PAGES {
            phone.open(path).await?;
            for (dark, light) in [(false, "light"), (true, "dark")] {
                phone.prefer_dark(dark).await?;
                let file = folder.join(format!("{page}-{device}-{light}.png"));
                phone.picture(&file).await?;
                println!("{}", file.display());
            }
            phone.prefer_dark(look.dark).await?;
        }
    }
    Ok(())
}
