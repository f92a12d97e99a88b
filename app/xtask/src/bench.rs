//! `cargo xtask bench`: prints what the budget speaks of, and fails when a figure is over it.
//!
//! The budget: 300 kB for the first load of the home page and of any other, 150 MB for the server with the demo, 15
//! minutes for a build from nothing on two cores.
use crate::project::{Project, say};
use crate::server_process::ServerProcess;
use crate::{bundle, calculations, decoder, phone, rating, times};
use anyhow::{Context as _, Result, bail};
use serde_json::Value;
use std::fs;

/// The first load of a page over the wire, header lines included.
const FIRST_LOAD_BYTES: usize = 300_000;
/// The server's peak memory with the demo.
const PEAK_MEMORY_KB: u64 = 150_000;

/// What the decoder may take for a camera's frame, in milliseconds.
const DECODE_MS: f64 = 20.0;

/// What can be measured by itself.
#[derive(Clone, Copy, PartialEq, Eq, Debug, clap::ValueEnum)]
pub enum Part {
    /// The first load, the server's memory, the build
    Pages,
    /// Each calculation beside its peer
    Calculations,
    /// A camera's frame
    Frame,
    /// How Lighthouse rates the home page and a shelf's card
    Rating,
    /// What is waited for on a phone: a scan, a tap, a plan's check, a proposal
    Phone,
}

/// Builds what is out of date, measures it, or only one part of it, and prints the figures.
///
/// # Errors   When something does not build or run, or a figure is over its budget.
pub fn bench(project: &Project, only: Option<Part>) -> Result<()> {
    let wanted = |part| only.is_none_or(|only| only == part);
    let mut over = Vec::new();
    if wanted(Part::Pages) {
        over.extend(pages(project)?);
    }
    if wanted(Part::Calculations) {
        over.extend(calculations::measure(project)?);
    }
    if wanted(Part::Frame) {
        let frame = decoder::frame_times(project)?;
        println!(
            "decoder, a frame of 960 × 720 in node: {:.1} ms held near, {:.1} ms held far, of {DECODE_MS} ms",
            frame.near_ms, frame.far_ms
        );
        if frame.near_ms.max(frame.far_ms) > DECODE_MS {
            over.push("the decoder takes too long for a frame".to_owned());
        }
    }
    if wanted(Part::Rating) {
        over.extend(rating::measure(project)?);
    }
    if wanted(Part::Phone) {
        over.extend(phone::measure(project)?);
    }
    if !over.is_empty() {
        bail!("over budget: {}", over.join("; "));
    }
    Ok(())
}

/// The first load, the server's memory and the build; returns what is over its budget.
fn pages(project: &Project) -> Result<Vec<String>> {
    let binary = bundle::finished_binary(project)?;
    say("starting the server with the demo");
    let store = project.target.join("bench-store");
    let server = ServerProcess::start_demo(&binary, &store)?;
    let n_bytes = first_load(project, &server, "/")?;
    let (n_pages, heaviest) = read_every_page(&server)?;
    let n_bytes_heaviest = first_load(project, &server, &heaviest)?;
    let peak_kb = server.peak_memory_kb()?;
    println!("server's peak memory with the demo, {n_pages} pages read: {peak_kb} kB of {PEAK_MEMORY_KB} kB");
    let size = binary.metadata()?.len();
    println!("the binary: {size} bytes");
    match times::last_cold_build(project) {
        Some(text) => println!("last build from nothing: {text} (budget on two cores: 900 s)"),
        None => println!("last build from nothing: not known; delete target/ and build to measure it"),
    }
    drop(server);
    fs::remove_dir_all(store)?;
    let mut over = Vec::new();
    if n_bytes > FIRST_LOAD_BYTES {
        over.push(format!("the first load of the home page is {n_bytes} bytes"));
    }
    if n_bytes_heaviest > FIRST_LOAD_BYTES {
        over.push(format!("the first load of {heaviest} is {n_bytes_heaviest} bytes"));
    }
    if peak_kb > PEAK_MEMORY_KB {
        over.push(format!("the server holds {peak_kb} kB"));
    }
    Ok(over)
}

