//! What the target `ledger` does with its bytes; `crates/ledger/tests/fuzzed.rs` does the same with the
//! corpus.

use jobs::{AnyId, Kind, Record};
use ledger::{Ledger, Unfit, Visit};
use std::collections::HashMap;

/// Bytes as a table of older paper records: visits that may be kept, and for all else a sentence with a
/// line that is there. Read again it says the same.
pub(crate) fn feed(bytes: &[u8]) {
    let read = ledger::read(bytes);
    assert!(read == ledger::read(bytes), "the same table says something else the second time");
    let Ledger { visits, bad } = match read {
        Ok(ledger) => ledger,
        Err(unfit) => return told(&unfit),
    };
    let lines = bytes.split(|byte| *byte == b'\n').count() as u64;
    assert!(!visits.is_empty() || !bad.is_empty(), "a table of nothing");
    let mut last = 1;
    for bad in &bad {
        assert!(bad.line >= last && bad.line <= lines, "{bad}");
        assert!(!bad.what.contains(['\n', '\r']) && bad.what.ends_with('.'), "no sentence: {bad}");
        last = bad.line;
    }
    let mut last = 1;
    let mut jobs = HashMap::new();
    for visit in &visits {
        assert!(visit.line >= last && visit.line <= lines, "line {} of {lines}", visit.line);
        last = visit.line;
        may_be_kept(visit);
        let twice = jobs.insert(visit.job.0, visit.line);
        assert_eq!(twice, None, "one visit in two lines");
    }
}

/// Each record may be kept, and hangs on another of the same visit.
fn may_be_kept(visit: &Visit) {
    let Visit { line: _, owner, watch, job, estimate, readings } = visit;
    if let Some((_, owner)) = owner {
        assert_eq!(owner.check(), Ok(()));
    }
    assert_eq!(watch.1.check(), Ok(()));
    assert_eq!((job.1.check(), job.1.watch), (Ok(()), watch.0));
    let of_the_job = Some(AnyId { kind: Kind::Job, uuid: job.0.uuid() });
    if let Some((_, estimate)) = estimate {
        assert_eq!((estimate.check(), estimate.belongs_to()), (Ok(()), of_the_job));
    }
    for (_, reading) in readings {
        assert_eq!((reading.check(), reading.belongs_to()), (Ok(()), of_the_job));
    }
}

fn told(unfit: &Unfit) {
    let sentence = unfit.to_string();
    assert!(sentence.ends_with('.') && !sentence.contains(['\n', '\r']), "no sentence: {sentence}");
}
