//! Sounds and photos, each under the SHA-256 of its content, so that the same thing is kept once
//! and can be checked at any time. Nothing here is ever changed.

use crate::error::{Error, Result};
use crate::places::{MediaPlace, Places};
use crate::store::Store;
use bytes::Bytes;
use futures_util::StreamExt;
use futures_util::stream::BoxStream;
use jobs::MediaHash;
use object_store::aws::{AmazonS3Builder, AmazonS3ConfigKey};
use object_store::local::LocalFileSystem;
use object_store::path::Path as Place;
use object_store::prefix::PrefixStore;
use object_store::{ClientConfigKey, MultipartUpload, ObjectStore, ObjectStoreExt, RetryConfig};
use sha2::{Digest, Sha256};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::io::AsyncReadExt;

/// How much of a file is read at once.
const BLOCK: usize = 1 << 20;

/// How much of a file is sent at once: an object store takes no part under 5 MiB but the last.
const PART: usize = 8 << 20;

/// How long a request to an object store may take, a long sound included.
const REQUEST: Duration = Duration::from_secs(300);

/// What is asked for to learn whether a bucket answers; nothing of ours has such a name.
const NOTHING: &str = "is-anybody-there";

/// Where sounds and photos lie.
pub(crate) struct Media {
    pub(crate) objects: Arc<dyn ObjectStore>,
    /// The folder itself, where it is one, for what only a folder has: files that were never
    /// finished.
    pub(crate) folder: Option<PathBuf>,
}

impl Media {
    pub(crate) async fn open(places: &Places) -> Result<Self> {
        match &places.media {
            MediaPlace::Folder(folder) => Self::in_folder(folder),
            MediaPlace::Bucket(url) => Self::in_bucket(url, places.patience).await,
        }
    }

    fn in_folder(folder: &Path) -> Result<Self> {
        std::fs::create_dir_all(folder)?;
        // With fsync a put has ended only when the file, its name and its folder are on disk; the
        // name appears when all of its content is there.
        let objects = LocalFileSystem::new_with_prefix(folder)?.with_fsync(true);
        Ok(Self { objects: Arc::new(objects), folder: Some(folder.to_owned()) })
    }

    /// An object appears under its name when all of it is there, as S3 has it; it is asked at once
    /// whether the bucket is there and may be used.
    async fn in_bucket(url: &str, patience: Duration) -> Result<Self> {
        let unreachable = |error: object_store::Error| {
            Error::Unreachable(format!(
                "the bucket of sounds and photos {url} does not answer as it should; are \
                 AWS_ENDPOINT_URL, AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY those of its server? \
                 It said: {error}"
            ))
        };
        let no_address = |why: &dyn std::fmt::Display| {
            Error::Unreachable(format!("{url} is no address like s3://BUCKET/PREFIX ({why})"))
        };
        let address: url::Url = url.parse().map_err(|e| no_address(&e))?;
        let retry = RetryConfig { max_retries: 3, retry_timeout: patience, ..Default::default() };
        // Who has chosen already has chosen the same.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = |key, time: Duration| {
            (AmazonS3ConfigKey::Client(key), format!("{}ms", time.as_millis()))
        };
        let (connecting, how_long) = client(ClientConfigKey::ConnectTimeout, patience);
        let (requesting, at_most) = client(ClientConfigKey::Timeout, REQUEST);
        let bucket = AmazonS3Builder::from_env()
            .with_url(url)
            .with_retry(retry)
            .with_config(connecting, how_long)
            .with_config(requesting, at_most)
            .build()
            .map_err(unreachable)?;
        let prefix = Place::from_url_path(address.path()).map_err(|e| no_address(&e))?;
        let objects = PrefixStore::new(bucket, prefix);
        match objects.head(&Place::from(NOTHING)).await {
            Ok(_) | Err(object_store::Error::NotFound { .. }) => {}
            Err(error) => return Err(unreachable(error)),
        }
        Ok(Self { objects: Arc::new(objects), folder: None })
    }

    pub(crate) async fn has(&self, hash: &MediaHash) -> Result<bool> {
        match self.objects.head(&place(hash)).await {
            Ok(_) => Ok(true),
            Err(object_store::Error::NotFound { .. }) => Ok(false),
            Err(error) => Err(error.into()),
        }
    }
}

