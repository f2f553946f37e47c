//! What is drawn, mark by mark, and the `<svg>` round it.

use super::frame::Point;
use super::text::{clean, fit, isolate};
use super::{Drawing, WIDTH};
use maud::{Markup, html};

/// Size of ordinary type.
pub(super) const SIZE: f64 = 12.0;
/// Distance of lines of type.
pub(super) const LINE: f64 = 15.0;
/// Weights of line: dimension, wire and symbol, plate.
pub(super) const THIN: f64 = 0.8;
pub(super) const WIRE: f64 = 1.6;
pub(super) const THICK: f64 = 2.6;

/// Which end of the text the point is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Size and weight of type.
#[derive(Debug, Clone, Copy)]
pub(super) struct Face {
    pub size: f64,
    pub bold: bool,
}

/// A number in an attribute: a tenth of a unit is finer than any printer shows.
pub(super) fn n(value: f64) -> String {
    let tenths = (value * 10.0).round() / 10.0;
    format!("{}", if tenths == 0.0 { 0.0 } else { tenths })
}

fn points(list: &[Point]) -> String {
    let pairs: Vec<String> = list.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect();
    pairs.join(" ")
}

/// A line through points.
pub(super) fn line(list: &[Point], weight: f64) -> Markup {
    html! { polyline points=(points(list)) stroke-width=(n(weight)) {} }
}

/// A closed, filled shape.
pub(super) fn solid(list: &[Point]) -> Markup {
    html! { polygon points=(points(list)) fill="#000" stroke-width=(n(THIN)) {} }
}

/// An outline, white inside.
pub(super) fn outline(list: &[Point]) -> Markup {
    html! { polygon points=(points(list)) fill="#fff" stroke-width=(n(WIRE)) {} }
}

/// A circle, white inside.
pub(super) fn ring(at: Point, radius: f64) -> Markup {
    html! { circle cx=(n(at.0)) cy=(n(at.1)) r=(n(radius)) fill="#fff" stroke-width=(n(WIRE)) {} }
}

/// A path.
pub(super) fn path(d: &str) -> Markup {
    html! { path d=(d) stroke-width=(n(WIRE)) {} }
}

/// A filled circle.
pub(super) fn disc(at: Point, radius: f64) -> Markup {
    html! { circle cx=(n(at.0)) cy=(n(at.1)) r=(n(radius)) fill="#000" stroke="none" {} }
}

/// Ordinary words and values of parts.
pub(super) const PLAIN: Face = Face { size: SIZE, bold: false };
/// What a meter shows.
pub(super) const BOLD: Face = Face { size: SIZE, bold: true };

/// A drawing under way.
#[derive(Debug)]
pub(super) struct Pen {
    marks: Vec<Markup>,
    /// Upper edge of the highest text: nothing else is drawn above all texts.
    top: f64,
    /// Width of the viewBox.
    pub width: f64,
    /// What names of nets begin with, so that like ones of two supplies are not taken for one.
    pub nets: &'static str,
}

/// Blank space above the highest text.
const EDGE: f64 = 4.0;

impl Default for Pen {
    fn default() -> Pen {
        Pen { marks: Vec::new(), top: f64::INFINITY, width: WIDTH, nets: "" }
    }
}

impl Pen {
    /// A wire of one net.
    pub fn wire(&mut self, net: &str, list: &[Point]) {
        let net = format!("{}{net}", self.nets);
        self.marks.push(html! {
            polyline data-net=(net) points=(points(list)) stroke-width=(n(WIRE)) {}
        });
    }

    /// A symbol: its name, the points where wires reach it, its marks.
    pub fn part(&mut self, name: &str, pins: &[Point], marks: &[Markup]) {
        self.marks.push(html! {
            g data-part=(name) data-pins=(points(pins)) { @for mark in marks { (mark) } }
        });
    }

    /// A joint of wires.
    pub fn joint(&mut self, at: Point) {
        self.part("joint", &[at], &[disc(at, 3.0)]);
    }

    /// An open end of a wire.
    pub fn terminal(&mut self, at: Point) {
        self.part("terminal", &[at], &[ring(at, 3.2)]);
    }

    /// A mark that is no part of the circuit.
    pub fn mark(&mut self, mark: Markup) {
        self.marks.push(mark);
    }

    /// A double-headed arrow downwards, for the volts between two leads.
    pub fn span(&mut self, x: f64, top: f64, bottom: f64) {
        self.mark(line(&[(x, top), (x, bottom)], THIN));
        self.mark(solid(&[(x, top), (x - 3.0, top + 9.0), (x + 3.0, top + 9.0)]));
        self.mark(solid(&[(x, bottom), (x - 3.0, bottom - 9.0), (x + 3.0, bottom - 9.0)]));
    }

    /// Words of our own; `at` is on the base line.
    pub fn text(&mut self, at: Point, anchor: Anchor, face: Face, text: &str) {
        self.top = self.top.min(at.1 - face.size);
        let end = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.marks.push(html! {
            text x=(n(at.0)) y=(n(at.1)) text-anchor=(end) font-size=(n(face.size))
                font-weight=[face.bold.then_some("bold")] direction="ltr" fill="#000" stroke="none" { (text) }
        });
    }

    /// Words of our own in lines from `at` downwards.
    pub fn lines<T: AsRef<str>>(&mut self, at: Point, anchor: Anchor, lines: &[(Face, T)]) {
        let mut y = at.1;
        for (face, text) in lines {
            self.text((at.0, y), anchor, *face, text.as_ref());
            y += LINE;
        }
    }

    /// Words that may be the user's, cut to `room`.
    pub fn user(&mut self, at: Point, anchor: Anchor, face: Face, room: f64, text: &str) {
        let text = fit(&clean(text), room, face.size, face.bold);
        self.text(at, anchor, face, &isolate(&text));
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
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(view) role="img"
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
