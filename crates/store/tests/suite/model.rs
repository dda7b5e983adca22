//! Whatever is done, in whatever order: the store says the same as a plain list that is kept
//! beside it.

use crate::given::{self, by};
use jobs::{Id, Job, Moment, Owner, Watch};
use proptest::prelude::*;
use store::{By, Error, Order, Page, Places, Store, check};
use uuid::Uuid;

#[derive(Debug, Clone)]
enum Deed {
    Owner,
    /// Under the owner that is so many in the list.
    Watch(usize),
    /// Of the watch that is so many in the list.
    Job(usize),
    Rename(usize),
    /// To what is so many in the list.
    Move(usize, usize),
    Delete(usize),
    Restore(usize),
    Empty,
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        1 => Just(Deed::Owner),
        3 => (0_usize..100).prop_map(Deed::Watch),
        4 => (0_usize..100).prop_map(Deed::Job),
        4 => (0_usize..100).prop_map(Deed::Rename),
        3 => (0_usize..100, 0_usize..100).prop_map(|(n, to)| Deed::Move(n, to)),
        4 => (0_usize..100).prop_map(Deed::Delete),
        4 => (0_usize..100).prop_map(Deed::Restore),
        1 => Just(Deed::Empty),
    ]
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Owner,
    Watch,
    Job,
}

/// One record, as it should be.
#[derive(Debug, Clone)]
struct One {
    kind: Kind,
    uuid: Uuid,
    above: Option<usize>,
    name: String,
    version: i64,
    /// In the bin, and with which it went there.
    bin: Option<usize>,
    gone: bool,
}

#[derive(Default)]
struct Plain {
    all: Vec<One>,
}

impl Plain {
    /// The one that is so many among those of a kind that are left, counted around.
    fn pick(&self, kind: Option<Kind>, n: usize) -> Option<usize> {
        let fits = |one: &One| !one.gone && kind.is_none_or(|kind| one.kind == kind);
        let left: Vec<usize> = (0..self.all.len()).filter(|n| fits(&self.all[*n])).collect();
        (!left.is_empty()).then(|| left[n % left.len()])
    }

    fn below(&self, n: usize, of: usize) -> bool {
        let mut above = self.all[n].above;
        while let Some(one) = above {
            if one == of {
                return true;
            }
            above = self.all[one].above;
        }
        false
    }

    fn delete(&mut self, n: usize) {
        for one in 0..self.all.len() {
            if self.all[one].bin.is_none() && (one == n || self.below(one, n)) {
                self.all[one].bin = Some(n);
            }
        }
    }

    fn may_return(&self, n: usize) -> bool {
        let above = self.all[n].above;
        self.all[n].bin == Some(n) && above.is_none_or(|above| self.all[above].bin.is_none())
    }
}

/// A word of its own for each name, so that the search finds one alone.
fn name(n: usize, version: i64) -> String {
    format!("q{n}x{version}x")
}

async fn create(store: &Store, plain: &mut Plain, kind: Kind, above: Option<usize>) {
    let n = plain.all.len();
    let name = name(n, 1);
    let up = above.map_or(Uuid::nil(), |above| plain.all[above].uuid);
    let made = match kind {
        Kind::Owner => store.create(&by(), given::owner(&name)).await.map(|kept| kept.id.uuid()),
        Kind::Watch => {
            let watch = given::watch(Some(Id::from_uuid(up)), &name);
            store.create(&by(), watch).await.map(|kept| kept.id.uuid())
        }
        Kind::Job => {
            let job = given::job(Id::from_uuid(up), &name);
            store.create(&by(), job).await.map(|kept| kept.id.uuid())
        }
    };
    match (made, above.and_then(|above| plain.all[above].bin)) {
        (Ok(uuid), None) => {
            plain.all.push(One { kind, uuid, above, name, version: 1, bin: None, gone: false });
        }
        (Err(Error::InBin(_)), Some(_)) => {}
        (made, bin) => panic!("{made:?} {bin:?}"),
    }
}

/// Under another name, below this one.
async fn change(store: &Store, plain: &mut Plain, n: usize, above: Option<usize>) {
    let one = &plain.all[n];
    let (based_on, uuid) = (one.version, one.uuid);
    let name = name(n, based_on + 1);
    let up = above.map_or(Uuid::nil(), |above| plain.all[above].uuid);
    let above_in_bin = above.is_some_and(|above| plain.all[above].bin.is_some());
    let result = match one.kind {
        Kind::Owner => {
            let owner = given::owner(&name);
            store.change(&by(), Id::from_uuid(uuid), based_on, owner).await.map(|_| ())
        }
        Kind::Watch => {
            let watch = given::watch(Some(Id::from_uuid(up)), &name);
            store.change(&by(), Id::from_uuid(uuid), based_on, watch).await.map(|_| ())
        }
        Kind::Job => {
            let job = given::job(Id::from_uuid(up), &name);
            store.change(&by(), Id::from_uuid(uuid), based_on, job).await.map(|_| ())
        }
    };
    match (result, one.bin.is_some() || above_in_bin) {
        (Ok(()), false) => {
            plain.all[n].version += 1;
            plain.all[n].name = name;
            plain.all[n].above = above;
        }
        (Err(Error::InBin(_)), true) => {}
        (result, in_bin) => panic!("{result:?} {in_bin}"),
    }
}

