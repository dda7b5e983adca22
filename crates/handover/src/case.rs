//! What is known of a job when a paper is made of it.

use crate::bench::Bench;
use jiff::civil::Date;
use jobs::{Adjustment, Estimate, FinalTest, Job, Owner, Part, Photo, PhotoId, Watch};
use regulate::Kept;
use report::{Letterhead, Paper, Picture};

/// Everything that may go into a paper. What there is none of is simply not said.
#[derive(Debug)]
pub struct Case<'a> {
    /// Whose paper it is.
    pub workshop: &'a Workshop,
    /// Whose watch it is, where that is known.
    pub owner: Option<&'a Owner>,
    /// The watch.
    pub watch: &'a Watch,
    /// The job.
    pub job: &'a Job,
    /// The day of the paper, where the workshop is.
    pub today: Date,
    /// Minutes by which the workshop's clock is ahead of UTC: days are told by it.
    pub ahead_of_utc_min: i32,
    /// Photos to show, in order.
    pub photos: &'a [Shot<'a>],
    /// Parts ordered for the job.
    pub parts: &'a [Part],
    /// What the work costs.
    pub estimate: Option<&'a Estimate>,
    /// Readings, in any order.
    pub readings: &'a [Kept<'a>],
    /// Moves made while regulating, in any order.
    pub adjustments: &'a [Adjustment],
    /// Tests before it goes back, in any order.
    pub tests: &'a [FinalTest],
    /// How it was taken down and put together; none where nothing is logged.
    pub bench: Option<&'a Bench<'a>>,
    /// Drawings of readings.
    pub drawings: &'a Drawings,
}

/// Drawings of readings, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drawings {
    /// What everybody sees something in: time gained or lost.
    pub for_owner: Vec<Picture>,
    /// What a watchmaker does: what a beat sounds like.
    pub for_colleague: Vec<Picture>,
}

/// The workshop that makes a paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Workshop {
    /// Name, address, sign.
    pub letterhead: Letterhead,
    /// The size of its paper.
    pub paper: Paper,
}

/// A photo with its picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shot<'a> {
    /// Which it is: tests and steps of the log name theirs.
    pub id: PhotoId,
    /// What is known of it.
    pub photo: &'a Photo,
    /// PNG, JPEG or WebP, small enough for a page.
    pub bytes: Vec<u8>,
}
