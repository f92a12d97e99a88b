//! Tripoise's pure heart: units, events, the fold over them, geometry, views and forms.
//!
//! Nothing here can fail for outside reasons: no I/O, no clock, no randomness, no async, no leptos and
//! no `cfg(feature)`. Time, ids and the device's name arrive as arguments, so the server, the browser
//! and the tests run the same code on the same bytes and print the same digits.
//!
//! Start reading at [`record`] (what is stored), then [`event`] (what can happen), [`world`] (what it
//! adds up to), [`view`] (what a page shows) and [`form`] (what a person typed); [`sync`] is how phones
//! and server come to hold the same. [`geometry`] and [`calc`] stand alone.
#![warn(missing_docs)]

pub mod units;

pub mod ids;

pub mod code;
pub mod cone_name;
pub mod outline;
pub mod settings;

pub mod photo;
pub mod record;

pub mod event;

pub mod label;

pub mod world;

pub mod jobs;
pub mod sync;

pub mod judge;

pub mod view;

pub mod form;

pub mod geometry;

pub mod grouping;

pub mod planning;

pub mod cone;
pub mod life;
pub mod trend;

pub mod calc;

#[cfg(test)]
pub(crate) mod testing;
