//! Reads a photo: what the program found out about the file that it scaled down and kept.
use super::piece::note;
use super::{Problem, Reader};
use crate::event::values::Piece;
use crate::event::{Body, PhotoTaken};
use crate::photo::{MOST_BYTES, MOST_PIXELS, PhotoHash};

/// The photo's entry.
pub(super) fn read(reader: &mut Reader<'_>, piece: Piece) -> Option<Body> {
    let sha256: Option<PhotoHash> = reader.text("sha256").parse().ok();
    if sha256.is_none() {
        reader.problem("file", "take or choose a photo first, and wait until it is kept");
        return None;
    }
    let most_bytes = u32::try_from(MOST_BYTES).unwrap_or(u32::MAX);
    let (width, height) = (reader.count("width", 1, MOST_PIXELS), reader.count("height", 1, MOST_PIXELS));
    let bytes = reader.count("bytes", 1, most_bytes);
    let media = reader.choice("media");
    let note = note(reader, "note");
    let (sha256, media, (width, height), bytes) = (sha256?, media?, width.zip(height)?, bytes?);
    Some(PhotoTaken { piece, sha256, media, width, height, bytes, note }.into())
}

/// What is wrong with a photo's numbers, at the door of the store.
pub(crate) fn problems(b: &PhotoTaken) -> Vec<Problem> {
    let mut found = Vec::new();
    let sides = 1..=MOST_PIXELS;
    if !sides.contains(&b.width) || !sides.contains(&b.height) {
        found.push(Problem::new("width", "a photo has a width and a height in pixels"));
    }
    if b.bytes == 0 || b.bytes as usize > MOST_BYTES {
        let cause = format!("a photo has at most {MOST_BYTES} bytes; scale it down");
        found.push(Problem::new("bytes", cause));
    }
    found
}

#[cfg(test)]
mod tests {
    use crate::event::EventsWithdrawn;
    use crate::testing::{Studio, said};
    use crate::view::PageData;
    use crate::view::shelf::ShelfPage;

    fn kept() -> Vec<(&'static str, &'static str)> {
        let hash = "b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c";
        let size = [("width", "1600"), ("height", "1200"), ("bytes", "412345")];
        let kind =
            [("do", "photo"), ("sha256", hash), ("media", "image/jpeg"), ("note", "crack by the post")];
        [&kind[..], &size[..]].concat()
    }

    #[test]
    fn a_photo_is_shown_on_the_card_and_gone_when_its_entry_is_taken_back() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.shelf("F01", kiln);
        let read = studio.submit("/shelf/F01/photo", &kept()).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!(read.next, "/shelf/F01");
        let events = studio.take(read);
        let card = |studio: &Studio| match studio.get("/shelf/F01").data {
            PageData::Shelf(ShelfPage::Card(card)) => card,
            other => panic!("{other:?}"),
        };
        let shown = card(&studio);
        assert_eq!(shown.photos.len(), 1);
        assert_eq!(shown.photos[0].alt, "F01 on 2026-03-15: crack by the post");
        assert!(shown.photos[0].src.starts_with("/photos/b5bb9d80"), "{}", shown.photos[0].src);
        assert_eq!(shown.history[0].photo.as_ref(), shown.photos.first());
        studio.record(EventsWithdrawn { events, reason: String::new() });
        let shown = card(&studio);
        assert!(shown.photos.is_empty());
        // The history keeps the line, and what it showed, struck through.
        assert!(shown.history.iter().any(|line| line.photo.is_some() && !line.counts));
    }

    #[test]
    fn a_form_without_a_kept_photo_is_refused() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.post("P01", 150.0, kiln);
        let mut check =
            |fields: &[(&str, &str)], expected: &[&str]| match studio.submit("/post/P01/photo", fields) {
                Err(problems) => assert_eq!(said(&problems), expected),
                Ok(read) => panic!("{read:?}"),
            };
        check(&[("do", "photo")], &["file: take or choose a photo first, and wait until it is kept"]);
        let without = |name: &str| kept().into_iter().filter(|(other, _)| *other != name).collect::<Vec<_>>();
        check(&without("media"), &["media: choose one"]);
        let huge: Vec<_> = without("bytes").into_iter().chain([("bytes", "1500001")]).collect();
        check(&huge, &["bytes: \"1500001\" is not a count here; type a whole number up to 1500000"]);
    }
}
