//! Charts: curves in small panels that share the x axis. Made for black ink: curves differ by their stroke and
//! are named at their ends, and nothing depends on a colour.

mod data;
mod layout;
mod names;
mod plot;
mod scale;
mod words;

pub use data::{Axis, Chart, ChartError, Line, Mark, MarkOf, Panel, Shade, Stroke};

use super::{CHART_WIDTH as WIDTH, Drawing};
use crate::report::words::capital;
use layout::{EDGE, Layout, TITLE};
use maud::{PreEscaped, html};
use plot::{FINE, plots};
use words::{PITCH, SMALL, clean, cut, put, wrap};

/// Paints a chart as a black-and-white SVG, 720 units wide, its panels in 1 to 3 `columns`, or fewer where
/// the names at the curves' ends need the room. `prefix` begins the ids within, so that several drawings can
/// stand in one page.
///
/// # Errors
/// The drawing library refuses; not known to happen.
pub fn paint(chart: &Chart, columns: usize, prefix: &str) -> Result<Drawing, ChartError> {
    let room = WIDTH - 2.0 * EDGE;
    // bold letters are about a tenth wider
    let of = if chart.untitled { "" } else { &chart.title };
    let title = cut(of, TITLE, room / 1.1);
    let shows = Some(capital(&chart.shows)).filter(|_| !chart.untitled);
    let under = shows.into_iter().chain([chart.subtitle.clone()]).filter(|text| !text.is_empty());
    let under = under.collect::<Vec<_>>().join("; ");
    let [under, foot] = [&under, &chart.foot].map(|text| wrap(text, SMALL, room));
    let head = if title.is_empty() { 0.0 } else { EDGE + TITLE + 4.0 };
    let gap = if title.is_empty() && under.is_empty() { 2.0 } else { 12.0 };
    let layout = Layout::of(chart, columns, head + PITCH * under.len() as f64 + gap);
    let under_panels = layout.foot();
    let foot_room = if foot.is_empty() { 0.0 } else { PITCH * foot.len() as f64 + EDGE };
    let height = (under_panels + foot_room).ceil();
    let inner = plots((WIDTH, height), layout.x, layout.plots())?;

    let (title_id, description_id) = (format!("{prefix}-title"), format!("{prefix}-description"));
    let both = [&chart.title, &chart.shows].map(|text| clean(text));
    let name = both.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(": ");
    let description = clean(&chart.description);
    let markup = html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {height}")) class="chart" role="img"
            aria-labelledby=(format!("{title_id} {description_id}")) {
            title id=(title_id) { (&name) }
            desc id=(description_id) { (description) }
            rect width=(WIDTH) height=(height) fill="#fff" {}
            g transform=(format!("scale({})", 1.0 / FINE)) stroke-linejoin="round" { (PreEscaped(inner)) }
            g font-family="sans-serif" fill="#000" {
                (put(EDGE, EDGE + TITLE, "start", TITLE, &title))
                @for (i, line) in (1..).zip(&under) {
                    (put(EDGE, head + PITCH * f64::from(i), "start", SMALL, line))
                }
                @for index in 0..chart.panels.len() { (layout.texts(index)) }
                @for (i, line) in (1..).zip(&foot) {
                    (put(EDGE, under_panels + PITCH * f64::from(i), "start", SMALL, line))
                }
            }
        }
    };
    Ok(Drawing { title: name, titled: !chart.untitled, description, svg: markup.into_string() })
}
