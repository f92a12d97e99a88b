//! The comb: posts drawn side by side from the bench up, their tops exaggerated so that tenths show.
//!
//! Everything is worked out here in the drawing's own units; the page only sets it down. Only measured
//! tops are drawn as such; an unmeasured post is a dashed outline of its nominal height.
//!
//! What this does not do: judge. Which bars belong together and which are out is told to it.
use crate::units::Length;
use crate::view::text::{LengthUnit, length};
use serde::{Deserialize, Serialize};

/// A drawing of posts.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Comb {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption: how much the tops are exaggerated, and what the band is.
    pub caption: String,
    /// One strip of the drawing below the other.
    pub strips: Vec<Strip>,
}

/// One strip: as many posts as fit side by side on a phone.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Strip {
    /// Its height in the drawing's units; its width is [`WIDTH`].
    pub height: f64,
    /// Where the bench is.
    pub foot: f64,
    /// Where the nominal height is.
    pub nominal: f64,
    /// The bars.
    pub bars: Vec<Bar>,
    /// The bands and labels of the sets.
    pub bands: Vec<Band>,
}

/// One post.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Bar {
    /// Its left side.
    pub x: f64,
    /// Its top.
    pub top: f64,
    /// Its code.
    pub code: String,
    /// How it is drawn.
    pub look: Look,
}

/// How a bar is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Look {
    /// Measured: filled.
    Measured,
    /// Measured and out of its set: filled in the colour of iron, and struck.
    Out,
    /// Not measured: dashed, at its nominal height.
    Dashed,
}

/// The tolerance band of one set, and what stands under it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Band {
    /// Its left side.
    pub x: f64,
    /// Its width.
    pub width: f64,
    /// Its top and bottom, where its posts are measured.
    pub between: Option<(f64, f64)>,
    /// "K03  0.4".
    pub label: String,
}

/// One post as the drawing is told of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tooth {
    /// Its code.
    pub code: String,
    /// Its height, where it is measured.
    pub height: Option<Length>,
    /// Whether it is out of its set.
    pub out: bool,
}

/// Posts that are drawn together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Group {
    /// What stands under them; empty for loose posts.
    pub label: String,
    /// The posts.
    pub teeth: Vec<Tooth>,
    /// The tolerance, where they are a set.
    pub band: Option<Length>,
}

/// The drawing's width in its own units, about the points of a phone's screen between its margins.
pub const WIDTH: f64 = 358.0;
/// The width of a bar.
pub const BAR: f64 = 24.0;
/// From one bar to the next, where codes are of three characters; wider for longer codes.
const PITCH: f64 = 30.0;
/// What each further character of a code takes. House choice: a bold 13-unit capital and a little air.
const CHARACTER: f64 = 8.0;
/// Between groups.
const BREAK: f64 = 16.0;
/// How high a nominal post is drawn. House choice: with 40 times on the tops, 0.5 mm of a 150 mm post is 11
/// units, a third of a finger.
const BODY: f64 = 84.0;
/// The most that tops may rise and fall.
const ROOM: f64 = 150.0;
/// Under the bench, for codes and labels.
const LABELS: f64 = 38.0;
/// The exaggerations tried, the first that fits being taken: 40, and less where heights differ much.
const TIMES: [f64; 6] = [40.0, 20.0, 10.0, 5.0, 2.0, 1.0];

/// Draws posts of one nominal height; nothing where there are none.
#[must_use]
pub fn draw(groups: &[Group], nominal: Length, unit: LengthUnit) -> Option<Comb> {
    let off: Vec<f64> = teeth(groups).filter_map(|tooth| tooth.height).map(|h| (h - nominal).mm()).collect();
    let (highest, lowest) =
        off.iter().fold((0.0_f64, 0.0_f64), |(high, low), off| (high.max(*off), low.min(*off)));
    let n_teeth = teeth(groups).count();
    if n_teeth == 0 || nominal.0 <= 0 {
        return None;
    }
    let scale = BODY / nominal.mm();
    let times = TIMES.into_iter().find(|times| (highest - lowest) * scale * times <= ROOM).unwrap_or(1.0);
    let per_mm = scale * times;
    let frame = Frame {
        nominal,
        per_mm,
        pitch: pitch(groups),
        line: 10.0 + highest * per_mm,
        // The foot stays below the lowest top, so that a very short post still has a body.
        foot: 10.0 + highest * per_mm + BODY.max(12.0 - lowest * per_mm),
    };
    let strips = lay_out(groups, frame.pitch).into_iter().map(|strip| frame.strip(&strip, unit)).collect();
    let measured = off.len();
    Some(Comb {
        said: format!("{n_teeth} posts of {}, {measured} of them measured", length(nominal, unit)),
        caption: format!(
            "Tops drawn {times} times; the line is {}. A set\u{2019}s band is what is accepted; dashed: not measured.",
            length(nominal, unit)
        ),
        strips,
    })
}

