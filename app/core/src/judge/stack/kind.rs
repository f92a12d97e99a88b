//! The checks by name.
use serde::{Deserialize, Serialize};

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident = $key:literal, $said:literal;)+) => {
        /// Which check; in the order in which a layer's lines stand.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
        pub enum CheckKind { $($(#[$doc])* #[serde(rename = $key)] $kind,)+ }

        impl CheckKind {
            /// Every check.
            pub const ALL: &[Self] = &[$(Self::$kind),+];

            /// Its stored name, with which a line's name begins.
            #[must_use]
            pub const fn key(self) -> &'static str { match self { $(Self::$kind => $key),+ } }

            /// As said.
            #[must_use]
            pub const fn said(self) -> &'static str { match self { $(Self::$kind => $said),+ } }
        }
    };
}

kinds! {
    /// A shelf, a post or the kiln's inside is not in the plan yet.
    Missing = "missing", "everything chosen";
    /// A piece stands in the plan twice.
    Twice = "twice", "no piece planned twice";
    /// A piece is retired.
    Retired = "retired", "nothing retired";
    /// A piece is on hold, wet ones too.
    Hold = "hold", "nothing on hold or wet";
    /// A piece is in another kiln's racks.
    OtherKiln = "other_kiln", "pieces of this kiln\u{2019}s racks";
    /// A height or a face was not measured since it last changed.
    NotMeasured = "not_measured", "measured since last dressed or ground";
    /// What a support stands on.
    Footing = "footing", "supports stand on something";
    /// How many supports carry a shelf.
    Carried = "carried", "three supports or more under each shelf";
    /// Spread of the heights.
    Spread = "spread", "spread and rocking gap";
    /// The slope, its own and what is below added up.
    Slope = "slope", "slope added up";
    /// How far it leans.
    Lean = "lean", "lean added up";
    /// The margin of the support polygon.
    Margin = "margin", "margin of the support triangle";
    /// The same while loading and unloading.
    Loading = "loading", "free corners in the loading order";
    /// Post over post.
    PostOverPost = "post_over_post", "post over post";
    /// Height to width.
    Slender = "slender", "height to width";
    /// Two on each other.
    Doubled = "doubled", "two posts on each other";
    /// Ends out of square.
    Square = "square", "ends square";
    /// Worn short.
    Short = "short", "posts near their nominal height";
    /// Older than its material usually lasts.
    Age = "age", "within the life that is usual";
    /// Bottom posts of one age.
    SameAge = "same_age", "bottom posts of different ages";
    /// How far in from the edge.
    Inset = "inset", "posts\u{2019} inset";
    /// Cracks and a dull ring.
    Crack = "crack", "cracks against posts, layer and load";
    /// Flatness against what stands on it.
    Flatness = "flatness", "flatness against use";
    /// Bending against the table's strength.
    Bending = "bending", "bending against the table\u{2019}s strength";
    /// The material's limit against the cone.
    Heat = "heat", "shelves and posts against the cone";
    /// Silicon carbide in an electric kiln.
    Electric = "electric", "nothing conducts in an electric kiln";
    /// Headroom under the next shelf.
    Headroom = "headroom", "clear height under the next shelf";
    /// Headroom under the roof or the arch.
    Roof = "roof", "clear of roof and arch";
    /// Walls and door.
    Wall = "wall", "clear of the walls";
    /// Parts of the chamber to be kept clear.
    KeepOut = "keep_out", "clear of elements, burners and the rest";
    /// The next stack.
    Neighbour = "neighbour", "stacks clear of each other";
    /// Pieces placed by hand.
    Pieces = "pieces", "pieces clear of each other, of posts and of the edge";
    /// What this calculation does not cover.
    Beyond = "beyond", "nothing beyond the calculation";
    /// The floor's level.
    FloorLevel = "floor_level", "the floor\u{2019}s level";
}

impl CheckKind {
    /// Whether its lines only say what is not known here and cannot be, and so do not count in the verdict.
    #[must_use]
    pub const fn is_note(self) -> bool {
        matches!(self, Self::Beyond | Self::FloorLevel | Self::OtherKiln)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_check_has_a_name_of_its_own() {
        let keys: BTreeSet<&str> = CheckKind::ALL.iter().map(|kind| kind.key()).collect();
        assert_eq!(keys.len(), CheckKind::ALL.len());
    }
}
