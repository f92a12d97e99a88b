//! Reads a form field by field and collects every problem on the way.
use super::quantity::{self, Feelers};
use super::{FormValues, Problem};
use crate::code::Code;
use crate::cone_name::ConeName;
use crate::event::values::{Choice, Typed};
use crate::units::Length;
use crate::view::text::LengthUnit;
use jiff::civil::Date;

/// Reads fields; a value that is wrong is noted and a stand-in returned, so that all problems show at
/// once. [`Reader::finish`] gives the result only when there were none.
pub struct Reader<'a> {
    values: &'a FormValues,
    unit: LengthUnit,
    feelers: Feelers,
    problems: Vec<Problem>,
}

/// The bounds of a length: refused outside `least..=most`, asked about outside `usual`.
#[derive(Clone, Copy)]
pub struct Bounds {
    /// Refused under this, in millimetres.
    pub least_mm: f64,
    /// Refused over this.
    pub most_mm: f64,
    /// Asked about outside this range.
    pub usual_mm: (f64, f64),
}

impl<'a> Reader<'a> {
    /// Starts reading.
    #[must_use]
    pub fn new(values: &'a FormValues, unit: LengthUnit, feelers: Feelers) -> Self {
        Self { values, unit, feelers, problems: Vec::new() }
    }

    /// Notes a problem.
    pub fn problem(&mut self, field: &str, cause: impl Into<String>) {
        self.problems.push(Problem::new(field, cause));
    }

    /// Asks about a value unless the form's `confirm_FIELD` repeats it.
    pub fn ask(&mut self, field: &str, cause: impl Into<String>) {
        // Word by word: a browser may change the line breaks of a field of several lines.
        let confirmed = self.values.get(&format!("confirm_{field}"));
        let is_same = confirmed.split_whitespace().eq(self.values.get(field).split_whitespace());
        if confirmed.trim().is_empty() || !is_same {
            self.problems.push(Problem::ask(field, cause));
        }
    }

    /// A field's text, trimmed.
    #[must_use]
    pub fn text(&self, field: &str) -> &'a str {
        self.values.get(field).trim()
    }

    /// A field's text, which must not be empty.
    pub fn needed_text(&mut self, field: &str, wanted: &str) -> String {
        let text = self.text(field).to_owned();
        if text.is_empty() {
            self.problem(field, wanted);
        }
        text
    }

    /// Whether a box is ticked.
    #[must_use]
    pub fn ticked(&self, field: &str) -> bool {
        !self.values.get(field).is_empty()
    }

    /// Every value of a field.
    #[must_use]
    pub fn all(&self, field: &str) -> &'a [String] {
        self.values.all(field)
    }

    /// One of a closed list; `None` and a problem where it is none of them.
    pub fn choice<T: Choice>(&mut self, field: &str) -> Option<T> {
        let key = self.text(field);
        let found = T::all().iter().copied().find(|member| member.key() == key);
        if found.is_none() {
            self.problem(field, "choose one");
        }
        found
    }

    /// A length within bounds.
    pub fn length(&mut self, field: &str, bounds: Bounds) -> Option<Typed> {
        let text = self.text(field).to_owned();
        match quantity::read_length(&text, self.unit, &self.feelers) {
            Ok(nm) => self.within(field, nm, bounds).then_some(Typed { nm, text }),
            Err(cause) => {
                self.problem(field, cause);
                None
            }
        }
    }

    /// A length that may be left empty.
    pub fn optional_length(&mut self, field: &str, bounds: Bounds) -> Option<Typed> {
        if self.text(field).is_empty() { None } else { self.length(field, bounds) }
    }

    fn within(&mut self, field: &str, nm: Length, bounds: Bounds) -> bool {
        let mm = nm.mm();
        let shown = crate::view::text::length(nm, self.unit);
        let show = |mm: f64| crate::view::text::length(Length::from_mm(mm), self.unit);
        if mm < bounds.least_mm || mm > bounds.most_mm {
            let (least, most) = (show(bounds.least_mm), show(bounds.most_mm));
            self.problem(field, format!("{shown} cannot be; give {least} to {most}"));
            return false;
        }
        if mm < bounds.usual_mm.0 || mm > bounds.usual_mm.1 {
            self.ask(field, format!("{shown} is unusual; tick the box if it is right"));
        }
        true
    }

    /// A whole number within a range.
    pub fn count(&mut self, field: &str, least: u32, most: u32) -> Option<u32> {
        match quantity::read_count(self.text(field), most) {
            Ok(count) if count >= least => Some(count),
            Ok(count) => {
                self.problem(field, format!("{count} is too few; give {least} to {most}"));
                None
            }
            Err(cause) => {
                self.problem(field, cause);
                None
            }
        }
    }

    /// A whole number that may be left empty.
    pub fn optional_count(&mut self, field: &str, most: u32) -> Option<u32> {
        if self.text(field).is_empty() { None } else { self.count(field, 0, most) }
    }

    /// A price that may be left empty, in hundredths.
    pub fn optional_cents(&mut self, field: &str) -> Option<i64> {
        let text = self.text(field);
        if text.is_empty() {
            return None;
        }
        quantity::read_cents(text).map_err(|cause| self.problem(field, cause)).ok()
    }

    /// A day, as the browser's date field gives it.
    pub fn date(&mut self, field: &str) -> Option<Date> {
        let text = self.text(field);
        match text.parse::<Date>() {
            Ok(date) => Some(date),
            Err(_) => {
                self.problem(field, format!("{text:?} is not a date; type it as 2026-03-31"));
                None
            }
        }
    }

    /// A day that may be left empty.
    pub fn optional_date(&mut self, field: &str) -> Option<Date> {
        if self.text(field).is_empty() { None } else { self.date(field) }
    }

    /// A cone.
    pub fn cone(&mut self, field: &str) -> Option<ConeName> {
        ConeName::read(self.text(field)).map_err(|cause| self.problem(field, cause.to_string())).ok()
    }

    /// A code.
    pub fn code(&mut self, field: &str) -> Option<Code> {
        Code::read(self.text(field)).map_err(|cause| self.problem(field, cause.to_string())).ok()
    }

    /// The result where there was no problem; every problem otherwise. A missing value without a problem
    /// is reported as a problem of the form, never passed over.
    ///
    /// # Errors   Every problem noted.
    pub fn finish<T>(mut self, value: Option<T>) -> Result<T, Vec<Problem>> {
        match value {
            Some(value) if self.problems.is_empty() => Ok(value),
            Some(_) => Err(self.problems),
            None => {
                if self.problems.is_empty() {
                    self.problem("do", "something is missing in this form; open the page again");
                }
                Err(self.problems)
            }
        }
    }
}
