//! What pages share: fields, marks, lists, the bar, the banner.

pub mod aloud;
pub mod banner;
pub mod caution;
pub mod chart;
pub mod comb;
pub mod field;
pub mod figure;
pub mod findings;
pub mod form;
pub mod found;
pub mod jobs;
pub mod keypad;
pub mod mark;
pub mod nav;
pub mod photos;
pub mod plan;
pub mod rows;
pub mod wash;
