//! What the page of the camera can ask of the browser, and what it is told back.
//!
//! What this does not do: anything on the server, where no camera is ever asked for; in the browser
//! [`super::camera`] does it.
use leptos::ev::Event;
use leptos::prelude::*;
use tripoise_core::view::scan::Scan;

/// The camera as the page shows it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Camera {
    /// Not in use.
    Closed,
    /// Asked for.
    Opening,
    /// Its picture is shown and read.
    Open {
        /// Whether its lamp is lit; `None` where it has none that a page may switch.
        lamp: Option<bool>,
    },
}

/// One page's camera.
#[derive(Clone, Copy, Debug)]
pub struct Scanner {
    /// The camera.
    pub camera: RwSignal<Camera>,
    /// What was said last: what is wrong, what was read that is no label, what to try.
    pub said: RwSignal<String>,
    /// Whether a label that was read is told by a sound.
    pub sound: RwSignal<bool>,
    /// Whether it is told by a vibration.
    pub vibration: RwSignal<bool>,
    /// Whether this device can vibrate at all.
    pub vibrates: RwSignal<bool>,
    /// What tells labels apart.
    pub known: StoredValue<Scan>,
}

/// What a page asks for.
#[derive(Clone, Debug)]
pub enum Wish {
    /// The page is there: read the switches, open the camera where that is allowed already.
    Begin,
    /// Open the camera.
    Open,
    /// Close it.
    Close,
    /// Light its lamp, or put it out.
    Lamp,
    /// Tell by sound, or do not.
    Sound(bool),
    /// Tell by vibration, or do not.
    Vibration(bool),
    /// A photo was chosen in the field that the event came from.
    Photo(Event),
}

/// Where the camera's picture is shown.
pub const VIEW: &str = "scan-view";

impl Scanner {
    /// A camera that is closed.
    #[must_use]
    pub fn new(known: Scan) -> Self {
        Self {
            camera: RwSignal::new(Camera::Closed),
            said: RwSignal::new(String::new()),
            sound: RwSignal::new(true),
            vibration: RwSignal::new(true),
            vibrates: RwSignal::new(false),
            known: StoredValue::new(known),
        }
    }

    /// Asks the browser for something. What follows is told by the signals.
    #[cfg(feature = "hydrate")]
    pub fn ask(self, wish: Wish) {
        super::camera::answer(self, wish);
    }

    /// On the server nothing is asked for.
    #[cfg(not(feature = "hydrate"))]
    pub fn ask(self, _wish: Wish) {}
}
