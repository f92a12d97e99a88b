//! Drawings to scale as plain data: lines with the kind of thing that each is, and words beside them.
//!
//! A page sets them down as SVG; the sheet of styles says how each kind looks. What this does not do: know what
//! is drawn.
use serde::{Deserialize, Serialize};

/// One drawing.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Figure {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption.
    pub caption: String,
    /// Its size in its own units; as many as a phone's screen has pixels across.
    pub size: (f64, f64),
    /// The lines, the hindmost first.
    pub inks: Vec<Ink>,
    /// The words.
    pub words: Vec<Word>,
}

/// One line or area.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Ink {
    /// What it is.
    pub kind: InkKind,
    /// Its SVG path.
    pub path: String,
}

/// What a line or an area is; each kind looks its own way.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InkKind {
    /// The chamber.
    Wall,
    /// A line to measure by: the spring line, the floor.
    Line,
    /// A place for a stack.
    Place,
    /// What is kept clear of.
    KeepOut,
    /// How far.
    Clearance,
    /// A shelf.
    Shelf,
    /// One that a line of the check is about.
    ShelfLook,
    /// One not to be loaded.
    ShelfStop,
    /// No shelf chosen yet.
    ShelfOpen,
    /// A post.
    Post,
    /// A post none of which is chosen yet.
    PostOpen,
    /// A post of the layer below.
    Below,
    /// Ware.
    Ware,
    /// A crack.
    Crack,
    /// A layer that stands in the kiln.
    Loaded,
}

impl InkKind {
    /// The class in the sheet of styles.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Wall => "ink wall",
            Self::Line => "ink line",
            Self::Place => "ink place",
            Self::KeepOut => "ink keep-out",
            Self::Clearance => "ink clearance",
            Self::Shelf => "ink shelf",
            Self::ShelfLook => "ink shelf look",
            Self::ShelfStop => "ink shelf stop",
            Self::ShelfOpen => "ink shelf open",
            Self::Post => "ink post",
            Self::PostOpen => "ink post open",
            Self::Below => "ink below",
            Self::Ware => "ink ware",
            Self::Crack => "ink crack",
            Self::Loaded => "ink shelf loaded",
        }
    }
}

/// Words at a place.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Word {
    /// Across.
    pub x: f64,
    /// Down, at the foot of the letters.
    pub y: f64,
    /// Which end of the words stands there.
    pub anchor: Anchor,
    /// The words.
    pub text: String,
    /// Smaller and quieter.
    pub is_small: bool,
}

/// Which end of some words a place is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Anchor {
    /// They begin there.
    Start,
    /// It is their middle.
    Middle,
    /// They end there.
    End,
}

impl Anchor {
    /// As SVG says it.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// Drawings are this wide: a phone of 390 pixels less its margins.
pub const WIDTH: f64 = 358.0;

/// From millimetres to the drawing, up being up.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub struct Paper {
    /// Units a millimetre.
    pub per_mm: f64,
    /// Where x = 0 is.
    pub left: f64,
    /// Where the other co-ordinate is 0.
    pub bottom: f64,
}

impl Paper {
    /// A paper for so many millimetres across and up, with a margin round them.
    #[must_use]
    pub fn of(across_mm: f64, up_mm: f64, margin: f64) -> Self {
        let per_mm = (WIDTH - 2.0 * margin) / across_mm.max(1.0);
        Self { per_mm, left: margin, bottom: margin + up_mm * per_mm }
    }

    /// The size of a drawing on it.
    #[must_use]
    pub fn size(&self) -> (f64, f64) {
        (WIDTH, tenth(self.bottom + self.left))
    }

    /// Across.
    #[must_use]
    pub fn x(&self, mm: f64) -> f64 {
        tenth(self.left + mm * self.per_mm)
    }

    /// Down.
    #[must_use]
    pub fn y(&self, mm: f64) -> f64 {
        tenth(self.bottom - mm * self.per_mm)
    }

    /// A length.
    #[must_use]
    pub fn long(&self, mm: f64) -> f64 {
        tenth(mm * self.per_mm)
    }

    /// A rectangle from its lower left to its upper right corner.
    #[must_use]
    pub fn rect(&self, [x0, y0, x1, y1]: [f64; 4]) -> String {
        format!("M{} {}H{}V{}H{}Z", self.x(x0), self.y(y0), self.x(x1), self.y(y1), self.x(x0))
    }

    /// A circle.
    #[must_use]
    pub fn circle(&self, x: f64, y: f64, radius_mm: f64) -> String {
        let (left, right, middle) = (self.x(x - radius_mm), self.x(x + radius_mm), self.y(y));
        let r = tenth((right - left) / 2.0);
        format!("M{left} {middle}A{r} {r} 0 1 1 {right} {middle}A{r} {r} 0 1 1 {left} {middle}Z")
    }
}

impl Figure {
    /// Adds a line or an area.
    pub fn ink(&mut self, kind: InkKind, path: String) {
        self.inks.push(Ink { kind, path });
    }

    /// Adds words.
    pub fn word(&mut self, x: f64, y: f64, anchor: Anchor, text: impl Into<String>) {
        self.words.push(Word { x: tenth(x), y: tenth(y), anchor, text: text.into(), is_small: false });
    }

    /// Adds small words.
    pub fn small(&mut self, x: f64, y: f64, anchor: Anchor, text: impl Into<String>) {
        self.words.push(Word { x: tenth(x), y: tenth(y), anchor, text: text.into(), is_small: true });
    }
}

/// To a tenth of a unit: finer is not seen.
#[must_use]
pub fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paper_is_to_scale_both_ways_and_up_is_up() {
        let paper = Paper::of(600.0, 300.0, 18.0);
        assert!((paper.x(600.0) - (WIDTH - 18.0)).abs() < 0.1);
        assert!((paper.long(300.0) - (paper.y(0.0) - paper.y(300.0))).abs() < 0.2);
        assert!(paper.y(300.0) < paper.y(0.0));
        assert_eq!(paper.rect([0.0, 0.0, 600.0, 300.0]), "M18 179H340V18H18Z");
    }
}
