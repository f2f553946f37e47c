//! Changes to a profile's text that leave every other line of it as it was written.

use super::{document::Document, lines, node::Node};
use std::{fmt, ops::Range};
use thiserror::Error;

/// A change to what stands at a place of a profile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Place, such as `rectifier.type` or `filter[1]`; of a list's end `loads[]`.
    pub path: String,
    /// Entries (`key: value`) or items of a list that take its place; none removes it.
    pub with: Vec<String>,
}

/// Why a profile cannot be changed as it is written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{0}` cannot be changed as it is written")]
pub struct Unchanged(
    /// The place.
    pub String,
);

impl Change {
    /// `with` in the place of what stands at `path`.
    pub fn new(path: impl Into<String>, with: impl IntoIterator<Item = String>) -> Change {
        Change { path: path.into(), with: with.into_iter().collect() }
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let with = self.with.join(" and ");
        match self.path.strip_suffix("[]") {
            _ if self.with.is_empty() => write!(f, "taken out: {}", self.path),
            Some(list) => write!(f, "added to {list}: {with}"),
            None => write!(f, "in the place of {}: {with}", self.path),
        }
    }
}

/// The text of `document` with `changes` made: the lines of each, and no others. Comments within what is changed go with it.
///
/// # Errors
/// A place that is not there, or is written in a way that cannot be told from its neighbours: through an alias, say.
pub fn changed(document: &Document, changes: &[Change]) -> Result<String, Unchanged> {
    let mut text = document.text().to_owned();
    for change in changes {
        text = one(&text, change).ok_or_else(|| Unchanged(change.path.clone()))?;
    }
    Ok(text)
}

fn parse(text: &str) -> Option<Document> {
    Document::parse("", text.as_bytes()).ok()
}

/// One change made, if the tree then is what it was but for that.
fn one(text: &str, change: &Change) -> Option<String> {
    let document = parse(text)?;
    let (list, at_end) = match change.path.strip_suffix("[]") {
        Some(list) => (list, true),
        None => (change.path.as_str(), false),
    };
    let mut wanted = document.root().clone();
    let new = match steps(document.root(), list) {
        Some(mut steps) => {
            let mut with = change.with.clone();
            if at_end {
                let Node::List(items) = node(document.root(), &steps)? else {
                    return None;
                };
                steps.push(items.len().checked_sub(1)?);
                // an item of several lines keeps its own
                let span = span(&document, &steps, true)?.0;
                with.insert(0, text.get(span)?.to_owned());
            }
            let in_list = insert(&mut wanted, &steps, at_end, &change.with)?;
            replaced(&document, &steps, in_list, &with)?
        }
        // a list that is not there yet, at the end of the file
        None if at_end && !list.contains(['.', '[']) => {
            let Node::Map(entries) = &mut wanted else {
                return None;
            };
            entries.push((list.to_owned(), Node::List(items(&change.with)?)));
            let item = |item: &String| format!("  - {item}\n");
            let lines: String = change.with.iter().map(item).collect();
            format!("{}\n\n{list}:\n{lines}", text.trim_end())
        }
        None => return None,
    };
    (parse(&new)?.root() == &wanted).then_some(new)
}

/// What stands at `path` of a tree, such as `filter[1].capacitor`.
pub fn stands<'n>(root: &'n Node, path: &str) -> Option<&'n Node> {
    node(root, &steps(root, path)?)
}

/// The way to `path`.
fn steps(root: &Node, path: &str) -> Option<Vec<usize>> {
    let mut steps = Vec::new();
    for word in path.split(['.', '[']) {
        steps.push(match (node(root, &steps)?, word.strip_suffix(']')) {
            (Node::List(items), Some(index)) => index.parse().ok().filter(|i| *i < items.len())?,
            (Node::Map(entries), None) => entries.iter().position(|(key, _)| key == word)?,
            _ => return None,
        });
    }
    Some(steps)
}

/// What stands at the end of a way.
fn node<'n>(root: &'n Node, steps: &[usize]) -> Option<&'n Node> {
    steps.iter().try_fold(root, |at, step| match at {
        Node::List(items) => items.get(*step),
        Node::Map(entries) => entries.get(*step).map(|(_, value)| value),
        Node::Null | Node::Scalar(_) => None,
    })
}

/// Items of a list, each by itself.
fn items(with: &[String]) -> Option<Vec<Node>> {
    with.iter().map(|text| Some(parse(&braced(text))?.root().clone())).collect()
}

/// Puts `with` in the place of what is at `steps`, or behind it; whether that is an item of a list.
fn insert(root: &mut Node, steps: &[usize], behind: bool, with: &[String]) -> Option<bool> {
    let (last, before) = steps.split_last()?;
    let place = last + usize::from(behind)..last + 1;
    match before.iter().try_fold(root, |at, step| match at {
        Node::List(items) => items.get_mut(*step),
        Node::Map(entries) => entries.get_mut(*step).map(|(_, value)| value),
        Node::Null | Node::Scalar(_) => None,
    })? {
        Node::List(list) => {
            list.splice(place, items(with)?);
            Some(true)
        }
        Node::Map(entries) => {
            let new = with.iter().map(|text| match parse(text)?.root() {
                Node::Map(entries) => entries.first().cloned(),
                _ => None,
            });
            entries.splice(place, new.collect::<Option<Vec<_>>>()?);
            Some(false)
        }
        Node::Null | Node::Scalar(_) => None,
    }
}

