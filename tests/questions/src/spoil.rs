//! Spoils a question: values replaced, left out, doubled or moved, text cut short.
//!
//! What this does not do: aim. Most of what it makes is refused, and some is not.
use crate::chance::Chance;
use serde_json::{Value, json};

/// What takes the place of a value: the edges of what doubles, and of what shelves, can be.
const EDGES: [f64; 20] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    0.5,
    2.0,
    3.0,
    1e-300,
    -1e-300,
    5e-324,
    1e-12,
    1e5,
    -1e5,
    100_000.1,
    1e16,
    1e300,
    -1e300,
    0.1,
    4_294_967_296.0,
    1e-9,
];

/// How many values there are in a value, itself among them.
#[must_use]
pub fn size(value: &Value) -> usize {
    1 + match value {
        Value::Array(list) => list.iter().map(size).sum::<usize>(),
        Value::Object(fields) => fields.values().map(size).sum(),
        _ => 0,
    }
}

/// The value number `place`, counted as [`size`] does.
pub fn at<'a>(value: &'a mut Value, place: &mut usize) -> Option<&'a mut Value> {
    if *place == 0 {
        return Some(value);
    }
    *place -= 1;
    match value {
        Value::Array(list) => list.iter_mut().find_map(|inner| at(inner, place)),
        Value::Object(fields) => fields.values_mut().find_map(|inner| at(inner, place)),
        _ => None,
    }
}

/// Changes one value somewhere.
pub fn once(question: &mut Value, chance: &mut Chance) {
    let mut place = chance.whole(0, size(question));
    let Some(found) = at(question, &mut place) else { return };
    match found {
        Value::Array(list) if !list.is_empty() && !chance.once_in(4) => {
            let which = chance.whole(0, list.len());
            let other = chance.whole(0, list.len());
            match chance.whole(0, 4) {
                0 => drop(list.remove(which)),
                1 => list.swap(which, other),
                2 => list.insert(other, list[which].clone()),
                _ => list[which] = list[other].clone(),
            }
        }
        Value::Object(fields) if !fields.is_empty() && !chance.once_in(4) => {
            let Some(name) = fields.keys().nth(chance.whole(0, fields.len())).cloned() else { return };
            let value = fields.remove(&name).unwrap_or_default();
            if chance.once_in(2) {
                fields.insert(format!("{name}s"), value);
            }
        }
        Value::Number(number) if !chance.once_in(3) => {
            let old = number.as_f64().unwrap_or(0.0);
            *found = json!(nudged(old, chance));
        }
        _ => *found = other(chance),
    }
}

/// A number near another, or as many times as large.
fn nudged(old: f64, chance: &mut Chance) -> f64 {
    let new = match chance.whole(0, 7) {
        0 => -old,
        1 => old * 1000.0,
        2 => old / 1000.0,
        3 => old.next_up(),
        4 => old.round(),
        5 => old + chance.typed(-1.0, 1.0),
        _ => old * chance.between(0.0, 2.0),
    };
    if new.is_finite() { new } else { old }
}

fn other(chance: &mut Chance) -> Value {
    match chance.whole(0, 8) {
        0 => Value::Null,
        1 => json!(chance.once_in(2)),
        2 => json!([]),
        3 => json!({}),
        4 => json!("P1"),
        5 => json!(chance.typed(-1000.0, 1000.0)),
        _ => json!(chance.one_of(&EDGES, 0.0)),
    }
}

/// The question as text, a few values spoiled, now and then cut short or with a stray character.
#[must_use]
pub fn spoiled(question: &Value, chance: &mut Chance) -> String {
    let mut question = question.clone();
    for _ in 0..chance.whole(1, 4) {
        once(&mut question, chance);
    }
    let text = question.to_string();
    if !chance.once_in(8) {
        return text;
    }
    let mut end = chance.whole(0, text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let rest = if chance.once_in(2) { &text[end..] } else { "" };
    format!("{}{}{rest}", &text[..end], chance.one_of(&["", "\n", "\"", "NaN", ",", "é", "1e999"], ""))
}
