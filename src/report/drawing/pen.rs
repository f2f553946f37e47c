//! What is drawn, mark by mark, and the `<svg>` round it.

use super::{
    Drawing, WIDTH,
    frame::Point,
    text::{clean, fit, isolate},
};
use maud::{Markup, html};

/// Size of ordinary type.
pub const SIZE: f64 = 12.0;
/// Distance of lines of type.
pub const LINE: f64 = 15.0;
/// Weights of line: dimension, wire and symbol, plate.
pub const THIN: f64 = 0.8;
pub const WIRE: f64 = 1.6;
pub const THICK: f64 = 2.6;

/// Which end of the text the point is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Size and weight of type.
#[derive(Debug, Clone, Copy)]
pub struct Face {
    pub size: f64,
    pub bold: bool,
}

/// A number in an attribute: a tenth of a unit is finer than any printer shows.
pub fn n(value: f64) -> String {
    let tenths = (value * 10.0).round() / 10.0;
    format!("{}", if tenths == 0.0 { 0.0 } else { tenths })
}

fn points(list: &[Point]) -> String {
    let pairs: Vec<String> = list.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect();
    pairs.join(" ")
}

/// A line through points.
pub fn line(list: &[Point], weight: f64) -> Markup {
    html! { polyline points=(points(list)) stroke-width=(n(weight)) {} }
}

/// A closed, filled shape.
pub fn solid(list: &[Point]) -> Markup {
    html! { polygon points=(points(list)) fill="#000" stroke-width=(n(THIN)) {} }
}

/// An outline, white inside.
pub fn outline(list: &[Point]) -> Markup {
    html! { polygon points=(points(list)) fill="#fff" stroke-width=(n(WIRE)) {} }
}

/// A circle, white inside.
pub fn ring(at: Point, radius: f64) -> Markup {
    html! { circle cx=(n(at.0)) cy=(n(at.1)) r=(n(radius)) fill="#fff" stroke-width=(n(WIRE)) {} }
}

/// A path.
pub fn path(d: &str) -> Markup {
    html! { path d=(d) stroke-width=(n(WIRE)) {} }
}

/// A filled circle.
pub fn disc(at: Point, radius: f64) -> Markup {
    html! { circle cx=(n(at.0)) cy=(n(at.1)) r=(n(radius)) fill="#000" stroke="none" {} }
}

const PLAIN: Face = Face { size: SIZE, bold: false };
/// Ordinary type, heavy.
pub const BOLD: Face = Face { bold: true, ..PLAIN };

/// Words of our own, plain where nothing is said.
pub struct Words(pub Face, pub String);

impl<T: Into<String>> From<T> for Words {
    fn from(words: T) -> Words {
        Words(PLAIN, words.into())
    }
}

/// Words, a line each.
pub trait Lines: IntoIterator<Item: Into<Words>> {}

impl<T: IntoIterator<Item: Into<Words>>> Lines for T {}

/// Ordinary words and values of parts.
pub fn plain(words: impl Into<String>) -> Words {
    words.into().into()
}

/// What a meter shows.
pub fn bold(words: impl Into<String>) -> Words {
    Words(BOLD, words.into())
}

/// A drawing under way.
#[derive(Debug)]
pub struct Pen {
    marks: Vec<Markup>,
    /// Upper edge of the highest text: nothing else is drawn above all texts.
    top: f64,
    /// Width of the viewBox.
    pub width: f64,
    /// What names of nets begin with, so that like ones of two supplies are not taken for one.
    pub nets: &'static str,
}

/// Printed size of a unit, mm: with it the smallest type is 8.5 pt.
const MM: f64 = 0.25;

/// Blank space above the highest text.
const EDGE: f64 = 4.0;

impl Default for Pen {
    fn default() -> Pen {
        Pen { marks: Vec::new(), top: f64::INFINITY, width: WIDTH, nets: "" }
    }
}

impl Pen {
    /// A wire of one net that begins level: from a point to the first of `turns`, upright to the next, level again, and so
    /// on.
    pub fn level(&mut self, net: &str, from: Point, turns: impl AsRef<[f64]>) {
        self.wire(net, from, turns.as_ref(), 0);
    }

    /// The same of one that begins upright.
    pub fn upright(&mut self, net: &str, from: Point, turns: impl AsRef<[f64]>) {
        self.wire(net, from, turns.as_ref(), 1);
    }

