//! Pictures on a canvas that is never shown: of a video at this moment, or of a photo, scaled down.
//!
//! What this does not do: keep or send them.
use leptos::ev::Event;
use leptos::prelude::{document, window};
use tripoise_core::view::scan::fitted;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    CanvasRenderingContext2d, File, HtmlCanvasElement, HtmlInputElement, HtmlVideoElement, ImageBitmap,
};

/// House choice: the longest side of a camera's picture. A label that fills a fifth of 960 pixels has five a
/// module; more pixels cost time in proportion.
const CAMERA_SIDE: u32 = 960;
/// House choice: a photo is tried at the first size, for a small label in it, then at the second, which evens
/// out what is out of focus.
pub const PHOTO_SIDES: [u32; 2] = [1600, 800];

/// A picture that can be read.
pub struct Frame {
    /// The canvas, as large as the picture.
    pub canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
}

impl Frame {
    /// An empty one.
    pub fn new() -> Option<Self> {
        let canvas: HtmlCanvasElement = document().create_element("canvas").ok()?.dyn_into().ok()?;
        // Its pixels are read back each time, so they are better kept where the processor has them.
        let options = super::js::object(&[("willReadFrequently", true.into())]);
        let context = canvas.get_context_with_context_options("2d", &options).ok()??;
        Some(Self { canvas, context: context.dyn_into().ok()? })
    }

    fn resize(&self, width: u32, height: u32) {
        if (self.canvas.width(), self.canvas.height()) != (width, height) {
            self.canvas.set_width(width);
            self.canvas.set_height(height);
        }
    }

    /// Takes what the video shows. Returns whether it shows anything yet.
    pub fn take(&self, video: &HtmlVideoElement) -> bool {
        let Some((width, height)) = fitted(video.video_width(), video.video_height(), CAMERA_SIDE) else {
            return false;
        };
        self.resize(width, height);
        let (w, h) = (f64::from(width), f64::from(height));
        self.context.draw_image_with_html_video_element_and_dw_and_dh(video, 0.0, 0.0, w, h).is_ok()
    }

    /// Its size, and its pixels as four bytes each: still the browser's array, not copied here.
    pub fn pixels(&self) -> Option<(u32, u32, JsValue)> {
        let (width, height) = (self.canvas.width(), self.canvas.height());
        let image = self.context.get_image_data(0.0, 0.0, width.into(), height.into()).ok()?;
        Some((width, height, super::js::get(&image, "data")))
    }
}

/// A photo, turned upright.
pub struct Photo(ImageBitmap);

impl Photo {
    /// Opens a file; `None` where the browser does not know its kind.
    pub async fn open(file: &File) -> Option<Self> {
        let opening = window().create_image_bitmap_with_blob(file).ok()?;
        JsFuture::from(opening).await.ok()?.dyn_into().ok().map(Self)
    }

    /// The photo with its longest side no longer than so many pixels.
    pub fn at_most(&self, longest: u32) -> Option<Frame> {
        let (width, height) = fitted(self.0.width(), self.0.height(), longest)?;
        let frame = Frame::new()?;
        frame.resize(width, height);
        let (w, h) = (f64::from(width), f64::from(height));
        frame.context.draw_image_with_image_bitmap_and_dw_and_dh(&self.0, 0.0, 0.0, w, h).ok()?;
        Some(frame)
    }
}

/// The file chosen in a field, which is emptied: choosing the same one again counts again.
pub fn chosen(event: &Event) -> Option<File> {
    let field: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = field.files()?.get(0);
    field.set_value("");
    file
}
