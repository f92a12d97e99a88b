//! `in_chromium CHROMIUM FOLDER`: the median time of the measured plate in Chromium, in milliseconds.
//!
//! FOLDER has answers.mjs and answers.wasm, as `cargo xtask bench` builds them. What this does not do: warm up
//! longer than a page does; the first ten runs are left out.
use std::error::Error;
use std::path::PathBuf;
use tripoise_questions::programs::in_page;
use tripoise_questions::workloads::ALL;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let mut path = |what: &str| arguments.next().map(PathBuf::from).ok_or(format!("give the {what}"));
    let (chromium, wasm) = (path("browser")?, path("folder")?);
    let plate = ALL.iter().find(|workload| workload.kind == "plate").ok_or("no plate is measured")?;
    let work = format!(
        "const input = {:?}; const work = () => {{
            const took = [];
            for (let i = 0; i < 60; i++) {{
                const start = performance.now();
                if (!answer('plate', input).startsWith('= ')) throw new Error('refused');
                took.push(performance.now() - start);
            }}
            const kept = took.slice(10).sort((a, b) => a - b);
            return {{ median: kept[kept.length >> 1], most: kept[kept.length - 1] }};
        }};",
        plate.input().to_string()
    );
    println!("{}", in_page(&chromium, &wasm, &work)?);
    Ok(())
}
