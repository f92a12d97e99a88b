//! Photos: kept by hash, given back as they came, refused where they are none, missed by `verify`.
use crate::harness::{Device, Done, Server, out, run_on};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::path::Path;

/// A picture with real content: one of the README's.
fn picture() -> Result<Vec<u8>, std::io::Error> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("browser/pictures/posts-phone-light.png"))
}

fn hash(content: &[u8]) -> String {
    Sha256::digest(content).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn a_photo_is_kept_once_and_given_back_as_it_came() -> Done {
    let server = Server::start()?;
    let (png, at) = (picture()?, "/api/v1/photos");
    let name = hash(&png);
    let first = server.post_bytes(&format!("{at}?sha256={name}"), &png)?;
    assert_eq!((first.status, first.body["status"].as_str()), (201, Some("stored")), "{first:?}");
    assert_eq!(first.body["sha256"], json!(name));
    assert_eq!(first.body["media"], "image/png");
    let again = server.post_bytes(at, &png)?;
    assert_eq!((again.status, again.body["status"].as_str()), (200, Some("already_had")));
    assert_eq!(std::fs::read_dir(server.folder().join("photos"))?.count(), 1);
    let (kind, content) = server.file(&format!("/photos/{name}"))?;
    assert_eq!(kind, "image/png");
    assert!(content == png, "the photo came back changed");
    let answer = server.head(&format!("/photos/{name}"))?;
    assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    assert!(
        answer.header("cache-control").is_some_and(|caching| caching.contains("immutable")),
        "{answer:?}"
    );
    let policy = answer.header("content-security-policy").unwrap_or_default();
    assert!(policy.contains("default-src 'none'"), "{answer:?}");
    Ok(())
}

#[test]
fn what_is_no_photo_is_refused_and_nothing_is_kept() -> Done {
    let server = Server::start()?;
    let check = |address: &str, body: &[u8], status: u16, wanted: &str| -> Done {
        let answer = server.post_bytes(address, body)?;
        assert_eq!(answer.status, status, "{answer:?}");
        assert!(answer.body["error"].as_str().is_some_and(|text| text.contains(wanted)), "{answer:?}");
        Ok(())
    };
    let at = "/api/v1/photos";
    check(at, b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", 415, "JPEG, PNG or WebP")?;
    check(at, b"", 415, "JPEG, PNG or WebP")?;
    let long = [&b"\xFF\xD8\xFF"[..], &vec![0; 1_500_000]].concat();
    check(at, &long, 413, "at most 1500000 bytes")?;
    check(&format!("{at}?sha256={}", "0".repeat(64)), b"\xFF\xD8\xFF\xE0", 422, "send it again")?;
    check(&format!("{at}?name=x"), b"\xFF\xD8\xFF\xE0", 400, "name")?;
    assert!(!server.folder().join("photos").exists());
    for name in ["0".repeat(64), "..%2Fstore.json".to_owned(), "x".to_owned()] {
        assert_eq!(server.get(&format!("/photos/{name}"))?.status, 404, "{name}");
    }
    Ok(())
}

#[test]
fn a_photo_from_another_site_is_refused() -> Done {
    let server = Server::start()?;
    let headers = [("sec-fetch-site", "cross-site"), ("content-type", "image/jpeg")];
    let answer = server.post_to("/api/v1/photos", "\u{7f}", &headers)?;
    assert_eq!(answer.status, 403);
    Ok(())
}

/// An event of the device's next number.
fn event(device: &mut Device, kind: &str, body: Value) -> Value {
    let mut event = device.event();
    event["kind"] = json!(kind);
    event["body"] = body;
    event
}

/// A kiln, a shelf, and a photo of it by this name.
fn photographed(device: &mut Device, name: &str) -> Vec<Value> {
    let id = |n: u32| format!("00000000-0000-7000-8000-{n:012x}");
    let kiln = json!({ "kiln": id(1), "name": "Heron", "fuel": "gas", "usual_cone": "10" });
    let shelf = json!({
        "shelf": id(2), "code": "F01", "material": "cordierite",
        "outline": { "shape": "rectangle", "length_nm": 600_000_000, "width_nm": 300_000_000 },
        "thickness_nm": 19_000_000, "firings_before": 0, "kiln": id(1), "place": "",
    });
    let photo = json!({
        "piece": { "shelf": id(2) }, "sha256": name, "media": "image/png",
        "width": 390, "height": 844, "bytes": 40_000, "note": "crack",
    });
    vec![
        event(device, "kiln_added", kiln),
        event(device, "shelf_added", shelf),
        event(device, "photo_taken", photo),
    ]
}

#[test]
fn verify_says_which_photo_is_missing_or_damaged() -> Done {
    let mut server = Server::start()?;
    let png = picture()?;
    let name = hash(&png);
    let mut device = Device::new(1);
    let answer = server.post(&json!(photographed(&mut device, &name)))?;
    assert_eq!(answer.statuses(), ["stored", "stored", "stored"], "{answer:?}");
    let card = server.get("/shelf/F01")?.body.to_string();
    assert!(card.contains(&format!("/photos/{name}")) && card.contains("loading"), "the card shows it");
    assert!(card.contains("crack"), "in words too");
    let folder = server.folder().to_owned();
    server.signal("TERM")?;
    let missing = run_on(&folder, &["verify"])?;
    assert!(!missing.status.success());
    assert!(
        out(&missing).contains(&format!("photos/{name} (F01: photo (crack)) is not there")),
        "{missing:?}"
    );
    std::fs::create_dir_all(folder.join("photos"))?;
    std::fs::write(folder.join("photos").join(&name), b"something else")?;
    let damaged = run_on(&folder, &["verify"])?;
    assert!(!damaged.status.success() && out(&damaged).contains("does not hold"), "{damaged:?}");
    std::fs::write(folder.join("photos").join(&name), &png)?;
    let fine = run_on(&folder, &["verify"])?;
    assert!(fine.status.success() && out(&fine).contains("all 1 photos are there"), "{fine:?}");
    Ok(())
}

#[test]
fn an_entry_that_names_no_photo_is_refused() -> Done {
    let server = Server::start()?;
    let mut device = Device::new(1);
    let mut events = photographed(&mut device, &"A".repeat(64));
    assert_eq!(server.post(&json!(events))?.statuses(), ["stored", "stored", "refused"]);
    events = photographed(&mut device, &"a".repeat(64));
    events[2]["body"]["bytes"] = json!(1_500_001);
    assert_eq!(server.post(&json!([events[2]]))?.statuses(), ["refused"]);
    Ok(())
}
