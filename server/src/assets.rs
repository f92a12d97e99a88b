//! The browser bundle inside the binary: looked up by name, never read from a disk.
//!
//! `build.rs` writes the table from what `cargo xtask bundle` left. A build without a bundle has an
//! empty table: pages then carry no script and no style sheet and still work as plain HTML.
//!
//! What this does not do: answer requests; that is [`crate::routes::assets`].

/// One file of the bundle.
#[derive(Debug)]
pub struct Asset {
    /// Where it is served: `/assets/tripoise-….js`, `/sw.js`.
    pub path: &'static str,
    /// Its media type.
    pub content_type: &'static str,
    /// Whether the path carries the hash of the content, so that it may be kept for ever.
    pub immutable: bool,
    /// The first 16 hexadecimal digits of the content's SHA-256.
    pub hash: &'static str,
    /// The content.
    pub bytes: &'static [u8],
    /// The same, compressed with brotli, where that is smaller.
    pub brotli: Option<&'static [u8]>,
}

/// Where a page finds the program and its style.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct AssetNames {
    /// The JavaScript module that loads the program.
    pub js: &'static str,
    /// The program.
    pub wasm: &'static str,
    /// The style sheet.
    pub css: &'static str,
    /// The decoder of QR symbols, which only a page with a camera loads.
    pub decoder: &'static str,
}

include!(concat!(env!("OUT_DIR"), "/bundle.rs"));

/// The paths that a page's head names; `None` where this binary was built without a bundle.
#[must_use]
pub fn names() -> Option<AssetNames> {
    NAMES
}

/// Names this build of the bundle: changes when any file of it changes. Empty without a bundle.
#[must_use]
pub fn build_id() -> &'static str {
    BUILD_ID
}

/// Every file of the bundle, in the order of their paths.
#[must_use]
pub fn all() -> &'static [Asset] {
    ASSETS
}

/// The file served at `path`.
#[must_use]
pub fn find(path: &str) -> Option<&'static Asset> {
    ASSETS.binary_search_by(|asset| asset.path.cmp(path)).ok().map(|found| &ASSETS[found])
}

/// The inline module that starts the program on a page: imports, loads, hydrates, then marks the
/// document with `data-program="ready"`, which tests wait for.
///
/// # Returns  JavaScript for `<script type="module" nonce="…">`; `None` without a bundle.
#[must_use]
pub fn start_script() -> Option<String> {
    names().map(|names| start_script_for(&names))
}

fn start_script_for(names: &AssetNames) -> String {
    format!(
        "import start,{{hydrate}} from {:?};await start({{module_or_path:{:?}}});hydrate();\
         document.documentElement.dataset.program=\"ready\";",
        names.js, names.wasm
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_is_found_under_its_path_and_nothing_else_is() {
        for asset in all() {
            assert_eq!(find(asset.path).map(|found| found.hash), Some(asset.hash));
            if let Some(brotli) = asset.brotli {
                assert!(brotli.len() < asset.bytes.len(), "{} grew", asset.path);
            }
        }
        assert!(find("/assets/").is_none());
        assert!(find("").is_none());
    }

    #[test]
    fn a_bundle_has_a_program_and_a_build_id_or_there_is_none() {
        assert_eq!(names().is_none(), build_id().is_empty());
        if let Some(names) = names() {
            for path in [names.js, names.wasm, names.css, names.decoder] {
                assert!(find(path).is_some_and(|asset| asset.immutable), "{path} is missing");
            }
        }
    }

    #[test]
    fn the_start_script_names_both_files() {
        let names = AssetNames {
            js: "/assets/a.js",
            wasm: "/assets/b.wasm",
            css: "/assets/c.css",
            decoder: "/assets/d.wasm",
        };
        assert_eq!(
            start_script_for(&names),
            r#"import start,{hydrate} from "/assets/a.js";await start({module_or_path:"/assets/b.wasm"});hydrate();document.documentElement.dataset.program="ready";"#
        );
    }
}
