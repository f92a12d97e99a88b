//! The camera: opened, its pictures read one after another until a label is found, closed.
//!
//! Start reading at [`answer`]. Each opening has a number; whatever awaited something and finds another number
//! afterwards stops. `reader` reads a picture, `frame` makes pictures of video and photos, `signs` beeps.
//!
//! What this does not do: know what a text means (`tripoise_core::view::scan`), or keep any picture.
mod decoder;
mod frame;
mod js;
mod reader;
mod signs;

use super::scan::{Camera, Scanner, VIEW, Wish};
use frame::{Frame, Photo};
use leptos::prelude::*;
use reader::Reader;
use std::cell::{Cell, RefCell};
use tripoise_core::view::scan::{
    Again, NO_PICTURE, NOTHING_THERE, NOTHING_YET, Outcome, STILL_THERE, Trouble,
};
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{HtmlVideoElement, MediaStream, MediaStreamConstraints, MediaStreamTrack};

/// House choice: ten pictures a second, so that a hand that finds the label is not kept waiting.
const BETWEEN_MS: i32 = 100;
/// House choice: so many pictures without a symbol, some eight seconds, before a hint is given.
const PATIENT_FOR: u32 = 80;
/// House choice: how long sound and vibration are given before the document is left, which would end both; well
/// under the 150 ms that the card may take. A card that the phone itself makes comes into the same document at once.
const FELT_MS: i32 = 60;

/// Where this tab keeps what a scan at the bench opened last.
const LAST: &str = "tripoise.scan.last";

thread_local! {
    static STREAM: RefCell<Option<MediaStream>> = const { RefCell::new(None) };
    static OPENING: Cell<u32> = const { Cell::new(0) };
    /// Whether the camera closed only because the page was hidden.
    static WAITS: Cell<bool> = const { Cell::new(false) };
}

/// Does what the page asks for.
pub fn answer(scanner: Scanner, wish: Wish) {
    match wish {
        Wish::Begin => begin(scanner),
        Wish::Open => {
            signs::wake();
            let opening = close(scanner);
            spawn_local(open(scanner, opening));
        }
        Wish::Close => {
            WAITS.set(false);
            close(scanner);
        }
        Wish::Lamp => spawn_local(switch_lamp(scanner)),
        Wish::Sound(on) => {
            signs::SOUND.keep(on);
            tell(scanner.sound, on);
        }
        Wish::Vibration(on) => {
            signs::VIBRATION.keep(on);
            tell(scanner.vibration, on);
        }
        Wish::Photo(event) => spawn_local(photo(scanner, event)),
    }
}

/// Sets a signal of a page that may be gone by now.
fn tell<T: Send + Sync + PartialEq + 'static>(signal: RwSignal<T>, value: T) {
    if signal.try_with_untracked(|now| *now != value).unwrap_or(false) {
        signal.try_set(value);
    }
}

fn begin(scanner: Scanner) {
    tell(scanner.sound, signs::SOUND.is_on());
    tell(scanner.vibration, signs::VIBRATION.is_on());
    tell(scanner.vibrates, signs::can_vibrate());
    let hidden = window_event_listener(leptos::ev::visibilitychange, move |_| follow_sight(scanner));
    let left = window_event_listener(leptos::ev::pagehide, move |_| {
        close(scanner);
    });
    on_cleanup(move || {
        hidden.remove();
        left.remove();
        close(scanner);
    });
    spawn_local(async move {
        if js::may_use_camera().await {
            scanner.ask(Wish::Open);
        }
    });
}

/// Closes the camera while the page is out of sight, and opens it again afterwards.
fn follow_sight(scanner: Scanner) {
    if document().hidden() {
        let in_use = scanner.camera.try_get_untracked().is_some_and(|camera| camera != Camera::Closed);
        close(scanner);
        WAITS.set(in_use);
    } else if WAITS.replace(false) {
        scanner.ask(Wish::Open);
    }
}

/// Closes the camera. Returns the number of the next opening.
fn close(scanner: Scanner) -> u32 {
    OPENING.set(OPENING.get().wrapping_add(1));
    if let Some(stream) = STREAM.take() {
        end(&stream);
    }
    if let Some(view) = view() {
        view.set_src_object(None);
    }
    tell(scanner.camera, Camera::Closed);
    OPENING.get()
}

fn end(stream: &MediaStream) {
    for track in stream.get_tracks().iter().filter_map(|track| track.dyn_into::<MediaStreamTrack>().ok()) {
        track.stop();
    }
}

async fn open(scanner: Scanner, opening: u32) {
    tell(scanner.said, String::new());
    tell(scanner.camera, Camera::Opening);
    let told = match watch(scanner, opening).await {
        Ok(()) => return,
        Err(trouble) => trouble,
    };
    if OPENING.get() == opening {
        close(scanner);
        tell(scanner.said, told.said().to_owned());
    }
}

/// Opens the camera and reads its pictures until one shows a label or the camera is closed.
async fn watch(scanner: Scanner, opening: u32) -> Result<(), Trouble> {
    let stream = stream().await?;
    if OPENING.get() != opening {
        end(&stream);
        return Ok(());
    }
    let lamp = track(&stream).filter(js::has_lamp).map(|_| false);
    // Not `stream.clone()`: that is the browser's own, which makes second tracks that nothing would end.
    STREAM.set(Some(Clone::clone(&stream)));
    // The element is there before the state says "open": it is only out of sight.
    let view = view().ok_or(Trouble::Failed)?;
    view.set_src_object(Some(&stream));
    let playing = view.play().map_err(|_| Trouble::Failed)?;
    tell(scanner.camera, Camera::Open { lamp });
    let reader = Reader::find().await;
    // A picture that does not play yet gives empty frames; closing ends the wait with an error.
    let played = JsFuture::from(playing).await;
    if OPENING.get() != opening {
        return Ok(());
    }
    played.map_err(|_| Trouble::Failed)?;
    read_on(scanner, opening, reader?, &view).await
}

