//! The jobs of the bench, in the order in which they are done there.
use crate::event::Body;
use crate::event::values::Choice;
use crate::event::values::Ring;
use crate::event::values::choices;
use serde::{Deserialize, Serialize};

choices! {
    /// One kind of job at the bench. Done from the first to the last: what is wet or cracked is looked at before
    /// anyone grinds it, and flatness is read bare, before the wash goes on.
    Job {
        /// A wet piece is dried.
        DryOut = "dry_out", "dry out";
        /// A crack is looked at and drawn.
        Draw = "draw", "draw the crack";
        /// It is tapped, and listened to.
        Tap = "tap", "tap";
        /// A drip or stuck pot comes off.
        Chisel = "chisel", "chisel and grind";
        /// A face or edge is ground.
        Grind = "grind", "grind";
        /// Wash on the underside comes off.
        Underside = "underside", "strip the underside";
        /// All wash comes off and new wash goes on.
        Strip = "strip", "strip and wash";
        /// Its flatness is read.
        Read = "read", "read flatness";
        /// Wash goes on, all over or on a spot.
        Wash = "wash", "wash";
        /// It is turned over.
        Flip = "flip", "turn over";
        /// It comes off hold once that is seen to.
        Release = "release", "take off hold";
        /// A post's ends are scraped and rubbed flat.
        Dress = "dress", "dress the ends";
        /// A post's height is measured.
        Measure = "measure", "measure";
        /// Posts are put together anew.
        Match = "match", "match again";
        /// The kiln's floor is checked with a level.
        Level = "level", "check the floor\u{2019}s level";
        /// It is cut down or set aside.
        CutDown = "cut_down", "cut down or retire";
    }
}

impl Job {
    /// Whether this entry closes such a job on the piece that it is about.
    #[must_use]
    pub fn is_closed_by(self, body: &Body) -> bool {
        match body {
            Body::PieceRetired(_) => true,
            Body::PieceReleased(_) => {
                matches!(self, Self::DryOut | Self::Draw | Self::Release | Self::CutDown)
            }
            Body::CrackFound(b) => self == Self::Draw || (self == Self::Tap && b.ring != Ring::NotTapped),
            Body::ShelfTapped(b) => self == Self::Tap && b.ring != Ring::NotTapped,
            Body::ShelfGround(_) => matches!(self, Self::Chisel | Self::Grind | Self::Underside),
            Body::ShelfWashed(_) => matches!(self, Self::Strip | Self::Wash),
            Body::ShelfMeasured(_) => self == Self::Read,
            Body::ShelfFlipped(_) => self == Self::Flip,
            Body::PostDressed(_) => self == Self::Dress,
            Body::PostMeasured(_) => self == Self::Measure,
            Body::SetMade(_) => self == Self::Match,
            Body::NoteAdded(_) => self == Self::Level,
            _ => false,
        }
    }

    /// The last part of the address of the form that closes it, below a shelf's or post's card.
    #[must_use]
    pub const fn form(self) -> &'static str {
        match self {
            Self::DryOut | Self::Release => "release",
            Self::Draw => "crack",
            Self::Tap => "tapped",
            Self::Chisel | Self::Grind | Self::Underside => "ground",
            Self::Strip | Self::Wash => "washed",
            Self::Read | Self::Measure | Self::Match => "measure",
            Self::Flip => "flipped",
            Self::Dress => "dressed",
            Self::Level => "note",
            Self::CutDown => "retire",
        }
    }

    /// What closes it: "closed when it is logged ground".
    #[must_use]
    pub const fn closed_when(self) -> &'static str {
        match self {
            Self::DryOut => "it is logged dry",
            Self::Draw => "the crack is drawn, or the hold ended",
            Self::Tap => "the tap test is logged",
            Self::Chisel | Self::Grind | Self::Underside => "it is logged ground",
            Self::Strip | Self::Wash => "it is logged washed",
            Self::Read => "a reading is recorded",
            Self::Flip => "it is logged turned over",
            Self::Release => "the hold is ended",
            Self::Dress => "it is logged dressed",
            Self::Measure => "a height is recorded",
            Self::Match => "the set holds again, or another is made of its posts",
            Self::Level => "a note says what was found",
            Self::CutDown => "it is retired, or the hold ended",
        }
    }

    /// What the large button says that leads to the form.
    #[must_use]
    pub const fn button(self) -> &'static str {
        match self {
            Self::DryOut => "Dry: off hold",
            Self::Draw => "Draw the crack",
            Self::Tap => "Tapped",
            Self::Chisel | Self::Grind => "Ground",
            Self::Underside => "Underside ground",
            Self::Strip | Self::Wash => "Washed",
            Self::Read | Self::Measure => "Measure",
            Self::Flip => "Turned over",
            Self::Release => "Off hold",
            Self::Dress => "Dressed",
            Self::Match => "Match again",
            Self::Level => "Floor checked",
            Self::CutDown => "Retire",
        }
    }

    /// Whether it makes dust: the caution goes on top.
    #[must_use]
    pub const fn is_dusty(self) -> bool {
        matches!(self, Self::Chisel | Self::Grind | Self::Underside | Self::Strip | Self::Dress)
    }
}