/// A mapping of one entry as it stands within brackets.
fn braced(item: &str) -> String {
    let bare = !item.starts_with(['{', '[', '"', '\'']) && item.contains(": ");
    if bare { format!("{{ {item} }}") } else { item.to_owned() }
}

/// Where what is at `steps` stands, key and all, and whether within brackets.
fn span(document: &Document, steps: &[usize], item: bool) -> Option<(Range<usize>, bool)> {
    let text = document.text();
    let offset = |steps: &[usize], at_key| Some(at(text, document.locate(steps, at_key)?));
    let opens = |steps: &[usize]| Some(text.get(offset(steps, false)?..)?.starts_with(['{', '[']));
    let flow = (0..steps.len()).any(|n| opens(&steps[..n]) == Some(true));
    let start = offset(steps, !item)?;
    let mut last = steps.to_vec();
    let mut own = node(document.root(), steps)?;
    // within brackets a mapping of one entry may go without its own
    while let (Node::Map(entries), true, Some(false)) = (own, flow, opens(&last)) {
        own = entries.first().map(|(_, value)| value)?;
        last.push(0);
    }
    let value = offset(&last, false)?;
    let end = match (text.get(value..)?.chars().next()?, own) {
        ('{' | '[' | '"' | '\'', _) => closed(text, value)?,
        (_, Node::Scalar(_) | Node::Null) => plain(text, value, flow),
        _ => below(text, start, matches!(own, Node::List(_))),
    };
    Some((start..end, flow))
}

/// The byte at a line and column.
fn at(text: &str, place: (usize, usize)) -> usize {
    let whole = lines::rest_of_line(text, place);
    // lines borrow from the text
    whole.as_ptr() as usize - text.as_ptr() as usize
}

/// The end of what brackets or quotes enclose.
fn closed(text: &str, start: usize) -> Option<usize> {
    let (mut depth, mut quote, mut before) = (0_usize, None, ' ');
    let mut rest = text.get(start..)?.char_indices();
    while let Some((i, c)) = rest.next() {
        match (quote, c) {
            (Some('"'), '\\') => {
                rest.next();
            }
            (Some(open), c) if open == c => quote = None,
            (Some(_), _) => {}
            (None, '"' | '\'') if !before.is_alphanumeric() => quote = Some(c),
            (None, '{' | '[') => depth += 1,
            (None, '}' | ']') => depth = depth.checked_sub(1)?,
            (None, '#') if before.is_whitespace() => {
                rest.by_ref().find(|(_, c)| lines::is_break(*c));
            }
            _ => {}
        }
        if depth == 0 && quote.is_none() {
            return Some(start + i + c.len_utf8());
        }
        before = c;
    }
    None
}

/// The end of a value without quotes.
fn plain(text: &str, start: usize, flow: bool) -> usize {
    let rest = text.get(start..).unwrap_or_default();
    let stops = |(i, c): &(usize, char)| {
        lines::is_break(*c) || (flow && ",}]".contains(*c)) || rest[*i..].starts_with(" #")
    };
    let end = rest.char_indices().find(stops).map_or(rest.len(), |(i, _)| i);
    start + rest[..end].trim_end().len()
}

/// The end of the lines that belong to what begins in `start`'s line: those indented further.
fn below(text: &str, start: usize, is_list: bool) -> usize {
    let head = line_start(text, start);
    let indent = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let (mut end, mut from, mut base) = (start, head, None);
    for line in text.get(head..).unwrap_or_default().split_inclusive('\n') {
        let words = line.trim();
        let is_item = words.starts_with("- ");
        let empty = base.is_some() && (words.is_empty() || words.starts_with('#'));
        // a list may stand as far out as its key
        let margin = *base.get_or_insert(if is_item { indent(line) } else { start - head });
        let own =
            from == head || indent(line) > margin || (is_list && indent(line) == margin && is_item);
        if !empty && !own {
            break;
        }
        if !empty {
            end = from + line.trim_end().len();
        }
        from += line.len();
    }
    end
}

fn line_start(text: &str, offset: usize) -> usize {
    text.get(..offset).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1)
}

