//! `/scan`: what the camera's page needs, and what a text that was read leads to.
//!
//! The page carries a short mark of every label on record, so that a label is told from an unknown one, from
//! another studio's and from any other symbol without asking anybody: the camera goes on meanwhile.
//!
//! What this does not do: see. Camera, photo and decoder are the browser's (`app/ui/src/browser/camera`).
mod again;

pub use again::{Again, STILL_THERE};

use super::bench;
use super::route::{Parts, Request};
use super::{FormState, PageData, Tab};
use crate::ids::{LabelId, StudioId};
use crate::label::{Scanned, Token};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// House choice: as much of a foreign address as fits one line of a phone.
const MOST_OF_HOST: usize = 40;

/// The page.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Scan {
    /// The studio, once it has a name.
    pub studio: Option<StudioId>,
    /// The marks of the labels on record ([`mark`]), in their order.
    pub labels: Vec<u32>,
    /// Whether the card opens at the bench.
    pub bench: bool,
}

/// What follows from what was read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// A label on record: its card is at this path.
    Open(String),
    /// Anything else: said, and scanning goes on.
    Say(String),
}

/// Why there is no picture.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Trouble {
    /// The person or the device's settings said no.
    Refused,
    /// The device has no camera.
    Absent,
    /// Another program holds it.
    Busy,
    /// Browsers lend a camera only to pages that came by https or from the device itself.
    Insecure,
    /// The browser lends its camera to no page.
    Unable,
    /// The decoder did not load.
    NoDecoder,
    /// Anything else.
    Failed,
}

/// The page's data.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let mut labels: Vec<u32> = world.labels.all.keys().map(|label| mark(*label)).collect();
    labels.sort_unstable();
    let studio = world.labels.studio.as_ref().map(|studio| studio.id);
    let bench = request.query("bench") == "yes";
    Parts {
        title: "Scan".to_owned(),
        subtitle: "a label, or type the code".to_owned(),
        tab: Tab::Find,
        data: PageData::Scan(Scan { studio, labels, bench }),
        form: FormState::default(),
    }
}

/// The last 32 bits of a label's id, random in a version 7 UUID: of 2,000 labels a stranger meets one by chance
/// once in two million, and is then told by the page that it leads to.
fn mark(label: LabelId) -> u32 {
    u32::try_from(label.0.as_u128() & u128::from(u32::MAX)).unwrap_or_default()
}

impl Scan {
    /// What follows from the texts of one picture, the likeliest first. A label on record comes before
    /// whatever else is in sight.
    ///
    /// # Returns  `None` where nothing was read.
    #[must_use]
    pub fn outcome<'a>(&self, texts: impl IntoIterator<Item = &'a str>) -> Option<Outcome> {
        let mut outcomes: Vec<Outcome> = texts.into_iter().map(|text| self.one(text)).collect();
        let best = outcomes.iter().position(|outcome| matches!(outcome, Outcome::Open(_))).unwrap_or(0);
        (!outcomes.is_empty()).then(|| outcomes.swap_remove(best))
    }

    fn one(&self, text: &str) -> Outcome {
        match Token::scan(text) {
            Scanned::Label(token) if self.labels.binary_search(&mark(token.label)).is_ok() => {
                let card = format!("/L/{token}");
                Outcome::Open(if self.bench { bench::keep(&card) } else { card })
            }
            Scanned::Label(token) if self.studio.is_some_and(|studio| token.is_of(studio)) => Outcome::Say(
                "this label is of this studio, but not on record here yet: made on another device that has \
                 not sent it, or taken back; type the code that stands beside it"
                    .to_owned(),
            ),
            Scanned::Label(_) => Outcome::Say(
                "this label is of another studio; look for the mark on the piece itself and type it"
                    .to_owned(),
            ),
            Scanned::NoLabel => {
                Outcome::Say(format!("this is {}, not a label of this tool; it was not opened", kind(text)))
            }
        }
    }
}

