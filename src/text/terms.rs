//! Terms with what they mean, as a list in a document has them.

/// How the line of a term begins.
const TERM: &str = "- **";

/// The terms of a document, `- **term**: what it means.` each; a line that begins with blanks goes on with the one before.
pub fn terms(document: &'static str) -> Vec<(&'static str, String)> {
    let mut all: Vec<(&str, String)> = Vec::new();
    for line in document.lines() {
        match (line.strip_prefix(TERM).and_then(|rest| rest.split_once("**")), all.last_mut()) {
            (Some((term, means)), _) => {
                all.push((term, means.trim_start_matches(':').trim().to_owned()));
            }
            (None, Some((_, means))) if line.starts_with("  ") => {
                *means += &format!(" {}", line.trim());
            }
            (None, _) => {}
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::terms;

    #[test]
    fn a_term_goes_on_in_lines_that_begin_with_blanks() {
        let found = terms("# A\n\n- **b c**: one\n  two.\n\nThree.\n- **d**\n");
        assert_eq!(found, [("b c", "one two.".to_owned()), ("d", String::new())]);
    }
}
