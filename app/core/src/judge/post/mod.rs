//! Whether one post may go on being loaded: its height, its ends, its slenderness, its set.
//!
//! What this does not do: judge it together with others; that is [`super::post_set`].
use super::decision::{Decision, ONE_SIDED_95, against_limit, uncertainty};
use super::finding::{Finding, gravest_first, limit_said, mark_of};
use super::post_set::{self, SetJudgement, Verdict};
use crate::event::values::HoldReason;
use crate::jobs::Job;
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::history::unit_of;
use crate::view::text::{self, LengthUnit};
use crate::view::{Mark, Shape};
use crate::world::{Post, PostReading, World};

/// Everything said of a post.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PostJudgement {
    /// The gravest, for lists.
    pub mark: Mark,
    /// Everything found, checks that passed too, the gravest first.
    pub findings: Vec<Finding>,
}

/// Judges a post, and asks after the set that it belongs to.
#[must_use]
pub fn judge(world: &World, post: &Post) -> PostJudgement {
    let set = world.set_of(post.id).map(|set| (set.code.to_string(), post_set::judge(world, set)));
    judge_in(world, post, set.as_ref().map(|(code, judged)| (code.as_str(), judged)))
}

/// Judges a post whose set (code and judgement) is known already; for lists, which judge each set once.
#[must_use]
pub fn judge_in(world: &World, post: &Post, set: Option<(&str, &SetJudgement)>) -> PostJudgement {
    if let Some(retired) = &post.retired {
        let note = if retired.note.is_empty() { String::new() } else { format!(" ({})", retired.note) };
        let said = format!("retired on {}: {}{note}", text::day(retired.stamp.at), retired.reason.said());
        let findings = vec![Finding::new(Shape::Gone, said, "", "as recorded")];
        return PostJudgement { mark: Mark::new(Shape::Gone, "retired"), findings };
    }
    let asked = Asked { world, post, unit: unit_of(world) };
    let mut findings = Vec::new();
    findings.extend(asked.held());
    findings.extend(asked.measured());
    findings.extend(asked.short());
    findings.extend(asked.slender());
    findings.extend(asked.square());
    findings.extend(set.and_then(|(code, judged)| of_its_set(code, judged)));
    gravest_first(&mut findings);
    let mark = if post.hold.is_some() { Mark::new(Shape::Stop, "hold") } else { mark_of(&findings) };
    PostJudgement { mark, findings }
}

/// What keeps a post out of a load, whatever it would stand with: a hold, no reading since it was dressed, too short,
/// an end out of square, or so slender that it must not stand. None where it is sound, also where that is undecided.
#[must_use]
pub fn unsound(world: &World, post: &Post) -> Option<Finding> {
    if let Some(retired) = &post.retired {
        return Some(Finding::new(
            Shape::Gone,
            format!("retired: {}", retired.reason.said()),
            "",
            "as recorded",
        ));
    }
    let asked = Asked { world, post, unit: unit_of(world) };
    let of = |finding: Option<Finding>, shape: Shape| finding.filter(|finding| finding.shape == shape);
    asked
        .held()
        .or_else(|| of(asked.measured(), Shape::Unknown))
        .or_else(|| of(asked.short(), Shape::Look))
        .or_else(|| of(asked.square(), Shape::Look))
        .or_else(|| of(asked.slender(), Shape::Stop))
}

/// How far under nominal a post is too short: a length, or a share of the nominal height where that is less.
#[must_use]
pub fn short_limit(settings: &Settings, nominal: Length) -> Length {
    let share = Length::from_mm(settings.ratio(SettingKey::PostShortShare) * nominal.mm());
    share.min(settings.length(SettingKey::PostShort))
}

/// One post under judgement.
struct Asked<'a> {
    world: &'a World,
    post: &'a Post,
    unit: LengthUnit,
}

