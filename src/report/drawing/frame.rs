//! Where things stand: points, and a symbol's own axis laid into the drawing.

/// A point, x to the right and y downwards.
pub(super) type Point = (f64, f64);

/// A symbol's axis from its first pin to its second.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    from: Point,
    along: Point,
    /// Distance of the pins.
    pub length: f64,
}

impl Axis {
    /// The axis from `a` to `b`, which are apart.
    pub fn new(a: Point, b: Point) -> Axis {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        Axis { from: a, along: (dx / length, dy / length), length }
    }

    /// The point `t` along and `s` across: below an axis that runs to the right, left of one that runs down.
    pub fn at(&self, t: f64, s: f64) -> Point {
        let (dx, dy) = self.along;
        (self.from.0 + t * dx - s * dy, self.from.1 + t * dy + s * dx)
    }

    /// The point `t` from the middle along and `s` across.
    pub fn mid(&self, t: f64, s: f64) -> Point {
        self.at(self.length / 2.0 + t, s)
    }
}
