//! What pages share: fields, marks, lists, the bar, the banner.

pub mod banner;
pub mod field;
pub mod form;
pub mod mark;
pub mod nav;
pub mod rows;
