//! How long the proposal of the measured load takes, part by part.
use std::time::Instant;
use tripoise_core::planning::{Question, Search};
use tripoise_questions::load::load;

fn main() -> anyhow::Result<()> {
    let (world, wanted) = load()?;
    let start = Instant::now();
    let question = Question::of(&world, &wanted)?;
    let asked = start.elapsed();
    let text = serde_json::to_string(&question)?;
    let start = Instant::now();
    let mut search = Search::new(question);
    let mut parts = 0;
    while !search.has_ended() {
        search.step(1);
        parts += 1;
    }
    let progress = search.progress();
    let searched = start.elapsed();
    let found = search.finish();
    println!(
        "question {:.1} ms ({} kB as text), search {:.1} ms in {parts} parts, best {:?}, bound {}; {}",
        asked.as_secs_f64() * 1e3,
        text.len() / 1000,
        searched.as_secs_f64() * 1e3,
        progress.best,
        progress.bound,
        found.said.join(" / ")
    );
    Ok(())
}
