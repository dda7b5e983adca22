use crate::given::{self, by, later, latest_change, visit};
use jobs::*;
use std::time::Duration;
use store::{Action, Page, Store, Subject};

/// It takes half a second at most where the machine is free; a busy one is given longer.
const PATIENCE: Duration = Duration::from_secs(20);

pub(crate) async fn each_change_is_told_field_by_field(store: Store) {
    let (owner, ..) = visit(&store).await;
    let renamed = Owner { name: "Ada Berg".into(), ..owner.value.clone() };
    store.change(&later(1), owner.id, 1, renamed).await.unwrap();
    store.delete(&later(2), owner.id).await.unwrap();
    store.restore(&later(3), owner.id).await.unwrap();
    let told = store.history(&owner.id.to_string(), Page::first(9)).await.unwrap();
    let actions: Vec<_> = told.items.iter().map(|change| change.action).collect();
    use Action::{Changed, Created, Deleted, Restored};
    assert_eq!(actions, [Restored, Deleted, Changed, Created]);
    let change = &told.items[2];
    assert_eq!((change.at, change.device.as_str()), (later(1).at, "bench"));
    assert_eq!(change.subject, Subject::Record(Kind::Owner));
    let name = Difference {
        field: "name".into(),
        before: Some("Ada Ørsted".into()),
        after: Some("Ada Berg".into()),
    };
    assert_eq!(change.fields, [name]);
    let fields: Vec<_> =
        told.items[3].fields.iter().map(|field| (&*field.field, field.before.is_some())).collect();
    assert_eq!(fields, [("name", false), ("contact 1", false)]);
}

pub(crate) async fn others_hear_of_changes(store: Store) {
    let mut news = store.listen();
    let (owner, watch, job) = visit(&store).await;
    for expected in [owner.any_id(), watch.any_id(), job.any_id()] {
        let told = tokio::time::timeout(PATIENCE, news.recv()).await;
        let told = told.unwrap().unwrap();
        assert_eq!(told.subject_id, expected.uuid.to_string());
    }
    assert!(news.try_recv().is_err());
    let since = store.changes_since(0).await.unwrap();
    assert_eq!(since.iter().map(|change| change.seq).collect::<Vec<_>>(), [1, 2, 3]);
    assert_eq!(store.changes_since(3).await.unwrap(), []);
    assert_eq!(latest_change(&store).await, 3);
}

pub(crate) async fn changes_of_another_program_are_heard(store: Store) {
    let other = Store::open(store.places()).await.unwrap();
    let mut news = store.listen();
    let owner = other.create(&by(), given::owner("Ada")).await.unwrap();
    let told = tokio::time::timeout(PATIENCE, news.recv()).await;
    assert_eq!(told.unwrap().unwrap().subject_id, owner.id.to_string());
    assert!(news.try_recv().is_err());
}