fn teeth(groups: &[Group]) -> impl Iterator<Item = &Tooth> {
    groups.iter().flat_map(|group| &group.teeth)
}

/// A part of a group on one strip: its left side, the group and the teeth.
type Placed<'a> = (f64, &'a Group, &'a [Tooth]);

/// Fills strips from the left; a set is never broken, loose posts are.
fn lay_out(groups: &[Group], pitch: f64) -> Vec<Vec<Placed<'_>>> {
    let mut strips = Vec::new();
    let mut strip: Vec<Placed<'_>> = Vec::new();
    let mut x = 2.0;
    for group in groups {
        let mut rest: &[Tooth] = &group.teeth;
        while !rest.is_empty() {
            let fits = (0..=rest.len()).rev().find(|n| *n == 0 || x + width(*n, pitch) <= WIDTH).unwrap_or(0);
            let take = if fits == rest.len() || group.band.is_none() || strip.is_empty() { fits } else { 0 };
            if take == 0 {
                strips.push(std::mem::take(&mut strip));
                x = 2.0;
                continue;
            }
            let (now, later) = rest.split_at(take);
            strip.push((x, group, now));
            x += width(take, pitch) + BREAK;
            rest = later;
        }
    }
    if !strip.is_empty() {
        strips.push(strip);
    }
    strips
}

fn pitch(groups: &[Group]) -> f64 {
    let longest = teeth(groups).map(|tooth| tooth.code.len()).max().unwrap_or(0);
    #[expect(clippy::cast_precision_loss, reason = "a code has a dozen characters")]
    let further = longest.saturating_sub(3) as f64;
    PITCH + further * CHARACTER
}

fn width(n_bars: usize, pitch: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a strip holds a dozen bars")]
    let n = n_bars as f64;
    (n - 1.0).max(0.0) * pitch + BAR
}

/// Where heights are in the drawing.
struct Frame {
    nominal: Length,
    per_mm: f64,
    pitch: f64,
    line: f64,
    foot: f64,
}

impl Frame {
    fn y(&self, height: Length) -> f64 {
        tenth(self.line - (height - self.nominal).mm() * self.per_mm)
    }

    fn strip(&self, placed: &[Placed<'_>], unit: LengthUnit) -> Strip {
        let mut bars = Vec::new();
        for (x, _, teeth) in placed {
            let mut at = *x;
            for tooth in *teeth {
                let look = match (tooth.height, tooth.out) {
                    (None, _) => Look::Dashed,
                    (Some(_), true) => Look::Out,
                    (Some(_), false) => Look::Measured,
                };
                let top = self.y(tooth.height.unwrap_or(self.nominal));
                bars.push(Bar { x: tenth(at), top, code: tooth.code.clone(), look });
                at += self.pitch;
            }
        }
        let bands = placed.iter().map(|(x, group, teeth)| self.band(*x, group, teeth, unit)).collect();
        Strip {
            height: tenth(self.foot + LABELS),
            foot: tenth(self.foot),
            nominal: tenth(self.line),
            bars,
            bands,
        }
    }

    /// The band lies around the middle of the set's heights: a set within it fits into it.
    fn band(&self, x: f64, group: &Group, teeth: &[Tooth], unit: LengthUnit) -> Band {
        let heights: Vec<Length> = teeth.iter().filter_map(|tooth| tooth.height).collect();
        let all = heights.len() == teeth.len();
        let extremes = heights.iter().min().zip(heights.iter().max()).filter(|_| all && group.band.is_some());
        let label = match extremes {
            Some((low, high)) => {
                format!("{}  {}", group.label, crate::view::text::length_bare(*high - *low, unit))
            }
            None => group.label.clone(),
        };
        let between = extremes.zip(group.band).map(|((low, high), band)| {
            let middle = Length(low.0 + (high.0 - low.0) / 2);
            let half = Length(band.0 / 2);
            (self.y(middle + half), self.y(middle - half))
        });
        Band { x: tenth(x - 2.0), width: tenth(width(teeth.len(), self.pitch) + 4.0), between, label }
    }
}

/// To a tenth of a unit: finer does not show, and would only lengthen the page.
fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    fn group(label: &str, heights: &[Option<f64>], band: Option<f64>) -> Group {
        let tooth = |(at, height): (usize, &Option<f64>)| Tooth {
            code: format!("{label}{at}"),
            height: height.map(mm),
            out: false,
        };
        let teeth = heights.iter().enumerate().map(tooth).collect();
        Group { label: label.to_owned(), teeth, band: band.map(mm) }
    }