/// Fetches a page and every file of the bundle that it names; prints each one's bytes. What only the
/// script names that waits until the page is loaded and the browser idle is printed apart.
fn first_load(project: &Project, server: &ServerProcess, path: &str) -> Result<usize> {
    let page = server.get(path, "identity")?.text;
    let manifest: Value = serde_json::from_slice(&fs::read(project.bundle_dir().join("manifest.json"))?)?;
    let files = manifest["files"].as_array().context("the manifest lists no files")?;
    // The decoder is named for whoever opens a camera, and not loaded before.
    let loaded =
        files.iter().filter_map(|file| file["path"].as_str()).filter(|path| manifest["decoder"] != *path);
    let named = loaded.filter(|path| page.contains(path));
    let first = without_later_script(&page);
    let (mut total, mut later) = (0, 0);
    for name in std::iter::once(path).chain(named) {
        let answer = server.get(name, "br")?;
        let packed = if answer.head.contains("content-encoding: br") { "brotli" } else { "as it is" };
        let is_later = name != path && !first.contains(name);
        let when = if is_later { ", once the page is loaded and idle" } else { "" };
        println!("{:>9} bytes {packed:<9} {name}{when}", answer.n_bytes_wire);
        *(if is_later { &mut later } else { &mut total }) += answer.n_bytes_wire;
    }
    println!(
        "first load of {path}: {total} bytes of {FIRST_LOAD_BYTES}; afterwards, in the background: {later}"
    );
    Ok(total)
}

/// The page without the module that loads the program when nothing else is going on.
fn without_later_script(page: &str) -> String {
    let mut parts = page.split("<script type=\"module\"");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (script, rest) = part.split_once("</script>").unwrap_or((part, ""));
        if !script.contains("requestIdleCallback") {
            kept.push_str(script);
        }
        kept.push_str(rest);
    }
    kept
}

/// Reads each page that the home page or a page behind it links to, so that the memory is a working server's.
///
/// # Returns   How many there are, and the path of the one that is longest over the wire.
fn read_every_page(server: &ServerProcess) -> Result<(usize, String)> {
    let mut seen = std::collections::BTreeSet::from(["/".to_owned()]);
    let mut next = vec!["/".to_owned()];
    let mut heaviest = (0, String::new());
    while let Some(path) = next.pop() {
        let page = server.get(&path, "identity")?.text;
        for link in links(&page) {
            if seen.insert(link.to_owned()) {
                next.push(link.to_owned());
            }
        }
        heaviest = heaviest.max((server.get(&path, "br")?.n_bytes_wire, path));
    }
    Ok((seen.len(), heaviest.1))
}

/// The paths of a page's own links, without files, the interface for programs, and other servers.
fn links(page: &str) -> impl Iterator<Item = &str> {
    page.split("<a ").skip(1).filter_map(|rest| {
        let tag = rest.split('>').next()?;
        let path = tag.split("href=\"").nth(1)?.split(['"', '#', '?']).next()?;
        let own = path.starts_with('/') && !path.starts_with("//");
        (own && !path.starts_with("/api/") && !path.starts_with("/assets/") && !path.contains('.'))
            .then_some(path)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_waits_for_an_idle_browser_is_not_part_of_the_first_load() {
        let page = "<link href=a.css><script type=\"module\" nonce=1>import('a.js')</script><p>x</p>
            <script type=\"module\">requestIdleCallback(() => import('b.js'))</script><p>y</p>";
        let first = without_later_script(page);
        assert!(first.contains("a.css") && first.contains("a.js") && first.contains("<p>y</p>"), "{first}");
        assert!(!first.contains("b.js"), "{first}");
    }

    #[test]
    fn links_are_the_pages_of_this_server() {
        let page = r##"<a href="/shelves">all</a><a class="big" href="/shelf/K7?side=up#map">K7</a>
            <a href="https://example.org/">away</a><a href="#top">up</a><a href="/api/v1/events">feed</a><link href="/x">"##;
        assert_eq!(links(page).collect::<Vec<_>>(), ["/shelves", "/shelf/K7"]);
    }
}
