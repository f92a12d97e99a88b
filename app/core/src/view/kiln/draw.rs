//! A kiln's inside to scale: from above with its front below, and in section as one stands before it.
use crate::event::plan::{Chamber, KeepOut, StackPlace};
use crate::event::values::KeepOutKind;
use crate::units::Length;
use crate::view::figure::{Anchor, Figure, InkKind, Paper, WIDTH, tenth};
use crate::view::text::{LengthUnit, length};

/// Around a drawing, for the words.
const MARGIN: f64 = 20.0;

/// A chamber's bounding sides in millimetres: left to right, front to back, floor to roof or crown.
#[must_use]
pub fn sides_mm(chamber: &Chamber) -> [f64; 3] {
    match *chamber {
        Chamber::Box { width_nm, depth_nm, height_nm }
        | Chamber::Arched { width_nm, depth_nm, height_nm, .. } => {
            [width_nm.mm(), depth_nm.mm(), height_nm.mm()]
        }
        Chamber::Cylinder { diameter_nm, height_nm } => [diameter_nm.mm(), diameter_nm.mm(), height_nm.mm()],
    }
}

/// A part to keep clear of with the distance in force.
pub type Kept<'a> = (&'a KeepOut, Length);

/// The walls from above.
#[must_use]
pub fn walls_above(chamber: &Chamber, paper: &Paper) -> String {
    let [across, deep, _] = sides_mm(chamber);
    match chamber {
        Chamber::Cylinder { .. } => paper.circle(across / 2.0, deep / 2.0, across / 2.0),
        Chamber::Box { .. } | Chamber::Arched { .. } => paper.rect([0.0, 0.0, across, deep]),
    }
}

/// The walls in section, over the arch where there is one.
///
/// # Source   a chord of length w under a rise r belongs to the circle of radius (w²/4 + r²) / 2r.
#[must_use]
pub fn walls_before(chamber: &Chamber, paper: &Paper) -> String {
    let [across, _, high] = sides_mm(chamber);
    match *chamber {
        Chamber::Arched { spring_nm, .. } => {
            let (spring, rise) = (spring_nm.mm(), high - spring_nm.mm());
            let radius = (across * across / 4.0 + rise * rise) / (2.0 * rise.max(0.1));
            let r = paper.long(radius);
            let is_more_than_half = u8::from(rise > across / 2.0);
            format!(
                "M{} {}V{}A{r} {r} 0 {is_more_than_half} 1 {} {}V{}Z",
                paper.x(0.0),
                paper.y(0.0),
                paper.y(spring),
                paper.x(across),
                paper.y(spring),
                paper.y(0.0)
            )
        }
        Chamber::Box { .. } | Chamber::Cylinder { .. } => paper.rect([0.0, 0.0, across, high]),
    }
}

