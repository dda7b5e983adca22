use crate::connection;
use crate::error::Result;
use crate::feed::{self, Feed};
use crate::line::Line;
use crate::media::Media;
use crate::places::Places;
use crate::upgrade::Opening;
use sea_orm::DatabaseConnection;
use std::sync::Arc;

/// Everything that is kept. Cheap to clone; all clones are one store.
#[derive(Clone)]
pub struct Store {
    pub(crate) inner: Arc<Inner>,
}

pub(crate) struct Inner {
    pub(crate) places: Places,
    pub(crate) database: DatabaseConnection,
    pub(crate) media: Media,
    pub(crate) feed: Feed,
    /// The line of those who want to write.
    pub(crate) line: Line,
    /// The connection of whoever's turn it is. Others do not wait for one behind it.
    pub(crate) writer: DatabaseConnection,
}

impl Store {
    /// Opens the store, and creates what is not there yet. A SQLite file of an earlier version of the
    /// program is copied first, then brought to this one's; a server's database is not. Must be called within a Tokio runtime:
    /// a task looks for changes that other programs have made, until the last clone is gone.
    ///
    /// # Errors
    ///
    /// [`Error::Newer`](crate::Error::Newer), [`Error::NotUpgraded`](crate::Error::NotUpgraded),
    /// [`Error::NoRoomToUpgrade`](crate::Error::NoRoomToUpgrade),
    /// [`Error::ServerBehind`](crate::Error::ServerBehind), [`Error::Locked`](crate::Error::Locked),
    /// [`Error::ReadOnly`](crate::Error::ReadOnly),
    /// [`Error::FullDisk`](crate::Error::FullDisk),
    /// [`Error::Damaged`](crate::Error::Damaged) or
    /// [`Error::Unreachable`](crate::Error::Unreachable).
    pub async fn open(places: &Places) -> Result<Self> {
        Self::open_as(places, &Opening::default()).await
    }

    /// As [`Store::open`]; says what may be done to a database that an earlier version of the program
    /// has written, and who is told how far that is.
    ///
    /// # Errors
    ///
    /// As [`Store::open`].
    pub async fn open_as(places: &Places, opening: &Opening<'_>) -> Result<Self> {
        let media = Media::open(places).await?;
        let database = connection::open(places, opening).await?;
        let feed = Feed::new(feed::latest(&database).await?);
        let writer = connection::writer(places, &database);
        let line = Line::new(places.patience);
        let inner = Inner { places: places.clone(), database, media, feed, line, writer };
        let store = Self { inner: Arc::new(inner) };
        feed::watch_others(&store.inner);
        Ok(store)
    }

    /// Where it is.
    #[must_use]
    pub fn places(&self) -> &Places {
        &self.inner.places
    }

    /// Lets go of the database once what is under way has ended. What is asked of any clone
    /// afterwards fails.
    pub async fn close(self) {
        // Whatever a closing connection says, what was acknowledged is on disk.
        let _ = self.inner.writer.close_by_ref().await;
        let _ = self.inner.database.close_by_ref().await;
    }

    pub(crate) fn database(&self) -> &DatabaseConnection {
        &self.inner.database
    }
}
