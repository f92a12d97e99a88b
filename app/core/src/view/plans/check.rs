//! A plan's check as its pages show it: each line with its mark, under the layer that it belongs to.
use crate::event::PlanSaved;
use crate::judge::stack::{CheckLine, LayerFigures, LoadVerdict, StackCheck};
use crate::view::text::{LengthUnit, count, day, fixed, length, sentence};
use crate::view::{Mark, Shape};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// One line of the check.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LineShown {
    /// Its stable name.
    pub name: String,
    /// Where: "front, layer 2"; empty for the whole plan.
    pub place: String,
    /// Its mark.
    pub mark: Mark,
    /// What was found.
    pub said: String,
    /// What mends it.
    pub fix: String,
    /// The number and the limit.
    pub rests_on: String,
    /// "2026-03-15: weighed it, 9 kg"; empty where nobody overruled it.
    pub overruled: String,
    /// Whether it may be overruled: notes are no verdict.
    pub is_open: bool,
    /// The codes of the shelf it is about and of the one that could take its place, where one was found.
    pub exchange: Option<[String; 2]>,
}

/// A plan's check.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct CheckShown {
    /// "do not load", with its shape.
    pub verdict: Mark,
    /// "2 lines say do not load, 3 want looking at."
    pub sentence: String,
    /// Every line, the whole plan's first, then from the floor up.
    pub lines: Vec<(String, u32, LineShown)>,
    /// The checks that found nothing.
    pub passed: Vec<String>,
}

/// Shows a check.
#[must_use]
pub fn shown(check: &StackCheck) -> CheckShown {
    let lines: Vec<(String, u32, LineShown)> =
        check.lines.iter().map(|one| (one.place.clone(), one.layer, line(one))).collect();
    CheckShown {
        verdict: Mark::new(check.verdict.shape(), check.verdict.said()),
        sentence: sentence_of(check),
        lines,
        passed: check.passed.iter().map(|one| one.check.said().to_owned()).collect(),
    }
}

fn line(one: &CheckLine) -> LineShown {
    let (shape, word) = match (one.check.is_note(), one.shape) {
        (true, _) => (Shape::Unknown, "note"),
        (_, Shape::Plain) => (Shape::Plain, "passes"),
        (_, Shape::Unknown) => (Shape::Unknown, "not known"),
        (_, Shape::Look) => (Shape::Look, "look at"),
        (_, Shape::Stop | Shape::Gone) => (Shape::Stop, "do not load"),
    };
    let overruled = one.overruled.as_ref();
    LineShown {
        name: one.name.clone(),
        place: one.place_said(),
        mark: Mark::new(shape, word),
        said: sentence(&one.said),
        fix: sentence(&one.fix),
        rests_on: one.rests_on.clone(),
        overruled: overruled.map_or_else(String::new, |by| format!("{}: {}", day(by.stamp.at), by.reason)),
        is_open: overruled.is_none() && shape != Shape::Plain && !one.check.is_note(),
        exchange: one.exchange.clone(),
    }
}

/// How many lines stand against it.
fn sentence_of(check: &StackCheck) -> String {
    let n = |verdict: LoadVerdict| check.lines.iter().filter(|one| one.counts_as() == verdict).count() as u64;
    let n_overruled = check.lines.iter().filter(|one| one.overruled.is_some()).count() as u64;
    let (stops, looks) = (n(LoadVerdict::DoNotLoad), n(LoadVerdict::LookAt));
    let mut said = match (stops, looks) {
        (0, 0) => "No line stands against it.".to_owned(),
        (0, looks) => format!("{} to be looked at.", count(looks, "line is", "lines are")),
        (stops, 0) => format!("{} do not load.", count(stops, "line says", "lines say")),
        (stops, looks) => {
            format!("{} do not load, {looks} more to be looked at.", count(stops, "line says", "lines say"))
        }
    };
    if n_overruled > 0 {
        said = format!("{said} {}.", count(n_overruled, "line is overruled", "lines are overruled"));
    }
    said
}

impl CheckShown {
    /// The lines about one layer of a stack; of the stack as a whole with 0.
    #[must_use]
    pub fn of_layer(&self, place: &str, layer: u32) -> Vec<LineShown> {
        let here = self.lines.iter().filter(|(at, n, _)| at == place && *n == layer);
        here.map(|(_, _, line)| line.clone()).collect()
    }

    /// The worst mark of a layer's lines that nobody overruled; plain where there is none.
    #[must_use]
    pub fn worst(&self, place: &str, layer: u32) -> Shape {
        self.of_layer(place, layer)
            .iter()
            .filter(|line| line.is_open)
            .map(|line| line.mark.shape)
            .max()
            .unwrap_or(Shape::Plain)
    }
}

/// "K21: P31, P34 and P40" or what stands there otherwise.
#[must_use]
pub fn stands_on(world: &World, plan: &PlanSaved, stack: usize, layer: usize) -> String {
    let Some(layer) = plan.stacks.get(stack).and_then(|stack| stack.layers.get(layer)) else {
        return String::new();
    };
    if let Some(set) = layer.set.and_then(|id| world.sets.get(&id)) {
        return set.code.to_string();
    }
    let codes: Vec<String> = layer
        .supports
        .iter()
        .map(|one| {
            let codes: Vec<String> = one
                .posts
                .iter()
                .filter_map(|id| world.posts.get(id))
                .map(|post| post.code.to_string())
                .collect();
            if codes.is_empty() { "a post to choose".to_owned() } else { codes.join(" on ") }
        })
        .collect();
    if codes.is_empty() { "no posts yet".to_owned() } else { codes.join(", ") }
}

/// "clear over the tallest 12 mm; carries 31.4 kg; leans 2.1 mm".
#[must_use]
pub fn facts(figures: &LayerFigures, unit: LengthUnit) -> String {
    let mut said = Vec::new();
    if let Some(clear) = figures.clear {
        said.push(match clear.0 {
            0.. => format!("{} clear over the tallest", length(clear, unit)),
            _ => format!("the tallest stands {} too high", length(crate::units::Length(-clear.0), unit)),
        });
    }
    if figures.carried_kg > 0.0 {
        said.push(format!("its posts carry {} kg", fixed(figures.carried_kg, 1)));
    }
    let lean = crate::units::Length::from_mm(libm::round(figures.lean_mm * 10.0) / 10.0);
    if lean.0 > 0 {
        said.push(format!("leans {}", length(lean, unit)));
    }
    said.join("; ")
}
