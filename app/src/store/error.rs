//! What can go wrong with keeping things, each as a sentence that says what is safe and what to do.

use std::fmt;

use wasm_bindgen::{JsCast, JsValue};

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StoreError {
    /// No room left on the device.
    Full,
    /// Another tab holds an older version of the database open.
    Blocked,
    /// A newer version of the app has been here.
    Newer,
    /// The browser dropped the connection, and again after reopening.
    Lost,
    /// The browser offers no storage at all, as in some private windows.
    Private,
    /// What is stored can't be read; it is left as it is.
    Damaged(String),
    /// Anything else, with the browser's or the core's words.
    Other(String),
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Full => {
                "There is no room left on this device, so this was not saved. Everything saved before is safe. \
                 Free some room, or delete finds you no longer need, and save again."
            }
            Self::Blocked => {
                "Tailplate is open in another tab with an older version. Everything saved is safe. \
                 Close the other tabs and reload this one."
            }
            Self::Newer => {
                "A newer Tailplate has written to this device. Everything saved is safe. \
                 Reload this page to get the newer version."
            }
            Self::Lost => {
                "The browser lost its connection to the storage, so this was not saved. Everything saved before is \
                 safe. Close Tailplate, open it again and save once more."
            }
            Self::Private => {
                "This browser window keeps nothing: it is private, or storage is switched off. You can identify \
                 reels here, but not save them. Open Tailplate in an ordinary window to keep finds."
            }
            Self::Damaged(why) | Self::Other(why) => why,
        })
    }
}

impl std::error::Error for StoreError {}

impl StoreError {
    /// Reads a browser's exception by its name.
    pub(super) fn from_js(value: &JsValue) -> Self {
        let Some(exception) = value.dyn_ref::<web_sys::DomException>() else {
            return Self::Other(
                "The browser's storage failed without saying why. Nothing was saved; try again.".into(),
            );
        };
        let message = exception.message();
        match exception.name().as_str() {
            "QuotaExceededError" => Self::Full,
            "VersionError" => Self::Newer,
            "SecurityError" | "NotSupportedError" => Self::Private,
            // A handle that closed under us, a transaction the browser threw away, WebKit's lost server.
            "InvalidStateError" | "AbortError" | "UnknownError" | "TransactionInactiveError" => Self::Lost,
            name => Self::Other(format!("The browser's storage refused this ({name}: {message}). Nothing was saved.")),
        }
    }
}

impl From<idb::Error> for StoreError {
    fn from(error: idb::Error) -> Self {
        use idb::Error as E;
        match &error {
            E::DomException(exception) => Self::from_js(exception),
            E::IndexedDbNotFound(_) => Self::Private,
            E::AddFailed(js)
            | E::UpdateFailed(js)
            | E::DeleteFailed(js)
            | E::GetFailed(js)
            | E::GetAllFailed(js)
            | E::GetAllKeysFailed(js)
            | E::TransactionOpenFailed(js)
            | E::ObjectStoreNotFound(js)
            | E::ObjectStoreCreateFailed(js)
            | E::IndexCreateFailed(js)
            | E::IndexNotFound(js)
            | E::IndexedDbOpenFailed(js) => Self::from_js(js),
            _ => Self::Other(format!("The browser's storage failed: {error}. Nothing was saved; try again.")),
        }
    }
}

impl From<tailplate_core::Error> for StoreError {
    fn from(error: tailplate_core::Error) -> Self {
        Self::Other(error.to_string())
    }
}
