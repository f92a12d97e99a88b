//! Writes one JSON object with its fields in the order written, and refuses a number that is not finite.
//!
//! What this does not do: turn NaN into null. A null is written only where the caller asks for one.
use super::CalcError;
use serde_json::Number;
use std::fmt::Write as _;

/// A JSON object being written.
#[derive(Clone, Debug, Default)]
pub struct Output {
    text: String,
    not_finite: Option<&'static str>,
}

impl Output {
    /// An object without fields.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    fn name(&mut self, name: &'static str) {
        self.text.push(if self.text.is_empty() { '{' } else { ',' });
        self.push(format_args!("\"{name}\":"));
    }

    fn push(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing into a String cannot fail; were it ever to, the answer must not pass as whole.
        if self.text.write_fmt(text).is_err() {
            self.not_finite = Some("output");
        }
    }

    fn bare_number(&mut self, name: &'static str, value: f64) {
        match Number::from_f64(value + 0.0) {
            Some(number) => self.push(format_args!("{number}")),
            None => self.not_finite = self.not_finite.or(Some(name)),
        }
    }

    /// A number.
    pub fn number(&mut self, name: &'static str, value: f64) -> &mut Self {
        self.name(name);
        self.bare_number(name, value);
        self
    }

    /// A number, or null where there is none.
    pub fn number_or_null(&mut self, name: &'static str, value: Option<f64>) -> &mut Self {
        match value {
            Some(value) => self.number(name, value),
            None => self.null(name),
        }
    }

    /// A null.
    pub fn null(&mut self, name: &'static str) -> &mut Self {
        self.name(name);
        self.text.push_str("null");
        self
    }

    /// A count or an index.
    pub fn whole(&mut self, name: &'static str, value: usize) -> &mut Self {
        self.name(name);
        self.push(format_args!("{value}"));
        self
    }

    /// True or false.
    pub fn boolean(&mut self, name: &'static str, value: bool) -> &mut Self {
        self.name(name);
        self.push(format_args!("{value}"));
        self
    }

    /// Text.
    pub fn text(&mut self, name: &'static str, value: &str) -> &mut Self {
        self.name(name);
        self.bare_text(value);
        self
    }

    fn bare_text(&mut self, value: &str) {
        // Most texts are codes, with nothing to escape: a million of them need not each be copied twice.
        if value.bytes().all(|byte| byte >= b' ' && byte != b'"' && byte != b'\\') {
            self.text.extend(["\"", value, "\""]);
            return;
        }
        let quoted = serde_json::Value::from(value);
        self.push(format_args!("{quoted}"));
    }

    /// A list of numbers.
    pub fn numbers(&mut self, name: &'static str, values: &[f64]) -> &mut Self {
        self.list(name, values, |out, value| out.bare_number(name, *value))
    }

    /// A list of numbers with null where there is none.
    pub fn numbers_or_null(&mut self, name: &'static str, values: &[Option<f64>]) -> &mut Self {
        self.list(name, values, |out, value| match value {
            Some(value) => out.bare_number(name, *value),
            None => out.text.push_str("null"),
        })
    }

    /// A list of counts or indices.
    pub fn wholes(&mut self, name: &'static str, values: &[usize]) -> &mut Self {
        self.list(name, values, |out, value| out.push(format_args!("{value}")))
    }

    /// A list of texts.
    pub fn texts<T: AsRef<str>>(&mut self, name: &'static str, values: &[T]) -> &mut Self {
        self.list(name, values, |out, value| out.bare_text(value.as_ref()))
    }

    /// An object.
    pub fn object(&mut self, name: &'static str, fill: impl FnOnce(&mut Self)) -> &mut Self {
        self.name(name);
        self.inner(fill);
        self
    }

    /// A list of objects.
    pub fn objects<T>(
        &mut self,
        name: &'static str,
        values: &[T],
        fill: impl Fn(&mut Self, &T),
    ) -> &mut Self {
        self.list(name, values, |out, value| out.inner(|inner| fill(inner, value)))
    }

    fn inner(&mut self, fill: impl FnOnce(&mut Self)) {
        let mut inner = Self::new();
        fill(&mut inner);
        self.not_finite = self.not_finite.or(inner.not_finite);
        self.text.push_str(&inner.closed());
    }

    fn list<T>(
        &mut self,
        name: &'static str,
        values: &[T],
        mut write: impl FnMut(&mut Self, &T),
    ) -> &mut Self {
        self.name(name);
        self.text.push('[');
        for (i, value) in values.iter().enumerate() {
            if i > 0 {
                self.text.push(',');
            }
            write(self, value);
        }
        self.text.push(']');
        self
    }

    fn closed(mut self) -> String {
        if self.text.is_empty() {
            self.text.push('{');
        }
        self.text.push('}');
        self.text
    }

    /// The object as text.
    ///
    /// # Errors
    /// [`CalcError::NotFinite`] with the first field whose number was not finite.
    pub fn finish(self) -> Result<String, CalcError> {
        match self.not_finite {
            Some(field) => Err(CalcError::NotFinite { field }),
            None => Ok(self.closed()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writes_in_order_and_reads_back() {
        let mut out = Output::new();
        out.number("b", -0.0).number_or_null("a", None).wholes("list", &[1, 2]).texts("codes", &["P\"1"]);
        out.object("at", |at| {
            at.number("x_mm", 0.1).boolean("tips", true);
        });
        out.objects("none", &[] as &[f64], |_, _| {});
        let text =
            r#"{"b":0.0,"a":null,"list":[1,2],"codes":["P\"1"],"at":{"x_mm":0.1,"tips":true},"none":[]}"#;
        assert_eq!(out.finish(), Ok(text.to_owned()));
    }

    #[test]
    fn a_number_without_value_is_refused_wherever_it_stands() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut out = Output::new();
            out.objects("points", &[bad], |point, value| {
                point.number("z_mm", *value);
            });
            assert_eq!(out.finish(), Err(CalcError::NotFinite { field: "z_mm" }));
        }
    }
}
