//! A studio with as many events as a phone is meant to hold, as JSON Lines: 200 shelves, 1,000 posts, their sets and
//! labels, then years of measuring, grinding, washing and firing in the proportions of the demo.
//!
//! What this does not do: vary. The same events come out each time, so that two runs measure the same.
use anyhow::{Context as _, Result};
use serde_json::{Value, json};
use std::fmt::Write as _;
use tripoise_core::ids::{LabelId, StudioId};
use tripoise_core::label::Token;
use uuid::Uuid;

/// Events that the phone holds: what the budget of a tap speaks of.
pub const N_EVENTS: usize = 50_000;
/// Where the studio's labels lead.
const ADDRESS: &str = "https://tripoise.local:7443";

const N_SHELVES: usize = 200;
const N_POSTS: usize = 1_000;
/// Pieces in a firing, as in the demo: shelves, and posts under them.
const FIRED: (usize, usize) = (15, 45);
/// Milliseconds since 1970 of the first event: 1 January 2015.
const BEGIN_MS: u64 = 1_420_070_400_000;
/// Between two events: 50,000 of them fill eleven years.
const BETWEEN_MS: u64 = 2 * 3_600_000;

fn id(family: usize, n: usize) -> Uuid {
    Uuid::from_u128((0x7000 << 64) | (0x8 << 60) | ((family as u128) << 48) | n as u128)
}

fn kiln() -> Uuid {
    id(3, 1)
}

fn shelf(n: usize) -> Uuid {
    id(4, n % N_SHELVES)
}

fn post(n: usize) -> Uuid {
    id(5, n % N_POSTS)
}

/// The code on shelf `n`.
#[must_use]
pub fn shelf_code(n: usize) -> String {
    format!("F{:03}", n + 1)
}

/// What the label on shelf `n` says.
#[must_use]
pub fn shelf_label(n: usize) -> String {
    Token::new(LabelId(id(6, n)), StudioId(id(7, 1))).address(ADDRESS)
}

/// Lines one after another.
#[derive(Default)]
struct Book {
    lines: String,
    n: usize,
}

impl Book {
    fn write(&mut self, kind: &str, body: &Value) -> Result<()> {
        self.n += 1;
        let ms = BEGIN_MS + self.n as u64 * BETWEEN_MS;
        let at = jiff::Timestamp::from_millisecond(i64::try_from(ms)?)?;
        let record = json!({
            "id": id(1, self.n), "device": id(2, 1), "device_seq": self.n, "hlc": format!("{:016x}", ms << 16),
            "observed_at": at, "kind": kind, "schema": 1, "body": body,
        });
        writeln!(self.lines, "{record}")?;
        Ok(())
    }
}

/// The studio's events, [`N_EVENTS`] lines.
///
/// # Errors   When one cannot be written down.
pub fn events() -> Result<String> {
    let mut book = Book::default();
    furniture(&mut book)?;
    labels(&mut book)?;
    for n in 0.. {
        if book.n == N_EVENTS {
            break;
        }
        work(&mut book, n)?;
    }
    Ok(book.lines)
}

fn furniture(book: &mut Book) -> Result<()> {
    book.write(
        "kiln_added",
        &json!({ "kiln": kiln(), "name": "Plover", "fuel": "gas", "usual_cone": "10" }),
    )?;
    for n in 0..N_SHELVES {
        book.write(
            "shelf_added",
            &json!({
                "shelf": shelf(n), "code": shelf_code(n), "material": "cordierite", "firings_before": n % 40,
                "outline": { "shape": "rectangle", "length_nm": 600_000_000, "width_nm": 300_000_000 },
                "thickness_nm": 19_000_000, "kiln": kiln(), "place": format!("rack {}", n / 20 + 1),
            }),
        )?;
    }
    for n in 0..N_POSTS {
        book.write(
            "post_added",
            &json!({
                "post": post(n), "code": format!("P{:04}", n + 1), "material": "high_alumina", "nominal_nm": 150_000_000,
                "section": "square", "width_nm": 45_000_000, "firings_before": 0, "kiln": kiln(), "place": "",
            }),
        )?;
    }
    for n in 0..N_POSTS / 3 {
        let posts: Vec<Uuid> = (3 * n..3 * n + 3).map(post).collect();
        let code = format!("K{:03}", n + 1);
        book.write(
            "set_made",
            &json!({ "code": code, "posts": posts, "set": id(8, n), "inset_nm": 40_000_000 }),
        )?;
    }
    Ok(())
}

