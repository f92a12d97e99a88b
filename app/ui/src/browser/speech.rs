//! Reading codes and values aloud (Web Speech): off until somebody switches it on, on this browser only.
//!
//! What this does not do: choose words; `tripoise_core::view::spoken` does. On the server nothing here speaks.

#[cfg(feature = "hydrate")]
const SWITCH: &str = "tripoise.aloud";

#[cfg(feature = "hydrate")]
fn voice() -> Option<web_sys::SpeechSynthesis> {
    web_sys::window()?.speech_synthesis().ok()
}

#[cfg(feature = "hydrate")]
fn storage() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok().flatten()
}

/// Whether this browser has a voice.
#[cfg(feature = "hydrate")]
pub fn is_there() -> bool {
    voice().is_some() && storage().is_some()
}

/// There is no voice on the server.
#[cfg(not(feature = "hydrate"))]
pub fn is_there() -> bool {
    false
}

/// Whether it is switched on.
#[cfg(feature = "hydrate")]
pub fn is_on() -> bool {
    storage().and_then(|storage| storage.get_item(SWITCH).ok().flatten()).is_some_and(|kept| kept == "on")
}

/// Never on, on the server.
#[cfg(not(feature = "hydrate"))]
pub fn is_on() -> bool {
    false
}

/// Switches it on or off, and remembers that. On a browser that keeps nothing it stays off.
#[cfg(feature = "hydrate")]
pub fn switch(on: bool) {
    let kept = storage().map(|storage| storage.set_item(SWITCH, if on { "on" } else { "off" }));
    if !matches!(kept, Some(Ok(()))) {
        leptos::logging::warn!("this browser keeps no settings for this page");
    }
    if on {
        say("read aloud");
    }
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn switch(_on: bool) {}

/// Says this, in place of what is still being said. Nothing where it is off.
#[cfg(feature = "hydrate")]
pub fn say(text: &str) {
    if !is_on() {
        return;
    }
    if let (Some(voice), Ok(words)) = (voice(), web_sys::SpeechSynthesisUtterance::new_with_text(text)) {
        words.set_lang("en-GB");
        voice.cancel();
        voice.speak(&words);
    }
}

/// Nothing is said on the server.
#[cfg(not(feature = "hydrate"))]
pub fn say(_text: &str) {}
