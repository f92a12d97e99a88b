//! The small closed lists that events are made of: materials, faces, reasons, instruments.
use crate::ids::{PostId, SetId, ShelfId};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A closed list whose members have a stored name and a spoken one.
macro_rules! choices {
    ($(#[$meta:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $key:literal, $said:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
        pub enum $name {
            $($(#[$doc])* #[serde(rename = $key)] $variant,)+
        }

        impl $name {
            /// Every member, in the order in which a form offers them.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// The stored name, also the value in a form.
            #[must_use]
            pub const fn key(self) -> &'static str {
                match self { $(Self::$variant => $key),+ }
            }

            /// The spoken name.
            #[must_use]
            pub const fn said(self) -> &'static str {
                match self { $(Self::$variant => $said),+ }
            }

            /// The member with this stored name.
            #[must_use]
            pub fn from_key(key: &str) -> Option<Self> {
                match key { $($key => Some(Self::$variant),)+ _ => None }
            }
        }

        impl Choice for $name {
            fn all() -> &'static [Self] { Self::ALL }
            fn key(self) -> &'static str { Self::key(self) }
            fn said(self) -> &'static str { Self::said(self) }
        }
    };
}

pub(crate) use choices;

/// What a form needs of a closed list.
pub trait Choice: Copy + 'static {
    /// Every member.
    fn all() -> &'static [Self];
    /// The stored name.
    fn key(self) -> &'static str;
    /// The spoken name.
    fn said(self) -> &'static str;
}

choices! {
    /// What a shelf or post is made of.
    Material {
        /// Cordierite or mullite-cordierite.
        Cordierite = "cordierite", "cordierite";
        /// Dry-pressed high alumina.
        HighAlumina = "high_alumina", "high alumina";
        /// Silicon carbide bonded with clay or oxide.
        ClayBondedSic = "clay_bonded_sic", "silicon carbide, clay-bonded";
        /// Nitride-bonded silicon carbide, slit.
        NitrideSlitSic = "nitride_slit_sic", "silicon carbide, nitride-bonded, slit";
        /// Dense thin nitride-bonded silicon carbide.
        DenseThinSic = "dense_thin_sic", "silicon carbide, dense and thin";
        /// Recrystallised silicon carbide.
        RecrystallisedSic = "recrystallised_sic", "silicon carbide, recrystallised";
        /// Silicon-infiltrated silicon carbide.
        InfiltratedSic = "infiltrated_sic", "silicon carbide, silicon-infiltrated";
    }
}

impl Material {
    /// Whether it conducts electricity, takes up water and wants drying: silicon carbide does.
    #[must_use]
    pub const fn is_silicon_carbide(self) -> bool {
        !matches!(self, Self::Cordierite | Self::HighAlumina)
    }
}

/// What a label leads to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Labelled {
    /// A shelf: the label goes on its rack slot or a metal tag.
    #[serde(rename = "shelf")]
    Shelf(ShelfId),
    /// A post: the label goes on its bin or a metal tag.
    #[serde(rename = "post")]
    Post(PostId),
    /// A set: the label goes on its bundle tag.
    #[serde(rename = "set")]
    Set(SetId),
}

choices! {
    /// A shelf's two faces, marked once and for all.
    Face {
        /// Face A.
        A = "a", "face A";
        /// Face B.
        B = "b", "face B";
    }
}

impl Face {
    /// The other face.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }
}

choices! {
    /// The trade's uses of a shelf, the most demanding first.
    Use {
        /// Plates, tiles, porcelain, lidded sets.
        Flatware = "flatware", "plates, tiles and lidded sets";
        /// Mugs, bowls, jars.
        General = "general", "mugs, bowls and jars";
        /// Wadded ware, small work on biscuits of clay.
        Wadded = "wadded", "wadded ware";
        /// Bisque.
        Bisque = "bisque", "bisque";
        /// None: cut it up or retire it.
        NoUse = "none", "nothing: cut it up";
    }
}

choices! {
    /// What a kiln is heated with.
    Fuel {
        /// Electric elements.
        Electric = "electric", "electric";
        /// Gas.
        Gas = "gas", "gas";
        /// Wood.
        Wood = "wood", "wood";
        /// Soda or salt, whatever the fuel.
        SodaOrSalt = "soda_or_salt", "soda or salt";
    }
}

choices! {
    /// What a part of a chamber is kept clear for.
    KeepOutKind {
        /// The wall before a burner.
        BagWall = "bag_wall", "bag wall";
        /// Where the fire leaves.
        Flue = "flue", "flue";
        /// Where the fire comes in.
        BurnerPort = "burner_port", "burner port";
        /// Electric elements.
        Element = "element", "elements";
        /// Thermocouple and its sheath.
        Probe = "probe", "probe";
        /// The hole one looks through.
        SpyHole = "spy_hole", "spy hole";
        /// Witness cones.
        Cones = "cones", "witness cones";
        /// The door, or the lid's edge.
        Door = "door", "door";
        /// Something else.
        Other = "other", "something else";
    }
}

choices! {
    /// What a firing was for.
    Ware {
        /// First firing, no glaze.
        Bisque = "bisque", "bisque";
        /// Glaze firing.
        Glaze = "glaze", "glaze";
    }
}

