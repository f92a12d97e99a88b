//! What every calculation must do whatever it is given: one JSON object or one line, never a panic, NaN, or
//! a number that is not one.
//!
//! What this does not do: check answers. It spoils the example of each help in every way it can think of.
use super::{KINDS, example, run};
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Map, Number, Value, json};

/// Any JSON, a few levels deep.
fn anything() -> impl Strategy<Value = Value> {
    let number = any::<f64>().prop_map(|x| Number::from_f64(x).map_or(Value::Null, Value::Number));
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::Bool),
        number,
        any::<i64>().prop_map(|i| json!(i)),
        ".{0,8}".prop_map(Value::String),
    ];
    leaf.prop_recursive(3, 24, 4, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..4).prop_map(Value::Array),
            proptest::collection::btree_map("[a-z_]{1,8}", inner, 0..4)
                .prop_map(|fields| Value::Object(fields.into_iter().collect::<Map<_, _>>())),
        ]
    })
}

/// What takes the place of a number: the edges of what doubles, and of what shelves, can be.
fn other_number() -> impl Strategy<Value = Value> {
    let edges = prop::sample::select(vec![
        0.0, -0.0, 1.0, -1.0, 0.5, 2.0, 3.0, 1e-300, -1e-300, 5e-324, 1e-12, 1e5, -1e5, 100_000.1, 1e16,
        1e300, -1e300, 0.1,
    ]);
    prop_oneof![edges.prop_map(|x| json!(x)), (-1e3..1e3).prop_map(|x: f64| json!(x)), anything()]
}

/// How many values there are in a value, itself among them.
fn size(value: &Value) -> usize {
    1 + match value {
        Value::Array(list) => list.iter().map(size).sum::<usize>(),
        Value::Object(fields) => fields.values().map(size).sum(),
        _ => 0,
    }
}

/// Puts `new` in the place of the value number `place`, counted as [`size`] does.
fn replace(value: &mut Value, place: &mut usize, new: &Value) {
    if *place == 0 {
        *value = new.clone();
    }
    *place = place.wrapping_sub(1);
    match value {
        _ if *place == usize::MAX => {}
        Value::Array(list) => list.iter_mut().for_each(|inner| replace(inner, place, new)),
        Value::Object(fields) => fields.values_mut().for_each(|inner| replace(inner, place, new)),
        _ => {}
    }
}

fn well_formed(kind: &str, input: &str) -> Result<(), TestCaseError> {
    match run(kind, input) {
        Ok(text) => {
            let parsed: Result<Value, _> = serde_json::from_str(&text);
            prop_assert!(parsed.is_ok_and(|answer| answer.is_object()), "{kind} {input}: {text}");
            prop_assert!(!text.contains('\n'));
        }
        Err(err) => {
            let line = err.to_string();
            prop_assert!(!line.is_empty() && !line.chars().any(char::is_control), "{kind} {input}: {line}");
            prop_assert!(line.contains("; give "), "{kind} {input}: {line}");
        }
    }
    Ok(())
}

fn kind_and_example() -> impl Strategy<Value = (&'static str, Value)> {
    let examples: Vec<_> = KINDS
        .iter()
        .filter_map(|kind| Some((kind.name, serde_json::from_str(example(kind.name)?).ok()?)))
        .collect();
    prop::sample::select(examples)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn any_text(kind in 0..KINDS.len(), text in ".{0,40}") {
        well_formed(KINDS[kind].name, &text)?;
    }

    #[test]
    fn any_json(kind in 0..KINDS.len(), value in anything()) {
        well_formed(KINDS[kind].name, &value.to_string())?;
    }

    #[test]
    fn an_example_with_values_replaced(
        (kind, example) in kind_and_example(),
        changes in proptest::collection::vec((any::<Index>(), other_number()), 1..4),
    ) {
        let mut input = example;
        for (place, new) in changes {
            let mut place = place.index(size(&input));
            replace(&mut input, &mut place, &new);
        }
        well_formed(kind, &input.to_string())?;
    }

    #[test]
    fn an_example_cut_short((kind, example) in kind_and_example(), end in any::<Index>()) {
        let text = example.to_string();
        let mut end = end.index(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        prop_assert!(run(kind, &text[..end]).is_err());
        well_formed(kind, &text[..end])?;
    }
}
