//! Any entry, any log: written and read again.

use crate::any;
use logbook::{Log, OwnSheet, entry_from_json, entry_to_json};
use proptest::collection::vec;
use proptest::prelude::*;
use rebuild::RuleId;

proptest! {
    #[test]
    fn an_entry_comes_back_as_it_was(entry in any::entry()) {
        let json = entry_to_json(&entry).unwrap();
        prop_assert!(!json.contains('\n'), "one line");
        prop_assert_eq!(entry_from_json(json.as_bytes()).unwrap(), entry);
    }

    #[test]
    fn nonsense_is_refused_and_no_more(bytes in vec(any::<u8>(), 0..200)) {
        prop_assert!(Log::from_json(&bytes).is_err());
    }
}

proptest! {
    // Whole logs: fewer of them, since making one takes as long as making a dozen entries.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_log_comes_back_as_it_was(
        entries in vec(any::entry(), 0..12),
        title in "\\PC{0,40}",
        text in "[\\PC\n]{0,200}",
    ) {
        let log = Log {
            title,
            entries,
            own: vec![OwnSheet { name: "mine.toml".into(), text }],
            rules_off: vec![RuleId::new("oil-the-fork").unwrap()],
        };
        let json = log.to_json().unwrap();
        prop_assert_eq!(Log::from_json(json.as_bytes()).unwrap(), log);
    }

    /// What was kept makes the same state, whichever way it went.
    #[test]
    fn what_holds_does_not_change(entries in vec(any::entry(), 0..30)) {
        let log = Log { entries: entries.clone(), ..Log::default() };
        let back = Log::from_json(log.to_json().unwrap().as_bytes()).unwrap();
        prop_assert_eq!(rebuild::Log::new(back.entries), rebuild::Log::new(entries));
    }
}
