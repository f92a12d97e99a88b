//! A short sound and a vibration when a label was read, each with a switch that is remembered.
//!
//! What this does not do: insist. A browser that keeps silent until the page was touched stays silent.
use super::js;
use leptos::prelude::window;
use std::cell::RefCell;
use wasm_bindgen::JsCast;
use web_sys::{AudioContext, OscillatorNode};

/// House choice: a tone that carries over a grinder's rumble without being shrill, as long as it is waited for.
const TONE_HZ: f32 = 1320.0;
const TONE_S: f64 = 0.06;
/// House choice: loud for a phone's small loudspeaker, without the clip of full scale.
const LOUDNESS: f32 = 0.6;
/// House choice: long enough to be felt through a glove.
const BUZZ_MS: u32 = 60;

/// A switch of this device, on until it is switched off.
pub struct Switch(&'static str);

/// Whether a label is told by a sound.
pub const SOUND: Switch = Switch("tripoise.scan.sound");
/// Whether it is told by a vibration.
pub const VIBRATION: Switch = Switch("tripoise.scan.vibration");

const OFF: &str = "off";

thread_local! {
    static AUDIO: RefCell<Option<AudioContext>> = const { RefCell::new(None) };
}

impl Switch {
    /// Whether it is on.
    pub fn is_on(&self) -> bool {
        let kept =
            window().local_storage().ok().flatten().and_then(|kept| kept.get_item(self.0).ok().flatten());
        kept.as_deref() != Some(OFF)
    }

    /// Remembers it. Where the browser keeps nothing, it holds for this page only.
    pub fn keep(&self, on: bool) {
        if let Ok(Some(kept)) = window().local_storage() {
            drop(kept.set_item(self.0, if on { "on" } else { OFF }));
        }
    }
}

/// Makes ready to sound. Browsers want that to happen under a finger.
pub fn wake() {
    AUDIO.with_borrow_mut(|audio| {
        if audio.is_none() {
            *audio = AudioContext::new().ok();
        }
        if let Some(audio) = audio {
            // Not under a finger it is refused, and the label is then told by its card alone.
            drop(audio.resume());
        }
    });
}

/// Whether this device can vibrate.
pub fn can_vibrate() -> bool {
    js::get(&window().navigator(), "vibrate").is_function()
}

/// Whether the page was ever touched: until then browsers refuse to vibrate and say so on the console.
/// Those that cannot tell (Firefox before 120) are asked.
fn was_touched() -> bool {
    js::get(&js::get(&window().navigator(), "userActivation"), "hasBeenActive").as_bool().unwrap_or(true)
}

/// Tells that a label was read. Returns whether there is anything to hear or feel.
pub fn give() -> bool {
    let may_vibrate = VIBRATION.is_on() && can_vibrate() && was_touched();
    let felt = may_vibrate && window().navigator().vibrate_with_duration(BUZZ_MS);
    let heard = SOUND.is_on() && AUDIO.with_borrow(|audio| audio.as_ref().and_then(sound).is_some());
    felt || heard
}

/// One tone that fades, so that it does not click.
fn sound(audio: &AudioContext) -> Option<()> {
    let tone: OscillatorNode = audio.create_oscillator().ok()?;
    let loudness = audio.create_gain().ok()?;
    let now = audio.current_time();
    tone.frequency().set_value(TONE_HZ);
    loudness.gain().set_value_at_time(LOUDNESS, now).ok()?;
    loudness.gain().linear_ramp_to_value_at_time(0.0, now + TONE_S).ok()?;
    tone.connect_with_audio_node(&loudness).ok()?.connect_with_audio_node(&audio.destination()).ok()?;
    tone.start().ok()?;
    let end: &web_sys::AudioScheduledSourceNode = tone.unchecked_ref();
    end.stop_with_when(now + TONE_S).ok()
}
