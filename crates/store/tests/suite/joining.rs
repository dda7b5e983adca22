use crate::given::{by, later};
use jobs::Moment;
use store::{By, Clock, CodeRefused, Error, OWN_RULES, Page, Present, Role, Store};

/// A setting whose text more than one person may have open.
const LONG_TEXT: &str = "long_text";

fn phone(s: i64) -> By {
    By::at("Ada's phone", later(s).at)
}

pub(crate) async fn a_code_lets_one_device_in(store: Store) {
    let (now, expires) = (later(0).at, later(60).at);
    store.keep_join_code("code one", Role::Repairer, now, expires).await.unwrap();
    store.keep_join_code("code two", Role::Owner, now, expires).await.unwrap();
    let guessed = store.join(&phone(1), "code three", "t0").await;
    assert!(matches!(guessed, Err(CodeRefused::Unknown)));
    // Two at once: one is let in.
    let (first, second) =
        tokio::join!(async { store.join(&phone(2), "code one", "t1").await }, async {
            store.join(&phone(2), "code one", "t2").await
        },);
    let (let_in, refused) = if first.is_ok() { (first, second) } else { (second, first) };
    assert!(matches!(refused, Err(CodeRefused::Used)), "{refused:?}");
    let device = let_in.unwrap();
    assert_eq!((device.name.as_str(), device.role), ("Ada's phone", Role::Repairer));
    let late = store.join(&phone(61), "code two", "t3").await;
    assert!(matches!(late, Err(CodeRefused::Expired)));
    let nameless = store.join(&By::at(" ", later(3).at), "code two", "t3").await;
    assert!(matches!(nameless, Err(CodeRefused::Store(Error::Invalid(_)))));
    assert_eq!(store.devices().await.unwrap(), [device]);
}

pub(crate) async fn a_device_that_was_turned_out_stays_out(store: Store) {
    store.keep_join_code("code", Role::Owner, later(0).at, later(60).at).await.unwrap();
    let device = store.join(&phone(1), "code", "token").await.unwrap();
    assert_eq!(store.device_with_token("token").await.unwrap().unwrap(), device);
    assert_eq!(store.device_with_token("Token").await.unwrap(), None);
    store.device_seen(device.id, later(5).at).await.unwrap();
    let seen = store.device_with_token("token").await.unwrap().unwrap();
    assert_eq!(seen.last_seen, Some(later(5).at));
    store.turn_out(&later(9), device.id).await.unwrap();
    assert_eq!(store.device_with_token("token").await.unwrap(), None);
    assert_eq!(store.devices().await.unwrap()[0].turned_out, Some(later(9).at));
    let told = store.history(&device.id.0.to_string(), Page::first(9)).await.unwrap();
    assert_eq!(told.total, 2);
}

pub(crate) async fn a_role_is_given_and_told(store: Store) {
    store.keep_join_code("code", Role::ReadOnly, later(0).at, later(60).at).await.unwrap();
    let device = store.join(&phone(1), "code", "token").await.unwrap();
    assert_eq!(device.role, Role::ReadOnly);
    let given = store.give_role(&later(2), device.id, Role::Repairer).await.unwrap();
    assert_eq!(given, store::Device { role: Role::Repairer, ..device.clone() });
    assert_eq!(store.device_with_token("token").await.unwrap(), Some(given));
    // What it has already is given without a word.
    store.give_role(&later(3), device.id, Role::Repairer).await.unwrap();
    let told = store.history(&device.id.0.to_string(), Page::first(9)).await.unwrap();
    assert_eq!(told.total, 2);
    let change = &told.items[0].fields[0];
    assert_eq!(
        (change.before.as_deref(), change.after.as_deref()),
        (Some("read only"), Some("repairer"))
    );
    // Who was turned out has no role to be given.
    store.turn_out(&later(4), device.id).await.unwrap();
    let late = store.give_role(&later(5), device.id, Role::Owner).await;
    assert!(matches!(late, Err(Error::NotFound(_))), "{late:?}");
}

pub(crate) async fn clocks_and_settings_are_kept(store: Store) {
    let clock = |error_ppm| Clock {
        device: "pickup".into(),
        error_ppm,
        sd_ppm: 0.1,
        how: "against the computer's clock for 1200 s".into(),
    };
    assert_eq!(store.clock_of("pickup").await.unwrap(), None);
    store.keep_clock(&later(1), clock(-3.25)).await.unwrap();
    let latest = store.keep_clock(&later(2), clock(-3.5)).await.unwrap();
    assert_eq!(store.clock_of("pickup").await.unwrap(), Some(latest.clone()));
    assert_eq!(latest.found, later(2).at);
    assert_eq!(store.clocks().await.unwrap().len(), 2);
    assert!(matches!(store.keep_clock(&by(), clock(f64::NAN)).await, Err(Error::Invalid(_))));

    assert_eq!(store.setting("tolerance").await.unwrap(), None);
    store.set(&later(3), "tolerance", "plus 4, minus 2").await.unwrap();
    store.set(&later(4), "tolerance", "plus 6, minus 4").await.unwrap();
    store.set(&later(5), "tolerance", "plus 6, minus 4").await.unwrap();
    let all = store.settings().await.unwrap();
    assert_eq!(all, [("tolerance".into(), "plus 6, minus 4".into())]);
    let told = store.history("tolerance", Page::first(9)).await.unwrap();
    assert_eq!(told.total, 2);
    assert_eq!(told.items[0].fields[0].before.as_deref(), Some("plus 4, minus 2"));
    assert_ne!(told.items[0].at, Moment::from_ms(0));
}

pub(crate) async fn own_words_are_changed_by_who_has_seen_them(store: Store) {
    let change = |s, based_on, value: &'static str| {
        let store = store.clone();
        async move { store.change_setting(&later(s), LONG_TEXT, based_on, value).await }
    };
    assert_eq!(store.kept_setting(LONG_TEXT).await.unwrap(), None);
    let early = change(1, 1, "a = 1").await;
    assert!(matches!(early, Err(Error::NotFound("setting"))), "{early:?}");
    let first = change(2, 0, "a = 1").await.unwrap();
    assert_eq!((first.version, first.changed, first.value.as_str()), (1, later(2).at, "a = 1"));
    for late in [change(3, 0, "b = 1").await, change(3, 2, "b = 1").await] {
        match late {
            Err(Error::Conflict(present)) => assert_eq!(*present, Present::Setting(first.clone())),
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(change(4, 1, "a = 1").await.unwrap(), first, "nothing differs");
    let long = "# note\n".repeat(10_000);
    let second = store.change_setting(&later(5), LONG_TEXT, 1, &long).await.unwrap();
    assert_eq!(store.kept_setting(LONG_TEXT).await.unwrap(), Some(second.clone()));
    assert_eq!((second.version, &second.value), (2, &long));
    // Emptied, it is still one that was made.
    assert_eq!(change(6, 2, "").await.unwrap().version, 3);
    assert_eq!(store.kept_setting(OWN_RULES).await.unwrap(), None);
    let told = store.history(LONG_TEXT, Page::first(9)).await.unwrap();
    assert_eq!(told.total, 3);
    assert_eq!(told.items[0].fields[0].before.as_ref(), Some(&long));
    let nul = change(7, 3, "a\0").await;
    assert!(matches!(nul, Err(Error::Invalid(_))), "{nul:?}");
    // Others count their versions as well.
    store.set(&later(8), "tolerance", "plus 4").await.unwrap();
    store.set(&later(9), "tolerance", "plus 6").await.unwrap();
    assert_eq!(store.kept_setting("tolerance").await.unwrap().unwrap().version, 2);
}
