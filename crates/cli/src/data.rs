//! The bench's data: where it is, and how a command comes to it.

use crate::arguments::DataWishes;
use crate::failure::Failure;
use std::future::Future;
use std::path::{Path, PathBuf};
use store::{Database, Error, MediaPlace, Places, Store};

/// Where the data is: as wished, or in the user's data folder.
pub(crate) fn places(wishes: &DataWishes) -> Result<Places, Failure> {
    let database = match &wishes.database {
        Some(words) => Database::from_words(words),
        None => Places::in_folder(&folder(wishes)?).database,
    };
    let media = match (&wishes.media, &database) {
        (Some(words), _) => MediaPlace::from_words(words),
        (None, Database::File(file)) => {
            Places::in_folder(file.parent().unwrap_or(Path::new(""))).media
        }
        (None, Database::Server(_)) => Places::in_folder(&folder(wishes)?).media,
    };
    Ok(Places::new(database, media))
}

/// The folder of everything that is kept: as wished, or the user's data folder.
pub(crate) fn folder(wishes: &DataWishes) -> Result<PathBuf, Failure> {
    if let Some(folder) = &wishes.data {
        return Ok(folder.clone());
    }
    let folders = directories::ProjectDirs::from("", "", "endshake").ok_or_else(|| {
        Failure::WrongUse(
            "This system has no home folder to keep data in: name the places with --database and \
             --media."
                .into(),
        )
    })?;
    Ok(folders.data_dir().to_owned())
}

/// Opens what is there already and works on it; nothing is created.
pub(crate) fn with_store<T, F: Future<Output = Result<T, Error>>>(
    places: &Places,
    work: impl FnOnce(Store) -> F,
) -> Result<T, Failure> {
    runtime()?.block_on(async {
        let store = Store::open_existing(places).await.map_err(|e| not_opened(places, e))?;
        let result = work(store.clone()).await;
        store.close().await;
        result.map_err(failure)
    })
}

/// Whether there is a database already. A server's is taken to be there.
pub(crate) fn is_begun(places: &Places) -> bool {
    match &places.database {
        Database::File(file) => file.exists(),
        Database::Server(_) => true,
    }
}

/// Only looks: at what is there already or, where nothing is, at an empty store that is gone
/// afterwards. Nothing is created.
pub(crate) fn with_store_or_an_empty_one<T, F: Future<Output = Result<T, Error>>>(
    places: &Places,
    work: impl FnOnce(Store) -> F,
) -> Result<T, Failure> {
    if is_begun(places) {
        return with_store(places, work);
    }
    let scratch = tempfile::tempdir().map_err(|error| failure(error.into()))?;
    with_new_store(&Places::in_folder(scratch.path()), work)
}

/// Opens what is there, or begins it, and works on it.
pub(crate) fn with_new_store<T, F: Future<Output = Result<T, Error>>>(
    places: &Places,
    work: impl FnOnce(Store) -> F,
) -> Result<T, Failure> {
    runtime()?.block_on(async {
        let store = Store::open(places).await.map_err(|e| not_opened(places, e))?;
        let result = work(store.clone()).await;
        store.close().await;
        result.map_err(failure)
    })
}

/// What asynchronous work runs on.
pub(crate) fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|error| Failure::Unreadable(format!("No work can be begun ({error}).")))
}

pub(crate) fn not_opened(places: &Places, error: Error) -> Failure {
    let shown = places.database.shown();
    match error {
        Error::NotFound("database") => Failure::Unreadable(format!(
            "There is no database at {shown}: name the right one with --database."
        )),
        Error::NotFound(_) => Failure::Unreadable(format!(
            "There is no folder of sounds and photos at {}: name the right one with --media.",
            places.media.shown()
        )),
        other @ Error::NoRoomToUpgrade { .. } => Failure::CannotWrite(format!("{shown}: {other}")),
        other => Failure::Unreadable(format!("{shown}: {other}")),
    }
}

pub(crate) fn failure(error: Error) -> Failure {
    let sentence = error.to_string();
    match error {
        Error::Exists(_) => Failure::WrongUse(sentence),
        Error::FullDisk | Error::ReadOnly(_) | Error::NoRoomToUpgrade { .. } => {
            Failure::CannotWrite(sentence)
        }
        _ => Failure::Unreadable(sentence),
    }
}
