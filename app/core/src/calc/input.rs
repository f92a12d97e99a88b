//! A reader over parsed JSON that knows where it is, so that every refusal names the field.
//!
//! What this does not do: guess. A number in quotes, an unknown field, a list that is too long: refused.
//!
//! Start reading at [`Node`]; a [`Quantity`] says what a number may be.
use super::CalcError;
use serde_json::{Map, Value};
use serde_path_to_error::Segment;

/// What a number may be: its name, what to give instead, and its bounds.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    /// With its article: "a height".
    pub noun: &'static str,
    /// What to give: "a length above 0".
    pub want: &'static str,
    /// Least value allowed.
    pub low: f64,
    /// Greatest value allowed.
    pub high: f64,
    /// Whether `low` itself is refused.
    pub above_low: bool,
}

/// House choice: 100 m. A co-ordinate or length beyond it is a slip of the unit, and with a reading of
/// 1e-9 mm it would leave a double without digits (1e5 mm / 2^53 = 1e-11 mm).
pub const FAR_MM: f64 = 1e5;
/// House choice: 100 t, more than any kiln car carries.
pub const HEAVY_KG: f64 = 1e5;

impl Quantity {
    /// A number of any sign whose size is at most `high`.
    #[must_use]
    pub const fn within(noun: &'static str, want: &'static str, high: f64) -> Self {
        Self { noun, want, low: -high, high, above_low: false }
    }
    /// A number above 0 and at most `high`.
    #[must_use]
    pub const fn above_zero(noun: &'static str, want: &'static str, high: f64) -> Self {
        Self { noun, want, low: 0.0, high, above_low: true }
    }
    /// A number from 0 to `high`.
    #[must_use]
    pub const fn from_zero(noun: &'static str, want: &'static str, high: f64) -> Self {
        Self { noun, want, low: 0.0, high, above_low: false }
    }
    /// Whether a number lies within.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        value <= self.high && if self.above_low { value > self.low } else { value >= self.low }
    }
}

/// A position of any sign.
pub const POSITION: Quantity =
    Quantity::within("a position", "millimetres between -100000 and 100000", FAR_MM);
/// A reading of any sign: a height above or a depth below some datum.
pub const READING: Quantity = Quantity::within("a reading", "millimetres between -100000 and 100000", FAR_MM);
/// A height above 0.
pub const HEIGHT: Quantity = Quantity::above_zero("a height", "a length above 0", FAR_MM);
/// A length above 0.
pub const LENGTH: Quantity = Quantity::above_zero("a length", "a length above 0", FAR_MM);
/// A mass from 0.
pub const MASS: Quantity = Quantity::from_zero("a mass", "kilograms from 0 to 100000", HEAVY_KG);
/// The mass of something that must have one.
pub const OWN_MASS: Quantity = Quantity::above_zero("a mass", "kilograms above 0", HEAVY_KG);
/// A standard uncertainty of a length, from 0.
pub const UNCERTAINTY: Quantity =
    Quantity::from_zero("a standard uncertainty", "millimetres from 0 to 100000", FAR_MM);

/// Parses the input text; a number is read to the nearest double.
///
/// # Errors
/// [`CalcError::NotJson`] with the place reached.
pub fn parse(text: &str) -> Result<Value, CalcError> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|err| {
        let path = known_path(err.path());
        not_json(text, path, err.inner())
    })?;
    reader.end().map_err(|err| not_json(text, String::new(), &err))?;
    Ok(value)
}

/// The path as far as it could be read: a field whose name cannot be read has none.
fn known_path(path: &serde_path_to_error::Path) -> String {
    let mut known = String::new();
    for segment in path {
        match segment {
            Segment::Seq { index } => known.push_str(&format!("[{index}]")),
            Segment::Map { key } | Segment::Enum { variant: key } => {
                if !known.is_empty() {
                    known.push('.');
                }
                known.push_str(&named(key));
            }
            Segment::Unknown => break,
        }
    }
    shorten(&known)
}

/// A field's name; in quotes where it is nothing like one, so that the line can still be read.
fn named(key: &str) -> String {
    let plain = !key.is_empty() && key.chars().all(|c| c.is_alphanumeric() || c == '_');
    if plain { key.to_owned() } else { format!("{key:?}") }
}

fn not_json(text: &str, path: String, err: &serde_json::Error) -> CalcError {
    let value = match err.classify() {
        serde_json::error::Category::Eof => "the end of the text".to_owned(),
        _ => token_at(text, err.line(), err.column()),
    };
    let path = if path.is_empty() { "input".to_owned() } else { path };
    let want = if path == "input" { "one JSON object" } else { "a finite number or what --help shows there" };
    CalcError::NotJson { path, value, line: err.line(), column: err.column(), want }
}