    fn drawn(groups: &[Group]) -> Comb {
        draw(groups, mm(150.0), LengthUnit::Mm).unwrap_or_else(|| panic!("nothing drawn"))
    }

    #[test]
    fn a_tenth_of_a_millimetre_is_forty_times_its_size() {
        let comb = drawn(&[group("K01", &[Some(150.0), Some(149.9), Some(150.1)], Some(1.0))]);
        let tops: Vec<f64> = comb.strips[0].bars.iter().map(|bar| bar.top).collect();
        // 84 units for 150 mm, times 40: 2.24 units a tenth.
        assert!((tops[1] - tops[0] - 2.2).abs() < 0.11 && (tops[0] - tops[2] - 2.2).abs() < 0.11, "{tops:?}");
        assert!(comb.caption.starts_with("Tops drawn 40 times"), "{}", comb.caption);
        let band = &comb.strips[0].bands[0];
        assert_eq!(band.label, "K01  0.2");
        assert!(band.between.is_some_and(|(top, bottom)| (bottom - top - 22.4).abs() < 0.2), "{band:?}");
    }

    #[test]
    fn heights_far_apart_are_exaggerated_less_and_said_so() {
        let comb = drawn(&[group("", &[Some(150.0), Some(138.0)], None)]);
        assert!(comb.caption.starts_with("Tops drawn 20 times"), "{}", comb.caption);
        assert!(comb.strips[0].bars.iter().all(|bar| bar.top < comb.strips[0].foot), "{comb:?}");
    }

    #[test]
    fn what_is_not_measured_is_dashed_and_has_no_band() {
        let comb = drawn(&[group("K01", &[Some(150.0), None, Some(150.1)], Some(1.0))]);
        let looks: Vec<Look> = comb.strips[0].bars.iter().map(|bar| bar.look).collect();
        assert_eq!(looks, [Look::Measured, Look::Dashed, Look::Measured]);
        assert_eq!((comb.strips[0].bands[0].between, comb.strips[0].bands[0].label.as_str()), (None, "K01"));
    }

    #[test]
    fn a_set_is_never_broken_over_two_strips_and_nothing_leaves_the_drawing() {
        let set = |label: &str| group(label, &[Some(150.0), Some(150.0), Some(150.0)], Some(1.0));
        let loose = group("", &vec![Some(150.0); 30], None);
        let comb = drawn(&[set("A"), set("B"), set("C"), set("D"), set("E"), loose]);
        let n_bars: usize = comb.strips.iter().map(|strip| strip.bars.len()).sum();
        assert_eq!(n_bars, 45);
        for strip in &comb.strips {
            assert!(strip.bars.iter().all(|bar| bar.x + BAR <= WIDTH), "{strip:?}");
        }
        for letter in ["A", "B", "C", "D", "E"] {
            let on =
                comb.strips.iter().filter(|strip| strip.bars.iter().any(|bar| bar.code.starts_with(letter)));
            assert_eq!(on.count(), 1, "{letter}");
        }
    }

    #[test]
    fn longer_codes_stand_further_apart() {
        let at = |label: &str| {
            let comb = drawn(&[group(label, &[Some(150.0), Some(150.0)], None)]);
            comb.strips[0].bars[1].x - comb.strips[0].bars[0].x
        };
        assert_eq!((at("P0"), at("P13")), (30.0, 38.0));
    }
}
