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

/// The inline module that starts the program on a page that the server gives.
///
/// A page can be read, and its forms sent, without the program. So the program comes once the page is loaded and
/// the browser idle; at once where the phone has it already, or where somebody touches the page or types.
///
/// # Returns  JavaScript for `<script type="module" nonce="…">`; `None` without a bundle.
#[must_use]
pub fn start_script() -> Option<String> {
    names().map(|names| start_when_idle(&names))
}

fn start_when_idle(names: &AssetNames) -> String {
    // House choice: on a page that never falls idle, after 5 s all the same; where the browser cannot say
    // that it is idle, 300 ms after the load.
    format!(
        "let begun=false;\
         const go=async()=>{{if(begun)return;begun=true;{}}},\
         soon=()=>\"requestIdleCallback\"in window?requestIdleCallback(go,{{timeout:5000}}):setTimeout(go,300);\
         for(const touch of[\"pointerdown\",\"keydown\"])addEventListener(touch,go,{{once:true,passive:true}});\
         if(navigator.serviceWorker?.controller)go();\
         else if(document.readyState===\"complete\")soon();else addEventListener(\"load\",soon);",
        start_script_for(names)
    )
}

/// Imports, loads, takes over, then marks the document with `data-program="ready"`, which tests wait for.
fn start_script_for(names: &AssetNames) -> String {
    format!("const m=await import({:?});{}", names.js, load_and_begin(names))
}

/// The module that starts the program in the document that a phone keeps, where no nonce stands for it.
#[must_use]
pub fn start_shell_script() -> Option<String> {
    names().map(|names| start_shell_script_for(&names))
}

/// Under a hash, 'strict-dynamic' lets no module name another by itself, only one that it puts into the
/// document (CSP 3, 8.2); the import then finds it loaded.
fn start_shell_script_for(names: &AssetNames) -> String {
    format!(
        "const s=document.createElement(\"script\");s.type=\"module\";s.src={:?};\
         s.onload=async()=>{{const m=await import(s.src);{}}};document.head.append(s);",
        names.js,
        load_and_begin(names)
    )
}

fn load_and_begin(names: &AssetNames) -> String {
    format!(
        "await m.default({{module_or_path:{:?}}});await m.begin();document.documentElement.dataset.program=\"ready\";",
        names.wasm
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
            r#"const m=await import("/assets/a.js");await m.default({module_or_path:"/assets/b.wasm"});await m.begin();document.documentElement.dataset.program="ready";"#
        );
    }
}
