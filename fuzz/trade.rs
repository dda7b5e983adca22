//! What the target `trade` does with its bytes; `crates/trade/tests/fuzzed.rs` does the same with the
//! corpus.

use std::collections::HashSet;

/// Bytes as a file of words and rules that a person wrote: entries that hold, each with a source and
/// kinds that exist, and for all else sentences with lines that are there.
pub(crate) fn feed(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let read = trade::own("own.toml", text);
    let lines = text.matches('\n').count() + 1;
    for problem in &read.problems {
        assert!((1..=lines).contains(&problem.line), "{problem}");
        let sentence = problem.to_string();
        assert!(sentence.ends_with('.') && !sentence.contains('\n'), "no sentence: {sentence}");
    }
    for rule in &read.sheet.rules {
        assert!(!rule.sources.is_empty(), "nobody says {}", rule.id);
        assert!(rule.window.is_some() == rule.what.is_work(), "the window of {}", rule.id);
    }
    let own = read.sheet.rules.len();
    if own + read.sheet.kinds.len() + read.sheet.traits.len() == 0 {
        return;
    }
    let (vocabulary, rules) = trade::in_force(read.sheet, &HashSet::new());
    assert!(vocabulary.kinds().len() >= trade::library().kinds.len());
    assert!(rules.all().len() >= own.max(trade::library().rules.len()));
}