async fn read_on(
    scanner: Scanner,
    opening: u32,
    mut reader: Reader,
    view: &HtmlVideoElement,
) -> Result<(), Trouble> {
    let frame = Frame::new().ok_or(Trouble::Failed)?;
    let mut n_empty = 0;
    let mut again = Again::after(last_opened(scanner));
    while OPENING.get() == opening {
        let texts = if frame.take(view) { reader.read(&frame).await? } else { Vec::new() };
        if OPENING.get() != opening {
            return Ok(());
        }
        n_empty = if texts.is_empty() { n_empty + 1 } else { 0 };
        let outcome = again.take(outcome(scanner, &texts));
        // Away now: what was said of it holds no longer.
        if outcome.is_none() && scanner.said.try_with_untracked(|said| said == STILL_THERE).unwrap_or(false) {
            tell(scanner.said, String::new());
        }
        if follow(scanner, outcome).await {
            return Ok(());
        }
        if n_empty == PATIENT_FOR {
            tell(scanner.said, NOTHING_YET.to_owned());
        }
        js::wait(BETWEEN_MS).await;
    }
    Ok(())
}

/// What follows from what was read.
fn outcome(scanner: Scanner, texts: &[String]) -> Option<Outcome> {
    scanner.known.try_with_value(|known| known.outcome(texts.iter().map(String::as_str))).flatten()
}

/// What a scan at the bench opened last. Elsewhere whoever scans a label again wants its card again.
fn last_opened(scanner: Scanner) -> Option<String> {
    let at_the_bench = scanner.known.try_with_value(|known| known.bench).unwrap_or(false);
    let kept = at_the_bench.then(|| web_sys::window()?.session_storage().ok().flatten()).flatten();
    kept.and_then(|kept| kept.get_item(LAST).ok().flatten())
}

fn keep_opened(path: &str) {
    if let Some(kept) = web_sys::window().and_then(|window| window.session_storage().ok().flatten()) {
        // Where a browser keeps nothing, the card opens once more than it need.
        drop(kept.set_item(LAST, path));
    }
}

/// Goes to the card of a label that was read, or says what else it is. Returns whether the page is being left.
async fn follow(scanner: Scanner, outcome: Option<Outcome>) -> bool {
    match outcome {
        None => false,
        Some(Outcome::Say(said)) => {
            tell(scanner.said, said);
            false
        }
        Some(Outcome::Open(path)) => {
            WAITS.set(false);
            close(scanner);
            keep_opened(&path);
            let is_felt = signs::give();
            if super::screen::goes_here(&path) {
                return true;
            }
            if is_felt {
                js::wait(FELT_MS).await;
            }
            if !super::screen::leaves_for(&path) {
                tell(scanner.said, "the label was read, but its card did not open; type the code".to_owned());
            }
            true
        }
    }
}

async fn photo(scanner: Scanner, event: leptos::ev::Event) {
    signs::wake();
    let said = match read_photo(scanner, &event).await {
        Ok(said) => said,
        Err(trouble) => trouble.said(),
    };
    if !said.is_empty() {
        tell(scanner.said, said.to_owned());
    }
}

/// Reads the photo that was chosen. Returns what is to be said; empty where that is done.
async fn read_photo(scanner: Scanner, event: &leptos::ev::Event) -> Result<&'static str, Trouble> {
    let Some(file) = frame::chosen(event) else { return Ok("") };
    tell(scanner.said, "reading the photo\u{2026}".to_owned());
    let Some(photo) = Photo::open(&file).await else { return Ok(NO_PICTURE) };
    let mut reader = Reader::find().await?;
    for longest in frame::PHOTO_SIDES {
        let Some(frame) = photo.at_most(longest) else { continue };
        let texts = reader.read(&frame).await?;
        if !texts.is_empty() {
            follow(scanner, outcome(scanner, &texts)).await;
            return Ok("");
        }
    }
    Ok(NOTHING_THERE)
}

async fn switch_lamp(scanner: Scanner) {
    let Some(Camera::Open { lamp: Some(lit) }) = scanner.camera.try_get_untracked() else { return };
    let track = STREAM.with_borrow(|stream| stream.as_ref().and_then(track));
    let Some(track) = track else { return };
    if js::light(&track, !lit).await {
        tell(scanner.camera, Camera::Open { lamp: Some(!lit) });
    } else {
        tell(scanner.said, "the light could not be switched".to_owned());
    }
}

fn view() -> Option<HtmlVideoElement> {
    document().get_element_by_id(VIEW)?.dyn_into().ok()
}

fn track(stream: &MediaStream) -> Option<MediaStreamTrack> {
    stream.get_video_tracks().get(0).dyn_into().ok()
}

/// The rear camera's picture.
async fn stream() -> Result<MediaStream, Trouble> {
    let window = web_sys::window().ok_or(Trouble::Failed)?;
    let Ok(devices) = window.navigator().media_devices() else { return Err(Trouble::Failed) };
    // Browsers leave the property out where the page came by plain http from elsewhere.
    if devices.is_undefined() {
        return Err(if window.is_secure_context() { Trouble::Unable } else { Trouble::Insecure });
    }
    let wanted = MediaStreamConstraints::new();
    wanted.set_video(&js::rear_camera());
    let asked = devices.get_user_media_with_constraints(&wanted);
    let given = JsFuture::from(asked.map_err(|cause| js::trouble(&cause))?).await;
    given.map_err(|cause| js::trouble(&cause))?.dyn_into().map_err(|_| Trouble::Failed)
}
