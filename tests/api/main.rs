//! The server as a stranger sees it: the real binary on a temporary store, through HTTP, its command
//! line and signals only.
//!
//! What this does not do: look inside. Start reading at [`harness`].
mod harness;

mod cli;
mod crash;
mod feed;
mod guard;
mod labels;
mod lan;
mod photo_form;
mod photos;
mod plans;
mod stopping;
mod take;
