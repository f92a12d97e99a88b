//! A photo on the phone: scaled down, hashed, kept.
//!
//! What this does not do: record. The form beside the picture does, like any other, once the file is kept.
//! Start reading at [`chosen`]; [`keep`] is the one place that says where a file goes.
/// How far a photo is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum State {
    /// None was taken or chosen yet.
    Nothing,
    /// It is being scaled down and kept.
    Working,
    /// It could not be kept; one line says why.
    Failed(String),
    /// It is kept.
    Kept(Box<Kept>),
}

/// A photo that is kept.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Kept {
    /// Its name.
    pub sha256: String,
    /// Its media type.
    pub media: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
    /// How long the file is.
    pub bytes: usize,
    /// Where this page shows it from: the phone's own copy.
    pub src: String,
}

/// Never called: no file is chosen on the server.
#[cfg(not(feature = "hydrate"))]
pub fn chosen(_event: &leptos::ev::Event, _state: leptos::prelude::RwSignal<State>) {}

#[cfg(feature = "hydrate")]
pub use here::{chosen, keep};

#[cfg(feature = "hydrate")]
mod here {
    use super::{Kept, State};
    use leptos::prelude::*;
    use sha2::{Digest, Sha256};
    use tripoise_core::photo::{LONGEST_SIDE, MOST_BYTES, PhotoHash, PhotoKind};
    use wasm_bindgen::closure::Closure;
    use wasm_bindgen::{JsCast, JsValue};
    use wasm_bindgen_futures::{JsFuture, spawn_local};
    use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, HtmlInputElement, ImageBitmap};

    /// Quality of the JPEG. House choice: at 0.8 a hairline crack keeps its edge, and 1600 pixels take about
    /// half a megabyte.
    const QUALITY: f64 = 0.8;

    /// Scales the chosen file down and keeps it; `state` tells how far that is.
    pub fn chosen(event: &leptos::ev::Event, state: RwSignal<State>) {
        let input = event.target().and_then(|target| target.dyn_into::<HtmlInputElement>().ok());
        let Some(file) = input.and_then(|input| input.files()).and_then(|files| files.get(0)) else { return };
        state.set(State::Working);
        spawn_local(async move {
            let done = scale_and_keep(file.into()).await;
            state.set(done.map_or_else(State::Failed, |kept| State::Kept(Box::new(kept))));
        });
    }

    async fn scale_and_keep(file: Blob) -> Result<Kept, String> {
        let (blob, width, height) = scale(&file).await?;
        let buffer = JsFuture::from(blob.array_buffer()).await.map_err(|_| unreadable())?;
        let content = js_sys::Uint8Array::new(&buffer).to_vec();
        if content.len() > MOST_BYTES {
            return Err(format!(
                "this photo is {} kB even when scaled down; at most {} kB are kept",
                content.len() / 1000,
                MOST_BYTES / 1000
            ));
        }
        let media = PhotoKind::of(&content).ok_or_else(unreadable)?;
        let hash = PhotoHash::of_digest(Sha256::digest(&content).into());
        keep(&blob, &hash).await?;
        let src = web_sys::Url::create_object_url_with_blob(&blob).map_err(|_| unreadable())?;
        let (sha256, media, bytes) = (hash.to_string(), media.key().to_owned(), content.len());
        Ok(Kept { sha256, media, width, height, bytes, src })
    }

    fn unreadable() -> String {
        "this browser cannot read that file as a picture; take a photo, or choose a JPEG, PNG or WebP"
            .to_owned()
    }

    /// The picture as a JPEG whose longest side is [`LONGEST_SIDE`] at most, with its width and height.
    async fn scale(file: &Blob) -> Result<(Blob, u32, u32), String> {
        let failed = |_: JsValue| unreadable();
        // Decoded upright: browsers turn a picture by its own mark of which side was up.
        let decoding = window().create_image_bitmap_with_blob(file).map_err(failed)?;
        let picture: ImageBitmap =
            JsFuture::from(decoding).await.map_err(failed)?.dyn_into().map_err(failed)?;
        let (width, height) = fitted(picture.width(), picture.height());
        let canvas = document().create_element("canvas").map_err(failed)?;
        let canvas: HtmlCanvasElement = canvas.dyn_into().map_err(|_| unreadable())?;
        canvas.set_width(width);
        canvas.set_height(height);
        let context = canvas.get_context("2d").map_err(failed)?.ok_or_else(unreadable)?;
        let context: CanvasRenderingContext2d = context.dyn_into().map_err(|_| unreadable())?;
        let (w, h) = (f64::from(width), f64::from(height));
        // What is transparent would turn black in a JPEG.
        context.set_fill_style_str("white");
        context.fill_rect(0.0, 0.0, w, h);
        context.draw_image_with_image_bitmap_and_dw_and_dh(&picture, 0.0, 0.0, w, h).map_err(failed)?;
        picture.close();
        Ok((to_jpeg(&canvas).await?, width, height))
    }

    /// The sides scaled down so that the longer is [`LONGEST_SIDE`] at most.
    fn fitted(width: u32, height: u32) -> (u32, u32) {
        let longest = width.max(height);
        if longest <= LONGEST_SIDE {
            return (width, height);
        }
        let scaled = |side: u32| {
            let side = u64::from(side) * u64::from(LONGEST_SIDE) / u64::from(longest);
            u32::try_from(side).unwrap_or(LONGEST_SIDE).max(1)
        };
        (scaled(width), scaled(height))
    }

    async fn to_jpeg(canvas: &HtmlCanvasElement) -> Result<Blob, String> {
        let promise = js_sys::Promise::new(&mut |done, failed| {
            let given = Closure::once_into_js(move |blob: JsValue| {
                // A call into a promise's own function does not fail.
                drop(done.call1(&JsValue::UNDEFINED, &blob));
            });
            let quality = JsValue::from_f64(QUALITY);
            let asked = canvas.to_blob_with_type_and_encoder_options(
                given.unchecked_ref(),
                PhotoKind::Jpeg.key(),
                &quality,
            );
            if let Err(cause) = asked {
                drop(failed.call1(&JsValue::UNDEFINED, &cause));
            }
        });
        let blob = JsFuture::from(promise).await.map_err(|_| unreadable())?;
        blob.dyn_into().map_err(|_| unreadable())
    }

    /// Keeps a photo under its hash: on the server. A phone that queues photos while it has no signal puts them
    /// into its own store here instead, and sends them from there.
    ///
    /// # Errors   One line that says why it is not kept.
    pub async fn keep(photo: &Blob, hash: &PhotoHash) -> Result<(), String> {
        let unreachable = |_: JsValue| {
            "the server did not answer; the photo is not kept yet, choose it again when there is a signal"
                .to_owned()
        };
        let init = web_sys::RequestInit::new();
        init.set_method("POST");
        init.set_body(photo);
        let address = format!("/api/v1/photos?sha256={hash}");
        let request = web_sys::Request::new_with_str_and_init(&address, &init).map_err(unreachable)?;
        let answer = JsFuture::from(window().fetch_with_request(&request)).await.map_err(unreachable)?;
        let answer: web_sys::Response = answer.dyn_into().map_err(unreachable)?;
        if answer.ok() {
            return Ok(());
        }
        let text = JsFuture::from(answer.text().map_err(unreachable)?).await.map_err(unreachable)?;
        let told: Option<serde_json::Value> =
            serde_json::from_str(&text.as_string().unwrap_or_default()).ok();
        let why = told.as_ref().and_then(|told| told.get("error")).and_then(|error| error.as_str());
        Err(why.unwrap_or("the server did not keep this photo; try again").to_owned())
    }
}
