//! How an old mains-powered tube receiver runs on a given line, and what could stand in its line cord.
//!
//! A lesson in four steps. A **set** is read from its profile; on an **outlet** it becomes a **bench**, which fits it to its
//! readings and solves it once; the bench answers questions; an answer becomes a **page**, to be read on a terminal or
//! printed.
//!
//! ```
//! use mainsfit::units::{Voltage, volt};
//! use mainsfit::{Options, Outlet, Page, Set};
//!
//! // load: every problem of the profile is told with line, column and what to write
//! let set = Set::load("profiles/console-1936.yaml")?;
//! let bench = set.bench(Outlet::named("north-america")?)?;
//!
//! // read B+ on a line of one's choice
//! let reading = bench.at(Voltage::new::<volt>(115.0))?;
//! println!("B+ {:.0} V, heaters {:.2} V", reading.b_plus().get::<volt>(), reading.heaters[0].volts_v);
//!
//! // plan
//! let plan = bench.plan(&Options::default())?;
//! println!("{}", Page::from(&plan).text(96, false));
//!
//! // write the note for the cabinet
//! let note = bench.note(&Options::default())?;
//! std::fs::write(std::env::temp_dir().join("console-note.html"), Page::from(&note).html())?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Every page begins with the cautions of its set, and nothing takes them off. What the model does not bear out is an
//! [`Error`] that says why and what to do, never a figure.
//!
//! Volts of mains and heaters are RMS, those behind the rectifier averages. A field's name ends in its unit, SI: `b_plus_v`,
//! `line_a`, `power_w`, `temperature_c`; what is given to the crate is typed ([`units`]).

// the floors link among themselves
#![allow(rustdoc::private_intra_doc_links)]
// names that only tests use are passed on all the same; what nothing uses is told
#![cfg_attr(not(feature = "inside"), allow(unused_imports))]
// much of what is found is there for pages alone
#![cfg_attr(not(feature = "cli"), allow(dead_code))]

mod api;
#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;

pub use api::*;

// the floors: private, but for this crate's own tests and benchmark
#[cfg(not(feature = "inside"))]
mod adaptation;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod adaptation;
#[cfg(not(feature = "inside"))]
mod catalogue;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod catalogue;
#[cfg(not(feature = "inside"))]
mod circuit;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod circuit;
#[cfg(not(feature = "inside"))]
mod preferred;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod preferred;
#[cfg(not(feature = "inside"))]
mod profile;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod profile;
#[cfg(not(feature = "inside"))]
mod quantity;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod quantity;
#[cfg(not(feature = "inside"))]
mod receiver;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod receiver;
#[cfg(all(feature = "pages", not(feature = "inside")))]
mod report;
#[cfg(all(feature = "pages", feature = "inside"))]
#[doc(hidden)]
pub mod report;
#[cfg(not(feature = "inside"))]
mod study;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod study;
#[cfg(not(feature = "inside"))]
mod text;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub mod text;
