//! A chart as data.

/// A chart as data.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Chart {
    /// Whose curves they are, one line; cut where it is too long.
    pub title: String,
    /// What is shown of it, such as "readings against the outlet voltage".
    pub shows: String,
    /// True where the page around it says both, and the drawing does not.
    pub untitled: bool,
    /// A line or two under the title: under which conditions the figures hold. May be empty.
    pub subtitle: String,
    /// What the chart shows, in words, for who cannot see it.
    pub description: String,
    /// The axis that all panels share.
    pub x: Axis,
    /// One panel for each quantity.
    pub panels: Vec<Panel>,
    /// Small print at the foot, such as a caution; never cut between words. May be empty.
    pub foot: String,
    /// True for plots of little height, where a sheet has little room.
    pub low: bool,
}

/// An axis.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Axis {
    /// Name.
    pub name: String,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
}

/// A panel: one quantity against the shared axis. Values that are not finite are left out, and break a curve.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Panel {
    /// Name of the quantity.
    pub name: String,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
    /// Curves.
    pub lines: Vec<Line>,
    /// Shaded bands, behind the curves.
    pub bands: Vec<Shade>,
    /// Values of x worth a line, named above the plot.
    pub verticals: Vec<Mark>,
    /// Values of the quantity worth a line, named beside the plot.
    pub horizontals: Vec<Mark>,
}

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Name, set at the curve's end; empty where the panel's name says it.
    pub name: String,
    /// How it is drawn.
    pub stroke: Stroke,
    /// Points in their order along the curve.
    pub points: Vec<(f64, f64)>,
}

/// How a curve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// Without gaps.
    Solid,
    /// In dashes.
    Dashed,
    /// In dots.
    Dotted,
}

impl Stroke {
    /// Length of a dash and of a gap, units; `None` without gaps.
    pub(super) fn gaps(self) -> Option<(f64, f64)> {
        match self {
            Stroke::Solid => None,
            Stroke::Dashed => Some((7.0, 4.0)),
            Stroke::Dotted => Some((1.6, 2.8)),
        }
    }
}

/// A band between two values.
#[derive(Debug, Clone, PartialEq)]
pub struct Shade {
    /// Name, set at the band's end.
    pub name: String,
    /// Points: x, low, high.
    pub points: Vec<(f64, f64, f64)>,
}

/// A single value.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Name.
    pub name: String,
    /// Value.
    pub at: f64,
    /// What it is, which its line tells.
    pub of: MarkOf,
}

/// What a value is that is worth a line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum MarkOf {
    /// What something is rated for: without gaps.
    #[default]
    Rating,
    /// How far it may be from that: dashes and dots, and hatching between two of them.
    Limit,
    /// What the outlet gives through the day: short dashes.
    Outlet,
    /// What the set was designed for: long, heavy dashes.
    Design,
}

impl MarkOf {
    /// Lengths of dashes and gaps in turn, units; none without gaps.
    pub(super) fn gaps(self) -> &'static [f64] {
        match self {
            MarkOf::Rating => &[],
            MarkOf::Limit => &[9.0, 3.0, 1.5, 3.0],
            MarkOf::Outlet => &[3.0, 3.0],
            MarkOf::Design => &[14.0, 5.0],
        }
    }

    /// Thickness of its line, units.
    pub(super) fn weight(self) -> f64 {
        match self {
            MarkOf::Design => 1.1,
            MarkOf::Rating | MarkOf::Limit | MarkOf::Outlet => 0.7,
        }
    }
}

/// A chart that could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the chart cannot be drawn: {0}")]
pub struct ChartError(pub(super) String);

/// What stands before a name beside a plot to show whose it is.
#[derive(Clone, Copy)]
pub(super) enum Sample {
    /// A curve.
    Curve(Stroke),
    /// A band.
    Band,
    /// A value of the quantity.
    Level(MarkOf),
    /// What lies between limits.
    Hatched,
}

/// What has a name beside the plot: its sample, its name, its points as x, low and high; a curve's are of no height.
pub(super) type Named<'p> = (Sample, &'p String, Vec<[f64; 3]>);

impl Panel {
    /// Its curves and bands.
    pub(super) fn drawn(&self) -> impl Iterator<Item = Named<'_>> {
        let lines = self.lines.iter().map(|l| {
            let points = l.points.iter().map(|p| [p.0, p.1, p.1]);
            (Sample::Curve(l.stroke), &l.name, points.collect())
        });
        lines.chain(self.bands.iter().map(|b| {
            let points = b.points.iter().map(|p| [p.0, p.1, p.2]);
            (Sample::Band, &b.name, points.collect())
        }))
    }

    /// The lowest and the highest of its limits, where it has more than one: what is hatched.
    pub(super) fn limits(&self) -> Option<[f64; 2]> {
        let limits = self.horizontals.iter().filter(|m| m.of == MarkOf::Limit && m.at.is_finite());
        let ends = limits.map(|m| [m.at, m.at]).reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]);
        ends.filter(|[low, high]| low < high)
    }

    /// All points of these.
    pub(super) fn points(&self) -> impl Iterator<Item = [f64; 3]> {
        self.drawn().flat_map(|(.., points)| points)
    }
}
