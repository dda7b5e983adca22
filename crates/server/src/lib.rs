//! HTTP and live routes over jobs, storage and listening, and the wire types between the program
//! and its pages.

mod access;
mod convert;
mod failure;
mod photos;
pub mod wire;