/// What kind of text a symbol holds, without repeating what may be private. The schemes are those of
/// RFC 3986, 6068, 3966 and 6350, and the `WIFI:` that the Wi-Fi Alliance's WPA3 specification has (7.1).
fn kind(text: &str) -> String {
    let lower = text.trim().to_ascii_lowercase();
    if let Some(rest) = lower.strip_prefix("https://").or_else(|| lower.strip_prefix("http://")) {
        let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
        let host = host.rsplit('@').next().unwrap_or_default();
        let shown: String = host.chars().filter(|c| !c.is_control()).take(MOST_OF_HOST).collect();
        return format!("a web address at {shown}");
    }
    let begins = |any: &[&str]| any.iter().any(|start| lower.starts_with(start));
    let said = if begins(&["wifi:"]) {
        "access to a wireless network"
    } else if begins(&["begin:vcard", "mecard:"]) {
        "somebody\u{2019}s contact details"
    } else if begins(&["mailto:", "matmsg:"]) {
        "an e-mail address"
    } else if begins(&["tel:", "sms:", "smsto:"]) {
        "a telephone number"
    } else if !lower.is_empty() && lower.bytes().all(|byte| byte.is_ascii_digit()) {
        "a number"
    } else if lower.is_empty() {
        "an empty symbol"
    } else {
        "some other text"
    };
    said.to_owned()
}

impl Trouble {
    /// What the error means whose name a browser gives (Media Capture and Streams, 10.2.2).
    #[must_use]
    pub fn of(error: &str) -> Self {
        match error {
            "NotAllowedError" | "PermissionDeniedError" | "SecurityError" => Self::Refused,
            "NotFoundError" | "DevicesNotFoundError" | "OverconstrainedError" => Self::Absent,
            "NotReadableError" | "TrackStartError" | "AbortError" => Self::Busy,
            _ => Self::Failed,
        }
    }

    /// What to say, and what to do instead.
    #[must_use]
    pub fn said(self) -> &'static str {
        match self {
            Self::Refused => {
                "the camera was refused; allow it for this page in the browser\u{2019}s settings, or use the \
                 phone\u{2019}s own camera app, a photo or the code"
            }
            Self::Absent => "this device has no camera; give a photo or type the code",
            Self::Busy => {
                "another program holds the camera; close it and try again, or give a photo or type the code"
            }
            Self::Insecure => {
                "browsers lend the camera only to pages that came by https; use the phone\u{2019}s own camera \
                 app, which opens a label by itself, a photo or the code"
            }
            Self::Unable => {
                "this browser lends its camera to no page; use the phone\u{2019}s own camera app, which opens a \
                 label by itself, a photo or the code"
            }
            Self::NoDecoder => {
                "the part that reads labels did not load; try again with the server in reach, or use the \
                 phone\u{2019}s own camera app or the code"
            }
            Self::Failed => "the camera did not open; try again, give a photo or type the code",
        }
    }
}

/// Said while the camera is open and has read nothing for a while.
pub const NOTHING_YET: &str = "nothing read yet; hold the label flat so that it fills a third of the picture, wipe off \
     dust, turn the light on";
/// Said of a photo on which nothing was read.
pub const NOTHING_THERE: &str = "no symbol could be read on this photo; take it closer and sharp, square on and in good \
     light, or type the code";
/// Said of a file that is no picture, or one of a kind that this browser does not know.
pub const NO_PICTURE: &str =
    "this file is no picture that this browser can open; take the photo as JPEG, or type the code";

