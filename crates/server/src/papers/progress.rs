//! How far a paper is.

use crate::rehearing::Rehearing;
use jobs::Reading;
use std::sync::{Mutex, PoisonError};

/// What is done at a paper now.
#[derive(Debug, Clone)]
pub(crate) enum Doing {
    /// What it is of is looked up.
    Gathering,
    /// Photos are made as small as they are printed.
    Photos { done: usize, of: usize },
    /// A reading is heard again.
    Hearing(Box<Reading>),
    /// Pages are laid out.
    Printing,
}

/// Whoever makes a paper says here what it does.
#[derive(Debug)]
pub(crate) struct Progress(Mutex<Doing>);

impl Default for Progress {
    fn default() -> Self {
        Self(Mutex::new(Doing::Gathering))
    }
}

impl Progress {
    pub(crate) fn now(&self, doing: Doing) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = doing;
    }

    pub(crate) fn doing(&self) -> Doing {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Doing {
    /// How much of it is done, 0 to 1; nothing where nobody can say.
    pub(crate) fn share(&self, rehearing: &Rehearing) -> Option<f64> {
        match self {
            Self::Photos { done, of } if *of > 0 => Some(*done as f64 / *of as f64),
            Self::Hearing(reading) if reading.duration_s > 0.0 => {
                let so_far_s = rehearing.so_far_s(reading)?;
                Some((so_far_s / reading.duration_s).clamp(0.0, 1.0))
            }
            _ => None,
        }
    }

    /// How much of the whole paper is done, 0 to 1: about, for nobody knows how long a sound takes.
    pub(crate) fn so_far(&self, rehearing: &Rehearing) -> f64 {
        let share = self.share(rehearing).unwrap_or(0.0);
        match self {
            Self::Gathering => 0.0,
            Self::Photos { .. } => 0.3 * share,
            Self::Hearing(_) => 0.3 + 0.5 * share,
            Self::Printing => 0.8,
        }
    }

    pub(crate) fn words(&self) -> String {
        match self {
            Self::Gathering => "looking up what is kept of the job".into(),
            Self::Photos { done, of } => {
                let photos = if *of == 1 { "photo" } else { "photos" };
                format!("fitting {photos} to the page: {done} of {of}")
            }
            Self::Hearing(_) => "hearing a reading again for its picture".into(),
            Self::Printing => "laying out the pages".into(),
        }
    }
}
