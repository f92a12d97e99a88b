//! Tripoise's server: keeps the store, takes events in, serves the pages.
//!
//! Start reading at [`doors`] (how it is reached), then [`access`] (who may come in), [`store`] (what is
//! kept and how), [`ledger`] (the world kept up to date), [`exchange`] (what devices send and get) and
//! [`routes`] (every URL). What `serve --lan` adds is [`network`]; the command line is [`cli`].

pub mod store;

pub mod ledger;

pub mod exchange;
pub mod state;

pub mod doors;
pub mod error;
pub mod routes;

pub mod assets;
pub mod label_pdf;
pub mod picture;

pub mod access;
pub mod network;

pub mod cli;