impl Asked<'_> {
    fn limit(&self, key: SettingKey) -> String {
        limit_said(&self.world.settings, key, self.unit)
    }

    fn held(&self) -> Option<Finding> {
        let hold = self.post.hold.as_ref()?;
        let note = if hold.note.is_empty() { String::new() } else { format!(" ({})", hold.note) };
        let said = format!("on hold since {}: {}{note}", text::day(hold.since.at), hold.reason.said());
        let finding = Finding::new(Shape::Stop, said, "take it off hold once that is seen to", "as recorded");
        Some(finding.calls_for(if hold.reason == HoldReason::Wet { Job::DryOut } else { Job::Release }))
    }

    /// Never, not since it was dressed, or not for long.
    fn measured(&self) -> Option<Finding> {
        let unknown = |said: &str, why: &str| {
            Some(Finding::new(Shape::Unknown, said, "measure it", why).calls_for(Job::Measure))
        };
        let Some(last) = self.post.last_reading() else {
            return unknown("never measured", "the nominal height is not its height (common practice)");
        };
        if last.stale {
            return unknown("dressed since it was last measured", "a dressed end has a new height");
        }
        let since = self.post.firings().saturating_sub(last.firings_then);
        if i64::from(since) < self.world.settings.get(SettingKey::RemeasurePost) {
            return None;
        }
        let said = format!("not measured for {}", text::count(u64::from(since), "firing", "firings"));
        let finding = Finding::new(Shape::Look, said, "measure it", self.limit(SettingKey::RemeasurePost));
        Some(finding.calls_for(Job::Measure))
    }

    /// Short of nominal by 2 mm or 1 %, whichever is less.
    fn short(&self) -> Option<Finding> {
        let reading = self.post.height_reading()?;
        let short = self.post.nominal - reading.height;
        let settings = &self.world.settings;
        let limit = short_limit(settings, self.post.nominal);
        let u = uncertainty(settings, reading.instrument);
        let rests_on = format!(
            "{}, {}, whichever is less: {} here; guard band {} = 1.645 \u{d7} {} ({})",
            self.limit(SettingKey::PostShort),
            self.limit(SettingKey::PostShortShare),
            self.say(limit),
            self.say(Length::from_mm(ONE_SIDED_95 * u.mm())),
            self.say(u),
            reading.instrument.said()
        );
        let said = match short.0.signum() {
            0 => "just its nominal height".to_owned(),
            -1 => format!("{} over nominal", self.say(short.abs())),
            _ => format!("{} short of nominal", self.say(short)),
        };
        Some(match against_limit(short.mm(), limit.mm(), u.mm(), ONE_SIDED_95) {
            Decision::Within => Finding::new(Shape::Plain, said, "", rests_on),
            Decision::Undecided => Finding::new(
                Shape::Unknown,
                format!("undecided: {said} is too near {} to tell", self.say(limit)),
                "measure again with the caliper",
                rests_on,
            )
            .calls_for(Job::Measure),
            Decision::Over => {
                Finding::new(Shape::Look, said, "retire it, or cut it down to the next height", rests_on)
                    .calls_for(Job::CutDown)
            }
        })
    }

    /// Height to width.
    fn slender(&self) -> Option<Finding> {
        let height = self.post.height_reading().map_or(self.post.nominal, |reading| reading.height);
        if self.post.width.0 <= 0 {
            return None;
        }
        let ratio = height.mm() / self.post.width.mm();
        let said = format!("{} times as high as wide", text::fixed(ratio, 1));
        let settings = &self.world.settings;
        let (shape, fix, key) = if ratio > settings.ratio(SettingKey::SlenderStop) {
            (
                Shape::Stop,
                "take a wider post, or two on each other with the taller below",
                SettingKey::SlenderStop,
            )
        } else if ratio > settings.ratio(SettingKey::SlenderWarn) {
            (
                Shape::Look,
                "take a wider post where the load is heavy or the layer low",
                SettingKey::SlenderWarn,
            )
        } else {
            (Shape::Plain, "", SettingKey::SlenderWarn)
        };
        Some(Finding::new(shape, said, fix, self.limit(key)))
    }

    /// The worse end's slope over the width, and how far the post leans by it.
    fn square(&self) -> Option<Finding> {
        let reading: &PostReading = self.post.height_reading()?;
        let out = reading.out_of_square?;
        if self.post.width.0 <= 0 {
            return None;
        }
        let width = self.post.width.mm();
        let slope = out.mm() / width;
        let settings = &self.world.settings;
        let limit = settings.ratio(SettingKey::SquarenessWarn);
        let u = uncertainty(settings, reading.instrument).mm() / width;
        let said = format!(
            "end out of square by {} across {}: leans {}\u{b0}",
            self.say(out),
            self.say(self.post.width),
            text::fixed(libm::atan(slope).to_degrees(), 1)
        );
        let rests_on = format!(
            "{}; {}",
            self.limit(SettingKey::SquarenessWarn),
            SettingKey::SquarenessWarn.about().source
        );
        let dress = "dress the end on coarse wet grit and check it with a square";
        Some(match against_limit(slope, limit, u, ONE_SIDED_95) {
            Decision::Within => Finding::new(Shape::Plain, said, "", rests_on),
            Decision::Undecided => Finding::new(
                Shape::Unknown,
                format!("undecided: {said}"),
                "read it again with a feeler under a square",
                rests_on,
            )
            .calls_for(Job::Measure),
            Decision::Over => Finding::new(Shape::Look, said, dress, rests_on).calls_for(Job::Dress),
        })
    }

    fn say(&self, length: Length) -> String {
        text::length(length, self.unit)
    }
}

/// What its set's verdict means for the post: a drift, or that they do not go together.
fn of_its_set(code: &str, judged: &SetJudgement) -> Option<Finding> {
    let (shape, said, rests_on) = match (&judged.drift, judged.verdict) {
        (Some(drift), _) => (judged.mark.shape.max(Shape::Look), &drift.said, &drift.rests_on),
        (None, Verdict::NotTogether) => (Shape::Stop, &judged.said, &judged.rests_on),
        (None, Verdict::Shim) => (Shape::Look, &judged.said, &judged.rests_on),
        (None, _) => return None,
    };
    // A set that must not be loaded bars the set, not the post: the post may serve in another.
    let shape = shape.min(Shape::Look);
    Some(Finding::new(shape, format!("its set {code}: {said}"), judged.fix.clone(), rests_on.clone()))
}

#[cfg(test)]
mod tests;
