//! Explains why YAML text could not be read, in the words of someone writing a profile.

use super::{
    lines::{lines, rest_of_line, within},
    node::{MAX_DEPTH, MAX_NODES, MAX_TEXT},
    problem::{Problem, quoted},
    walk::Refusal,
    yaml::{YamlError, documents},
};
use serde::{Deserialize, de::IgnoredAny};

/// Turns a parser's error, or a walk's own refusal, into a located problem.
pub(crate) fn explain(text: &str, error: &YamlError, refusal: Option<Refusal>) -> Problem {
    let place = error.location();
    let place = place.map(|at| within(text, (at.line(), at.column())));
    if let Some(refusal) = refusal {
        let (found, advice) = refused(&refusal);
        return Problem::in_file(place, found, advice);
    }
    let message = error.to_string();
    if message.contains("more than one document") {
        return match (second_document(text), error_after_first(text)) {
            // what follows a finished document may simply be unreadable
            (None, Some(error)) => explain(text, &error, None),
            (place, _) => Problem::in_file(
                place,
                "a second document starts here; a profile file holds one",
                "keep one document per file and remove the other \"---\" and \"...\" lines",
            ),
        };
    }
    if message.contains("invalid value: ") {
        // only a standard tag, such as `!!int`, makes the parser judge a value
        return Problem::in_file(
            place,
            "the value does not fit the tag before it",
            "remove the tag; tags are not used in a profile",
        );
    }
    let here = place.map(|place| rest_of_line(text, place)).unwrap_or("");
    let (problem, context) = match message.split_once(", while ") {
        Some((problem, context)) => (problem, context),
        None => (message.as_str(), ""),
    };
    let opened = place_in(context);
    let problem = bare(problem);
    // what is open before the end is told as such
    let within_value = context.contains("flow") || context.contains("quoted");
    if let Some(place) = place.filter(|(line, _)| !within_value && is_end(text, *line)) {
        return Problem::in_file(
            Some(place),
            "three dots end a profile, and stand alone at the beginning of its last line",
            "remove this line; a profile needs none to end it",
        );
    }
    let (found, advice) = parser(problem, context, opened, here);
    // what is never closed is best looked at where it opens
    let place = if is_unclosed_quote(problem, context) || problem == "could not find expected ':'" {
        opened.or(place)
    } else {
        place
    };
    Problem::in_file(place, found, advice)
}

/// Whether this line, from 1, begins with the mark by which a document ends.
fn is_end(text: &str, line: usize) -> bool {
    lines(text).nth(line - 1).is_some_and(|line| line.trim_start().starts_with("..."))
}

/// The line where a second document of the stream starts.
fn second_document(text: &str) -> Option<(usize, usize)> {
    let (mut begun, mut ended) = (false, false);
    for (index, line) in lines(text).enumerate() {
        let marker = |mark: &str| {
            line.strip_prefix(mark)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t']))
        };
        let blank = line.trim().is_empty() || line.trim_start().starts_with('#');
        if marker("---") {
            if begun {
                return Some((index + 1, 1));
            }
            begun = true;
        } else if marker("...") {
            ended = true;
        } else if !blank && ended {
            return Some((index + 1, 1));
        } else if !blank && !line.starts_with('%') {
            begun = true;
        }
    }
    None
}

/// The parser's error in what follows the first document.
fn error_after_first(text: &str) -> Option<YamlError> {
    let second = documents(text).nth(1)?;
    IgnoredAny::deserialize(second).err()
}

fn refused(refusal: &Refusal) -> (String, String) {
    let (found, advice) = match refusal {
        Refusal::TooDeep => (
            format!("lists and blocks of keys are nested more than {MAX_DEPTH} deep here"),
            "write the file flatter; an alias must not lie inside what it repeats",
        ),
        Refusal::TooManyNodes => (
            format!("the file holds more than {MAX_NODES} keys and values"),
            "shorten it; what an alias repeats counts each time",
        ),
        Refusal::TooMuchText => (
            format!("the file's values hold more than {} KiB of text", MAX_TEXT / 1024),
            "shorten it; what an alias repeats counts each time",
        ),
        Refusal::Tag(tag) => (
            format!(
                "a tag, {}, stands here; tags are not used",
                quoted(&format!("!{}", tag.trim_start_matches('!')))
            ),
            "remove the tag, or put the value in quotes if it begins with \"!\"",
        ),
        Refusal::KeyNotText(kind) => (
            format!("a {kind} is used as a key"),
            "write a plain word before the \":\"; quote a value that begins with \"[\" or \"{\"",
        ),
    };
    (found, advice.to_owned())
}

/// The parser's complaint without the place at its end.
fn bare(problem: &str) -> &str {
    let end = [" at line ", " at position "]
        .iter()
        .filter_map(|mark| problem.rfind(mark))
        .min()
        .unwrap_or(problem.len());
    &problem[..end]
}

