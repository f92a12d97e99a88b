//! Journeys through the finished binary in Chromium, on a screen the size of a phone.
//!
//! Started by `cargo xtask test`, which says where the binary and the browser are. Each file is one part
//! of the work; each test is one journey and ends with [`browser_support::Phone::journey_end`].
mod at_the_bench;
mod bench_mode;
mod every_page;
mod film;
mod harness;
mod journeys;
mod labels_and_sets;
mod newer;
mod offline;
mod other_ways;
mod pairing;
mod phones;
mod photos;
mod plans;
mod scanning;
mod update;