/// In folders by the first two digits, so that none grows too large to be looked at.
pub(crate) fn place(hash: &MediaHash) -> Place {
    let name = hash.to_string();
    Place::from_iter([&name[..2], &name])
}

/// The hash under which something lies; nothing where it is none of ours.
pub(crate) fn hash_of(place: &Place) -> Option<MediaHash> {
    let hash: MediaHash = place.filename()?.parse().ok()?;
    (self::place(&hash) == *place).then_some(hash)
}

pub(crate) fn finished(hasher: Sha256) -> MediaHash {
    MediaHash::from_bytes(hasher.finalize().into())
}

impl Store {
    /// Keeps a sound or picture and gives its name. What is kept already is written once more: a
    /// file that is about to be named again is never one that the next check takes for left over.
    ///
    /// # Errors
    ///
    /// [`Error::FullDisk`], [`Error::ReadOnly`] or [`Error::Unreachable`]; then nothing is kept.
    pub async fn put_media(&self, content: Bytes) -> Result<MediaHash> {
        let hash = MediaHash::from_bytes(Sha256::digest(&content).into());
        self.inner.media.objects.put(&place(&hash), content.into()).await?;
        Ok(hash)
    }

    /// Keeps what a file holds, however long, and gives its name. The file stays as it is.
    ///
    /// # Errors
    ///
    /// As [`Store::put_media`]; also where the file cannot be read, or changes meanwhile.
    pub async fn put_media_file(&self, file: &Path) -> Result<MediaHash> {
        // What one part holds is sent at once: an object store takes no file of no parts.
        if tokio::fs::metadata(file).await?.len() <= PART as u64 {
            return self.put_media(tokio::fs::read(file).await?.into()).await;
        }
        let hash = hash_of_file(file).await?;
        let mut upload = self.inner.media.objects.put_multipart(&place(&hash)).await?;
        match copy(file, upload.as_mut()).await {
            Ok(copied) if copied == hash => {
                upload.complete().await?;
                Ok(hash)
            }
            Ok(_) => {
                upload.abort().await?;
                Err(Error::Unreachable(format!("{} changed while it was read", file.display())))
            }
            Err(error) => {
                // The first failure is the one to tell.
                let _ = upload.abort().await;
                Err(error)
            }
        }
    }

    /// All of a sound or picture.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`], or whatever the folder says.
    pub async fn media(&self, hash: &MediaHash) -> Result<Bytes> {
        Ok(self.inner.media.objects.get(&place(hash)).await?.bytes().await?)
    }

    /// How many bytes a sound or picture has.
    ///
    /// # Errors
    ///
    /// As [`Store::media`].
    pub async fn media_size(&self, hash: &MediaHash) -> Result<u64> {
        Ok(self.inner.media.objects.head(&place(hash)).await?.size)
    }

    /// Some bytes of a sound or picture.
    ///
    /// # Errors
    ///
    /// As [`Store::media`].
    pub async fn media_range(&self, hash: &MediaHash, bytes: Range<u64>) -> Result<Bytes> {
        Ok(self.inner.media.objects.get_range(&place(hash), bytes).await?)
    }

    /// A sound or picture block by block, for long ones.
    ///
    /// # Errors
    ///
    /// As [`Store::media`].
    pub async fn media_stream(
        &self,
        hash: &MediaHash,
    ) -> Result<BoxStream<'static, Result<Bytes>>> {
        let found = self.inner.media.objects.get(&place(hash)).await?;
        Ok(found.into_stream().map(|block| block.map_err(Error::from)).boxed())
    }
}

async fn hash_of_file(file: &Path) -> Result<MediaHash> {
    let mut reader = tokio::fs::File::open(file).await?;
    let mut hasher = Sha256::new();
    let mut block = vec![0; BLOCK];
    loop {
        match reader.read(&mut block).await? {
            0 => return Ok(finished(hasher)),
            read => hasher.update(&block[..read]),
        }
    }
}

async fn copy(file: &Path, upload: &mut dyn MultipartUpload) -> Result<MediaHash> {
    let mut reader = tokio::fs::File::open(file).await?;
    let mut hasher = Sha256::new();
    loop {
        let mut block = Vec::with_capacity(BLOCK);
        // A part may be short only at the end.
        if (&mut reader).take(PART as u64).read_to_end(&mut block).await? == 0 {
            return Ok(finished(hasher));
        }
        hasher.update(&block);
        upload.put_part(block.into()).await?;
    }
}
