//! Pictures as cameras make them, and files that are out to do harm.
use super::*;
use image::{ExtendedColorType, ImageFormat, Luma};
use std::error::Error;

type Done = Result<(), Box<dyn Error>>;

/// Red in the top left quarter, blue elsewhere.
fn cornered(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let corner = x < width / 2 && y < height / 2;
        if corner { image::Rgb([220, 20, 20]) } else { image::Rgb([20, 20, 220]) }
    })
}

fn encoded(picture: DynamicImage, format: ImageFormat) -> Result<Vec<u8>, image::ImageError> {
    let mut file = Cursor::new(Vec::new());
    picture.write_to(&mut file, format)?;
    Ok(file.into_inner())
}

/// Where in a scaled picture the red corner is: (right, below).
fn red_corner(scaled: &Scaled) -> Result<(bool, bool), Box<dyn Error>> {
    let picture = image::load_from_memory_with_format(&scaled.content, ImageFormat::Jpeg)?.into_rgb8();
    let (w, h) = picture.dimensions();
    assert_eq!((w, h), (scaled.width, scaled.height));
    let red = |x: u32, y: u32| picture.get_pixel(x, y).0[0] > 150 && picture.get_pixel(x, y).0[2] < 100;
    let corners = [(w / 4, h / 4), (3 * w / 4, h / 4), (w / 4, 3 * h / 4), (3 * w / 4, 3 * h / 4)];
    let found: Vec<(u32, u32)> = corners.into_iter().filter(|(x, y)| red(*x, *y)).collect();
    assert_eq!(found.len(), 1, "one corner is red");
    Ok((found[0].0 > w / 2, found[0].1 > h / 2))
}

/// The JPEG with Exif's orientation (JEITA CP-3451, tag 274) in it.
fn turned(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let tiff = [&b"MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0"[..], &[orientation, 0, 0, 0, 0, 0, 0]]
        .concat();
    let exif = [&b"Exif\0\0"[..], &tiff].concat();
    let length = u16::try_from(exif.len() + 2).unwrap_or(0).to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &exif, &jpeg[2..]].concat()
}

#[test]
fn the_longest_side_is_1600_and_small_ones_stay() -> Done {
    let check = |sides: (u32, u32), expected: (u32, u32), format: ImageFormat| -> Done {
        let file = encoded(cornered(sides.0, sides.1).into(), format)?;
        let scaled = scale(&file)?;
        assert_eq!((scaled.width, scaled.height), expected, "{sides:?} {format:?}");
        assert_eq!(PhotoKind::of(&scaled.content), Some(PhotoKind::Jpeg));
        assert_eq!(red_corner(&scaled)?, (false, false), "{sides:?} {format:?}");
        Ok(())
    };
    check((4_000, 3_000), (1_600, 1_200), ImageFormat::Jpeg)?;
    check((1_700, 2_000), (1_360, 1_600), ImageFormat::Png)?;
    check((1_601, 40), (1_600, 39), ImageFormat::WebP)?;
    check((320, 200), (320, 200), ImageFormat::Jpeg)
}

#[test]
fn the_camera_s_word_on_which_side_was_up_is_obeyed_and_its_other_words_are_dropped() -> Done {
    let jpeg = encoded(cornered(400, 300).into(), ImageFormat::Jpeg)?;
    // JEITA CP-3451, 4.6.4: where row 0 and column 0 of the file belong in the upright picture.
    let check = |orientation: u8, expected: (bool, bool), sides: (u32, u32)| -> Done {
        let scaled = scale(&turned(&jpeg, orientation))?;
        assert_eq!((scaled.width, scaled.height), sides, "orientation {orientation}");
        assert_eq!(red_corner(&scaled)?, expected, "orientation {orientation}");
        assert!(
            !scaled.content.windows(4).any(|four| four == b"Exif"),
            "where it was taken is nobody's business"
        );
        Ok(())
    };
    check(1, (false, false), (400, 300))?;
    check(2, (true, false), (400, 300))?;
    check(3, (true, true), (400, 300))?;
    check(4, (false, true), (400, 300))?;
    check(6, (true, false), (300, 400))?;
    check(8, (false, true), (300, 400))
}

