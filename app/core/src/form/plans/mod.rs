//! Reads the forms of plans: a new one, a layer of one, what is overruled, ticked off, given up.
//!
//! Every change saves the whole plan. What this does not do: refuse a plan that does not stand; its check says so.

pub mod fill;
pub mod layer;
mod new;
mod one;
mod propose;
mod sheet;
mod what_if;

use super::{FormValues, NewId, Problem, Submission, no_form};
use crate::view::Page;
use crate::view::plans::PlansPage;

/// One of the forms.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &PlansPage,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    match data {
        PlansPage::New(data) => new::read(page, data, values, new_id),
        PlansPage::One(data) => one::read(page, data, values),
        PlansPage::Layer(data) => layer::read(page, data, values),
        PlansPage::Sheet(data) => sheet::read(page, data, values),
        PlansPage::Propose(data) => propose::read(data, values),
        PlansPage::WhatIf(data) => what_if::read(data, values),
        PlansPage::List(_) => Err(no_form(values)),
    }
}

#[cfg(test)]
mod judged_tests;
#[cfg(test)]
mod tests;
