//! A photo on the phone: scaled down, hashed, kept.
//!
//! What this does not do: record, which the form beside the picture does, like any other, once the file is kept;
//! or send, which [`super::photo_post`] does. Start reading at [`chosen`]; [`keep`] is the one place that says
//! where a file goes.
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

/// Never called: effects do not run on the server.
#[cfg(not(feature = "hydrate"))]
pub fn chosen_already(_field_id: &str, _state: leptos::prelude::RwSignal<State>) {}

#[cfg(feature = "hydrate")]
pub use here::{chosen, chosen_already, show_own_where_missing};

#[cfg(feature = "hydrate")]
mod here {
    use super::{Kept, State};
    use crate::browser::store::{self, StoreError};
    use crate::browser::under_way::UnderWay;
    use crate::browser::{net, phone};
    use js_sys::Uint8Array;
    use leptos::prelude::*;
    use sha2::{Digest, Sha256};
    use tripoise_core::photo::{MOST_BYTES, PhotoHash, PhotoKind, fitted};
    use tripoise_core::sync::PhotoAnswer;
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
        take(input, state);
    }

    /// The same for a file that the field holds already.
    pub fn chosen_already(field_id: &str, state: RwSignal<State>) {
        let field = document().get_element_by_id(field_id);
        take(field.and_then(|field| field.dyn_into::<HtmlInputElement>().ok()), state);
    }

    fn take(input: Option<HtmlInputElement>, state: RwSignal<State>) {
        let Some(file) = input.and_then(|input| input.files()).and_then(|files| files.get(0)) else { return };
        state.set(State::Working);
        let under_way = UnderWay::begin();
        spawn_local(async move {
            let done = scale_and_keep(file.into()).await;
            // The page may have been left meanwhile.
            state.try_set(done.map_or_else(State::Failed, |kept| State::Kept(Box::new(kept))));
            drop(under_way);
        });
    }

    async fn scale_and_keep(file: Blob) -> Result<Kept, String> {
        let (blob, width, height) = scale(&file).await?;
        let buffer = JsFuture::from(blob.array_buffer()).await.map_err(|_| unreadable())?;
        let bytes = Uint8Array::new(&buffer);
        let content = bytes.to_vec();
        if content.len() > MOST_BYTES {
            return Err(format!(
                "this photo is {} kB even when scaled down; at most {} kB are kept",
                content.len() / 1000,
                MOST_BYTES / 1000
            ));
        }
        let media = PhotoKind::of(&content).ok_or_else(unreadable)?;
        let hash = PhotoHash::of_digest(Sha256::digest(&content).into());
        keep(&bytes, &hash, media).await?;
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

    /// Keeps a photo under its hash on this phone, from where it is sent once an entry names it. A browser that
    /// keeps nothing for this page sends it at once.
    ///
    /// # Errors   One line that says why it is not kept.
    async fn keep(content: &Uint8Array, hash: &PhotoHash, media: PhotoKind) -> Result<(), String> {
        // The image first: it follows the transaction.
        let kept = match phone::load().await {
            Ok(()) => store::keep_photo(hash, media, content).await,
            Err(cause) => Err(cause),
        };
        match kept {
            Ok(()) => Ok(()),
            Err(StoreError::Refused) => send(content, hash).await,
            Err(cause) => Err(cause.to_string()),
        }
    }

    async fn send(content: &Uint8Array, hash: &PhotoHash) -> Result<(), String> {
        let address = format!("/api/v1/photos?sha256={hash}");
        let (status, text) = net::send_file(&address, content).await.map_err(|_| {
            "the server did not answer and this browser keeps nothing; choose the photo again when there is a signal"
                .to_owned()
        })?;
        match PhotoAnswer::read(status, &text, hash) {
            Some(PhotoAnswer::Kept) => Ok(()),
            Some(PhotoAnswer::Refused(why)) => Err(why),
            None => Err(net::reason(status, &text)),
        }
    }

    /// A picture that did not load is shown from the phone, where it is: over plain http no service worker does.
    pub fn show_own_where_missing() {
        let missing = Closure::<dyn FnMut(web_sys::Event)>::new(|event: web_sys::Event| {
            let image = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
            let Some(image) = image.filter(|image| image.tag_name() == "IMG") else { return };
            let src = image.get_attribute("src").unwrap_or_default();
            let Some(Ok(hash)) = src.strip_prefix("/photos/").map(str::parse::<PhotoHash>) else { return };
            spawn_local(async move {
                // Neither here nor there: the picture's words stand in its place.
                let Ok(Some(content)) = store::photo_file(&hash).await else { return };
                let parts = js_sys::Array::of1(&content);
                let own = Blob::new_with_u8_array_sequence(&parts)
                    .and_then(|blob| web_sys::Url::create_object_url_with_blob(&blob));
                if let Ok(own) = own {
                    // An attribute of an element that is there is always set.
                    drop(image.set_attribute("src", &own));
                }
            });
        });
        // Such an event goes down to its picture, and does not come up again.
        let listens = document().add_event_listener_with_callback_and_bool(
            "error",
            missing.as_ref().unchecked_ref(),
            true,
        );
        if listens.is_ok() {
            missing.forget();
        }
    }
}
