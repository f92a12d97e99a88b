//! The forms about labels: which to make, and a grid of the studio's table.
mod grid;
mod make;

use super::{FormValues, NewId, Problem, Submission, no_form};
use crate::view::Page;
use crate::view::labels::LabelsPage;

/// Reads one of them.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &LabelsPage,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    match data {
        LabelsPage::Choose(data) => make::read(page, data, values, new_id),
        LabelsPage::Grid(data) => grid::read(page, data, values),
        LabelsPage::Sheet(_) | LabelsPage::Grids(_) | LabelsPage::Marking(_) => Err(no_form(values)),
    }
}
