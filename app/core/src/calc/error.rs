//! The one error of all calculations: a field's path, its value, and what is wanted instead.
//!
//! What this does not do: carry more than one problem. The first one found, in the order of the input,
//! is reported.
use thiserror::Error;

/// Why a calculation was refused. Its text is one line, meant for stderr.
#[derive(Clone, PartialEq, Eq, Debug, Error)]
pub enum CalcError {
    /// No calculation of this name.
    #[error("KIND: {kind} is not a calculation; give one of {known}")]
    UnknownKind {
        /// What was asked for.
        kind: String,
        /// The names there are.
        known: String,
    },
    /// The text is not JSON, or holds a number that no double can.
    #[error("{path}: {value} cannot be read as JSON (line {line}, column {column}); give {want}")]
    NotJson {
        /// Where in the object, as far as it could be read.
        path: String,
        /// The text at that place, shortened.
        value: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What to give instead.
        want: &'static str,
    },
    /// A field that must be there is not.
    #[error("{path}: missing; give {want}")]
    Missing {
        /// The field's path.
        path: String,
        /// What to give.
        want: String,
    },
    /// A field that this calculation does not know.
    #[error("{path}: not a known field; give {known}")]
    UnknownField {
        /// The field's path.
        path: String,
        /// The fields that may stand there.
        known: String,
    },
    /// A value of the wrong type or outside its range.
    #[error("{path}: {value} is not {noun}; give {want}")]
    Value {
        /// The field's path.
        path: String,
        /// The value as given, shortened.
        value: String,
        /// What it should have been ("a height").
        noun: String,
        /// What to give instead ("a length above 0").
        want: String,
    },
    /// Values that are each in order but cannot stand together.
    #[error("{path}: {cause}; give {want}")]
    Together {
        /// The path of the field or list that is at fault.
        path: String,
        /// What is wrong.
        cause: String,
        /// What to give instead.
        want: String,
    },
    /// The answer has no finite value: the input is far outside what the calculation is for.
    #[error("{field}: comes out as no finite number; give values of an ordinary size")]
    NotFinite {
        /// The field of the answer.
        field: &'static str,
    },
}

impl CalcError {
    /// Values that are each in order but cannot stand together.
    #[must_use]
    pub fn together(path: impl Into<String>, cause: impl Into<String>, want: impl Into<String>) -> Self {
        Self::Together { path: path.into(), cause: cause.into(), want: want.into() }
    }
}
