//! The files of the page itself: a table made at start, so that no request ever names a
//! file on disk.

use std::borrow::Cow;
use std::collections::BTreeMap;
#[cfg(any(not(feature = "page"), test))]
use std::path::Path;
use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};

use super::PageError;
use super::answer::ApiError;
use super::guard::method_not_allowed;
use calotte_files::sha256;

/// Files that carry a hash in their name never change.
const HASHED: &str = "assets/";
/// Third-party notices, as the build of the page writes them, and as they are served.
const LICENCES: (&str, &str) = (".vite/license.md", "licences.txt");
/// Most bytes of a built page, for a folder that is not one.
#[cfg(any(not(feature = "page"), test))]
const PAGE_MAX: u64 = 64 << 20;

#[cfg(feature = "page")]
mod embedded {
    include!(concat!(env!("OUT_DIR"), "/assets.rs"));
}

/// One file of the page.
struct Asset {
    bytes: Cow<'static, [u8]>,
    content_type: &'static str,
    tag: HeaderValue,
}

/// The files of the page by their path without the leading slash.
pub(crate) struct Assets(BTreeMap<String, Asset>);

impl Assets {
    /// The page as it was embedded.
    #[cfg(feature = "page")]
    pub(crate) fn load() -> Result<Arc<Self>, PageError> {
        let mut assets = Self(BTreeMap::new());
        for (path, bytes) in embedded::FILES {
            assets.add(path, Cow::Borrowed(bytes));
        }
        Ok(Arc::new(assets))
    }

    /// The page from the folder that `CALOTTE_PAGE_DIR` names, or one sentence instead.
    #[cfg(not(feature = "page"))]
    pub(crate) fn load() -> Result<Arc<Self>, PageError> {
        match std::env::var_os("CALOTTE_PAGE_DIR") {
            Some(folder) => Self::from_folder(Path::new(&folder)),
            None => {
                let mut assets = Self(BTreeMap::new());
                assets.add("index.html", Cow::Borrowed(NOT_BUILT.as_bytes()));
                Ok(Arc::new(assets))
            }
        }
    }

    /// A built page, read whole.
    #[cfg(any(not(feature = "page"), test))]
    pub(crate) fn from_folder(folder: &Path) -> Result<Arc<Self>, PageError> {
        let failed = |reason: String| PageError::Assets {
            folder: folder.to_path_buf(),
            reason,
        };
        let mut assets = Self(BTreeMap::new());
        let mut left = PAGE_MAX;
        let mut waiting = vec![folder.to_path_buf()];
        while let Some(place) = waiting.pop() {
            for entry in std::fs::read_dir(&place).map_err(|e| failed(e.to_string()))? {
                let entry = entry.map_err(|e| failed(e.to_string()))?;
                let kind = entry.file_type().map_err(|e| failed(e.to_string()))?;
                let path = entry.path();
                if kind.is_dir() {
                    waiting.push(path);
                    continue;
                }
                let size = entry.metadata().map_err(|e| failed(e.to_string()))?.len();
                left = left
                    .checked_sub(size)
                    .ok_or_else(|| failed(format!("holds more than {} MiB", PAGE_MAX >> 20)))?;
                let bytes = std::fs::read(&path).map_err(|e| failed(e.to_string()))?;
                assets.add(&slashed(&path, folder), Cow::Owned(bytes));
            }
        }
        if !assets.0.contains_key("index.html") {
            return Err(failed("has no index.html".to_owned()));
        }
        Ok(Arc::new(assets))
    }

    fn add(&mut self, path: &str, bytes: Cow<'static, [u8]>) {
        let name = if path == LICENCES.0 { LICENCES.1 } else { path };
        // What else a build leaves in hidden files is not for readers.
        if name.split('/').any(|part| part.starts_with('.')) {
            return;
        }
        let Ok(tag) = HeaderValue::from_str(&format!("\"{}\"", &sha256(&bytes)[..32])) else {
            return;
        };
        let asset = Asset {
            content_type: content_type(name),
            bytes,
            tag,
        };
        self.0.insert(name.to_owned(), asset);
    }
}

#[cfg(not(feature = "page"))]
const NOT_BUILT: &str = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>calotte</title><p>This program was built without its page. Build the page with <code>npm ci</code> and <code>npm run build</code> in <code>crates/calotte-page/web</code>, set <code>CALOTTE_PAGE_DIR</code> to the folder <code>dist</code> that appears there, and start again.</p></html>\n";

/// A path below a folder, with slashes on every system.
#[cfg(any(not(feature = "page"), test))]
fn slashed(path: &Path, folder: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
    parts.join("/")
}

