//! The bench of a power-up, from the outlet to the set.

use super::{
    Drawing,
    pen::{Anchor, LINE, Pen, bold, outline, plain, ring, solid},
    symbol::{self, Turns},
    text::{clean, fit},
};

/// Heights of the two wires.
const UPPER: f64 = 60.0;
const LOWER: f64 = 160.0;
/// Base line of the words below.
const WORDS: f64 = LOWER + 24.0;
/// Room that a part between outlet and bench takes.
const THROUGH: f64 = 96.0;
/// Where the set stands.
const SET: f64 = 578.0;

/// What stands on the bench.
#[derive(Debug)]
pub struct Bench<'a> {
    /// The part ahead of it, where the set must not be on the outlet.
    pub through: Option<&'a str>,
    /// The fuse, where one suits.
    pub fuse: Option<String>,
    /// The lamp of the first stages, where one suits.
    pub lamp: Option<String>,
}

/// Draws it.
pub fn bench(bench: &Bench<'_>) -> Drawing {
    let mut pen = Pen::default();
    for y in [UPPER, LOWER] {
        symbol::plug_pin(&mut pen, (38.0, y));
    }
    pen.right((20.0, WORDS), ["outlet"]);
    let (mut x, mut net) = (38.0, ("outlet hot", "outlet neutral"));
    if let Some(name) = bench.through {
        x = transformer(&mut pen, (x, x + 54.0), net, &[name]);
        net = ("stepped 1", "stepped 2");
    }
    let at = if bench.through.is_some() { x + THROUGH - 40.0 } else { x + 72.0 };
    x = transformer(&mut pen, (x, at), net, &["isolation", "transformer"]);
    x = variac(&mut pen, x);
    let fuse = bench.fuse.as_deref().unwrap_or("have it sized");
    pen.level("slider", (x, UPPER), [x + 10.0]);
    symbol::FUSE.draw(&mut pen, (x + 10.0, UPPER), (x + 70.0, UPPER));
    pen.about((x + 40.0, UPPER - 14.0), ["fuse"]);
    pen.about((x + 40.0, UPPER + 24.0), [plain(fuse)]);
    x += 70.0;
    pen.level("fused", (x, UPPER), [x + 24.0]);
    meter(&mut pen, (x + 40.0, UPPER), [(x + 24.0, UPPER), (x + 56.0, UPPER)], "A");
    pen.about((x + 40.0, UPPER - 22.0), ["true RMS"]);
    x += 56.0;
    let mut after = "metered";
    if let Some(lamp) = &bench.lamp {
        pen.level(after, (x, UPPER), [x + 20.0]);
        symbol::LAMP.draw(&mut pen, (x + 20.0, UPPER), (x + 60.0, UPPER));
        pen.about((x + 40.0, UPPER - 22.0), [plain("lamp")]);
        pen.about((x + 40.0, UPPER + 30.0), [plain(clean(lamp))]);
        (x, after) = (x + 60.0, "behind the lamp");
    }
    let across = x + 30.0;
    let middle = 0.5 * (UPPER + LOWER);
    pen.level(after, (x, UPPER), [SET]);
    pen.joint((across, UPPER));
    pen.upright(after, (across, UPPER), [middle - 16.0]);
    meter(&mut pen, (across, middle), [(across, middle - 16.0), (across, middle + 16.0)], "V");
    pen.upright("common", (across, middle + 16.0), [LOWER]);
    pen.joint((across, LOWER));
    pen.part("set", &[(SET, UPPER), (SET, LOWER)], [set()]);
    pen.about((SET + 32.0, middle + 4.0), [bold("set")]);
    let described = "The bench in that order, with a voltmeter across the set's plug.".to_owned();
    pen.finish("bench", WORDS + LINE + 6.0, "The bench".to_owned(), described)
}

fn set() -> maud::Markup {
    let (top, bottom) = (UPPER - 14.0, LOWER + 14.0);
    outline(&[(SET, top), (SET + 64.0, top), (SET + 64.0, bottom), (SET, bottom)])
}

/// A meter between two pins.
fn meter(pen: &mut Pen, at: (f64, f64), pins: [(f64, f64); 2], letter: &str) {
    pen.part("meter", &pins, [ring(at, 16.0)]);
    pen.lines((at.0, at.1 + 4.5), Anchor::Middle, [bold(letter)]);
}

/// Separate windings, the primary at `at`, fed by wires that have come to `from`: where its secondary stands.
fn transformer(
    pen: &mut Pen,
    (from, at): (f64, f64),
    (upper, lower): (&str, &str),
    name: &[&str],
) -> f64 {
    let to = at + 28.0;
    for (name, x, radius) in [("primary", at, -6.0), ("secondary", to, 6.0)] {
        symbol::winding(pen, name, x, [UPPER, LOWER], Turns(8, radius), &[]);
    }
    symbol::core(pen, (at + 14.0, UPPER + 4.0), (at + 14.0, LOWER - 4.0));
    for (net, y) in [(upper, UPPER), (lower, LOWER)] {
        pen.level(net, (from, y), [at]);
    }
    pen.about(
        (at + 14.0, WORDS),
        name.iter().map(|word| plain(fit(word, 92.0, super::pen::SIZE, false))),
    );
    to
}

/// The variac behind a transformer whose secondary stands at `from`: where its slider's wire has come to.
fn variac(pen: &mut Pen, from: f64) -> f64 {
    let x = from + 66.0;
    let slider = (x + 7.0, UPPER + 40.0);
    symbol::wound(
        pen,
        "autotransformer",
        vec![(x, UPPER), (x, LOWER), slider],
        Turns(8, -6.0),
        None,
    );
    symbol::core(pen, (x - 10.0, UPPER + 4.0), (x - 10.0, LOWER - 4.0));
    pen.level("isolated", (from, UPPER), [x]);
    pen.level("common", (from, LOWER), [SET]);
    pen.joint((x, LOWER));
    let (sx, sy) = slider;
    pen.mark(solid(&[(sx, sy), (sx + 9.0, sy - 4.0), (sx + 9.0, sy + 4.0)]));
    let to = x + 32.0;
    pen.level("slider", slider, [to, UPPER]);
    pen.about((x, WORDS), ["variac"]);
    to
}
