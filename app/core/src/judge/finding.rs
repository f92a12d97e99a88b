//! One thing that a judgement found: what it is, how to mend it, and on which limit it rests.
//!
//! What this does not do: decide. [`super::shelf`], [`super::post`] and [`super::post_set`] do, and give
//! their findings the worst first.
use crate::jobs::Job;
use crate::settings::{SettingKey, Settings};
use crate::view::history::setting_value;
use crate::view::text::LengthUnit;
use crate::view::{Mark, Shape};
use serde::{Deserialize, Serialize};

/// One thing found.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Finding {
    /// How grave: [`Shape::Plain`] for a check that passed, [`Shape::Stop`] for "do not load".
    pub shape: Shape,
    /// What was found, in one line without the piece's code: "1.3 mm short of nominal".
    pub said: String,
    /// What mends it: "retire it, or use it where short posts go together"; empty where nothing need be done.
    pub fix: String,
    /// The limit and where it comes from: "2 mm; from memory, unchecked".
    pub rests_on: String,
    /// The bench job that mends it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<Job>,
}

impl Finding {
    /// A finding.
    pub fn new(
        shape: Shape,
        said: impl Into<String>,
        fix: impl Into<String>,
        rests_on: impl Into<String>,
    ) -> Self {
        Self { shape, said: said.into(), fix: fix.into(), rests_on: rests_on.into(), job: None }
    }

    /// The finding with the bench job that mends it.
    #[must_use]
    pub fn calls_for(self, job: Job) -> Self {
        Self { job: Some(job), ..self }
    }
}

/// What a limit is and how far it may be trusted: `three posts: spread accepted to 1 mm (common practice,
/// no source)`; where the studio changed it: `... 1.2 mm (the studio's own; by default 1 mm, common practice, no source)`.
#[must_use]
pub fn limit_said(settings: &Settings, key: SettingKey, unit: LengthUnit) -> String {
    let about = key.about();
    let value = setting_value(key, settings.get(key), unit);
    if settings.is_changed(key) {
        let default = setting_value(key, about.default, unit);
        format!(
            "{} {value} (the studio\u{2019}s own; by default {default}, {})",
            about.label,
            about.provenance.said()
        )
    } else {
        format!("{} {value} ({})", about.label, about.provenance.said())
    }
}

/// The worst finding's shape with the word for it; `fine` where there is none, or only passed checks.
#[must_use]
pub fn worst(findings: &[Finding]) -> Shape {
    findings.iter().map(|finding| finding.shape).max().unwrap_or(Shape::Plain)
}

/// The mark of a piece with these findings: "fits", "not known", "look", "stop".
#[must_use]
pub fn mark_of(findings: &[Finding]) -> Mark {
    let shape = worst(findings);
    let word = match shape {
        Shape::Plain => "fits",
        Shape::Unknown => "not known",
        Shape::Look => "look",
        Shape::Stop => "stop",
        Shape::Gone => "retired",
    };
    Mark::new(shape, word)
}

/// Puts the gravest first; equals stay in their order.
pub fn gravest_first(findings: &mut [Finding]) {
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.shape));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_that_of_the_gravest() {
        let mut findings = vec![
            Finding::new(Shape::Look, "a", "", ""),
            Finding::new(Shape::Stop, "b", "", ""),
            Finding::new(Shape::Plain, "c", "", ""),
        ];
        gravest_first(&mut findings);
        assert_eq!(findings.iter().map(|f| f.said.as_str()).collect::<String>(), "bac");
        assert_eq!(mark_of(&findings), Mark::new(Shape::Stop, "stop"));
        assert_eq!(mark_of(&[]), Mark::new(Shape::Plain, "fits"));
    }

    #[test]
    fn a_limit_says_where_it_comes_from() {
        let mut settings = Settings::default();
        let said = |settings: &Settings| limit_said(settings, SettingKey::SpreadLimit, LengthUnit::Mm);
        assert_eq!(said(&settings), "three posts: spread accepted to 1 mm (common practice, no source)");
        assert!(settings.change(SettingKey::SpreadLimit, 1_200_000));
        assert!(said(&settings).contains("1.2 mm (the studio\u{2019}s own; by default 1 mm"));
    }
}
