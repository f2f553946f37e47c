//! The profiles that come with the program, held in it: whoever has the program alone has them too.

use super::{document::Document, read::read, whole::SetInfo};

/// Files of `profiles/` by their names.
macro_rules! shipped {
    ($($name:literal)+) => {
        /// Name and text of each, in order of name.
        pub const SHIPPED: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../profiles/", $name, ".yaml")))),+];
    };
}

shipped! {
    "choke-input-1931"
    "console-1936"
    "european-1954"
    "half-wave-1951"
    "lead-resistor-1935"
    "line-cord-1936"
    "little-known-universal"
    "little-known"
    "mantel-1938"
    "mantel-1938-done"
    "speaker-supply-1934"
    "string-ballast-1937"
    "string-barretter-1936"
    "string-branches-1941"
    "string-dropper-1949"
    "string-two-diodes-1935"
    "table-1948"
    "universal-1947"
}

/// The name of each, and what it says of its set's identity.
pub fn shipped_sets() -> Vec<(&'static str, SetInfo)> {
    let set = |(name, text): &(&'static str, &str)| {
        let document = Document::parse(name, text.as_bytes()).ok()?;
        Some((*name, read(&document).ok()?.0.set))
    };
    SHIPPED.iter().filter_map(set).collect()
}
