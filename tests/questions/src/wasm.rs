//! What the browser and node call.
//!
//! What this does not do: catch a panic. It ends the program, and the caller sees that.
use tripoise_core::planning::{Wanted, propose};
use tripoise_core::world::World;
use wasm_bindgen::prelude::wasm_bindgen;

/// See [`crate::answer`].
#[wasm_bindgen]
#[must_use]
pub fn answer(kind: &str, input: &str) -> String {
    crate::answer(kind, input)
}

/// The plan that is measured, kept as a page keeps it.
#[wasm_bindgen]
pub struct MeasuredPlan(crate::planned::Planned);

#[wasm_bindgen]
impl MeasuredPlan {
    /// The plan, always the same; nothing where its records cannot be made.
    #[must_use]
    pub fn make() -> Option<Self> {
        crate::planned::Planned::new().ok().map(Self)
    }

    /// Checks it with other ware on one shelf, and says how many lines that gives.
    #[must_use]
    pub fn ware(&mut self, grams: i32) -> usize {
        self.0.check_with_ware(i64::from(grams)).lines.len()
    }

    /// Checks it with a post dragged, and says how many lines that gives.
    #[must_use]
    pub fn drag(&mut self, step: i32) -> usize {
        self.0.check_dragged(i64::from(step)).lines.len()
    }

    /// Checks it with every plate solved anew, and says how many lines that gives.
    #[must_use]
    pub fn cold(&mut self) -> usize {
        self.0.check_cold().lines.len()
    }
}

/// The load whose proposal is measured.
#[wasm_bindgen]
pub struct MeasuredLoad(World, Wanted);

#[wasm_bindgen]
impl MeasuredLoad {
    /// The load, always the same; nothing where its records cannot be made.
    #[must_use]
    pub fn make() -> Option<Self> {
        crate::load::load().ok().map(|(world, wanted)| Self(world, wanted))
    }

    /// Fills it as the page does, from the question to the end of the search. Says what the choice costs and what none
    /// can cost less than, as JSON; nothing where there is no proposal.
    #[must_use]
    pub fn propose(&self) -> Option<String> {
        let found = propose(&self.0, &self.1).ok()?;
        Some(serde_json::json!({"objective": found.objective, "bound": found.bound}).to_string())
    }
}