fn labels(book: &mut Book) -> Result<()> {
    let name = json!({ "studio": id(7, 1), "name": "Kestrel Yard", "address": ADDRESS });
    book.write("studio_named", &name)?;
    let grids = tripoise_core::label::common();
    let grid = grids.first().context("there is no grid for labels")?;
    let all: Vec<Value> =
        (0..N_SHELVES).map(|n| json!({ "label": id(6, n), "on": { "shelf": shelf(n) } })).collect();
    for (n, labels) in all.chunks(grid.per_sheet()).enumerate() {
        let sheet = json!({ "sheet": id(9, n), "skip": 0, "grid": grid, "labels": labels });
        book.write("labels_made", &sheet)?;
    }
    Ok(())
}

/// The `n`th entry of the years: of a hundred 45 posts and 22 shelves measured, 11 firings, 7 ground, 7 washed, 4 tapped, 4
/// notes.
fn work(book: &mut Book, n: usize) -> Result<()> {
    // 37 and 100 share no factor: a hundred in a row are every kind, well mixed.
    let worn_nm = (n / 400) * 1_000 + n % 7 * 10_000;
    match n * 37 % 100 {
        0..45 => {
            let height = 150_000_000 - worn_nm;
            let text = format!("{:.2}", height as f64 / 1e6);
            let height = json!({ "nm": height, "text": text });
            book.write("post_measured", &json!({ "post": post(n), "instrument": "caliper", "height": height }))
        }
        45..67 => book.write("shelf_measured", &reading(n, worn_nm)),
        67..78 => {
            let shelves = (0..FIRED.0).map(|at| json!({ "shelf": shelf(n * 11 + at) }));
            let pieces: Vec<Value> =
                shelves.chain((0..FIRED.1).map(|at| json!({ "post": post(n * 13 + at) }))).collect();
            book.write(
                "kiln_fired",
                &json!({
                    "firing": id(10, n), "kiln": kiln(), "cone": "10", "fired_on": "2025-03-01", "ware": "glaze",
                    "pieces": pieces,
                }),
            )
        }
        78..85 => book.write(
            "shelf_ground",
            &json!({
                "shelf": shelf(n), "face": "a", "method": "wet", "mask": "fitted", "minutes": 12, "removed_nm": 100_000,
            }),
        ),
        85..92 => {
            let recipe = "alumina hydrate 1, kaolin 1";
            book.write(
                "shelf_washed",
                &json!({ "shelf": shelf(n), "face": "a", "coats": 2, "recipe": recipe }),
            )
        }
        92..96 => book.write("shelf_tapped", &json!({ "shelf": shelf(n), "ring": "rings" })),
        _ => {
            let piece = json!({ "post": post(n) });
            book.write("note_added", &json!({ "piece": piece, "text": format!("chipped foot, seen {n}") }))
        }
    }
}

/// Three lines of a straightedge, read in their middles.
fn reading(n: usize, worn_nm: usize) -> Value {
    let at = |x: i64, y: i64| json!({ "x_nm": x * 1_000_000, "y_nm": y * 1_000_000 });
    let line = |name: &str, from: Value, to: Value, dip_nm: usize| {
        let text = format!("{:.2}", dip_nm as f64 / 1e6);
        let dips = json!([{ "at_permille": 500, "dip_nm": dip_nm, "text": text }]);
        json!({ "line": name, "from": from, "to": to, "dips": dips })
    };
    let lines = json!([
        line("diagonal_up", at(0, 0), at(600, 300), 200_000 + worn_nm),
        line("diagonal_down", at(0, 300), at(600, 0), 210_000 + worn_nm),
        line("long_centre", at(0, 150), at(600, 150), 190_000 + worn_nm),
    ]);
    let reading = json!({ "lines": { "against": "straightedge", "lines": lines } });
    json!({ "shelf": shelf(n), "face": "a", "bare": true, "instrument": "feeler", "reading": reading })
}
