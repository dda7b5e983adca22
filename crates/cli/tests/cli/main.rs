//! The built binary, driven from outside as people and programs drive it.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod archive;
#[cfg(unix)]
mod backups;
mod bench;
mod bombs;
#[path = "../../../store/tests/suite/bucket_server.rs"]
mod bucket_server;
mod calibrate;
mod cut_off;
#[cfg(target_os = "linux")]
#[allow(dead_code)]
#[path = "../../../store/tests/suite/disk.rs"]
mod disk;
mod doctor;
mod errors;
mod help;
mod idle;
mod interrupt;
mod keeping;
mod killed;
mod live;
mod measure;
mod outputs;
mod pages;
mod papers;
mod pictures;
mod plan;
#[allow(dead_code, reason = "the store's own tests use the rest of it")]
#[path = "../../../store/tests/suite/postgres.rs"]
mod postgres;
#[allow(dead_code, reason = "the store's own tests use the rest of it")]
#[path = "../../../store/tests/suite/postgres_line.rs"]
mod postgres_line;
mod regulating;
mod served;
mod service;
mod serving;
mod shape;
mod silence;
mod simulate;
mod standard_input;
mod train;
mod workshop;