/// The text with `with` in the place of what is at `steps`.
fn replaced(document: &Document, steps: &[usize], item: bool, with: &[String]) -> Option<String> {
    let text = document.text();
    let (Range { start, end }, flow) = span(document, steps, item)?;
    let (before, after) = (text.get(..start)?, text.get(end..)?);
    if let ([], true) = (with, flow) {
        let rest = after.trim_start();
        return Some(match rest.strip_prefix(',') {
            Some(rest) => format!("{before}{}", rest.trim_start()),
            None => {
                let kept = before.trim_end();
                format!("{}{after}", kept.strip_suffix(',').unwrap_or(kept))
            }
        });
    }
    if with.is_empty() {
        let rest = after.find('\n').map_or("", |i| &after[i + 1..]);
        return Some(format!("{}{rest}", &text[..line_start(text, start)]));
    }
    let joined = if flow {
        let all = with.iter().map(|text| if item { braced(text) } else { text.clone() });
        all.collect::<Vec<_>>().join(", ")
    } else {
        let head = &before[line_start(text, start)..];
        let margin = match item {
            true => format!("{}- ", &head[..head.trim_end_matches("- ").len().min(head.len() - 2)]),
            false => " ".repeat(head.chars().count()),
        };
        with.join(&format!("\n{margin}"))
    };
    Some(format!("{before}{joined}{after}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit(text: &str, path: &str, with: &[&str]) -> Option<String> {
        let document = Document::parse("t", text.as_bytes()).unwrap();
        let change = Change::new(path, with.iter().map(|w| (*w).to_owned()));
        changed(&document, &[change]).ok()
    }

    const SET: &str = "# head
set: { name: \"a, {b}\" } # end
filter:
  # first
  - capacitor: { value: 8 µF, rated: 450 V } # kept
  - field_coil:
      lead: negative # inside
      cold: 1 kΩ

  # second
  - capacitor: 16 µF
rectifier:
  type: '80'  # a tube
  fed_by: main
lamps: [{ type: \"#46\", across: tap }, { type: \"#47\" }]
";

    #[test]
    fn only_the_lines_of_the_part_change() {
        let found = edit(SET, "filter[1]", &["choke: { lead: negative }", "resistor: 1 kΩ"]);
        let wanted = SET.replace(
            "  - field_coil:\n      lead: negative # inside\n      cold: 1 kΩ\n",
            "  - choke: { lead: negative }\n  - resistor: 1 kΩ\n",
        );
        assert_eq!(found.as_deref(), Some(wanted.as_str()));
        let found = edit(SET, "rectifier.type", &["type: silicon", "replaces: { tube: '80' }"]);
        let wanted = SET
            .replace("type: '80'  # a tube", "type: silicon\n  replaces: { tube: '80' }  # a tube");
        assert_eq!(found.as_deref(), Some(wanted.as_str()));
        let found = edit(SET, "filter[0].capacitor.value", &["value: 33 µF"]);
        assert_eq!(found, Some(SET.replace("8 µF", "33 µF")));
        let found = edit(SET, "set", &["set: { name: other }"]);
        assert_eq!(found, Some(SET.replace("{ name: \"a, {b}\" }", "{ name: other }")));
    }

    #[test]
    fn parts_go_and_come() {
        let found = edit(SET, "filter[1]", &[]);
        let gone = "  - field_coil:\n      lead: negative # inside\n      cold: 1 kΩ\n";
        assert_eq!(found, Some(SET.replace(gone, "")));
        assert_eq!(
            edit(SET, "lamps[0]", &[]),
            Some(SET.replace("{ type: \"#46\", across: tap }, ", ""))
        );
        assert_eq!(edit(SET, "lamps[1]", &[]), Some(SET.replace(", { type: \"#47\" }", "")));
        assert_eq!(edit(SET, "lamps", &[]), SET.split_once("lamps").map(|(t, _)| t.to_owned()));
        let wanted = SET.replace("- capacitor: 16 µF\n", "- capacitor: 16 µF\n  - resistor: 1 Ω\n");
        assert_eq!(edit(SET, "filter[]", &["resistor: 1 Ω"]), Some(wanted));
        let wanted = SET.replace("\"#47\" }]", "\"#47\" }, { type: 46 }]");
        assert_eq!(edit(SET, "lamps[]", &["type: 46"]), Some(wanted));
        let wanted = format!("{SET}\nloads:\n  - {{ name: bleeder }}\n");
        assert_eq!(edit(SET, "loads[]", &["{ name: bleeder }"]), Some(wanted));
    }

    #[test]
    fn a_list_in_one_line_keeps_its_pairs() {
        let text = "filter: [capacitor: 8 µF, choke: { cold: 1 Ω }, capacitor: 16 µF] # end\n";
        let found = edit(text, "filter[1]", &["resistor: 1 Ω"]);
        assert_eq!(found, Some(text.replace("choke: { cold: 1 Ω }", "{ resistor: 1 Ω }")));
        let found = edit(text, "filter[2].capacitor", &["capacitor: 33 µF"]);
        assert_eq!(found, Some(text.replace("16 µF", "33 µF")));
        assert_eq!(edit(text, "filter[1]", &[]), Some(text.replace("choke: { cold: 1 Ω }, ", "")));
    }

    #[test]
    fn what_cannot_be_told_apart_is_left() {
        let text = "a: &x { b: 1 }\nc: *x\n";
        assert_eq!(edit(text, "c.b", &["b: 2"]), None);
        assert_eq!(edit(text, "d", &["d: 2"]), None);
        assert_eq!(edit("a: [1,\n  2]\n", "a[7]", &[]), None);
    }
}
