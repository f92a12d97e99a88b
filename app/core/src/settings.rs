//! The thresholds and uncertainties that judgements rest on: defaults with their provenance, and what
//! the studio changed them to.
//!
//! Every default can be changed; changing one asks for a reason and is an event. What this does not do:
//! judge. [`crate::judge`] does.
use crate::event::values::KeepOutKind;
use crate::units::Length;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How far a default may be trusted, shown wherever the default is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Provenance {
    /// A published rule or standard, named.
    Published,
    /// Worked out from geometry or statics.
    Calculated,
    /// Common practice among potters, no single source.
    CommonPractice,
    /// From memory, unchecked.
    Memory,
    /// From memory, and about what a hot shelf bears: nobody here has checked it against a source.
    Unverified,
    /// Ours, with its arithmetic.
    HouseChoice,
}

impl Provenance {
    /// As shown.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Calculated => "calculated",
            Self::CommonPractice => "common practice, no source",
            Self::Memory => "from memory, unchecked",
            Self::Unverified => "unverified",
            Self::HouseChoice => "house choice",
        }
    }
}

/// What a setting counts in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Quantity {
    /// Nanometres.
    Length,
    /// Millionths.
    Ratio,
    /// A plain count: firings, days, coats.
    Count,
    /// Kilopascals, shown as MPa: what a material bears.
    Stress,
    /// Megapascals, shown as GPa: how stiff a material is.
    Stiffness,
    /// One of a few: the unit that lengths are shown in.
    LengthUnit,
}

