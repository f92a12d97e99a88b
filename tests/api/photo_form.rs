//! A photo's form posted without JavaScript: the file goes to the server, which scales it down.
use crate::harness::{Answer, Device, Done, Server, out, run_on};
use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};
use std::error::Error;
use std::io::Cursor;

const SHELF: &str = "00000000-0000-7000-8000-000000000002";

/// A server with one shelf, F01.
fn studio() -> Result<Server, Box<dyn Error>> {
    let (server, mut device) = (Server::start()?, Device::new(1));
    let mut event = |kind: &str, body: Value| {
        let mut event = device.event();
        event["kind"] = json!(kind);
        event["body"] = body;
        event
    };
    let kiln = "00000000-0000-7000-8000-000000000001";
    let outline = json!({ "shape": "rectangle", "length_nm": 600_000_000, "width_nm": 300_000_000 });
    let events = [
        event("kiln_added", json!({ "kiln": kiln, "name": "Heron", "fuel": "gas", "usual_cone": "10" })),
        event(
            "shelf_added",
            json!({
                "shelf": SHELF, "code": "F01", "material": "cordierite", "outline": outline,
                "thickness_nm": 19_000_000, "firings_before": 0, "kiln": kiln, "place": "",
            }),
        ),
    ];
    assert_eq!(server.post(&json!(events))?.statuses(), ["stored", "stored"]);
    Ok(server)
}

