//! Reads a drawing back from its SVG: what stands where, and what hangs on what, from coordinates alone.

use roxmltree::{Document, Node};

pub type Point = (f64, f64);

/// Coordinates are written to a tenth.
const TOUCH: f64 = 0.08;

/// A text with its box.
pub struct Words {
    pub text: String,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// A symbol with its pins and, for windings, its polarity dot.
#[derive(Clone)]
pub struct Symbol {
    pub name: String,
    pub pins: Vec<Point>,
    pub dot: Option<Point>,
    /// Its straight marks: lines and outlines.
    pub marks: Vec<Vec<Point>>,
}

pub struct Read {
    pub view: Point,
    /// Upper edge of the viewBox.
    pub top: f64,
    pub texts: Vec<Words>,
    pub symbols: Vec<Symbol>,
    /// Net name and course of each wire.
    pub wires: Vec<(String, Vec<Point>)>,
    /// Every straight mark, wires and symbols alike.
    pub strokes: Vec<(Point, Point)>,
    /// Symbols and texts in order of the document.
    pub outline: Vec<String>,
}

fn number(node: &Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn points(text: &str) -> Vec<Point> {
    text.split_whitespace()
        .map(|pair| {
            let (x, y) = pair.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect()
}

/// 0.6 em a character and 1 em for CJK and emoji, which is common practice; isolates have no width.
fn width(text: &str, size: f64) -> f64 {
    let share = |c: char| match c {
        '\u{2066}'..='\u{2069}' => 0.0,
        '\u{1100}'.. if c != '…' => {
            if (c as u32) < 0x2e80 {
                0.6
            } else {
                1.0
            }
        }
        _ => 0.6,
    };
    text.chars().map(share).sum::<f64>() * size
}

fn words(node: &Node<'_, '_>) -> Words {
    let text = node.text().unwrap_or_default().to_owned();
    let size = number(node, "font-size");
    let wide = width(&text, size);
    let (x, y) = (number(node, "x"), number(node, "y"));
    let left = match node.attribute("text-anchor").unwrap() {
        "start" => x,
        "middle" => x - wide / 2.0,
        "end" => x - wide,
        other => panic!("anchor {other}"),
    };
    Words { text, left, right: left + wide, top: y - 0.74 * size, bottom: y + 0.22 * size }
}

/// Reads an SVG text; panics where it is no well-formed XML or has a mark this reader does not know.
pub fn read(svg: &str) -> Read {
    let document = Document::parse(svg).unwrap_or_else(|e| panic!("{e}\n{svg}"));
    let root = document.root_element();
    let view: Vec<f64> =
        root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    let mut out = Read {
        view: (view[2], view[3]),
        top: view[1],
        texts: Vec::new(),
        symbols: Vec::new(),
        wires: Vec::new(),
        strokes: Vec::new(),
        outline: Vec::new(),
    };
    let known =
        ["svg", "title", "desc", "rect", "g", "text", "polyline", "polygon", "circle", "path"];
    for node in root.descendants().filter(Node::is_element) {
        let tag = node.tag_name().name();
        assert!(known.contains(&tag), "{tag}");
        if let Some(name) = node.attribute("data-part") {
            if name == "polarity" {
                let at = node.first_element_child().unwrap();
                let dot = (number(&at, "cx"), number(&at, "cy"));
                out.symbols.last_mut().unwrap().dot = Some(dot);
                out.outline.push("  dot".to_owned());
            } else {
                out.symbols.push(Symbol {
                    name: name.to_owned(),
                    pins: points(node.attribute("data-pins").unwrap()),
                    dot: None,
                    marks: Vec::new(),
                });
                out.outline.push(format!("[{name}]"));
            }
        }
        match tag {
            "text" => {
                let words = words(&node);
                let plain = words.text.replace(['\u{2068}', '\u{2069}'], "");
                out.outline.push(plain);
                out.texts.push(words);
            }
            "polyline" | "polygon" => {
                let course = points(node.attribute("points").unwrap());
                out.strokes.extend(course.windows(2).map(|w| (w[0], w[1])));
                if let Some(net) = node.attribute("data-net") {
                    out.wires.push((net.to_owned(), course));
                } else if node.parent().is_some_and(|p| p.has_attribute("data-part")) {
                    out.symbols.last_mut().unwrap().marks.push(course);
                }
            }
            "circle" => {
                let (x, y, r) = (number(&node, "cx"), number(&node, "cy"), number(&node, "r"));
                out.strokes.push(((x - r, y), (x + r, y)));
                out.strokes.push(((x, y - r), (x, y + r)));
            }
            _ => {}
        }
    }
    out
}

fn near(a: Point, b: Point) -> bool {
    (a.0 - b.0).hypot(a.1 - b.1) < TOUCH
}

fn on(point: Point, (a, b): (Point, Point)) -> bool {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    if length < TOUCH {
        return near(point, a);
    }
    let along = ((point.0 - a.0) * dx + (point.1 - a.1) * dy) / length;
    let across = ((point.1 - a.1) * dx - (point.0 - a.0) * dy) / length;
    across.abs() < TOUCH && (-TOUCH..=length + TOUCH).contains(&along)
}

fn crosses((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

impl Read {
    /// Checks the text boxes against each other, the edges and the strokes; returns what is wrong.
    pub fn clashes(&self) -> Vec<String> {
        let mut list = Vec::new();
        for (i, a) in self.texts.iter().enumerate() {
            if a.left < 0.0
                || a.top < self.top
                || a.right > self.view.0
                || a.bottom > self.top + self.view.1
            {
                list.push(format!("{:?} leaves the drawing", a.text));
            }
            for b in &self.texts[..i] {
                if a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom {
                    list.push(format!("{:?} on {:?}", a.text, b.text));
                }
            }
            for (p, q) in &self.strokes {
                let (l, r, t, b) = (a.left, a.right, a.top, a.bottom);
                let within = |p: &Point| (l..=r).contains(&p.0) && (t..=b).contains(&p.1);
                let cut =
                    crosses((*p, *q), ((l, t), (r, b))) || crosses((*p, *q), ((l, b), (r, t)));
                if within(p) || within(q) || cut {
                    list.push(format!("a line from {p:?} to {q:?} through {:?}", a.text));
                }
            }
        }
        list
    }

    /// Wires that cross or touch although their nets differ, and ends of wires that reach nothing.
    pub fn wiring_faults(&self) -> Vec<String> {
        let mut list = Vec::new();
        let parts =
            |w: &[Point]| -> Vec<(Point, Point)> { w.windows(2).map(|w| (w[0], w[1])).collect() };
        for (i, (net, course)) in self.wires.iter().enumerate() {
            for (other, theirs) in &self.wires[..i] {
                for a in parts(course) {
                    for b in parts(theirs) {
                        let touch = on(a.0, b) || on(a.1, b) || on(b.0, a) || on(b.1, a);
                        if (touch && net != other) || crosses(a, b) {
                            list.push(format!("{net} meets {other}: {a:?} {b:?}"));
                        }
                    }
                }
            }
            for end in [course[0], course[course.len() - 1]] {
                let wire = self.wires.iter().enumerate().any(|(j, (_, theirs))| {
                    i != j && parts(theirs).into_iter().any(|s| on(end, s))
                });
                let pin = self.symbols.iter().flat_map(|s| &s.pins).any(|p| near(*p, end));
                if !wire && !pin {
                    list.push(format!("{net} ends in the air at {end:?}"));
                }
            }
        }
        list
    }

    /// The symbol of this name, the `nth` from 0.
    pub fn symbol(&self, name: &str, nth: usize) -> Symbol {
        let found = self.symbols.iter().filter(|s| s.name == name).nth(nth);
        found.unwrap_or_else(|| panic!("no {name}")).clone()
    }

    /// Net of the wire that reaches a point.
    pub fn net_at(&self, point: Point) -> &str {
        let wire = self
            .wires
            .iter()
            .find(|(_, course)| course.windows(2).any(|w| on(point, (w[0], w[1]))));
        &wire.unwrap_or_else(|| panic!("no wire at {point:?}")).0
    }

    /// The node a point lies on, from touching wires alone, whatever their names: the place of one of its wires.
    pub fn node_at(&self, point: Point) -> usize {
        let segments = |i: usize| self.wires[i].1.windows(2).map(|w| (w[0], w[1]));
        let touch = |i: usize, j: usize| {
            segments(i)
                .any(|a| segments(j).any(|b| on(a.0, b) || on(a.1, b) || on(b.0, a) || on(b.1, a)))
        };
        let first = (0..self.wires.len()).find(|i| segments(*i).any(|s| on(point, s)));
        let first = first.unwrap_or_else(|| panic!("no wire at {point:?}"));
        let mut reached = vec![first];
        let mut next = 0;
        while let Some(at) = reached.get(next).copied() {
            next += 1;
            let more: Vec<usize> =
                (0..self.wires.len()).filter(|j| !reached.contains(j) && touch(at, *j)).collect();
            reached.extend(more);
        }
        reached.into_iter().min().unwrap()
    }

    /// Nets of a winding's two ends, the one nearer to its dot first.
    pub fn dotted(&self, name: &str) -> (&str, &str) {
        let symbol = self.symbol(name, 0);
        let (a, b, dot) = (symbol.pins[0], symbol.pins[1], symbol.dot.unwrap());
        let far = |p: Point| (p.0 - dot.0).hypot(p.1 - dot.1);
        if far(a) < far(b) {
            (self.net_at(a), self.net_at(b))
        } else {
            (self.net_at(b), self.net_at(a))
        }
    }
}
