//! How long the calculations take, from the text of the question to the text of the answer; flatness and matching
//! without the reading and writing too, since a page holds numbers, not text.
//!
//! `cargo xtask bench` runs this and sets peers and budgets beside it. With TRIPOISE_WORKLOADS it also leaves the
//! inputs in that folder, for the peers.
use criterion::{BatchSize, Criterion};
use serde_json::Value;
use std::error::Error;
use std::hint::black_box;
use std::path::PathBuf;
use std::time::Duration;
use tripoise_core::calc;
use tripoise_core::geometry::SurfacePoint;
use tripoise_core::geometry::flatness::measure;
use tripoise_core::grouping::{Rules, SetSize, best_sets};
use tripoise_questions::workloads::{ALL, Workload};

type Done = Result<(), Box<dyn Error>>;

fn number(value: &Value, field: &str) -> Result<f64, Box<dyn Error>> {
    value[field].as_f64().ok_or_else(|| format!("no {field} in {value}").into())
}

fn points(input: &Value) -> Result<Vec<SurfacePoint>, Box<dyn Error>> {
    let list = input["points"].as_array().ok_or("no points")?;
    let point = |one: &Value| {
        Ok(SurfacePoint {
            x_mm: number(one, "x_mm")?,
            y_mm: number(one, "y_mm")?,
            z_mm: number(one, "z_mm")?,
        })
    };
    list.iter().map(point).collect()
}

/// Heights in nanometres, as the pages have them.
fn heights(input: &Value) -> Result<Vec<i64>, Box<dyn Error>> {
    let list = input["posts"].as_array().ok_or("no posts")?;
    list.iter().map(|one| Ok((number(one, "height_mm")? * 1e6).round() as i64)).collect()
}

fn one(criterion: &mut Criterion, workload: Workload) -> Done {
    let input = workload.input();
    let text = input.to_string();
    if let Some(folder) = std::env::var_os("TRIPOISE_WORKLOADS").map(PathBuf::from) {
        std::fs::create_dir_all(&folder)?;
        std::fs::write(folder.join(format!("{}.json", workload.name)), &text)?;
    }
    let name = workload.name;
    match workload.kind {
        "flatness" => {
            let points = points(&input)?;
            criterion.bench_function(name, |bench| bench.iter(|| measure(black_box(&points))));
        }
        "match" => {
            let heights = heights(&input)?;
            let rules = Rules { set_size: SetSize::Three, tolerance: 500_000, dress_max: 0 };
            criterion.bench_function(name, |bench| {
                bench.iter_batched_ref(
                    || heights.clone(),
                    |heights| best_sets(heights, &rules),
                    BatchSize::LargeInput,
                );
            });
        }
        _ => {}
    }
    // A million posts take half a second from text to text: once is enough to tell.
    let slow = workload.size > 100_000;
    criterion.bench_function(&format!("{name}_text"), |bench| {
        bench.iter_batched(
            || (),
            |()| calc::run(workload.kind, black_box(&text)),
            if slow { BatchSize::PerIteration } else { BatchSize::SmallInput },
        );
    });
    Ok(())
}

fn main() -> Done {
    let mut criterion = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(300))
        .measurement_time(Duration::from_millis(1500))
        .configure_from_args();
    for workload in ALL {
        one(&mut criterion, workload)?;
    }
    criterion.final_summary();
    Ok(())
}