/// Answers with a file of the page, or 404.
pub(crate) async fn asset(State(assets): State<Arc<Assets>>, request: Request) -> Response {
    let path = request.uri().path();
    let name = match path.strip_prefix('/').unwrap_or(path) {
        "" => "index.html",
        name => name,
    };
    let Some(asset) = assets.0.get(name) else {
        return not_found(path).into_response();
    };
    if ![Method::GET, Method::HEAD].contains(request.method()) {
        return method_not_allowed().into_response();
    }
    let known = request
        .headers()
        .get_all(IF_NONE_MATCH)
        .iter()
        .any(|tag| tag == asset.tag);
    let caching = if name.starts_with(HASHED) {
        "private, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let headers = [
        (CONTENT_TYPE, HeaderValue::from_static(asset.content_type)),
        (CACHE_CONTROL, HeaderValue::from_static(caching)),
        (ETAG, asset.tag.clone()),
    ];
    if known {
        return (StatusCode::NOT_MODIFIED, headers).into_response();
    }
    let body = match &asset.bytes {
        Cow::Borrowed(bytes) => Body::from(*bytes),
        Cow::Owned(bytes) => Body::from(bytes.clone()),
    };
    (headers, body).into_response()
}

/// Status 404 for an address that holds nothing.
fn not_found(path: &str) -> ApiError {
    let hint = if path.starts_with("/api/") {
        "page and program may be of different versions: reload the page"
    } else {
        "the page is at /"
    };
    ApiError::refused(
        StatusCode::NOT_FOUND,
        "nothing there",
        "nothing is at this address",
    )
    .hint(hint)
}

/// The media type by the end of the name.
fn content_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map_or("", |(_, end)| end) {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" | "map" => "application/json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "webp" => "image/webp",
        "woff2" => "font/woff2",
        "txt" | "md" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_built_page_is_read_from_a_folder() {
        let place = tempfile::tempdir().unwrap();
        let write = |path: &str| {
            let path = place.path().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, path.to_string_lossy().as_bytes()).unwrap();
        };
        let told = Assets::from_folder(place.path()).err().unwrap().to_string();
        assert!(told.contains("index.html"), "{told}");
        for path in [
            "index.html",
            "assets/a-1.js",
            ".vite/license.md",
            ".vite/other.json",
        ] {
            write(path);
        }
        let assets = Assets::from_folder(place.path()).unwrap();
        let names: Vec<&str> = assets.0.keys().map(String::as_str).collect();
        assert_eq!(names, ["assets/a-1.js", "index.html", "licences.txt"]);
        let type_of = |name: &str| assets.0[name].content_type;
        assert_eq!(type_of("assets/a-1.js"), "text/javascript; charset=utf-8");
        assert_eq!(type_of("licences.txt"), "text/plain; charset=utf-8");
        assert!(Assets::from_folder(&place.path().join("no-such-folder")).is_err());
    }

    /// The entry of the embedded page.
    #[cfg(feature = "page")]
    fn entry(assets: &Assets) -> String {
        String::from_utf8(assets.0["index.html"].bytes.to_vec()).unwrap()
    }

    /// What the entry loads: the values of its attributes `src` and `href`.
    #[cfg(feature = "page")]
    fn loaded(entry: &str) -> Vec<&str> {
        [" src=\"", "\nsrc=\"", " href=\"", "\nhref=\""]
            .iter()
            .flat_map(|start| entry.split(start).skip(1))
            .map(|rest| rest.split('"').next().unwrap())
            .collect()
    }

    /// The embedded page is whole: every file that its entry names is there, and so are
    /// the notices of the packages in it.
    #[cfg(feature = "page")]
    #[test]
    fn the_embedded_page_is_whole() {
        let assets = Assets::load().unwrap();
        let entry = entry(&assets);
        let named: Vec<&str> = loaded(&entry)
            .into_iter()
            .filter(|value| !value.starts_with("data:"))
            .collect();
        assert!(named.iter().any(|name| name.ends_with(".js")), "{entry}");
        for name in named {
            let file = name.strip_prefix('/').unwrap();
            assert!(assets.0.contains_key(file), "{name}");
        }
        let notices = String::from_utf8_lossy(&assets.0["licences.txt"].bytes).into_owned();
        assert!(notices.contains("svelte") && notices.contains("MIT"));
    }

    /// The policy of the server allows no script or style inside the page, and nothing
    /// from elsewhere.
    #[cfg(feature = "page")]
    #[test]
    fn the_embedded_page_keeps_to_the_policy() {
        let assets = Assets::load().unwrap();
        let entry = entry(&assets);
        assert!(!entry.contains("<style") && !entry.contains(" style="));
        for script in entry.split("<script").skip(1) {
            assert!(
                script.split('>').next().unwrap().contains(" src="),
                "{entry}"
            );
        }
        for value in loaded(&entry) {
            let own = value.starts_with('/') && !value.starts_with("//");
            assert!(own || value.starts_with("data:image/"), "{value}");
        }
    }
}