async fn restore(store: &Store, plain: &mut Plain, n: usize) {
    let One { kind, uuid, bin, .. } = plain.all[n].clone();
    let result = match kind {
        Kind::Owner => store.restore::<Owner>(&by(), Id::from_uuid(uuid)).await.map(|_| ()),
        Kind::Watch => store.restore::<Watch>(&by(), Id::from_uuid(uuid)).await.map(|_| ()),
        Kind::Job => store.restore::<Job>(&by(), Id::from_uuid(uuid)).await.map(|_| ()),
    };
    match result {
        Ok(()) if bin.is_none() => {}
        Ok(()) => {
            assert!(plain.may_return(n));
            plain.all.iter_mut().filter(|one| one.bin == Some(n)).for_each(|one| one.bin = None);
        }
        Err(Error::InBin(_)) => assert!(bin.is_some() && !plain.may_return(n)),
        Err(other) => panic!("{other:?}"),
    }
}

async fn carry_out(store: &Store, plain: &mut Plain, deed: &Deed) {
    match *deed {
        Deed::Owner => create(store, plain, Kind::Owner, None).await,
        Deed::Watch(n) => {
            if let Some(owner) = plain.pick(Some(Kind::Owner), n) {
                create(store, plain, Kind::Watch, Some(owner)).await;
            }
        }
        Deed::Job(n) => {
            if let Some(watch) = plain.pick(Some(Kind::Watch), n) {
                create(store, plain, Kind::Job, Some(watch)).await;
            }
        }
        Deed::Rename(n) => {
            if let Some(one) = plain.pick(None, n) {
                change(store, plain, one, plain.all[one].above).await;
            }
        }
        Deed::Move(n, to) => {
            let Some(n) = plain.pick(None, n) else { return };
            let to = match plain.all[n].kind {
                Kind::Owner => None,
                Kind::Watch => plain.pick(Some(Kind::Owner), to),
                Kind::Job => plain.pick(Some(Kind::Watch), to),
            };
            change(store, plain, n, to).await;
        }
        Deed::Delete(n) => {
            let Some(n) = plain.pick(None, n) else { return };
            let One { kind, uuid, .. } = plain.all[n];
            match kind {
                Kind::Owner => store.delete::<Owner>(&by(), Id::from_uuid(uuid)).await,
                Kind::Watch => store.delete::<Watch>(&by(), Id::from_uuid(uuid)).await,
                Kind::Job => store.delete::<Job>(&by(), Id::from_uuid(uuid)).await,
            }
            .unwrap();
            plain.delete(n);
        }
        Deed::Restore(n) => {
            if let Some(one) = plain.pick(None, n) {
                restore(store, plain, one).await;
            }
        }
        Deed::Empty => {
            let until = Moment::from_ms(i64::MAX);
            store.empty_bin(&By::at("bench", by().at), until).await.unwrap();
            plain.all.iter_mut().filter(|one| one.bin.is_some()).for_each(|one| one.gone = true);
        }
    }
}

/// Version, whether it is in the bin, and its name.
async fn is(store: &Store, one: &One) -> Result<(i64, bool, String), Error> {
    Ok(match one.kind {
        Kind::Owner => {
            let kept = store.get::<Owner>(Id::from_uuid(one.uuid)).await?;
            (kept.version, kept.deleted.is_some(), kept.value.name)
        }
        Kind::Watch => {
            let kept = store.get::<Watch>(Id::from_uuid(one.uuid)).await?;
            (kept.version, kept.deleted.is_some(), kept.value.description)
        }
        Kind::Job => {
            let kept = store.get::<Job>(Id::from_uuid(one.uuid)).await?;
            (kept.version, kept.deleted.is_some(), kept.value.complaint)
        }
    })
}

async fn compare(store: &Store, plain: &Plain) {
    for (n, one) in plain.all.iter().enumerate() {
        if one.gone {
            assert!(matches!(is(store, one).await, Err(Error::NotFound(_))));
        } else {
            let expected = (one.version, one.bin.is_some(), one.name.clone());
            assert_eq!(is(store, one).await.unwrap(), expected);
        }
        // It is found, and whatever is found by it: watches and jobs by what they belong to.
        let found = store.search(&one.name, None, 500).await.unwrap().hits;
        let mut found: Vec<Uuid> = found.into_iter().map(|hit| hit.id.uuid).collect();
        let finds = |other: &usize| *other == n || plain.below(*other, n);
        let seen = |other: &usize| !plain.all[*other].gone && plain.all[*other].bin.is_none();
        let all = (0..plain.all.len()).filter(finds).filter(seen);
        let mut expected: Vec<Uuid> = all.map(|other| plain.all[other].uuid).collect();
        found.sort();
        expected.sort();
        assert_eq!(found, expected, "by {}", one.name);
        // A list has whatever is found by it, and what that hangs on.
        let holds = |other: &usize| finds(other) || plain.below(n, *other);
        let of = |kind| {
            let all = (0..plain.all.len()).filter(|other| plain.all[*other].kind == kind);
            all.filter(holds).filter(seen).filter(|_| seen(&n)).count() as u64
        };
        let (words, page) = (Some(one.name.as_str()), Page::first(1));
        let owners = store.list_holding::<Owner>(None, words, Order::Title, page).await.unwrap();
        let watches = store.list_holding::<Watch>(None, words, Order::Title, page).await.unwrap();
        let jobs = store.list_holding::<Job>(None, words, Order::Title, page).await.unwrap();
        let expected = (of(Kind::Owner), of(Kind::Watch), of(Kind::Job));
        assert_eq!((owners.total, watches.total, jobs.total), expected, "by {}", one.name);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 200, ..Default::default() })]
    #[test]
    fn the_store_says_what_a_plain_list_says(deeds in prop::collection::vec(deed(), 1..50)) {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            let folder = tempfile::tempdir().unwrap();
            let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
            let mut plain = Plain::default();
            for deed in &deeds {
                carry_out(&store, &mut plain, deed).await;
            }
            compare(&store, &plain).await;
            let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
            assert_eq!(checked.faults, []);
            store.close().await;
        });
    }
}
