//! Keeping.