    fn wire(&mut self, net: &str, from: Point, turns: &[f64], first: usize) {
        let mut list = vec![from];
        for (i, to) in turns.iter().enumerate() {
            let (x, y) = list[i];
            list.push(if (i + first).is_multiple_of(2) { (*to, y) } else { (x, *to) });
        }
        let net = format!("{}{net}", self.nets);
        self.mark(html! {
            polyline data-net=(net) points=(points(&list)) stroke-width=(n(WIRE)) {}
        });
    }

    /// A symbol: its name, the points where wires reach it, its marks.
    pub fn part(&mut self, name: &str, pins: &[Point], marks: impl IntoIterator<Item = Markup>) {
        self.mark(html! {
            g data-part=(name) data-pins=(points(pins)) { @for mark in marks { (mark) } }
        });
    }

    /// A joint of wires.
    pub fn joint(&mut self, at: Point) {
        self.part("joint", &[at], [disc(at, 3.0)]);
    }

    /// An open end of a wire.
    pub fn terminal(&mut self, at: Point) {
        self.part("terminal", &[at], [ring(at, 3.2)]);
    }

    /// A mark that is no part of the circuit.
    pub fn mark(&mut self, mark: Markup) {
        self.marks.push(mark);
    }

    /// A double-headed arrow downwards, for the volts between two leads.
    pub fn span(&mut self, x: f64, top: f64, bottom: f64) {
        self.mark(line(&[(x, top), (x, bottom)], THIN));
        for (tip, end) in [(top, top + 9.0), (bottom, bottom - 9.0)] {
            self.mark(solid(&[(x, tip), (x - 3.0, end), (x + 3.0, end)]));
        }
    }

    /// Words that begin at `at`, which is on the base line, a line each and downwards.
    pub fn right(&mut self, at: Point, lines: impl Lines) {
        self.lines(at, Anchor::Start, lines);
    }

    /// The same about it.
    pub fn about(&mut self, at: Point, lines: impl Lines) {
        self.lines(at, Anchor::Middle, lines);
    }

    /// The same that end there.
    pub fn left(&mut self, at: Point, lines: impl Lines) {
        self.lines(at, Anchor::End, lines);
    }

    /// Words at `at`, as `anchor` says.
    pub fn lines(&mut self, (x, y): Point, anchor: Anchor, lines: impl Lines) {
        let end = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        for (i, words) in lines.into_iter().enumerate() {
            let (y, Words(Face { size, bold }, text)) = (y + LINE * i as f64, words.into());
            self.top = self.top.min(y - size);
            self.mark(html! {
                text x=(n(x)) y=(n(y)) text-anchor=(end) font-size=(n(size))
                    font-weight=[bold.then_some("bold")] direction="ltr" fill="#000" stroke="none" { (text) }
            });
        }
    }

    /// Words that may be the user's, cut to `room`.
    pub fn user(&mut self, at: Point, anchor: Anchor, words: impl Into<Words>, room: f64) {
        let Words(face, text) = words.into();
        let text = fit(&clean(&text), room, face.size, face.bold);
        self.lines(at, anchor, [Words(face, isolate(&text))]);
    }

    /// The finished drawing, down to `bottom`. `prefix` makes its ids unique in a page: letters, digits, `-` and `_`
    /// of it are taken.
    pub fn finish(self, prefix: &str, bottom: f64, title: String, description: String) -> Drawing {
        let prefix: String = prefix
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'))
            .collect();
        let (heading, words) = (format!("{prefix}-title"), format!("{prefix}-desc"));
        let top = if self.top.is_finite() { (self.top - EDGE).floor() } else { 0.0 };
        let height = bottom - top;
        let view = format!("0 {} {} {}", n(top), n(self.width), n(height));
        let svg = html! {
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(view) role="img" style={ "width:" (n(self.width * MM)) "mm" }
                aria-labelledby={ (heading) " " (words) } font-family="sans-serif" {
                title id=(heading) { (clean(&title)) }
                desc id=(words) { (clean(&description)) }
                rect y=(n(top)) width=(n(self.width)) height=(n(height)) fill="#fff" stroke="none" {}
                g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" {
                    @for mark in &self.marks { (mark) }
                }
            }
        };
        Drawing { title, titled: false, description, svg: svg.into_string() }
    }
}