/// The run of characters around a place that JSON would not divide ("NaN", "1e999", "0,5" up to its comma).
fn token_at(text: &str, line: usize, column: usize) -> String {
    let row = text.lines().nth(line.saturating_sub(1)).unwrap_or_default();
    let at = row.len().min(column.saturating_sub(1));
    let ends = |byte: &u8| b"{}[],:\" \t".contains(byte);
    let bytes = row.as_bytes();
    let from = bytes.iter().take(at).rposition(ends).map_or(0, |i| i + 1);
    let to = bytes.iter().skip(at).position(ends).map_or(row.len(), |i| at + i);
    let token = shorten(row.get(from..to).unwrap_or_default());
    if token.trim().is_empty() {
        // Escaped: a control character must not reach the terminal.
        format!("{:?}", row.get(at..).map_or("", |s| s.get(..1).unwrap_or("")))
    } else {
        token.trim().to_owned()
    }
}

#[derive(Clone, Copy, Debug)]
enum Step<'a> {
    Root,
    Field(&'a str),
    Index(usize),
}

/// A JSON value and the way to it.
#[derive(Clone, Copy, Debug)]
pub struct Node<'a> {
    parent: Option<&'a Node<'a>>,
    step: Step<'a>,
    value: &'a Value,
}

impl<'a> Node<'a> {
    /// The whole input.
    #[must_use]
    pub fn root(value: &'a Value) -> Self {
        Self { parent: None, step: Step::Root, value }
    }

    /// Where this stands, such as `posts[2].height_mm`; `input` for the whole.
    #[must_use]
    pub fn path(&self) -> String {
        let own = self.raw_path();
        if own.is_empty() { "input".to_owned() } else { own }
    }

    fn raw_path(&self) -> String {
        let mut path = self.parent.map_or_else(String::new, Node::raw_path);
        match self.step {
            Step::Root => {}
            Step::Field(name) => {
                if !path.is_empty() {
                    path.push('.');
                }
                // A name that could be read as something else stands in quotes: `": gis"`.
                let plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_-".contains(c));
                path.push_str(&if plain { name.to_owned() } else { format!("{name:?}") });
            }
            Step::Index(i) => path.push_str(&format!("[{i}]")),
        }
        path
    }

    /// A refusal of this value: `noun` is what it should have been, with its article.
    #[must_use]
    pub fn refuse(&self, noun: &str, want: &str) -> CalcError {
        CalcError::Value {
            path: self.path(),
            value: shown(self.value),
            noun: noun.to_owned(),
            want: want.to_owned(),
        }
    }

    /// A refusal of how this value goes with others.
    #[must_use]
    pub fn cannot(&self, cause: impl Into<String>, want: impl Into<String>) -> CalcError {
        CalcError::together(self.path(), cause, want)
    }

    /// This value as an object that holds no field but `known`.
    ///
    /// # Errors
    /// [`CalcError::Value`] when it is no object, [`CalcError::UnknownField`] for the first field not in `known`.
    pub fn object(&'a self, known: &[&str]) -> Result<Object<'a>, CalcError> {
        let fields = self
            .value
            .as_object()
            .ok_or_else(|| self.refuse("an object", &format!("an object with {}", known.join(", "))))?;
        if let Some((name, value)) = fields.iter().find(|(name, _)| !known.contains(&name.as_str())) {
            let field = Node { parent: Some(self), step: Step::Field(name), value };
            return Err(CalcError::UnknownField { path: shorten(&field.path()), known: known.join(", ") });
        }
        Ok(Object { node: self, fields })
    }

    /// This value as a number that `quantity` allows.
    ///
    /// # Errors
    /// [`CalcError::Value`].
    pub fn number(&self, quantity: &Quantity) -> Result<f64, CalcError> {
        let value = self.value.as_f64();
        if let Some(value) = value.filter(|value| quantity.holds(*value)) {
            return Ok(value + 0.0); // -0 reads as 0
        }
        let Quantity { noun, want, high, .. } = *quantity;
        if value.is_some_and(|value| value > high) && !want.contains(" to ") && !want.contains(" and ") {
            return Err(self.refuse(noun, &format!("{want}, at most {high}")));
        }
        Err(self.refuse(noun, want))
    }

    /// This value as a whole number from `low` to `high`.
    ///
    /// # Errors
    /// [`CalcError::Value`].
    pub fn whole(&self, noun: &str, low: u32, high: u32) -> Result<u32, CalcError> {
        let value =
            self.value.as_f64().filter(|v| *v >= f64::from(low) && *v <= f64::from(high) && v.fract() == 0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole and between two u32"
        )]
        value
            .map(|v| v as u32)
            .ok_or_else(|| self.refuse(noun, &format!("a whole number from {low} to {high}")))
    }

