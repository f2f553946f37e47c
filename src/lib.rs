//! `mainsfit` models how a mains-powered tube receiver runs on a given line and what could stand in its
//! mains lead.
pub mod adaptation;
pub mod catalogue;
pub mod circuit;
pub mod cli;
pub mod preferred;
pub mod profile;
pub mod quantity;
pub mod receiver;
pub mod report;
pub mod study;
pub mod text;
