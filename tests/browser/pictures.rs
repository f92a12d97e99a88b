//! The README's pictures, taken from the demo: `cargo xtask screenshots [FOLDER]`.
//!
//! On a phone and on a desk, by day and in the dark. What this does not do: test anything; it fails only
//! when a page does not come.
use anyhow::{Context as _, Result};
use browser_support::{Look, Phone, Studio};
use fantoccini::Locator;
use std::path::PathBuf;

/// Pages to picture: the picture's name and where it is taken. The demo's codes are fixed by its generator.
const PAGES: [(&str, &str); 10] = [
    ("next-load", "/"),
    ("rack", "/rack"),
    ("shelf", "/shelf/F17"),
    ("measure", "/shelf/F17/measure"),
    ("posts", "/posts"),
    ("set", "/set/K20"),
    ("kiln", "/kiln/Heron"),
    ("plan", "/plan/PLAN"),
    ("layer", "/plan/PLAN/layer/1/2"),
    ("sheet", "/plan/PLAN/sheet"),
];
/// The demo's plan that is pictured; its id is found by its name.
const PLAN: &str = "week 48";
/// Windows to picture them in.
const LOOKS: [(&str, Look); 2] = [("phone", Look::PHONE), ("desk", Look::DESK)];

#[tokio::main]
async fn main() -> Result<()> {
    let folder = PathBuf::from(std::env::args().next_back().context("name the folder for the pictures")?);
    for (device, look) in LOOKS {
        let phone = Phone::with(Studio::Demo, look).await?;
        phone.open("/plans").await?;
        let link = phone.client().find(Locator::XPath(&format!("//a[contains(., '{PLAN}')]"))).await?;
        let plan = link.attr("href").await?.context("the plan has an address")?;
        for (page, path) in PAGES {
            phone.open(&path.replace("/plan/PLAN", &plan)).await?;
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
