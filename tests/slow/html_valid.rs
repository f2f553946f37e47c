//! Whether a page is written as the HTML Living Standard asks, by an independent parser.
//!
//! The parser (html5ever) names every parse error of the standard's chapter 13.2. It mends what it reads, as browsers
//! do, so a few rules of the content models are checked on the tree it makes.

use html5ever::tendril::TendrilSink;
use html5ever::tokenizer::TokenizerOpts;
use html5ever::tree_builder::TreeBuilderOpts;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};
use std::collections::BTreeSet;

/// Elements that may hold words and marks but no blocks (HTML Living Standard, "phrasing content"; chapters 4.3 to
/// 4.8: each of these has that as its content model).
const OF_WORDS: [&str; 24] = [
    "abbr", "b", "bdi", "cite", "code", "dfn", "em", "h1", "h2", "h3", "h4", "h5", "h6", "i",
    "kbd", "label", "mark", "p", "pre", "samp", "small", "span", "strong", "var",
];
/// Elements that are flow content and not phrasing content.
const BLOCKS: [&str; 24] = [
    "address",
    "article",
    "aside",
    "blockquote",
    "details",
    "div",
    "dl",
    "figure",
    "footer",
    "form",
    "h1",
    "h2",
    "h3",
    "h4",
    "header",
    "hr",
    "main",
    "nav",
    "ol",
    "p",
    "pre",
    "section",
    "table",
    "ul",
];
/// Attributes that hold ids of other elements.
const REFERENCES: [&str; 5] =
    ["for", "headers", "aria-labelledby", "aria-describedby", "aria-controls"];

/// An element of the tree.
struct Element {
    name: String,
    parent: String,
    /// Names with the prefix they were written with, as in `xmlns:xlink`.
    attributes: Vec<(String, String)>,
    /// Its own text, without that of the elements in it.
    text: String,
}

fn parse(html: &str) -> RcDom {
    let options = ParseOpts {
        tokenizer: TokenizerOpts { exact_errors: true, ..TokenizerOpts::default() },
        tree_builder: TreeBuilderOpts { exact_errors: true, ..TreeBuilderOpts::default() },
    };
    parse_document(RcDom::default(), options).one(html)
}

fn collect(node: &Handle, parent: &str, list: &mut Vec<Element>) {
    let NodeData::Element { name, attrs, .. } = &node.data else {
        for child in node.children.borrow().iter() {
            collect(child, parent, list);
        }
        return;
    };
    let attributes = attrs.borrow();
    let attributes = attributes.iter().map(|a| {
        let prefix = a.name.prefix.as_ref().map_or("", |p| p);
        let colon = if prefix.is_empty() { "" } else { ":" };
        let name = format!("{prefix}{colon}{}", a.name.local);
        (name, a.value.to_string())
    });
    let children = node.children.borrow();
    let text = children.iter().filter_map(|child| match &child.data {
        NodeData::Text { contents } => Some(contents.borrow().to_string()),
        _ => None,
    });
    let name = name.local.to_string();
    list.push(Element {
        name: name.clone(),
        parent: parent.to_owned(),
        attributes: attributes.collect(),
        text: text.collect(),
    });
    for child in children.iter() {
        collect(child, &name, list);
    }
}

fn elements(html: &str) -> Vec<Element> {
    let mut list = Vec::new();
    collect(&parse(html).document, "", &mut list);
    list
}

/// What follows each `start` in `text`, up to `end`.
fn between<'t>(text: &'t str, start: &str, end: char) -> Vec<&'t str> {
    let pieces = text.split(start).skip(1);
    pieces.filter_map(|rest| rest.split(end).next()).collect()
}

/// What is wrong with the writing of a page: parse errors, ids given twice, references to no id, blocks where only
/// words may be.
pub fn faults(html: &str) -> Vec<String> {
    let errors = parse(html).errors.take();
    let mut list: Vec<String> = errors.iter().map(|e| format!("parse error: {e}")).collect();
    let all = elements(html);
    let mut ids = BTreeSet::new();
    for element in &all {
        for (_, id) in element.attributes.iter().filter(|(key, _)| key == "id") {
            if id.is_empty() || id.contains(char::is_whitespace) {
                list.push(format!("{}: no id: {id:?}", element.name));
            }
            if !ids.insert(id.as_str()) {
                list.push(format!("id {id:?} is given twice"));
            }
        }
        if OF_WORDS.contains(&element.parent.as_str()) && BLOCKS.contains(&element.name.as_str()) {
            list.push(format!("{} inside {}", element.name, element.parent));
        }
    }
    for element in &all {
        let mut named: Vec<&str> = between(&element.text, "url(#", ')');
        if element.name != "style" {
            named.clear();
        }
        for (key, value) in &element.attributes {
            if REFERENCES.contains(&key.as_str()) {
                named.extend(value.split_whitespace());
            }
            if key == "href" || key == "xlink:href" {
                named.extend(value.strip_prefix('#'));
            }
            named.extend(between(value, "url(#", ')'));
        }
        let missing = named.into_iter().filter(|id| !ids.contains(id));
        list.extend(missing.map(|id| format!("{}: no id {id:?} to refer to", element.name)));
    }
    list
}