/// The place named at the end of the parser's context, such as `... at line 3 column 5`.
fn place_in(context: &str) -> Option<(usize, usize)> {
    let (_, place) = context.rsplit_once(" at line ")?;
    let (line, column) = place.split_once(" column ")?;
    Some((line.parse().ok()?, column.parse().ok()?))
}

/// Complaints of the parser: their beginnings, what is found (with the place where `{since}` opened) and what to write.
const COMPLAINTS: [(&str, &str, &str); 14] = [
    (
        "mapping values are not allowed in this context",
        "a second \":\" stands in the same line, or this line is indented too far",
        "put a value that holds \": \" in quotes; give each key its own line",
    ),
    (
        "could not find expected ':'",
        "this is not followed by a \":\", though a key is wanted here",
        "write \"key: value\"; text over several lines is indented below its key",
    ),
    (
        "did not find expected key",
        "this does not fit what stands before it",
        "give keys that belong together the same indent; let quote marks enclose a whole value",
    ),
    (
        "did not find expected <document start>",
        "this does not fit what stands before it",
        "give keys that belong together the same indent; let quote marks enclose a whole value",
    ),
    (
        "did not find expected '-' indicator",
        "this line does not go on with the list{since}",
        "begin each item with \"- \" at the same indent, or move the line out of the list",
    ),
    (
        "block sequence entries are not allowed in this context",
        "a list item cannot begin here",
        "put the first \"- \" on a line of its own below the key",
    ),
    (
        "mapping keys are not allowed in this context",
        "a key cannot begin here",
        "give each key a line of its own; quote a value that begins with \"? \"",
    ),
    (
        "did not find expected ',' or ']'",
        "the list in brackets{since} is not closed before this",
        "put \",\" between the items and \"]\" at the end",
    ),
    (
        "did not find expected ',' or '}'",
        "the block in braces{since} is not closed before this",
        "put \",\" between the entries and \"}\" at the end",
    ),
    (
        "did not find expected node content",
        "a value is missing here",
        "write a value, or quote one that begins with a bracket, brace or comma",
    ),
    (
        "unknown anchor",
        "an alias names something that is not marked before it",
        "mark the value with \"&name\" further up, or quote a value that begins with \"*\"",
    ),
    (
        "did not find expected alphabetic or numeric character",
        "a name is missing after \"&\" or \"*\"",
        "put a value that begins with \"&\" or \"*\" in quotes",
    ),
    (
        "found unknown escape character",
        "a text in double quotes holds an unknown \"\\\" escape",
        "write \"\\\\\" for the backslash itself, or use single quotes",
    ),
    (
        "repetition limit exceeded",
        "aliases repeat too much of the file",
        "write the values out instead of repeating them by alias",
    ),
];

/// Complaints known by what the parser was at: a word of that, what is found and what to write.
const CONTEXTS: [(&str, &str, &str); 3] = [
    (
        "directive",
        "a line that begins with \"%\" is an order to the parser, and not a known one",
        "remove the line, or put the value in quotes",
    ),
    (
        "block scalar",
        "the text after \"|\" or \">\" does not begin properly",
        "begin it on the next line, indented; quote a value that begins with \"|\" or \">\"",
    ),
    (
        " tag",
        "this is not readable as a tag: {problem}",
        "put a value that begins with \"!\" in quotes",
    ),
];

/// A sentence and advice for one of the parser's complaints.
fn parser(
    problem: &str,
    context: &str,
    opened: Option<(usize, usize)>,
    here: &str,
) -> (String, String) {
    let cannot_start = problem == "found character that cannot start any token";
    let (found, advice) = if problem.contains("tab character")
        || cannot_start && here.starts_with('\t')
    {
        ("a tab is used to indent", "indent with blanks; two per level are usual")
    } else if cannot_start && !here.is_empty() {
        ("a value cannot begin with {first}", "put the value in quotes")
    } else if cannot_start {
        ("a value cannot begin here", "put the value in quotes")
    } else if is_unclosed_quote(problem, context) {
        ("the quoted text that opens here is not closed", "put the closing quote mark at its end")
    } else {
        let known = COMPLAINTS.iter().find(|(complaint, ..)| *complaint == problem);
        let known = known.or_else(|| CONTEXTS.iter().find(|(word, ..)| context.contains(word)));
        known.map_or(
            (
                "the file is not readable as YAML here: {problem}",
                "check indentation, quotes and brackets on this line and the one before",
            ),
            |(_, found, advice)| (*found, *advice),
        )
    };
    let since = opened
        .map(|(line, column)| format!(" opened at line {line}, column {column}"))
        .unwrap_or_default();
    let first = here.chars().next().map_or(String::new(), |c| quoted(&c.to_string()));
    let found = found.replace("{since}", &since).replace("{first}", &first);
    (found.replace("{problem}", problem), advice.to_owned())
}

/// Whether the parser met the end within quotes.
fn is_unclosed_quote(problem: &str, context: &str) -> bool {
    let ends = ["found unexpected end of stream", "found unexpected document indicator"];
    context.contains("quoted scalar") && ends.contains(&problem)
}
