//! The pages of sets: the list, the card, putting one together, taking one apart.

pub mod card;
pub mod choose;
pub mod list;
pub mod new;
pub mod outlook;
pub mod part;

use crate::code::Code;
use crate::ids::SetId;
use crate::judge::post_set::SetJudgement;
use crate::units::Length;
use crate::view::comb::{self, Comb};
use crate::view::plan::{self, Plan};
use crate::view::post::list::set_group;
use crate::view::text::{self, LengthUnit, length};
use crate::world::{PostSet, Subject, World};

/// The set with this code or id.
///
/// # Errors   One line that says that there is none.
pub fn find<'a>(world: &'a World, text: &str) -> Result<&'a PostSet, String> {
    let by_code = Code::read(text).ok().and_then(|code| match world.by_code(&code) {
        Some(Subject::Set(id)) => Some(id),
        _ => None,
    });
    let id = by_code.or_else(|| text.parse::<SetId>().ok());
    id.and_then(|id| world.sets.get(&id)).ok_or_else(|| format!("no set has the code {text}"))
}

/// "0.14° (2.5 mm per metre), down to the right; standard uncertainty 0.01°".
#[must_use]
pub fn tilt_said(judged: &SetJudgement) -> String {
    let Some(tilt) = &judged.tilt else { return String::new() };
    format!(
        "tilt {}\u{b0} ({} mm per metre), down {}; standard uncertainty {}\u{b0}",
        text::fixed(tilt.tilt_deg, 2),
        text::fixed(tilt.slope_mm_per_m, 1),
        tilt.downhill,
        text::fixed(tilt.u_deg, 2)
    )
}

/// What a free corner takes before the empty shelf tips, and how to load because of it.
#[must_use]
pub fn corner_said(judged: &SetJudgement) -> String {
    let Some(share) = judged.tilt.as_ref().and_then(|tilt| tilt.tips_at) else { return String::new() };
    format!(
        "{} of the shelf\u{2019}s own mass on the very edge of a free corner tips it while it is empty (statics of a rigid shelf, calculated). \
         Load the middle and the two-post side first, free corners last; unload them first.",
        text::percent(share)
    )
}

/// The set's own comb.
#[must_use]
pub fn comb_of(judged: &SetJudgement, nominal: Length, band: Length, unit: LengthUnit) -> Option<Comb> {
    comb::draw(&[set_group("", judged, band)], nominal, unit)
}

/// The chosen shelf in plan.
#[must_use]
pub fn plan_of(
    judged: &SetJudgement,
    outline: &crate::outline::Outline,
    inset: Length,
    unit: LengthUnit,
) -> Plan {
    let codes: Vec<String> = judged.posts.iter().map(|post| post.code.clone()).collect();
    let downhill = judged.tilt.as_ref().and_then(|tilt| tilt.downhill_deg);
    let arrow = if downhill.is_some() { " The arrow points downhill." } else { "" };
    let hollow =
        if judged.carries_nothing.is_empty() { "" } else { " Hollow: one of these carries nothing." };
    let caption = format!("From above, the front below; posts {} in.{arrow}{hollow}", length(inset, unit));
    plan::draw(outline, &judged.spots, &codes, &judged.carries_nothing, downhill, caption)
}

#[cfg(test)]
mod tests;