/// What stands in the chamber beside the stacks, from above.
pub fn kept_above(figure: &mut Figure, paper: &Paper, chamber: &Chamber, kept: &[Kept<'_>]) {
    let [across, deep, _] = sides_mm(chamber);
    for (keep_out, clear) in kept {
        let (x, y) = (keep_out.at.x_nm.mm(), keep_out.at.y_nm.mm());
        let (long, wide, c) = (keep_out.length_nm.mm(), keep_out.width_nm.mm(), clear.mm());
        let halo = [(x - c).max(0.0), (y - c).max(0.0), (x + long + c).min(across), (y + wide + c).min(deep)];
        figure.ink(InkKind::Clearance, paper.rect(halo));
        figure.ink(InkKind::KeepOut, paper.rect([x, y, x + long, y + wide]));
    }
}

/// Whether a part shows in section. A door is the wall that the section is seen through.
fn shows_before(keep_out: &KeepOut) -> bool {
    keep_out.kind != KeepOutKind::Door
}

/// The same in section.
pub fn kept_before(figure: &mut Figure, paper: &Paper, chamber: &Chamber, kept: &[Kept<'_>]) {
    let [across, _, high] = sides_mm(chamber);
    for (keep_out, clear) in kept.iter().filter(|(keep_out, _)| shows_before(keep_out)) {
        let (x, long, c) = (keep_out.at.x_nm.mm(), keep_out.length_nm.mm(), clear.mm());
        let (from, to) = (keep_out.from_nm.mm(), keep_out.to_nm.mm());
        let halo = [(x - c).max(0.0), (from - c).max(0.0), (x + long + c).min(across), (to + c).min(high)];
        figure.ink(InkKind::Clearance, paper.rect(halo));
        figure.ink(InkKind::KeepOut, paper.rect([x, from, x + long, to]));
    }
}

/// The chamber from above, its front below.
#[must_use]
pub fn above(chamber: &Chamber, places: &[StackPlace], kept: &[Kept<'_>], unit: LengthUnit) -> Figure {
    let [across, deep, _] = sides_mm(chamber);
    let paper = Paper::of(across, deep, MARGIN);
    let mut figure = Figure { size: paper.size(), ..Figure::default() };
    figure.ink(InkKind::Wall, walls_above(chamber, &paper));
    kept_above(&mut figure, &paper, chamber, kept);
    for place in places {
        let (x, y) = (place.at.x_nm.mm(), place.at.y_nm.mm());
        let (long, wide) = (place.length_nm.mm(), place.width_nm.mm());
        let is_round = matches!(chamber, Chamber::Cylinder { .. }) && place.length_nm == place.width_nm;
        figure.ink(
            InkKind::Place,
            if is_round {
                paper.circle(x + long / 2.0, y + wide / 2.0, long / 2.0)
            } else {
                paper.rect([x, y, x + long, y + wide])
            },
        );
        figure.word(
            paper.x(x + long / 2.0),
            paper.y(y + wide / 2.0) + 5.0,
            Anchor::Middle,
            place.name.clone(),
        );
    }
    numbers(
        &mut figure,
        &paper,
        kept,
        |_| true,
        |keep_out| {
            let (x, y) = (keep_out.at.x_nm.mm(), keep_out.at.y_nm.mm());
            (x + keep_out.length_nm.mm() / 2.0, y + keep_out.width_nm.mm() / 2.0)
        },
    );
    let size = paper.size();
    figure.small(size.0 / 2.0, size.1 - 5.0, Anchor::Middle, "front");
    let names: Vec<&str> = places.iter().map(|place| place.name.as_str()).collect();
    figure.said = format!(
        "The chamber from above, {} by {}, its front below; places for stacks: {}; kept clear: {}",
        length(Length::from_mm(across), unit),
        length(Length::from_mm(deep), unit),
        if names.is_empty() { "none yet".to_owned() } else { names.join(", ") },
        kinds(kept),
    );
    figure.caption = "From above, front at the bottom. Dotted: the distance kept.".to_owned();
    figure
}

/// The chamber as one stands before it.
#[must_use]
pub fn section(chamber: &Chamber, places: &[StackPlace], kept: &[Kept<'_>], unit: LengthUnit) -> Figure {
    let [across, _, high] = sides_mm(chamber);
    let paper = Paper::of(across, high, MARGIN);
    let mut figure = Figure { size: paper.size(), ..Figure::default() };
    figure.ink(InkKind::Wall, walls_before(chamber, &paper));
    kept_before(&mut figure, &paper, chamber, kept);
    for place in places {
        let (x, long) = (place.at.x_nm.mm(), place.length_nm.mm());
        figure.ink(InkKind::Place, paper.rect([x, 0.0, x + long, high.min(60.0)]));
    }
    numbers(&mut figure, &paper, kept, shows_before, |keep_out| {
        let middle = f64::midpoint(keep_out.from_nm.mm(), keep_out.to_nm.mm());
        (keep_out.at.x_nm.mm() + keep_out.length_nm.mm() / 2.0, middle)
    });
    if let Chamber::Arched { spring_nm, .. } = chamber {
        let y = paper.y(spring_nm.mm());
        figure.ink(InkKind::Line, format!("M{} {y}H{}", paper.x(0.0), paper.x(across)));
        let said = format!("spring line {}", length(*spring_nm, unit));
        figure.small(paper.x(across / 2.0), y - 5.0, Anchor::Middle, said);
    }
    let said = length(Length::from_mm(high), unit);
    figure.small(paper.x(across / 2.0), paper.y(high) - 5.0, Anchor::Middle, said.clone());
    figure.said = format!("The chamber in section, {said} high; kept clear: {}", kinds(kept));
    figure.caption = "In section, as one stands before it.".to_owned();
    figure
}

/// Each part to keep clear of bears its number, which the list below explains; those drawn at one place share it.
fn numbers(
    figure: &mut Figure,
    paper: &Paper,
    kept: &[Kept<'_>],
    shows: impl Fn(&KeepOut) -> bool,
    middle: impl Fn(&KeepOut) -> (f64, f64),
) {
    let mut at: Vec<(f64, f64, String)> = Vec::new();
    for (number, (keep_out, _)) in (1..).zip(kept).filter(|(_, (keep_out, _))| shows(keep_out)) {
        let (x, y) = middle(keep_out);
        // What hugs a wall is named beside it, so that the wall does not run through its number.
        let (x, y) = (paper.x(x).clamp(MARGIN + 9.0, WIDTH - MARGIN - 9.0), paper.y(y) + 4.0);
        match at
            .iter_mut()
            .find(|(other_x, other_y, _)| (x - other_x).abs() < 14.0 && (y - other_y).abs() < 12.0)
        {
            Some((_, _, said)) => *said = format!("{said}, {number}"),
            None => at.push((x, y, format!("{number}"))),
        }
    }
    for (x, y, said) in at {
        figure.small(tenth(x), tenth(y), Anchor::Middle, said);
    }
}

fn kinds(kept: &[Kept<'_>]) -> String {
    let names: Vec<&str> = kept.iter().map(|(keep_out, _)| keep_out.kind.said()).collect();
    if names.is_empty() { "nothing on record".to_owned() } else { names.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arch_rises_from_the_spring_line_and_a_steep_one_takes_the_long_way_round() {
        let mm = Length::from_mm;
        let arched = |spring: f64| Chamber::Arched {
            width_nm: mm(900.0),
            depth_nm: mm(800.0),
            height_nm: mm(1100.0),
            spring_nm: mm(spring),
        };
        let paper = Paper::of(900.0, 1100.0, MARGIN);
        // w = 900, rise 200: (202 500 + 40 000) / 400 = 606.25 mm.
        let flat = walls_before(&arched(900.0), &paper);
        let r = paper.long(606.25);
        assert!(flat.contains(&format!("A{r} {r} 0 0 1")), "{flat}");
        assert!(walls_before(&arched(500.0), &paper).contains(" 0 1 1 "), "a rise of 600 over 450");
    }
}
