//! Trees written as YAML by a writer of its own, which notes every place while it writes.

use proptest::prelude::*;

use super::*;

/// A tree and the text it is written as, with the place of every key and value.
#[derive(Debug, Default)]
struct Written {
    text: String,
    line: usize,
    column: usize,
    places: Vec<(Vec<usize>, bool, (usize, usize))>,
}

impl Written {
    fn put(&mut self, text: &str) {
        for c in text.chars() {
            self.text.push(c);
            (self.line, self.column) = match c {
                '\n' => (self.line + 1, 0),
                _ => (self.line, self.column + 1),
            };
        }
    }

    fn mark(&mut self, steps: &[usize], key: bool) {
        let place = (self.line + 1, self.column + 1);
        self.places.push((steps.to_vec(), key, place));
    }

    /// Writes block style at the outer levels and flow style inside, as people do.
    fn node(&mut self, node: &Node, steps: &mut Vec<usize>, indent: usize) {
        let flow = indent > 4;
        match node {
            Node::Null => {
                self.mark(steps, false);
                self.put("~");
            }
            Node::Scalar(text) => {
                self.mark(steps, false);
                self.put(&format!("'{}'", text.replace('\'', "''")));
            }
            Node::List(items) if flow || items.is_empty() => {
                self.mark(steps, false);
                self.put("[ ");
                for (index, item) in items.iter().enumerate() {
                    steps.push(index);
                    self.node(item, steps, 99);
                    steps.pop();
                    self.put(" , ");
                }
                self.put("]");
            }
            Node::Map(entries) if flow || entries.is_empty() => {
                self.mark(steps, false);
                self.put("{");
                for (index, (key, value)) in entries.iter().enumerate() {
                    steps.push(index);
                    self.mark(steps, true);
                    self.put(&format!("'{}':  ", key.replace('\'', "''")));
                    self.node(value, steps, 99);
                    steps.pop();
                    self.put(",");
                }
                self.put("}");
            }
            Node::List(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.put(&format!("\n{}", " ".repeat(indent)));
                    if index == 0 {
                        self.mark(steps, false);
                    }
                    self.put("- ");
                    steps.push(index);
                    self.node(item, steps, indent + 2);
                    steps.pop();
                }
            }
            Node::Map(entries) => {
                for (index, (key, value)) in entries.iter().enumerate() {
                    self.put(&format!(" # µ\n{}", " ".repeat(indent)));
                    if index == 0 {
                        self.mark(steps, false);
                    }
                    steps.push(index);
                    self.mark(steps, true);
                    self.put(&format!("'{}': ", key.replace('\'', "''")));
                    self.node(value, steps, indent + 2);
                    steps.pop();
                }
            }
        }
    }
}

fn any_node() -> impl Strategy<Value = Node> {
    let text = "[ -~µΩ📻]{0,8}";
    let leaf = prop_oneof![Just(Node::Null), text.prop_map(Node::Scalar)];
    leaf.prop_recursive(5, 40, 5, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..5).prop_map(Node::List),
            prop::collection::vec((text, inner), 0..5).prop_map(Node::Map),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    // The writer above notes each place while it writes; it shares no code with the reader.
    #[test]
    fn every_place_of_a_written_tree_is_found(node in any_node()) {
        let mut written = Written::default();
        written.node(&node, &mut Vec::new(), 0);
        let document = parse(&written.text);
        prop_assert_eq!(document.root(), &node);
        for (steps, key, place) in &written.places {
            let found = document.locate(steps, *key);
            prop_assert_eq!(found, Some(*place), "{:?} {} in\n{}", steps, key, written.text);
        }
    }
}
