//! Reads the symbols of a picture: by the browser where it can, else by the decoder.
//!
//! What this does not do: load the decoder before a picture is there to be read.
use super::decoder::Decoder;
use super::frame::Frame;
use super::js;
use js_sys::{Array, Function, Reflect};
use leptos::prelude::window;
use tripoise_core::view::scan::Trouble;
use wasm_bindgen::{JsCast, JsValue};

/// The name in the Shape Detection API's list of formats.
const QR: &str = "qr_code";

/// What reads.
pub enum Reader {
    /// The browser's `BarcodeDetector` (Accelerated Shape Detection).
    Own(JsValue),
    /// The module of this project.
    Decoder(Decoder),
}

impl Reader {
    /// The browser's own where it reads QR symbols, else the decoder, which is loaded.
    ///
    /// # Errors   [`Trouble::NoDecoder`].
    pub async fn find() -> Result<Self, Trouble> {
        match own().await {
            Some(detector) => Ok(Self::Own(detector)),
            None => Ok(Self::Decoder(load().await?)),
        }
    }

    /// The texts on a picture, the one nearest to its middle first.
    ///
    /// # Errors   [`Trouble::NoDecoder`], where what reads broke down and its replacement did not load.
    pub async fn read(&mut self, frame: &Frame) -> Result<Vec<String>, Trouble> {
        let read = match self {
            Self::Own(detector) => detect(detector, frame).await,
            Self::Decoder(decoder) => match frame.pixels() {
                Some((width, height, pixels)) => decoder.read(width, height, &pixels),
                None => return Ok(Vec::new()),
            },
        };
        match read {
            Some(texts) => Ok(texts),
            // Whichever it was, a fresh decoder takes over: one that trapped must not be asked again, and a
            // browser's own may be there without the service behind it.
            None => {
                *self = Self::Decoder(load().await?);
                Ok(Vec::new())
            }
        }
    }
}

async fn load() -> Result<Decoder, Trouble> {
    Decoder::load().await.ok_or(Trouble::NoDecoder)
}

async fn own() -> Option<JsValue> {
    let kind: Function = js::get(&window(), "BarcodeDetector").dyn_into().ok()?;
    let formats: Array =
        js::promised(&kind, "getSupportedFormats", &JsValue::UNDEFINED).await?.dyn_into().ok()?;
    if !formats.iter().any(|format| format == QR) {
        return None;
    }
    let options = js::object(&[("formats", Array::of1(&QR.into()).into())]);
    Reflect::construct(&kind, &Array::of1(&options)).ok()
}

async fn detect(detector: &JsValue, frame: &Frame) -> Option<Vec<String>> {
    let found: Array = js::promised(detector, "detect", &frame.canvas).await?.dyn_into().ok()?;
    let number = |of: &JsValue, name: &str| js::get(of, name).as_f64().unwrap_or(0.0);
    let (width, height) = (f64::from(frame.canvas.width()), f64::from(frame.canvas.height()));
    let mut texts: Vec<(f64, String)> = found
        .iter()
        .filter_map(|one| {
            let seen = js::get(&one, "boundingBox");
            let across = (number(&seen, "x") + number(&seen, "width") / 2.0) / width - 0.5;
            let down = (number(&seen, "y") + number(&seen, "height") / 2.0) / height - 0.5;
            Some((across.abs().max(down.abs()), js::get(&one, "rawValue").as_string()?))
        })
        .collect();
    texts.sort_by(|one, other| one.0.total_cmp(&other.0));
    Some(texts.into_iter().map(|(_, text)| text).collect())
}