choices! {
    /// The section of a post.
    PostSection {
        /// Square or rectangular.
        Square = "square", "square";
        /// Round.
        Round = "round", "round";
        /// Three-sided.
        Triangular = "triangular", "three-sided";
    }
}

choices! {
    /// What a length was read with.
    Instrument {
        /// Vernier, dial or digital caliper.
        Caliper = "caliper", "caliper";
        /// Tape or rule.
        Tape = "tape", "tape or rule";
        /// Feeler gauges, or a card of known thickness.
        Feeler = "feeler", "feelers";
        /// Dial indicator on a stand.
        DialIndicator = "dial_indicator", "dial indicator";
    }
}

choices! {
    /// Wet or dry grinding.
    GrindMethod {
        /// Dry, with extraction or outside.
        Dry = "dry", "dry";
        /// Wet.
        Wet = "wet", "wet";
    }
}

choices! {
    /// What was worn over mouth and nose while grinding.
    Mask {
        /// A half mask with P100 or FFP3 filters.
        Fitted = "fitted", "half mask, P100 or FFP3";
        /// A disposable mask of that class.
        Disposable = "disposable", "disposable FFP3 or N100";
        /// None.
        NoMask = "none", "none";
        /// Nobody noted it.
        NotNoted = "not_noted", "not noted";
    }
}

choices! {
    /// What a tap test said. A wet shelf sounds dull as well.
    Ring {
        /// It rings.
        Rings = "rings", "rings";
        /// It sounds dull.
        Dull = "dull", "dull";
        /// Not tapped.
        NotTapped = "not_tapped", "not tapped";
    }
}

choices! {
    /// Why a piece is on hold.
    HoldReason {
        /// Wet.
        Wet = "wet", "wet";
        /// A crack to be looked at.
        Crack = "crack", "crack to look at";
        /// A drip, run or stuck pot to be removed.
        Drip = "drip", "drip or stuck pot";
        /// Being ground, washed or dressed.
        Bench = "bench", "on the bench";
        /// Something else, in the note.
        Other = "other", "another reason";
    }
}

choices! {
    /// Why a piece was set aside for good.
    RetireReason {
        /// Cracked.
        Cracked = "cracked", "cracked";
        /// Warped past every use.
        Warped = "warped", "warped";
        /// Ground too thin.
        Thin = "thin", "ground too thin";
        /// Too short, for a post.
        Short = "short", "too short";
        /// Broken.
        Broken = "broken", "broken";
        /// Too soft, bloated or spalling at heat.
        Spent = "spent", "bloated or spalling";
        /// Cut down into other pieces.
        CutDown = "cut_down", "cut down";
        /// Something else, in the note.
        Other = "other", "another reason";
    }
}

choices! {
    /// What is seen to be wrong with a piece, after a firing or at the bench.
    ///
    /// # Source   the trade's list of what to look for after a firing; common practice, no single source.
    Flaw {
        /// A drip or run of glaze on the shelf.
        Drip = "drip", "drip or run";
        /// A pot stuck to it.
        StuckPot = "stuck_pot", "stuck pot";
        /// A bit of the face came off with a pot.
        Plucked = "plucked", "plucked";
        /// Wash comes off in flakes.
        Flaking = "flaking", "wash flaking";
        /// A crack that was not there before.
        NewCrack = "new_crack", "new crack";
        /// It sounds dull.
        DullRing = "dull_ring", "dull ring";
        /// It sags.
        Sag = "sag", "sag";
        /// An edge or corner is chipped.
        Chipped = "chipped", "chipped edge";
        /// It is wet.
        Wet = "wet", "wet";
        /// A post stuck to a shelf.
        PostStuck = "post_stuck", "stuck to the shelf";
        /// A post looks shorter than it was.
        PostShort = "post_short", "short";
        /// A post is cracked or split.
        PostCracked = "post_cracked", "cracked or split";
        /// Glaze, wash or grit on a post's end.
        DirtyEnd = "dirty_end", "dirty end";
        /// The column leaned to the front.
        LeanedFront = "leaned_front", "column leaned to the front";
        /// The column leaned to the back.
        LeanedBack = "leaned_back", "column leaned to the back";
        /// The column leaned to the left.
        LeanedLeft = "leaned_left", "column leaned to the left";
        /// The column leaned to the right.
        LeanedRight = "leaned_right", "column leaned to the right";
    }
}

impl Flaw {
    /// Whether it is seen on shelves; the others are seen on posts.
    #[must_use]
    pub const fn is_of_shelf(self) -> bool {
        use Flaw::{Chipped, Drip, DullRing, Flaking, NewCrack, Plucked, Sag, StuckPot, Wet};
        matches!(self, Drip | StuckPot | Plucked | Flaking | NewCrack | DullRing | Sag | Chipped | Wet)
    }

    /// Whether it can be seen on such a piece.
    #[must_use]
    pub const fn fits(self, piece: Piece) -> bool {
        matches!(piece, Piece::Shelf(_)) == self.is_of_shelf()
    }
}

/// A shelf or a post.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Piece {
    /// A shelf.
    Shelf(ShelfId),
    /// A post.
    Post(PostId),
}

/// A length together with the text that was typed for it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Typed {
    /// What was understood.
    pub nm: Length,
    /// What was typed.
    pub text: String,
}
