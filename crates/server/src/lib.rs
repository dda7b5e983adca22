//! HTTP and live routes over jobs, storage and listening, and the wire types between the program
//! and its pages.

pub mod wire;
