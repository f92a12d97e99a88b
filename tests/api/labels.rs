//! Labels through the real binary: the form, the sheet, the PDF, and what each printed symbol leads to.
//!
//! The PDF is read back by libraries that know nothing of this project: poppler draws it at 200 dpi, zxing-cpp
//! decodes the symbols. That part runs where TRIPOISE_ORACLES=1 is set, as `cargo xtask test` does.
use crate::harness::{Device, Done, Server};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::error::Error;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");
const ADDRESS: &str = "https%3A%2F%2Ftripoise.local%3A7443";
/// More than one event and more than one sheet hold.
const SHELVES: usize = 500;

/// A studio of so many shelves.
fn studio(server: &Server, n: usize) -> Done {
    let mut device = Device::new(7);
    let kiln = "00000000-0000-0000-0000-0000000000aa";
    let mut events = vec![device.event()];
    events[0]["kind"] = json!("kiln_added");
    events[0]["body"] = json!({"kiln": kiln, "name": "Heron", "fuel": "gas", "usual_cone": "10"});
    for n in 1..=n {
        let mut event = device.event();
        event["kind"] = json!("shelf_added");
        event["body"] = json!({
            "shelf": format!("00000000-0000-0000-0001-{n:012}"), "code": format!("F{n:02}"),
            "material": "nitride_slit_sic", "outline": {"shape": "rectangle", "length_nm": 600_000_000_i64, "width_nm": 300_000_000_i64},
            "thickness_nm": 11_500_000, "price_cents": null, "bought_on": null, "firings_before": 0,
            "kiln": kiln, "place": format!("rack {}", n / 100), "graded": null
        });
        events.push(event);
    }
    for part in events.chunks(200) {
        let answer = server.post(&Value::Array(part.to_vec()))?;
        assert!(answer.statuses().iter().all(|status| *status == "stored"), "{answer:?}");
    }
    Ok(())
}

fn make(server: &Server, grid: &str, skip: usize) -> Result<String, Box<dyn Error>> {
    let grid = grid.replace(' ', "+");
    let body = format!(
        "do=labels&which=all&kinds=shelf&name=Kestrel+Yard&address={ADDRESS}&grid={grid}&skip={skip}"
    );
    let origin = server.url.clone();
    let answer = server.post_to("/labels", &body, &[FORM, ("origin", &origin)])?;
    assert_eq!(answer.status, 303, "{answer:?}");
    let next = answer.header("location").ok_or("nowhere to go")?;
    Ok(next.split('?').next().unwrap_or_default().to_owned())
}

/// Page, middle in millimetres from the left and upper edge, and text of a symbol.
type Seen = (usize, f64, f64, String);

/// Each symbol of the PDF.
fn read_back(pdf: &[u8]) -> Result<Vec<Seen>, Box<dyn Error>> {
    let mut file = tempfile::NamedTempFile::new()?;
    file.write_all(pdf)?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut command = Command::new("python3");
    command.arg(root.join("tests/oracle/labels.py")).arg("--venv").arg(root.join("target/oracle"));
    let output = command.arg(file.path()).output()?;
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let line = |line: &str| -> Result<_, Box<dyn Error>> {
        let parts: Vec<&str> = line.splitn(4, ' ').collect();
        let [page, x, y, text] = parts[..] else { return Err(format!("no symbol: {line}").into()) };
        Ok((page.parse()?, x.parse()?, y.parse()?, text.to_owned()))
    };
    String::from_utf8(output.stdout)?.lines().map(line).collect()
}

#[test]
fn five_hundred_labels_are_printed_and_each_leads_to_its_shelf() -> Done {
    let server = Server::start()?;
    studio(&server, SHELVES)?;
    let sheet = make(&server, "A4 of 40", 3)?;
    let page = server.get(&sheet)?;
    assert_eq!(page.status, 200);
    let id = sheet.rsplit('/').next().unwrap_or_default();
    let (kind, pdf) = server.file(&format!("/labels/pdf/{id}"))?;
    assert_eq!((kind.as_str(), pdf.get(..5)), ("application/pdf", Some(&b"%PDF-"[..])));
    assert_eq!(server.get("/labels/pdf/00000000-0000-0000-0000-000000000000")?.status, 404);
    if std::env::var_os("TRIPOISE_ORACLES").is_none_or(|value| value != "1") {
        println!("the PDF was not read back: set TRIPOISE_ORACLES=1");
        return Ok(());
    }
    let symbols = read_back(&pdf)?;
    let texts: BTreeSet<&str> = symbols.iter().map(|(_, _, _, text)| text.as_str()).collect();
    assert_eq!((symbols.len(), texts.len()), (SHELVES, SHELVES));
    // In the order of the sheet: by page, row, column. 40 a sheet of 4 columns, the first three left empty.
    let mut ordered = symbols.clone();
    let row = |y: f64| (y / 29.7).floor();
    ordered.sort_by(|a, b| {
        (a.0, row(a.2))
            .partial_cmp(&(b.0, row(b.2)))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then(a.1.total_cmp(&b.1))
    });
    for (n, (page, x, _, text)) in ordered.iter().enumerate() {
        let at = n + 3;
        assert_eq!((*page, (x / 52.5).floor() as usize), (at / 40, at % 4), "{text}");
        let path = text.strip_prefix("HTTPS://TRIPOISE.LOCAL:7443").ok_or("another address")?;
        // Every shelf's symbol in the first rows and a sample of the rest: each is a page to render.
        if n % 25 == 0 {
            let card = server.file(path)?.1;
            let title = format!("<h1>F{:02}<", n + 1);
            assert!(String::from_utf8(card)?.contains(&title), "{path} is not the card of {title}");
        }
    }
    Ok(())
}

#[test]
fn every_common_grid_prints_symbols_that_are_read_back() -> Done {
    if std::env::var_os("TRIPOISE_ORACLES").is_none_or(|value| value != "1") {
        println!("left out: set TRIPOISE_ORACLES=1 to read the PDFs back");
        return Ok(());
    }
    let server = Server::start()?;
    studio(&server, 12)?;
    for grid in ["A4 of 24", "A4 of 14", "A4 of 8", "A4 of 40", "Letter of 30", "Letter of 10"] {
        let sheet = make(&server, grid, 1)?;
        let id = sheet.rsplit('/').next().unwrap_or_default();
        let symbols = read_back(&server.file(&format!("/labels/pdf/{id}"))?.1)?;
        assert_eq!(symbols.len(), 12, "{grid}");
    }
    Ok(())
}
