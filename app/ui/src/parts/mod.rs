//! What pages share: fields, marks, lists, the bar, the banner.

pub mod banner;
pub mod chart;
pub mod comb;
pub mod field;
pub mod figure;
pub mod findings;
pub mod form;
pub mod mark;
pub mod nav;
pub mod plan;
pub mod rows;
