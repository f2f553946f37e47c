//! Names of curves, bands and marks beside a plot, each with a sample of what it names.

use super::{
    data::{MarkOf, Panel, Sample},
    plot::{CURVE, Frame, HATCH, SHADE_GREY},
    scale::Scale,
    words::{PITCH, SMALL, cut, one, put},
};
use maud::{Markup, html};

/// Length of the sample before a name.
const SAMPLE: f64 = 18.0;
/// Room beside a plot for more than the names: a line to the sample, the sample, a gap.
pub const BESIDE: f64 = 8.0 + SAMPLE + 5.0;

/// A name beside a plot: where the curve ends and where the name stands.
pub struct Beside {
    text: String,
    sample: Option<Sample>,
    end: (f64, f64),
    y: f64,
}

impl Sample {
    /// A piece of the curve, band or mark, from `x` on, its middle at `y`.
    fn paint(self, x: f64, y: f64) -> Markup {
        let (thick, gaps) = match self {
            Sample::Curve(stroke) => {
                (CURVE, stroke.gaps().map_or(vec![], |(dash, gap)| vec![dash, gap]))
            }
            Sample::Band => {
                let grey = format!("#{SHADE_GREY:02x}{SHADE_GREY:02x}{SHADE_GREY:02x}");
                return html! { rect x=(one(x)) y=(one(y - 4.5)) width=(SAMPLE) height="9" fill=(grey) {} };
            }
            Sample::Level(of) => (of.weight(), of.gaps().to_vec()),
            Sample::Hatched => {
                let stroke = |from: f64, to: f64, [up, down]: [f64; 2], thick: f64| {
                    html! {
                        line x1=(one(x + from)) y1=(one(y + up)) x2=(one(x + to)) y2=(one(y + down)) stroke="#000"
                            stroke-width=(thick) {}
                    }
                };
                return html! {
                    @for side in [-4.5, 4.5] { (stroke(0.0, SAMPLE, [side, side], MarkOf::Limit.weight())) }
                    @for from in [0.0, 4.5, 9.0] { (stroke(from, from + 9.0, [4.5, -4.5], HATCH)) }
                };
            }
        };
        let gaps: Vec<String> = gaps.iter().map(ToString::to_string).collect();
        let gaps = (!gaps.is_empty()).then(|| gaps.join(" "));
        html! {
            line x1=(one(x)) y1=(one(y)) x2=(one(x + SAMPLE)) y2=(one(y)) stroke="#000" stroke-width=(thick)
                stroke-dasharray=[gaps] {}
        }
    }
}

impl Beside {
    /// The name, its sample, and a thin line from the end of what it names, for a plot that ends at `right`.
    pub fn paint(&self, right: f64) -> Markup {
        let from = right + BESIDE - SAMPLE - 5.0;
        html! {
            line x1=(one(self.end.0)) y1=(one(self.end.1)) x2=(one(from)) y2=(one(self.y))
                stroke="#777" stroke-width="0.4" {}
            @if let Some(sample) = self.sample { (sample.paint(from, self.y)) }
            (put(right + BESIDE, self.y + 4.0, "start", SMALL, &self.text))
        }
    }
}

/// All names that stand beside a panel's plot.
pub fn end_names(panel: &Panel) -> impl Iterator<Item = &String> {
    panel.drawn().map(|(_, name, _)| name).chain(panel.horizontals.iter().map(|m| &m.name))
}

/// Names beside a plot, moved apart where they would touch, no further than that takes.
pub fn beside(panel: &Panel, frame: Frame, x: Scale, y: Scale, room: f64) -> Vec<Beside> {
    let placed = panel.drawn().filter_map(|(sample, name, points)| {
        let mut ends = points.iter().rev().map(|[x, low, high]| (*x, low + 0.5 * (high - low)));
        let (a, b) = ends.find(|end| end.0.is_finite() && end.1.is_finite())?;
        Some((sample, name, frame.left + frame.width * x.share(a), b))
    });
    let levels = panel.horizontals.iter().filter(|m| m.at.is_finite());
    let levels = levels.map(|m| {
        // what lies between the limits is named once, within them
        let within = panel.limits().filter(|_| m.of == MarkOf::Limit);
        let (sample, at) = match within {
            Some([low, high]) => (Sample::Hatched, 0.25 * low + 0.75 * high),
            None => (Sample::Level(m.of), m.at),
        };
        (sample, &m.name, frame.right(), at)
    });
    let mut list: Vec<Beside> = placed
        .chain(levels)
        .map(|(sample, name, end_x, value)| {
            let y = frame.top + frame.height * (1.0 - y.share(value));
            Beside { text: cut(name, SMALL, room), sample: Some(sample), end: (end_x, y), y }
        })
        .filter(|name| !name.text.is_empty())
        .collect();
    let fit = (frame.height / PITCH) as usize;
    if list.len() > fit {
        let more = list.len() + 1 - fit;
        list.truncate(fit);
        if let Some(last) = list.last_mut() {
            last.text = cut(&format!("{more} more"), SMALL, room);
            last.sample = None;
        }
    }
    list.sort_by(|a, b| a.y.total_cmp(&b.y));
    spread(&mut list, frame);
    list
}

/// Moves sorted names apart: those that touch stand round the mean of their places, all within the plot.
fn spread(list: &mut [Beside], frame: Frame) {
    // sum of places, each less its rank in pitches, and number; groups whose means are out of order merge
    let mut groups: Vec<(f64, usize)> = Vec::new();
    let mean = |group: &(f64, usize)| group.0 / group.1 as f64;
    for (i, name) in list.iter().enumerate() {
        let mut group = (name.y - PITCH * i as f64, 1);
        while let Some(before) = groups.pop_if(|before| mean(before) > mean(&group)) {
            group = (group.0 + before.0, group.1 + before.1);
        }
        groups.push(group);
    }
    let places = groups.iter().flat_map(|g| std::iter::repeat_n(mean(g), g.1));
    let lowest = frame.top + frame.height - PITCH * list.len().saturating_sub(1) as f64;
    for (i, (name, place)) in list.iter_mut().zip(places).enumerate() {
        // one shift of all ranks keeps the distances
        name.y = place.min(lowest).max(frame.top) + PITCH * i as f64;
    }
}