#[test]
fn what_is_transparent_turns_white() -> Done {
    let clear = RgbaImage::from_pixel(20, 20, Rgba([0, 0, 0, 0]));
    let scaled = scale(&encoded(clear.into(), ImageFormat::Png)?)?;
    let picture = image::load_from_memory(&scaled.content)?.into_rgb8();
    assert!(picture.pixels().all(|pixel| pixel.0.iter().all(|shade| *shade > 250)));
    Ok(())
}

#[test]
fn noise_is_kept_at_less_quality() -> Done {
    let mut state = 1_u32;
    let mut shade = || {
        // Numerical Recipes' quick generator: any noise will do.
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    };
    let noise = RgbImage::from_fn(1_600, 1_600, |_, _| image::Rgb([shade(), shade(), shade()]));
    let file = encoded(noise.into(), ImageFormat::Png)?;
    match scale(&file) {
        Ok(scaled) => assert!(scaled.content.len() <= MOST_BYTES, "{}", scaled.content.len()),
        Err(cause) => assert_eq!(cause, NoPicture::TooLong),
    }
    Ok(())
}

/// A PNG whose header says that it is this large; its pixels are those of a small one.
fn bomb(width: u32, height: u32) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut png = Vec::new();
    let encoder = image::codecs::png::PngEncoder::new(&mut png);
    let small = image::ImageBuffer::<Luma<u8>, _>::from_pixel(8, 8, Luma([0_u8]));
    image::ImageEncoder::write_image(encoder, small.as_raw(), 8, 8, ExtendedColorType::L8)?;
    // ISO/IEC 15948, 11.2.2: IHDR begins at byte 12, its CRC is at 29.
    png[16..20].copy_from_slice(&width.to_be_bytes());
    png[20..24].copy_from_slice(&height.to_be_bytes());
    let crc = crc32fast::hash(&png[12..29]).to_be_bytes();
    png[29..33].copy_from_slice(&crc);
    Ok(png)
}

#[test]
fn a_picture_larger_than_any_camera_s_is_refused_before_it_is_decoded() -> Done {
    let check = |file: &[u8], width: u32, height: u32| {
        assert_eq!(scale(file), Err(NoPicture::TooLarge { width, height }));
    };
    check(&bomb(60_000, 60_000)?, 60_000, 60_000);
    check(&bomb(8_000, 6_501)?, 8_000, 6_501);
    // The header of a JPEG (SOF0, ISO/IEC 10918-1 B.2.2) says 65,535 by 65,535.
    let mut jpeg = encoded(cornered(16, 16).into(), ImageFormat::Jpeg)?;
    let header = jpeg.windows(2).position(|two| two == [0xFF, 0xC0]).ok_or("no header")?;
    jpeg[header + 5..header + 9].fill(0xFF);
    check(&jpeg, 65_535, 65_535);
    Ok(())
}

#[test]
fn what_is_no_picture_or_a_broken_one_is_refused() -> Done {
    for file in [&b""[..], b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"GIF89a", b"%PDF-1.7"] {
        assert_eq!(scale(file), Err(NoPicture::Kind));
    }
    let png = encoded(cornered(64, 64).into(), ImageFormat::Png)?;
    assert_eq!(scale(&png[..png.len() / 2]), Err(NoPicture::Damaged));
    assert_eq!(scale(b"\xFF\xD8\xFF\xE0 and then nothing of the kind"), Err(NoPicture::Damaged));
    assert_eq!(scale(b"RIFF\x24\0\0\0WEBPVP8 nothing"), Err(NoPicture::Damaged));
    Ok(())
}