macro_rules! settings {
    ($($(#[$doc:meta])* $key:ident = $name:literal, $quantity:ident, $default:expr, $low:expr, $high:expr, $from:ident, $group:literal, $label:literal, $source:literal;)+) => {
        /// Which setting.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
        pub enum SettingKey { $($(#[$doc])* #[serde(rename = $name)] $key,)+ }

        /// Every setting with its default, in the order in which the page lists them.
        pub const DEFAULTS: &[Setting] = &[$(Setting {
            key: SettingKey::$key, name: $name, quantity: Quantity::$quantity, default: $default,
            low: $low, high: $high, provenance: Provenance::$from, group: $group, label: $label, source: $source,
        }),+];

        impl SettingKey {
            /// The setting's default and description.
            #[must_use]
            pub const fn about(self) -> &'static Setting { &DEFAULTS[self as usize] }

            /// The key with this stored name.
            #[must_use]
            pub fn from_name(name: &str) -> Option<Self> {
                match name { $($name => Some(Self::$key),)+ _ => None }
            }
        }
    };
}

/// One setting's description.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Setting {
    /// Which.
    pub key: SettingKey,
    /// Its stored name.
    pub name: &'static str,
    /// What it counts in.
    pub quantity: Quantity,
    /// The default, in whole units of the quantity.
    pub default: i64,
    /// The least value taken.
    pub low: i64,
    /// The greatest value taken.
    pub high: i64,
    /// How far the default may be trusted.
    pub provenance: Provenance,
    /// The heading it stands under.
    pub group: &'static str,
    /// What it is.
    pub label: &'static str,
    /// Where the default comes from.
    pub source: &'static str,
}

/// One micrometre.
const UM: i64 = 1_000;
/// One millimetre.
const MM: i64 = 1_000_000;
/// One per cent.
const PERCENT: i64 = 10_000;

settings! {
    /// Unit that lengths are shown in.
    ShownUnit = "shown_unit", LengthUnit, 0, 0, 2, HouseChoice, "Units", "lengths are shown in", "millimetres, as calipers are marked";
    /// Flatness good for flatware.
    FlatwareGood = "flatware_good", Length, 800 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "plates, tiles, lidded sets: good under", "no published limit was found";
    /// Flatness limit for flatware.
    FlatwareLimit = "flatware_limit", Length, 1_600 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "plates, tiles, lidded sets: not over", "no published limit was found";
    /// Flatness good for general ware.
    GeneralGood = "general_good", Length, 1_600 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "mugs, bowls, jars: good under", "no published limit was found";
    /// Flatness limit for general ware.
    GeneralLimit = "general_limit", Length, 3_200 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "mugs, bowls, jars: not over", "no published limit was found";
    /// Flatness good for wadded ware.
    WaddedGood = "wadded_good", Length, 3_200 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "wadded ware: good under", "no published limit was found";
    /// Flatness limit for wadded ware.
    WaddedLimit = "wadded_limit", Length, 5 * MM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "wadded ware: not over", "no published limit was found";
    /// Flatness good for bisque.
    BisqueGood = "bisque_good", Length, 3_200 * UM, 10 * UM, 20 * MM, CommonPractice, "Flatness", "bisque: good under", "no published limit was found";
    /// Flatness limit for bisque.
    BisqueLimit = "bisque_limit", Length, 6_400 * UM, 10 * UM, 30 * MM, CommonPractice, "Flatness", "bisque: not over, cut up beyond", "no published limit was found";
    /// Span for which the flatness limits above hold; others scale with their span.
    FlatnessSpan = "flatness_span", Length, 640 * MM, 100 * MM, 3_000 * MM, Calculated, "Flatness", "the limits above are for a straightedge of", "1.6 mm is 0.25 % of 640 mm; other spans take 0.25, 0.5 and 1 % of their own";
    /// Four-post gap.
    FourPostGap = "four_post_gap", Length, 300 * UM, 10 * UM, 5 * MM, Calculated, "Posts", "four posts: rocking gap to", "over it, one of the four carries nothing";
    /// Spread called good.
    SpreadGood = "spread_good", Length, 500 * UM, 10 * UM, 10 * MM, CommonPractice, "Posts", "three posts: spread good to", "no published limit was found";
    /// Spread still accepted.
    SpreadLimit = "spread_limit", Length, MM, 10 * UM, 10 * MM, CommonPractice, "Posts", "three posts: spread accepted to", "six layers each 1.6 mm short in one column lean 23 mm (calculated)";
    /// Spread that a shim can mend.
    SpreadShim = "spread_shim", Length, 2 * MM, 10 * UM, 20 * MM, CommonPractice, "Posts", "three posts: shim the short one to", "over it, do not use together";
    /// Slenderness warning, in thousandths... of a ratio.
    SlenderWarn = "slender_warn", Ratio, 6_000_000, 1_000_000, 20_000_000, Calculated, "Posts", "height to width: warn over", "to 5 fine, over 6 warn, over 8 stop";
    /// Slenderness stop.
    SlenderStop = "slender_stop", Ratio, 8_000_000, 1_000_000, 20_000_000, Calculated, "Posts", "height to width: stop over", "to 5 fine, over 6 warn, over 8 stop";
    /// Post short of nominal, length.
    PostShort = "post_short", Length, 2 * MM, 100 * UM, 20 * MM, Memory, "Posts", "retire a post this much under nominal", "2 mm or 1 %, whichever is less";
    /// Post short of nominal, share.
    PostShortShare = "post_short_share", Ratio, PERCENT, 1_000, 20 * PERCENT, Memory, "Posts", "or this share under nominal", "2 mm or 1 %, whichever is less";
    /// Out of square warning as slope.
    SquarenessWarn = "squareness_warn", Ratio, 2 * PERCENT, 1_000, 20 * PERCENT, Calculated, "Posts", "end out of square: look over", "1.6 mm across 38 mm (4.2 %) leans the post 2.4 degrees; half of that";
    /// Default inset.
    Inset = "inset", Length, 40 * MM, 5 * MM, 300 * MM, CommonPractice, "Posts", "posts stand in from the edge by", "warn under 20 and over 100 mm";
    /// Crack: watch below this share across.
    CrackWatch = "crack_watch", Ratio, 25 * PERCENT, PERCENT, 100 * PERCENT, CommonPractice, "Cracks", "watch it below this share across", "under a quarter and ringing: upper half of the stack, a post near it";
    /// Crack: bisque only below this share across.
    CrackBisque = "crack_bisque", Ratio, 50 * PERCENT, PERCENT, 100 * PERCENT, CommonPractice, "Cracks", "bisque only below this share across", "over half: cut down or retire";
    /// Crack end to post.
    CrackPost = "crack_post", Length, 50 * MM, 5 * MM, 500 * MM, CommonPractice, "Cracks", "a post within this of a crack's end", "no published limit was found";
    /// Recoat at mid fire.
    RecoatMid = "recoat_mid", Count, 100, 1, 2_000, CommonPractice, "Bench", "recoat wash after firings, to cone 6", "100 to 150 at cone 5 or 6, or when it flakes";
    /// Recoat at high fire.
    RecoatHigh = "recoat_high", Count, 20, 1, 2_000, CommonPractice, "Bench", "recoat wash after firings, above cone 6", "20 to 40 at cone 10, or when it flakes";
    /// Remeasure shelf after firings.
    RemeasureShelf = "remeasure_shelf", Count, 25, 1, 2_000, HouseChoice, "Bench", "read a shelf again after firings", "about half a year of weekly firings";
    /// Remeasure post after firings.
    RemeasurePost = "remeasure_post", Count, 40, 1, 2_000, HouseChoice, "Bench", "measure a post again after firings", "posts wear slower than shelves sag";
    /// Shelf thickness lost before it is too thin.
    ThinShare = "thin_share", Ratio, 10 * PERCENT, PERCENT, 90 * PERCENT, Calculated, "Bench", "look at a shelf ground thinner by", "10 % off leaves 73 % of the stiffness (cube of the thickness)";
    /// Hottest cone for cordierite.
    CordieriteCone = "cordierite_cone", Count, 9, 1, 14, CommonPractice, "Bench", "cordierite: warn above cone", "long-term limit about 1250 C; cone 10 is at or past it";
    /// Strength in bending at heat: cordierite.
    StrengthCordierite = "strength_cordierite", Stress, 5_000, 100, 1_000_000, Unverified, "Strength at heat", "cordierite: bears at 1250 to 1300 C", "mullite-cordierite, coarse: 5 to 12 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: high alumina.
    StrengthHighAlumina = "strength_high_alumina", Stress, 6_000, 100, 1_000_000, Unverified, "Strength at heat", "high alumina: bears at 1250 to 1300 C", "6 to 18 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: silicon carbide, clay-bonded.
    StrengthClayBondedSic = "strength_clay_bonded_sic", Stress, 12_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, clay-bonded: bears at 1250 to 1300 C", "12 to 30 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: silicon carbide, nitride-bonded, slit.
    StrengthNitrideSlitSic = "strength_nitride_slit_sic", Stress, 35_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, nitride-bonded, slit: bears at 1250 to 1300 C", "pressed, coarse: 35 to 60 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: silicon carbide, dense and thin.
    StrengthDenseThinSic = "strength_dense_thin_sic", Stress, 120_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, dense and thin: bears at 1250 to 1300 C", "slip cast, fine: 120 to 200 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: silicon carbide, recrystallised.
    StrengthRecrystallisedSic = "strength_recrystallised_sic", Stress, 85_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, recrystallised: bears at 1250 to 1300 C", "85 to 130 MPa, small bars, from memory; the low end";
    /// Strength in bending at heat: silicon carbide, silicon-infiltrated.
    StrengthInfiltratedSic = "strength_infiltrated_sic", Stress, 200_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, silicon-infiltrated: bears at 1250 to 1300 C", "200 to 350 MPa, small bars, from memory; the low end";
    /// Stiffness at heat: cordierite.
    StiffnessCordierite = "stiffness_cordierite", Stiffness, 4_000, 100, 1_000_000, Unverified, "Strength at heat", "cordierite: Young\u{2019}s modulus at 1250 C", "mullite-cordierite, coarse: 4 to 18 GPa, from memory; the low end, which bends most";
    /// Stiffness at heat: high alumina.
    StiffnessHighAlumina = "stiffness_high_alumina", Stiffness, 10_000, 100, 1_000_000, Unverified, "Strength at heat", "high alumina: Young\u{2019}s modulus at 1250 C", "10 to 50 GPa, from memory; the low end, which bends most";
    /// Stiffness at heat: silicon carbide, clay-bonded.
    StiffnessClayBondedSic = "stiffness_clay_bonded_sic", Stiffness, 30_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, clay-bonded: Young\u{2019}s modulus at 1250 C", "30 to 110 GPa, from memory; the low end, which bends most";
    /// Stiffness at heat: silicon carbide, nitride-bonded, slit.
    StiffnessNitrideSlitSic = "stiffness_nitride_slit_sic", Stiffness, 90_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, nitride-bonded, slit: Young\u{2019}s modulus at 1250 C", "cold, 90 to 180 GPa; no hot figure at hand, from memory; the low end, which bends most";
    /// Stiffness at heat: silicon carbide, dense and thin.
    StiffnessDenseThinSic = "stiffness_dense_thin_sic", Stiffness, 160_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, dense and thin: Young\u{2019}s modulus at 1250 C", "slip cast, fine: 160 to 210 GPa, from memory; the low end, which bends most";
    /// Stiffness at heat: silicon carbide, recrystallised.
    StiffnessRecrystallisedSic = "stiffness_recrystallised_sic", Stiffness, 200_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, recrystallised: Young\u{2019}s modulus at 1250 C", "200 to 230 GPa, from memory; the low end, which bends most";
    /// Stiffness at heat: silicon carbide, silicon-infiltrated.
    StiffnessInfiltratedSic = "stiffness_infiltrated_sic", Stiffness, 310_000, 100, 1_000_000, Unverified, "Strength at heat", "silicon carbide, silicon-infiltrated: Young\u{2019}s modulus at 1250 C", "310 to 380 GPa, from memory; the low end, which bends most";
    /// Share of the strength that may be used.
    StressShare = "stress_share", Ratio, 25 * PERCENT, PERCENT, 100 * PERCENT, HouseChoice, "Strength at heat", "of that strength, use at most", "strengths scatter (Weibull modulus about 10, from memory): at a quarter, 0.25 to the 10th breaks, one in a million";
    /// Post over post, good.
    PostOverGood = "post_over_good", Length, 6 * MM, 0, 100 * MM, CommonPractice, "Stacks", "post over post, centre to centre: good to", "common practice";
    /// Post over post, stop.
    PostOverShare = "post_over_share", Ratio, 50 * PERCENT, PERCENT, 100 * PERCENT, CommonPractice, "Stacks", "post over post: stop over this share of the width", "to half the width look, more stop";
    /// Least inset.
    InsetLeast = "inset_least", Length, 20 * MM, 0, 300 * MM, CommonPractice, "Stacks", "posts stand in at least", "nearer the edge a knock puts the shelf off them";
    /// Greatest inset.
    InsetMost = "inset_most", Length, 100 * MM, 20 * MM, 600 * MM, CommonPractice, "Stacks", "posts stand in at most", "deeper bends less and lets corners tip sooner";
    /// Slope added up.
    SlopeMost = "slope_most", Ratio, PERCENT, 1_000, 10 * PERCENT, HouseChoice, "Stacks", "slope added up to", "1 %: 10 mm a metre, two layers of 1 mm spread over 200 mm in one direction";
    /// Lean added up.
    LeanMost = "lean_most", Length, 10 * MM, MM, 100 * MM, HouseChoice, "Stacks", "lean of a shelf to", "a quarter of the usual inset of 40 mm";
    /// Margin of the support polygon.
    MarginLeast = "margin_least", Length, 20 * MM, 0, 200 * MM, HouseChoice, "Stacks", "centre of mass inside the posts by at least", "half of the usual inset of 40 mm; at 0 it tips";
    /// Age at which bottom posts of one batch are spread.
    BatchShare = "batch_share", Ratio, 60 * PERCENT, 5 * PERCENT, 200 * PERCENT, HouseChoice, "Stacks", "bottom posts of one batch: look from this share of their life", "posts of one age have failed together; the life is the shelf material\u{2019}s shorter figure";
    /// Rim to the shelf above.
    GapRim = "gap_rim", Length, 6 * MM, 0, 100 * MM, CommonPractice, "Clearances", "rim to the shelf above", "common practice";
    /// Lid to the shelf above.
    GapLid = "gap_lid", Length, 13 * MM, 0, 100 * MM, CommonPractice, "Clearances", "lid to the shelf above", "common practice";
    /// Pot to pot.
    GapPots = "gap_pots", Length, 6 * MM, 0, 100 * MM, CommonPractice, "Clearances", "pot to pot in a glaze firing", "touching is fine for bisque";
    /// Roof, arch, walls of a fuel kiln.
    ClearWall = "clear_wall", Length, 25 * MM, 0, 300 * MM, CommonPractice, "Clearances", "roof, arch and walls", "25 to 50 mm in a fuel kiln";
    /// Elements.
    ClearElement = "clear_element", Length, 25 * MM, 0, 300 * MM, CommonPractice, "Clearances", "electric elements", "common practice";
    /// Probe.
    ClearProbe = "clear_probe", Length, 25 * MM, 0, 300 * MM, CommonPractice, "Clearances", "probe", "25 to 50 mm";
    /// Door and back of a fuel kiln.
    ClearDoor = "clear_door", Length, 50 * MM, 0, 300 * MM, CommonPractice, "Clearances", "door and back of a fuel kiln", "50 to 75 mm";
    /// Bag wall and burners.
    ClearBagWall = "clear_bag_wall", Length, 115 * MM, 0, 600 * MM, CommonPractice, "Clearances", "bag wall", "common practice";
    /// Flue and burner ports.
    ClearPort = "clear_port", Length, 50 * MM, 0, 600 * MM, HouseChoice, "Clearances", "flue and burner port", "as the door: 50 mm, a flame needs room";
    /// Anything else.
    ClearOther = "clear_other", Length, 25 * MM, 0, 600 * MM, HouseChoice, "Clearances", "cones, spy hole and anything else", "as the walls";
    /// Standard uncertainty of a caliper.
    UCaliper = "u_caliper", Length, 30 * UM, UM, 10 * MM, HouseChoice, "Instruments", "caliper, standard uncertainty", "0.05 mm marks read to one mark: 0.05/sqrt 3 = 0.029";
    /// Standard uncertainty of a tape.
    UTape = "u_tape", Length, 300 * UM, UM, 10 * MM, HouseChoice, "Instruments", "tape or rule, standard uncertainty", "1 mm marks read to half a mark: 0.5/sqrt 3 = 0.29";
    /// Standard uncertainty of feelers.
    UFeeler = "u_feeler", Length, 60 * UM, UM, 10 * MM, HouseChoice, "Instruments", "feelers, standard uncertainty", "steps of 0.1 mm, slides or does not: 0.1/sqrt 3 = 0.058";
    /// Standard uncertainty of a dial indicator.
    UDial = "u_dial", Length, 15 * UM, UM, 10 * MM, HouseChoice, "Instruments", "dial indicator, standard uncertainty", "0.01 mm marks and the stand's base on grit";
    /// Bank card thickness.
    CardFeeler = "card_feeler", Length, 760 * UM, 100 * UM, 3 * MM, Published, "Instruments", "a bank card is", "ISO/IEC 7810: 0.76 mm; check yours once with a caliper";
    /// Paper thickness.
    PaperFeeler = "paper_feeler", Length, 100 * UM, 10 * UM, 3 * MM, Memory, "Instruments", "a sheet of paper is", "about; check yours once with a caliper";
    /// Playing card thickness.
    PlayingCardFeeler = "playing_card_feeler", Length, 300 * UM, 10 * UM, 3 * MM, Memory, "Instruments", "a playing card is", "about; check yours once with a caliper";
}

/// The settings in force: the defaults, with what the studio changed.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Settings {
    changed: BTreeMap<SettingKey, i64>,
}

impl Settings {
    /// The distance kept from a part of a chamber, unless the kiln's own record says another.
    #[must_use]
    pub fn clearance(&self, kind: KeepOutKind) -> Length {
        self.length(match kind {
            KeepOutKind::BagWall => SettingKey::ClearBagWall,
            KeepOutKind::Element => SettingKey::ClearElement,
            KeepOutKind::Probe => SettingKey::ClearProbe,
            KeepOutKind::Door => SettingKey::ClearDoor,
            KeepOutKind::Flue | KeepOutKind::BurnerPort => SettingKey::ClearPort,
            KeepOutKind::SpyHole | KeepOutKind::Cones | KeepOutKind::Other => SettingKey::ClearOther,
        })
    }

    /// The value in force, in whole units of the setting's quantity.
    #[must_use]
    pub fn get(&self, key: SettingKey) -> i64 {
        self.changed.get(&key).copied().unwrap_or(key.about().default)
    }

    /// A length in force.
    #[must_use]
    pub fn length(&self, key: SettingKey) -> Length {
        Length(self.get(key))
    }

    /// A ratio in force: 0.25 for a quarter.
    #[must_use]
    pub fn ratio(&self, key: SettingKey) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "settings are far below 2^53")]
        let millionths = self.get(key) as f64;
        millionths / 1e6
    }

    /// Whether the value in force is the studio's own; one that was set back to its default is not.
    #[must_use]
    pub fn is_changed(&self, key: SettingKey) -> bool {
        self.get(key) != key.about().default
    }

    /// Takes a change; a value outside the setting's range is left out and `false` returned.
    pub fn change(&mut self, key: SettingKey, value: i64) -> bool {
        let about = key.about();
        let in_range = (about.low..=about.high).contains(&value);
        if in_range {
            self.changed.insert(key, value);
        }
        in_range
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_is_where_its_key_says_and_within_its_own_range() {
        for (idx, about) in DEFAULTS.iter().enumerate() {
            assert_eq!(about.key as usize, idx);
            assert_eq!(SettingKey::from_name(about.name), Some(about.key));
            assert!((about.low..=about.high).contains(&about.default), "{}", about.name);
        }
    }
}
