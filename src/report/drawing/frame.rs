//! Where things stand: points, and a symbol's own axis laid into the drawing.

/// A point, x to the right and y downwards.
pub type Point = (f64, f64);

/// Along an axis: the second pin; less than nothing, the first.
pub const PIN: f64 = f64::INFINITY;

/// A symbol's axis from its first pin to its second.
#[derive(Debug, Clone, Copy)]
pub struct Axis {
    from: Point,
    along: Point,
    /// Distance of the pins.
    length: f64,
}

impl Axis {
    /// The axis from `a` to `b`, which are apart.
    pub fn new(a: Point, b: Point) -> Axis {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        Axis { from: a, along: (dx / length, dy / length), length }
    }

    /// The point `t` from the middle along and `s` across: below an axis that runs to the right, left of one that runs
    /// down.
    pub fn at(&self, t: f64, s: f64) -> Point {
        let t = match t {
            _ if t.is_finite() => self.length / 2.0 + t,
            _ if t > 0.0 => self.length,
            _ => 0.0,
        };
        let (dx, dy) = self.along;
        (self.from.0 + t * dx - s * dy, self.from.1 + t * dy + s * dx)
    }
}
