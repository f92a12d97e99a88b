//! What a studio's record is asked: posts to match, lives, trends, cones.
//!
//! What this does not do: tell a story; demo-data does.
use crate::chance::Chance;
use serde_json::{Value, json};

/// So many posts of one nominal height, 0.04 mm of spread a post up to 25 mm, as heights in millimetres.
#[must_use]
pub fn posts(n: usize, chance: &mut Chance) -> Vec<f64> {
    let spread = (0.04 * f64::from(u32::try_from(n).unwrap_or(u32::MAX))).min(25.0);
    (0..n).map(|_| 150.0 + ((spread * chance.between(0.0, 1.0)) * 100.0).round() / 100.0).collect()
}

pub(super) fn matching(chance: &mut Chance) -> Value {
    let n = chance.whole(1, 80);
    let heights = posts(n, chance);
    let posts: Vec<Value> = heights
        .iter()
        .enumerate()
        .map(|(i, height)| json!({"code": format!("P{i:02}"), "height_mm": height}))
        .collect();
    let mut question = json!({
        "posts": posts, "set_size": chance.whole(2, 5), "tolerance_mm": chance.typed(0.0, 1.0)
    });
    if chance.once_in(2) {
        question["dress_max_mm"] = json!(chance.typed(0.0, 0.8));
    }
    if chance.once_in(2) {
        question["u_height_mm"] = json!(chance.typed(0.0, 0.15));
        question["coverage"] = json!(chance.typed(1.0, 3.0));
    }
    question
}

/// So many pieces whose lives follow a Weibull law of shape 2 and scale 150 and are watched for 20 to 300
/// firings: the firings of each, and whether it was retired.
#[must_use]
pub fn pieces(n: usize, chance: &mut Chance) -> Vec<(f64, bool)> {
    let one = |chance: &mut Chance| {
        let (life, watched) =
            (150.0 * (-chance.between(1e-12, 1.0).ln()).sqrt(), chance.between(20.0, 300.0));
        (life.min(watched).ceil().max(1.0), life <= watched)
    };
    (0..n).map(|_| one(chance)).collect()
}

pub(super) fn life(chance: &mut Chance) -> Value {
    let n = chance.whole(4, 60);
    let pieces: Vec<Value> = pieces(n, chance)
        .into_iter()
        .map(|(firings, retired)| json!({"firings": firings, "retired": retired}))
        .collect();
    json!({"pieces": pieces, "next_firings": chance.whole(0, 40)})
}

pub(super) fn trend(chance: &mut Chance) -> Value {
    let (start, wear, rough) =
        (chance.typed(100.0, 200.0), chance.between(-0.05, 0.02), chance.between(0.0, 0.1));
    let n = chance.whole(3, 40);
    let mut firing = 0.0;
    let readings: Vec<Value> = (0..n)
        .map(|_| {
            firing += chance.one_of(&[1.0, 2.0, 5.0, 7.5], 1.0);
            let value = start + wear * firing + chance.between(-rough, rough);
            json!({"firing": firing, "value_mm": (value * 100.0).round() / 100.0})
        })
        .collect();
    json!({
        "readings": readings, "limit_mm": start - chance.typed(0.0, 3.0),
        "confidence": chance.one_of(&[0.5, 0.8, 0.9, 0.95, 0.99, 0.999], 0.95)
    })
}

pub(super) fn cone(chance: &mut Chance) -> Value {
    let cones = ["022", "018", "010", "06", "05", "04", "01", "1", "3", "5", "6", "8", "9", "10", "12", "14"];
    let mut question = json!({
        "cone": chance.one_of(&cones, "10"),
        "rate_c_per_h": chance.one_of(&[15.0, 60.0, 100.0, 108.0, 150.0, 27.5], 60.0)
    });
    if chance.once_in(3) {
        question["chart"] = json!("self-supporting");
    }
    question
}
