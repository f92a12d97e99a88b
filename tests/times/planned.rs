//! The check of a plan while it is changed, and the proposal of one, in the calculations' own program for wasm32.
//!
//! `cargo xtask bench` builds that program and names its folder in `TRIPOISE_WASM_ANSWERS`.
use super::{SLOWER, number, slow_down, told};
use anyhow::{Context as _, Result};
use browser_support::{Look, Phone, Studio};
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// House choice: changes of each kind that are measured, and as many before them that are not: the browser compiles
/// what it runs often.
const CHANGES: usize = 41;
/// House choice: a first check takes long, and is told beside the rest.
const COLD: usize = 7;
/// House choice: proposals, each a second.
const PROPOSALS: usize = 5;

/// A page with the program in it.
const PAGE: &str = "
initSync({ module: Uint8Array.from(program) });
const timed = (n, act) => {
    const took = [];
    for (let i = 0; i < n; i++) {
        const start = performance.now();
        act(i);
        took.push(performance.now() - start);
    }
    return took;
};
const plan = MeasuredPlan.make();
window.planned = (n_cold, n_changes) => {
    const changed = act => timed(2 * n_changes, act).slice(n_changes);
    let step = 0;
    return {
        cold: timed(n_cold, () => plan.cold()),
        drag: changed(() => plan.drag(++step * 130)),
        ware: changed(() => plan.ware(++step)),
    };
};
window.proposed = n => {
    const load = MeasuredLoad.make();
    let answer;
    const took = timed(n, () => { answer = load.propose(); });
    return { took, ...JSON.parse(answer) };
};
document.title = 'ready';
";

/// Measures both.
pub async fn measure(figures: &mut Map<String, Value>) -> Result<()> {
    let wasm = std::env::var_os("TRIPOISE_WASM_ANSWERS").map(PathBuf::from);
    let wasm = wasm.context("TRIPOISE_WASM_ANSWERS is not set; run `cargo xtask bench phone`")?;
    let module = std::fs::read_to_string(wasm.join("answers.mjs"))?;
    let program = std::fs::read(wasm.join("answers.wasm"))?;
    let folder = tempfile::tempdir()?;
    let page = folder.path().join("page.html");
    let html = format!(
        "<!doctype html><meta charset=utf-8><body><script type=module>\n{module}\nconst program = {program:?};\n{PAGE}</script>"
    );
    std::fs::write(&page, html)?;
    let phone = Phone::with(Studio::Empty, Look::PHONE).await?;
    phone.client().goto(&format!("file://{}", page.display())).await?;
    phone.until("the program is there", async || Ok(phone.client().title().await? == "ready")).await?;
    slow_down(&phone, SLOWER).await?;
    let run = "const [n_cold, n_changes, done] = arguments; done(window.planned(n_cold, n_changes));";
    let found = told(&phone, run, vec![json!(COLD), json!(CHANGES)]).await?;
    for what in ["cold", "drag", "ware"] {
        figures.insert(format!("plan_{what}_ms"), found[what].clone());
    }
    slow_down(&phone, 1).await?;
    let run = "const [n, done] = arguments; done(window.proposed(n));";
    let found = told(&phone, run, vec![json!(PROPOSALS)]).await?;
    figures.insert("proposal_ms".into(), found["took"].clone());
    for what in ["objective", "bound"] {
        figures.insert(format!("proposal_{what}"), json!(number(&found, what)?));
    }
    Ok(())
}