/// The form as a browser posts it (RFC 7578).
fn post(server: &Server, path: &str, file: &[u8], fields: &[(&str, &str)]) -> Result<Answer, Box<dyn Error>> {
    let mut body = Vec::new();
    for (name, value) in [("do", "photo")].iter().chain(fields) {
        let part = format!("--edge\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
        body.extend_from_slice(part.as_bytes());
    }
    body.extend_from_slice(
        b"--edge\r\ncontent-disposition: form-data; name=\"file\"; filename=\"crack.jpg\"\r\n\
          content-type: image/jpeg\r\n\r\n",
    );
    body.extend_from_slice(file);
    body.extend_from_slice(b"\r\n--edge--\r\n");
    server.post_as(path, "multipart/form-data; boundary=edge", &body)
}

/// A JPEG with a red left half; its camera says that its right side was up.
fn lying_on_its_side(width: u32, height: u32) -> Result<Vec<u8>, Box<dyn Error>> {
    let red = |x: u32| if x < width / 2 { [220, 20, 20] } else { [20, 20, 220] };
    let picture = RgbImage::from_fn(width, height, |x, _| image::Rgb(red(x)));
    let mut file = Cursor::new(Vec::new());
    picture.write_to(&mut file, ImageFormat::Jpeg)?;
    let jpeg = file.into_inner();
    // JEITA CP-3451: tag 274 is the orientation; 6 is "turn it clockwise by a quarter".
    let exif = b"\xFF\xE1\0\x22Exif\0\0MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    Ok([&jpeg[..2], &exif[..], &jpeg[2..]].concat())
}

/// The one photo on record.
fn recorded(server: &Server) -> Result<Option<Value>, Box<dyn Error>> {
    let feed = server.get("/api/v1/events?since=0")?;
    let events = feed.body["events"].as_array().ok_or("no events")?;
    let mut photos = events.iter().map(|one| &one["event"]).filter(|event| event["kind"] == "photo_taken");
    let found = photos.next().map(|event| event["body"].clone());
    assert!(photos.next().is_none(), "there is more than one");
    Ok(found)
}

fn n_files(server: &Server) -> usize {
    std::fs::read_dir(server.folder().join("photos")).map_or(0, Iterator::count)
}

#[test]
fn the_file_is_turned_upright_scaled_down_kept_and_recorded() -> Done {
    let mut server = studio()?;
    let answer = post(&server, "/shelf/F01/photo", &lying_on_its_side(3_200, 2_400)?, &[("note", "crack")])?;
    assert_eq!(answer.status, 303, "{answer:?}");
    assert!(answer.header("location").is_some_and(|to| to.starts_with("/shelf/F01?done=")), "{answer:?}");
    let photo = recorded(&server)?.ok_or("nothing is recorded")?;
    assert_eq!(photo["piece"], json!({ "shelf": SHELF }));
    assert_eq!((photo["width"].as_u64(), photo["height"].as_u64()), (Some(1_200), Some(1_600)), "{photo}");
    assert_eq!((&photo["media"], &photo["note"]), (&json!("image/jpeg"), &json!("crack")));
    let name = photo["sha256"].as_str().ok_or("no name")?;
    let (kind, file) = server.file(&format!("/photos/{name}"))?;
    assert_eq!((kind.as_str(), file.len() as u64), ("image/jpeg", photo["bytes"].as_u64().unwrap_or(0)));
    let picture = image::load_from_memory_with_format(&file, ImageFormat::Jpeg)?.into_rgb8();
    let (above, below) = (picture.get_pixel(600, 400), picture.get_pixel(600, 1_200));
    assert!(above.0[0] > 150 && below.0[2] > 150, "what was left is above now: {above:?} {below:?}");
    assert!(!file.windows(4).any(|four| four == b"Exif"), "where and by what it was taken goes no further");
    let card = server.get("/shelf/F01")?.body.to_string();
    assert!(card.contains(&format!("/photos/{name}")), "the card shows it");
    let folder = server.folder().to_owned();
    server.signal("TERM")?;
    let verified = run_on(&folder, &["verify"])?;
    assert!(verified.status.success() && out(&verified).contains("all 1 photos are there"), "{verified:?}");
    Ok(())
}

#[test]
fn what_is_no_photo_is_said_beside_the_field_and_nothing_typed_is_lost() -> Done {
    let server = studio()?;
    let check = |file: &[u8], said: &str| -> Done {
        let answer = post(&server, "/shelf/F01/photo", file, &[("note", "crack by the \"bag wall\"")])?;
        let page = answer.body.to_string();
        assert_eq!(answer.status, 422, "{page}");
        let beside = page.split("photo-file-problem").last().unwrap_or_default();
        assert!(beside.split("</div>").next().is_some_and(|text| text.contains(said)), "{said}: {page}");
        assert!(page.contains("crack by the"), "the note is gone: {page}");
        Ok(())
    };
    check(b"", "take or choose a photo first")?;
    check(
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        "no picture that can be read here",
    )?;
    let jpeg = lying_on_its_side(64, 48)?;
    check(&jpeg[..40], "damaged")?;
    let mut huge = jpeg.clone();
    let header = huge.windows(2).position(|two| two == [0xFF, 0xC0]).ok_or("no header")?;
    huge[header + 5..header + 9].fill(0xFF);
    check(&huge, "65535 by 65535 pixels")?;
    let long = [&jpeg[..], &vec![0; 30_000_000]].concat();
    check(&long, "over 30 MB")?;
    assert_eq!((recorded(&server)?, n_files(&server)), (None, 0));
    Ok(())
}

#[test]
fn a_photo_that_is_kept_need_not_be_chosen_again() -> Done {
    let server = studio()?;
    let long = "x".repeat(5_000);
    let answer = post(&server, "/shelf/F01/photo", &lying_on_its_side(320, 240)?, &[("note", &long)])?;
    let page = answer.body.as_str().unwrap_or_default().to_owned();
    assert_eq!((answer.status, recorded(&server)?, n_files(&server)), (422, None, 1), "{page}");
    let value = |name: &str| -> Result<String, Box<dyn Error>> {
        let field = page.split("<input").find(|field| field.contains(&format!("name=\"{name}\"")));
        let value = field.and_then(|field| field.split("value=\"").nth(1)?.split('"').next());
        Ok(value.ok_or(format!("no field {name}"))?.to_owned())
    };
    let names = ["sha256", "media", "width", "height", "bytes"];
    let mut fields = Vec::new();
    for name in names {
        fields.push((name, value(name)?));
    }
    let mut fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    fields.push(("note", "crack"));
    let answer = post(&server, "/shelf/F01/photo", b"", &fields)?;
    assert_eq!(answer.status, 303, "{answer:?}");
    let photo = recorded(&server)?.ok_or("nothing is recorded")?;
    assert_eq!((photo["sha256"].as_str(), photo["width"].as_u64()), (Some(fields[0].1), Some(240)));
    Ok(())
}

#[test]
fn only_a_photo_s_form_takes_a_file_and_only_from_our_own_pages() -> Done {
    let server = studio()?;
    // Small enough to be read with its head: what is refused unread ends in a closed connection.
    let (form, empty) = ("multipart/form-data; boundary=edge", b"--edge--");
    for path in ["/shelf/F01/note", "/add/kiln", "/"] {
        assert_eq!(server.post_as(path, form, empty)?.status, 415, "{path}");
    }
    let headers = [("sec-fetch-site", "cross-site"), ("content-type", "multipart/form-data; boundary=edge")];
    assert_eq!(server.post_to("/shelf/F01/photo", "--edge--", &headers)?.status, 403);
    let broken = server.post_as("/shelf/F01/photo", form, b"--edge\r\nnothing")?;
    assert_eq!(broken.status, 400, "{broken:?}");
    assert_eq!(server.post_as("/shelf/F01/photo", "multipart/form-data", empty)?.status, 400);
    assert_eq!((recorded(&server)?, n_files(&server)), (None, 0));
    Ok(())
}