/// A picture's size scaled down so that its longer side fits; `None` of an empty one.
#[must_use]
pub fn fitted(width: u32, height: u32, longest: u32) -> Option<(u32, u32)> {
    let side = width.max(height);
    if width == 0 || height == 0 {
        return None;
    }
    let scaled = |length: u32| {
        let share = u64::from(length) * u64::from(longest) / u64::from(side);
        if side > longest { u32::try_from(share).unwrap_or(longest).max(1) } else { length }
    };
    Some((scaled(width), scaled(height)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Studio;
    use crate::view::Page;
    use uuid::Uuid;

    const STUDIO: StudioId = StudioId(Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_000A_BCDE));
    const KNOWN: LabelId = LabelId(Uuid::from_u128(0x0198_0000_0000_7000_8000_0123_4567_89AB));
    const ADDRESS: &str = "https://tripoise.local:7443";

    fn scan() -> Scan {
        Scan { studio: Some(STUDIO), labels: vec![7, mark(KNOWN)], bench: false }
    }

    fn check(texts: &[&str], expected: Option<&str>) {
        let said = scan().outcome(texts.iter().copied()).map(|outcome| match outcome {
            Outcome::Open(path) => path,
            Outcome::Say(said) => said,
        });
        let fits = said.as_deref().zip(expected).is_some_and(|(said, expected)| said.starts_with(expected));
        assert!(fits || said.is_none() && expected.is_none(), "{texts:?}: {said:?}");
    }

    #[test]
    fn only_a_label_on_record_opens_anything() {
        let ours = Token::new(KNOWN, STUDIO);
        let card = format!("/L/{ours}");
        let address = ours.address(ADDRESS);
        check(&[&address], Some(&card));
        // Wherever the address leads, only our own card is opened.
        check(&[&ours.address("http://evil.example")], Some(&card));
        check(&["https://shop.example/x", &address], Some(&card));
        let unknown = Token::new(LabelId(Uuid::from_u128(8)), STUDIO).address(ADDRESS);
        check(&[&unknown], Some("this label is of this studio, but not on record"));
        let other = Token::new(LabelId(Uuid::from_u128(8)), StudioId(Uuid::from_u128(1))).address(ADDRESS);
        check(&[&other], Some("this label is of another studio"));
        check(&[], None);
    }

    #[test]
    fn any_other_text_is_said_by_its_kind_and_not_opened() {
        check(
            &["https://me:pw@Shop.example:80/kiln?x#y"],
            Some("this is a web address at shop.example:80, not a label"),
        );
        check(&["WIFI:T:WPA;S:loft;P:secret;;"], Some("this is access to a wireless network, not a label"));
        check(&["BEGIN:VCARD\nN:X"], Some("this is somebody\u{2019}s contact details"));
        check(&["mailto:x@example.org"], Some("this is an e-mail address"));
        check(&["tel:+44"], Some("this is a telephone number"));
        check(&["4006381333931"], Some("this is a number"));
        check(&["javascript:alert(1)"], Some("this is some other text"));
        check(&[""], Some("this is an empty symbol"));
        let long = scan().outcome([format!("http://{}", "a".repeat(4000)).as_str()]);
        assert!(matches!(long, Some(Outcome::Say(said)) if said.len() < 140));
    }

    #[test]
    fn a_picture_is_scaled_down_and_never_up() {
        let check =
            |size: (u32, u32), expected| assert_eq!(fitted(size.0, size.1, 960), expected, "{size:?}");
        check((1280, 960), Some((960, 720)));
        check((960, 1280), Some((720, 960)));
        check((640, 480), Some((640, 480)));
        check((100_000, 1), Some((960, 1)));
        check((u32::MAX, u32::MAX), Some((960, 960)));
        check((0, 480), None);
    }

    #[test]
    fn a_studio_without_labels_takes_every_label_for_another_s() {
        let address = Token::new(KNOWN, STUDIO).address(ADDRESS);
        let outcome = Scan::default().outcome([address.as_str()]);
        assert!(
            matches!(outcome, Some(Outcome::Say(said)) if said.starts_with("this label is of another studio"))
        );
    }

    #[test]
    fn the_page_knows_the_labels_on_record() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.shelf("F01", kiln);
        let fields = [
            ("do", "labels"),
            ("which", "all"),
            ("kinds", "shelf"),
            ("name", "Kestrel Yard"),
            ("address", ADDRESS),
            ("grid", "A4 of 24"),
        ];
        let made = studio.submit("/labels", &fields).unwrap_or_else(|found| panic!("{found:?}"));
        studio.take(made);
        let Page { tab, data: PageData::Scan(scan), .. } = studio.get("/scan") else { panic!("no scan") };
        assert_eq!((tab, scan.labels.len()), (Tab::Find, 1));
        let world = studio.world();
        let (Some(label), Some(named)) = (world.labels.all.keys().next(), &world.labels.studio) else {
            panic!("no label")
        };
        let token = Token::new(*label, named.id);
        let outcome = scan.outcome([token.address(ADDRESS).as_str()]);
        assert_eq!(outcome, Some(Outcome::Open(format!("/L/{token}"))));
        assert_eq!(studio.get(&format!("/L/{token}")).path, "/shelf/F01");
        // At the bench the card opens at the bench.
        let PageData::Scan(scan) = studio.get("/scan?bench=yes").data else { panic!("no scan") };
        let card = match scan.outcome([token.address(ADDRESS).as_str()]) {
            Some(Outcome::Open(card)) => studio.get(&card),
            other => panic!("{other:?}"),
        };
        assert_eq!((card.path.as_str(), card.bench), ("/shelf/F01", true));
    }

    #[test]
    fn each_trouble_has_its_own_words_and_a_way_on() {
        let all = ["NotAllowedError", "NotFoundError", "NotReadableError", "TypeError"].map(Trouble::of);
        assert_eq!(all, [Trouble::Refused, Trouble::Absent, Trouble::Busy, Trouble::Failed]);
        let others = [Trouble::Insecure, Trouble::Unable, Trouble::NoDecoder];
        let said: std::collections::BTreeSet<&str> =
            all.into_iter().chain(others).map(Trouble::said).collect();
        assert_eq!(said.len(), 7);
        assert!(said.iter().all(|said| said.contains("the code")));
    }
}