/// Everything in a page that points outside it, found without loading it. Names of XML namespaces are no links, and
/// an address in running text is one only to the reader.
pub fn links(html: &str) -> Vec<String> {
    let outside = |value: &str| {
        let value = value.trim().to_ascii_lowercase();
        let written = ["http://", "https://", "ftp://", "ws://", "wss://", "@import"];
        value.starts_with("//") || written.iter().any(|w| value.contains(w))
    };
    let inside = |url: &str| {
        let url = url.trim().trim_matches(['"', '\'']);
        url.starts_with("data:") || url.starts_with('#')
    };
    let mut list = Vec::new();
    for element in elements(html) {
        let name = &element.name;
        if ["style", "script"].contains(&name.as_str()) && outside(&element.text) {
            list.push(format!("{name} points outside the page"));
        }
        let mut urls = Vec::new();
        if name == "style" {
            urls.extend(between(&element.text, "url(", ')'));
        }
        for (key, value) in &element.attributes {
            if key.starts_with("xmlns") {
                continue;
            }
            if outside(value) {
                list.push(format!("{name}: {key}={value:?} points outside the page"));
            }
            // a file beside the page is outside it as well
            if ["src", "srcset", "href", "xlink:href", "poster", "data"].contains(&key.as_str())
                && !inside(value)
            {
                list.push(format!("{name}: {key}={value:?} is not in the page"));
            }
            urls.extend(between(value, "url(", ')'));
        }
        let files = urls.into_iter().filter(|url| !inside(url));
        list.extend(files.map(|url| format!("{name}: url({url}) is not in the page")));
    }
    list
}

fn page(body: &str) -> String {
    format!(
        "<!DOCTYPE html><html lang=\"en\"><head><title>A page</title></head><body>{body}</body></html>"
    )
}

/// Whether a fault of the page with this body contains `word`; the page must have no fault with an empty body.
#[allow(clippy::print_stdout, reason = "the faults are shown if the test fails")]
fn caught(body: &str, word: &str) -> bool {
    assert_eq!(faults(&page("")), Vec::<String>::new());
    let found = faults(&page(body));
    let hit = found.iter().any(|f| f.contains(word));
    if !hit {
        println!("{body}: {found:?}");
    }
    hit
}

#[test]
fn a_valid_page_has_no_fault() {
    let body = r##"<main><h1 id="top">Title</h1><p>Words, <b>bold</b> &amp; <a href="#top">up</a>.
        <ul><li>no end tag is needed<li>here</ul>
        <table><caption>Some</caption><thead><tr><th scope="col">A</th></tr></thead>
        <tbody><tr><td>1</td></tr></tbody></table>
        <svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9"
            role="img" aria-labelledby="what"><title id="what">A line</title>
            <defs><linearGradient id="g"><stop offset="0"/></linearGradient></defs>
            <path d="M0 0h9" fill="url(#g)"/></svg><br><img src="data:," alt="none"></main>"##;
    assert_eq!(faults(&page(body)), Vec::<String>::new());
    assert_eq!(links(&page(body)), Vec::<String>::new());
}

#[test]
fn what_the_parser_mends_is_caught() {
    for body in [
        "<div>unclosed",
        "<p><b>unclosed</p>",
        "<table><tr><td>unclosed",
        "stray</div>",
        "<p>stray</span></p>",
        "stray</p>",
        "<div><b>crossed</div></b>",
        "<p class=\"a\" class=\"b\">attribute twice</p>",
        "<p>one <p>in another</p></p>",
        "<p>list in a paragraph <ul><li>a</li></ul></p>",
        "<table><div>in no cell</div></table>",
        "<td>cell without table</td>",
        "<div/>closed as in XML</div>",
        "&nosuchthing;",
        "&#x1;",
        "<svg><path d=\"M0 0\"></svg>",
        "<svg><g></svg>",
        "<svg><p>words</p></svg>",
        "<svg viewBox=\"0 0 1 1\" viewBox=\"0 0 2 2\"></svg>",
        "<!-- -- > open comment",
        "<a href=\"#\"href=\"#\">no blank</a>",
    ] {
        assert!(caught(body, "parse error"), "{body}");
    }
    let bare = "<html lang=\"en\"><head><title>No doctype</title></head><body></body></html>";
    assert!(faults(bare).iter().any(|f| f.contains("parse error")));
}

#[test]
fn what_the_parser_lets_pass_is_caught() {
    assert!(caught("<p id=\"a\">one</p><p id=\"a\">two</p>", "given twice"));
    assert!(caught("<p id=\"a b\">one</p>", "no id"));
    assert!(caught("<a href=\"#gone\">x</a>", "\"gone\" to refer to"));
    assert!(caught("<svg aria-labelledby=\"gone\"></svg>", "\"gone\" to refer to"));
    assert!(caught("<svg><g marker-end=\"url(#gone)\"></g></svg>", "\"gone\" to refer to"));
    assert!(caught("<span><div>block</div></span>", "div inside span"));
    assert!(caught("<h2><div>block</div></h2>", "div inside h2"));
}

#[test]
fn what_points_outside_the_page_is_caught() {
    for body in [
        "<img src=\"http://example.org/a.png\" alt=\"a\">",
        "<img src=\"//example.org/a.png\" alt=\"a\">",
        "<img src=\"a.png\" alt=\"a\">",
        "<img srcset=\"a.png 2x\" alt=\"a\">",
        "<a href=\"HTTPS://example.org\">there</a>",
        "<p style=\"background: url(https://example.org/a.png)\">x</p>",
        "<p style=\"background: url('a.png')\">x</p>",
        "<style>p { background: url(a.png) }</style>",
        "<style>@import 'more.css';</style>",
        "<script>fetch('https://example.org')</script>",
        "<svg><image xlink:href=\"a.png\"/></svg>",
        "<object data=\"a.svg\"></object>",
    ] {
        assert!(!links(&page(body)).is_empty(), "{body}");
    }
    assert_eq!(links(&page("<p>see https://example.org</p>")), Vec::<String>::new());
}
