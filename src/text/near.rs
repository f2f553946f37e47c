//! Words that a misspelt one may have meant.

/// Longest word, in bytes, for which near ones are looked for.
const LONGEST_COMPARED: usize = 48;

/// A word as it is compared: whatever its case, and whether it is joined by hyphens, blanks or lines below.
pub fn plain(word: &str) -> String {
    word.to_lowercase().replace(['-', ' '], "_")
}

/// The known words most like this one, the nearest first.
pub fn near<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Vec<&'k str> {
    if word.len() > LONGEST_COMPARED {
        return Vec::new();
    }
    let wanted = plain(word);
    let limit = match wanted.chars().count() {
        0..=3 => 1,
        4..=7 => 2,
        _ => 3,
    };
    let far = |known: &&str| strsim::damerau_levenshtein(&wanted, &plain(known));
    let mut all: Vec<&str> = known.into_iter().filter(|known| far(known) <= limit).collect();
    all.sort_by_key(far);
    all
}
