//! A picture as a camera made it, scaled down as the phone's program does it, for browsers that run none.
//!
//! Where the picture was taken and by what, cameras write into the file; nothing of that is kept, only which side
//! was up is obeyed. What this does not do: keep a file, or read kinds that [`PhotoKind`] does not name.
use image::codecs::jpeg::JpegEncoder;
use image::imageops::{FilterType, overlay};
use image::{DynamicImage, ImageDecoder, ImageError, ImageReader, Limits, RgbImage, Rgba, RgbaImage};
use std::io::Cursor;
use tripoise_core::photo::{LONGEST_SIDE, MOST_BYTES, PhotoKind, fitted};

/// The most pixels. House choice: 52 million, what the largest common sensor of a phone gives (8,192 by 6,144
/// is 50.3).
pub const MOST_PIXELS: u64 = 52_000_000;

/// The most memory for the decoded picture, in bytes. House choice: 4 for each pixel of the largest. A
/// progressive JPEG takes 6 for each of its pixels beside it, 310 MB at most; there is never more than one at work
/// ([`crate::routes`]).
const MOST_MEMORY: u64 = 4 * MOST_PIXELS;

/// Quality of the JPEG: the first as on the phone, the others where the file is too long even so. House choice.
const QUALITIES: [u8; 3] = [80, 60, 40];

/// A picture, scaled down.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Scaled {
    /// The file: always a JPEG.
    pub content: Vec<u8>,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// Why a file is no photo.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum NoPicture {
    /// Its first bytes are those of no kind that is read.
    #[error("this is no picture that can be read here; choose a JPEG, PNG or WebP file")]
    Kind,
    /// It begins like one, and cannot be read.
    #[error("this picture is damaged and cannot be read; choose another, or take it again")]
    Damaged,
    /// It is larger than any camera's.
    #[error(
        "this picture has {width} by {height} pixels, more than can be scaled down here; make it smaller first"
    )]
    TooLarge {
        /// Its width.
        width: u32,
        /// Its height.
        height: u32,
    },
    /// Noise, as good as.
    #[error("this photo is over {} kB even when scaled down; crop it first", MOST_BYTES / 1000)]
    TooLong,
}

/// Scales a picture down as the phone does: upright, the longest side [`LONGEST_SIDE`] at most, on white, as JPEG.
///
/// # Errors   [`NoPicture`], with what to do.
pub fn scale(file: &[u8]) -> Result<Scaled, NoPicture> {
    let picture = read(file)?;
    let mut flat = RgbaImage::from_pixel(picture.width(), picture.height(), Rgba([255; 4]));
    overlay(&mut flat, &picture.into_rgba8(), 0, 0);
    let flat: RgbImage = DynamicImage::ImageRgba8(flat).into_rgb8();
    for quality in QUALITIES {
        let mut content = Vec::new();
        let mut encoder = JpegEncoder::new_with_quality(&mut content, quality);
        encoder.encode_image(&flat).map_err(|_| NoPicture::Damaged)?;
        if content.len() <= MOST_BYTES {
            return Ok(Scaled { content, width: flat.width(), height: flat.height() });
        }
    }
    Err(NoPicture::TooLong)
}

/// The picture, upright and scaled down.
fn read(file: &[u8]) -> Result<DynamicImage, NoPicture> {
    PhotoKind::of(file).ok_or(NoPicture::Kind)?;
    let mut reader =
        ImageReader::new(Cursor::new(file)).with_guessed_format().map_err(|_| NoPicture::Kind)?;
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(damaged)?;
    let (width, height) = decoder.dimensions();
    let too_large = NoPicture::TooLarge { width, height };
    if u64::from(width) * u64::from(height) > MOST_PIXELS || decoder.total_bytes() > MOST_MEMORY {
        return Err(too_large);
    }
    let upright = decoder.orientation().map_err(damaged)?;
    let picture = DynamicImage::from_decoder(decoder).map_err(|cause| match cause {
        ImageError::Limits(_) => too_large,
        other => damaged(other),
    })?;
    let mut picture = shrink(picture);
    picture.apply_orientation(upright);
    Ok(picture)
}

/// In two steps where it is much too large: the first is quick and takes no memory to speak of.
fn shrink(picture: DynamicImage) -> DynamicImage {
    let (width, height) = fitted(picture.width(), picture.height());
    if (width, height) == (picture.width(), picture.height()) {
        return picture;
    }
    let picture = if picture.width().max(picture.height()) > 2 * LONGEST_SIDE {
        picture.thumbnail_exact(2 * width, 2 * height)
    } else {
        picture
    };
    picture.resize_exact(width, height, FilterType::Triangle)
}

/// What exactly is wrong with it helps nobody who holds a phone.
fn damaged(_cause: ImageError) -> NoPicture {
    NoPicture::Damaged
}

#[cfg(test)]
#[path = "picture_tests.rs"]
mod tests;