    /// This value as text of 1 to `longest` characters.
    ///
    /// # Errors
    /// [`CalcError::Value`].
    pub fn text(&self, noun: &str, longest: usize) -> Result<&'a str, CalcError> {
        self.value
            .as_str()
            .filter(|text| !text.is_empty() && text.chars().count() <= longest)
            .ok_or_else(|| self.refuse(noun, &format!("text of 1 to {longest} characters")))
    }

    /// This value as one of a few words.
    ///
    /// # Errors
    /// [`CalcError::Value`] with the words there are.
    pub fn word(&self, noun: &str, words: &[&'static str]) -> Result<&'static str, CalcError> {
        let text = self.value.as_str().unwrap_or_default();
        let found = words.iter().find(|word| **word == text);
        found.copied().ok_or_else(|| self.refuse(noun, &format!("one of {}", words.join(", "))))
    }

    /// This value as true or false.
    ///
    /// # Errors
    /// [`CalcError::Value`].
    pub fn boolean(&self) -> Result<bool, CalcError> {
        self.value.as_bool().ok_or_else(|| self.refuse("true or false", "true or false"))
    }

    /// This value as a list of `low` to `high` members.
    ///
    /// # Errors
    /// [`CalcError::Value`] when it is no list or has another length.
    pub fn list(&'a self, noun: &str, low: usize, high: usize) -> Result<List<'a>, CalcError> {
        let want = if low == high { format!("{low} of them") } else { format!("{low} to {high} of them") };
        let members =
            self.value.as_array().ok_or_else(|| self.refuse(&format!("a list of {noun}"), &want))?;
        if members.len() < low || members.len() > high {
            return Err(self.cannot(format!("{} is not the number of {noun} wanted", members.len()), want));
        }
        Ok(List { node: self, members })
    }
}

/// A list and the way to it.
#[derive(Clone, Copy, Debug)]
pub struct List<'a> {
    node: &'a Node<'a>,
    members: &'a [Value],
}

impl<'a> List<'a> {
    /// How many members.
    #[must_use]
    pub fn len(&self) -> usize {
        self.members.len()
    }
    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.members.is_empty()
    }
    /// Reads every member in order; the first refusal ends it.
    ///
    /// # Errors
    /// The reader's own.
    pub fn read<T>(
        &self,
        mut reader: impl FnMut(&Node<'_>) -> Result<T, CalcError>,
    ) -> Result<Vec<T>, CalcError> {
        let step = |(i, value)| reader(&Node { parent: Some(self.node), step: Step::Index(i), value });
        self.members.iter().enumerate().map(step).collect()
    }
}

/// An object whose fields are all known, and the way to it.
#[derive(Clone, Copy, Debug)]
pub struct Object<'a> {
    node: &'a Node<'a>,
    fields: &'a Map<String, Value>,
}

impl<'a> Object<'a> {
    /// The field `name`, which must be there; `want` says what to give where it is not.
    ///
    /// # Errors
    /// [`CalcError::Missing`].
    pub fn field(&self, name: &'a str, want: &str) -> Result<Node<'a>, CalcError> {
        let node = |value| Node { parent: Some(self.node), step: Step::Field(name), value };
        self.fields
            .get(name)
            .map(node)
            .ok_or_else(|| CalcError::Missing { path: node(&Value::Null).path(), want: want.to_owned() })
    }

    /// The field `name`, or nothing where it is missing or null.
    #[must_use]
    pub fn optional(&self, name: &'a str) -> Option<Node<'a>> {
        let value = self.fields.get(name).filter(|value| !value.is_null())?;
        Some(Node { parent: Some(self.node), step: Step::Field(name), value })
    }

    /// The number `name`, which must be there.
    ///
    /// # Errors
    /// [`CalcError::Missing`] or [`CalcError::Value`].
    pub fn number(&self, name: &'a str, quantity: &Quantity) -> Result<f64, CalcError> {
        self.field(name, quantity.want)?.number(quantity)
    }

    /// The number `name`, or nothing where it is missing or null.
    ///
    /// # Errors
    /// [`CalcError::Value`].
    pub fn optional_number(&self, name: &'a str, quantity: &Quantity) -> Result<Option<f64>, CalcError> {
        self.optional(name).map(|node| node.number(quantity)).transpose()
    }
}

/// House choice: enough of a value to recognise it, and one line of stderr stays one line.
const LONGEST_SHOWN: usize = 60;

fn shown(value: &Value) -> String {
    match value {
        Value::Array(members) => format!("a list of {}", members.len()),
        Value::Object(_) => "an object".to_owned(),
        simple => shorten(&simple.to_string()),
    }
}

fn shorten(text: &str) -> String {
    let clean = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    if text.chars().count() <= LONGEST_SHOWN {
        return clean.collect();
    }
    clean.take(LONGEST_SHOWN).chain("…".chars()).collect()
}
