//! Where a shop can be kept: on the computer's own disk, or on PostgreSQL and in a bucket.

use std::process::Command;

use tailplate_hub::store::Places;

use crate::folder::{Folder, unique};
use crate::servers;

/// A fresh, empty place for a shop; gone when the test is done.
pub struct Kept {
    /// The app, the log, and the shop unless it is kept elsewhere.
    pub folder: Folder,
    database: Option<Database>,
    bucket: Option<String>,
}

impl Kept {
    /// SQLite and a folder.
    pub fn here(name: &str) -> Self {
        Self { folder: Folder::new(name), database: None, bucket: None }
    }

    /// PostgreSQL and a bucket; none if they are not installed.
    pub fn outgrown(name: &str) -> Option<Self> {
        let database = Database::make(servers::postgres()?, name);
        let (_, bucket) = servers::bucket()?;
        let bucket = format!("s3://{bucket}/{}", database.name);
        Some(Self { folder: Folder::new(name), database: Some(database), bucket: Some(bucket) })
    }

    /// All there are.
    pub fn each(name: &str) -> impl Iterator<Item = Self> {
        [Some(Self::here(name)), Self::outgrown(name)].into_iter().flatten()
    }

    pub fn is_outgrown(&self) -> bool {
        self.database.is_some()
    }

    pub fn places(&self) -> Places {
        let database = self.database.as_ref().map(|database| database.url.clone());
        Places { data: self.folder.data(), database, photos: self.bucket.clone() }
    }

    /// The program, told where this shop is.
    pub fn program(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tailplate"));
        command.args(words).arg("--data").arg(self.folder.data());
        if let Some(database) = &self.database {
            command.args(["--database", &database.url]);
        }
        if let Some(bucket) = &self.bucket {
            let (url, _) = servers::bucket().expect("there was one for its address");
            command.args(["--photos", bucket]).env("AWS_ENDPOINT", url).env("AWS_ALLOW_HTTP", "true");
            command.env("AWS_ACCESS_KEY_ID", servers::BUCKET_KEY).env("AWS_SECRET_ACCESS_KEY", servers::BUCKET_KEY);
        }
        command
    }
}

struct Database {
    server: &'static str,
    name: String,
    url: String,
}

impl Database {
    fn make(server: &'static str, name: &str) -> Self {
        let name = unique(&name.replace('-', "_"));
        administer(server, format!("CREATE DATABASE {name}"));
        let url = format!("{}/{name}", server.rsplit_once('/').unwrap().0);
        Self { server, name, url }
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        administer(self.server, format!("DROP DATABASE {} WITH (FORCE)", self.name));
    }
}

/// In a thread of its own, since the test may be within a runtime already.
fn administer(server: &'static str, statement: String) {
    let work = async move {
        sqlx::any::install_default_drivers();
        let pool = sqlx::AnyPool::connect(server).await.unwrap();
        sqlx::query(sqlx::AssertSqlSafe(statement)).execute(&pool).await.unwrap();
        pool.close().await;
    };
    std::thread::spawn(|| tokio::runtime::Runtime::new().unwrap().block_on(work)).join().unwrap();
}
