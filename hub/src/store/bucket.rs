//! Photos in a bucket that speaks the S3 protocol.
//!
//! `s3://bucket/prefix`; keys, region and endpoint come from the usual variables (`AWS_ACCESS_KEY_ID` and its kin).

use std::sync::Arc;

use object_store::aws::{AmazonS3, AmazonS3Builder};
use object_store::path::Path;
use object_store::{ObjectStore, ObjectStoreExt};

use super::{Result, Trouble, is_sha256};

#[derive(Clone)]
pub struct Bucket {
    store: Arc<AmazonS3>,
    prefix: String,
}

impl Bucket {
    pub fn open(url: &str) -> Result<Self> {
        let rest = url.strip_prefix("s3://").filter(|rest| !rest.is_empty() && !rest.starts_with('/'));
        let rest = rest.ok_or_else(|| Trouble::Told("--photos takes s3://bucket or s3://bucket/folder.".into()))?;
        let (bucket, prefix) = rest.split_once('/').unwrap_or((rest, ""));
        Self::over(AmazonS3Builder::from_env().with_bucket_name(bucket), prefix)
    }

    /// That of a builder, with what else it was told.
    pub fn over(builder: AmazonS3Builder, prefix: &str) -> Result<Self> {
        // The client takes the process's own cryptography; a second call finds it set already.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let store = Arc::new(builder.build().map_err(told)?);
        Ok(Self { store, prefix: prefix.trim_matches('/').to_owned() })
    }

    fn path(&self, name: &str) -> Path {
        Path::from(format!("{}/{name}", self.prefix))
    }

    pub async fn get(&self, name: &str) -> Result<Option<Vec<u8>>> {
        match self.store.get(&self.path(name)).await {
            Ok(found) => Ok(Some(found.bytes().await.map_err(told)?.to_vec())),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(error) => Err(told(error)),
        }
    }

    pub async fn size(&self, name: &str) -> Result<Option<u64>> {
        match self.store.head(&self.path(name)).await {
            Ok(about) => Ok(Some(about.size)),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(error) => Err(told(error)),
        }
    }

    pub async fn put(&self, name: &str, bytes: Vec<u8>) -> Result<()> {
        self.store.put(&self.path(name), bytes.into()).await.map_err(told)?;
        Ok(())
    }

    pub async fn names(&self) -> Result<Vec<String>> {
        let prefix = Path::from(self.prefix.as_str());
        let listed = self.store.list_with_delimiter(Some(&prefix)).await.map_err(told)?;
        let names = listed.objects.iter().filter_map(|about| about.location.filename());
        let mut names: Vec<String> = names.filter(|name| is_sha256(name)).map(str::to_owned).collect();
        names.sort();
        Ok(names)
    }
}

fn told(error: object_store::Error) -> Trouble {
    Trouble::Told(format!("The bucket can't do it: {error}."))
}
