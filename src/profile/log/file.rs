//! A log in a file of its own: comma-separated values, time and volts.

use super::{LogReading, MOST_LOGGED, OutletLog, time::time};
use crate::{
    profile::{
        document::checked_text,
        lines::lines,
        problem::{MAX_SHOWN, Problem, Problems, quoted},
        reach::{CHECK, out_of_reach},
    },
    quantity::{Quantity, Sign, Voltage, parse},
    text::clean,
};
use csv::{ReaderBuilder, StringRecord, Trim};

/// Largest file of a log, bytes (8 MiB).
pub const MAX_LOG_BYTES: usize = 8 * 1024 * 1024;

/// Where time and volts stand in a line, by the names of the first line or, without such, the only two there are.
#[derive(Clone, Copy)]
struct Columns {
    time: usize,
    volts: usize,
    /// So many are in each line: a decimal comma that was taken for a separator shows as one more.
    all: usize,
}

/// The separator of fields, and whether the decimal mark may be a comma.
#[derive(Clone, Copy)]
struct Marks {
    between: u8,
    comma: bool,
}

/// Reads a log from the bytes of a file; `name` is its name in messages, `file` the one that reports show.
///
/// # Errors
/// Every line that is wrong, or what is wrong with all of them.
pub fn read_log(name: &str, file: &str, bytes: &[u8]) -> Result<OutletLog, Problems> {
    let text = checked_text(
        name,
        bytes,
        MAX_LOG_BYTES,
        "keep a few days: a reading every five minutes is plenty",
    )?;
    let marks = Marks::of(&text);
    let mut problems = Vec::new();
    let readings = readings(&text, marks, &mut problems);
    if problems.is_empty() {
        match OutletLog::of(readings.clone(), Some(clean(file))) {
            Ok(log) => return Ok(log),
            Err((at, found, advice)) => {
                let line = at.and_then(|i| readings.get(i)?.line);
                let place = line.map(|line| (line, 1));
                problems.push(Problem::in_file(place, found, advice));
            }
        }
    }
    let hidden = problems.len().saturating_sub(MAX_SHOWN);
    problems.truncate(MAX_SHOWN);
    Err(Problems::new(name, &text, problems, [hidden, 0]))
}

impl Marks {
    /// By the first line that has any; a comma is a decimal mark only where it does not separate.
    fn of(text: &str) -> Marks {
        let mut written = lines(text).filter(|line| !is_remark(line));
        let first = written.next().unwrap_or_default();
        match (first.contains(';'), first.contains('\t')) {
            (true, _) => Marks { between: b';', comma: true },
            (_, true) => Marks { between: b'\t', comma: true },
            _ => Marks { between: b',', comma: false },
        }
    }
}

fn is_remark(line: &str) -> bool {
    line.trim().is_empty() || line.starts_with('#')
}

/// The readings of all lines that are right.
fn readings(text: &str, marks: Marks, problems: &mut Vec<Problem>) -> Vec<LogReading> {
    let kept: Vec<(usize, &str)> =
        (1..).zip(lines(text)).filter(|(_, line)| !is_remark(line)).collect();
    // without what is passed over, lest the parser count it to the line behind it
    let plain = kept.iter().map(|(_, line)| *line).collect::<Vec<_>>().join("\n");
    let mut rows = ReaderBuilder::new()
        .delimiter(marks.between)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(plain.as_bytes());
    let (mut columns, mut list) = (None, Vec::new());
    // text that is UTF-8 and may have any number of fields is read to its end
    for row in rows.records().map_while(Result::ok) {
        let at = row.position().map_or(0, |p| p.line() as usize);
        let (line, text) = kept.get(at.saturating_sub(1)).copied().unwrap_or_default();
        let refused = |(field, found, advice): Refused| {
            Problem::in_file(Some((line, column(text, &row, field))), found, advice)
        };
        if columns.is_none() {
            match Columns::of(&row) {
                Ok((found, is_names)) => {
                    columns = Some(found);
                    if is_names {
                        continue;
                    }
                }
                Err(error) => {
                    problems.push(refused(error));
                    break;
                }
            }
        }
        match columns.map(|columns| reading(&row, columns, marks)) {
            Some(Ok(reading)) => list.push(LogReading { line: Some(line), ..reading }),
            Some(Err(error)) => problems.push(refused(error)),
            None => {}
        }
        if list.len() > MOST_LOGGED {
            let advice = format!("keep it within {MOST_LOGGED} readings");
            problems.push(refused((0, "the log is too long".to_owned(), advice)));
            break;
        }
    }
    list
}

/// The field that is wrong, what was found, and what to write.
type Refused = (usize, String, String);

/// Column of a field in its line, from 1.
fn column(line: &str, row: &StringRecord, field: usize) -> usize {
    let mut at = 0;
    for (i, text) in row.iter().take(field + 1).enumerate() {
        at += line.get(at..).and_then(|rest| rest.find(text)).unwrap_or(0);
        if i < field {
            at += text.len() + 1;
        }
    }
    line.char_indices().take_while(|(byte, _)| *byte < at).count() + 1
}

impl Columns {
    /// By the first line, and whether that has their names.
    fn of(row: &StringRecord) -> Result<(Columns, bool), Refused> {
        let begins = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
        if row.iter().any(begins) {
            return Ok((Columns { time: 0, volts: 1, all: 2 }, false));
        }
        let named = |name: &str| row.iter().position(|field| field.eq_ignore_ascii_case(name));
        match (named("time"), named("volts")) {
            (Some(time), Some(volts)) => Ok((Columns { time, volts, all: row.len() }, true)),
            (time, _) => {
                let missing = if time.is_none() { "time" } else { "volts" };
                let advice = "name the columns `time` and `volts`, or leave the line of names out and keep these two";
                Err((0, format!("no column is named {missing}"), advice.to_owned()))
            }
        }
    }
}

/// One line.
fn reading(row: &StringRecord, columns: Columns, marks: Marks) -> Result<LogReading, Refused> {
    if row.len() != columns.all {
        let found = format!("this line is not of {} values but of {}", columns.all, row.len());
        let advice = match marks.comma {
            true => "write time and volts alone, or name all columns in the first line",
            false => {
                "write time and volts alone, such as 2026-11-03 07:40,121.8, or name all columns in the first line; with decimal commas, separate by semicolons"
            }
        };
        return Err((0, found, advice.into()));
    }
    let field = |at: usize| row.get(at).unwrap_or_default();
    let (when, shown) = (field(columns.time), field(columns.volts));
    let (at, universal) = time(when).map_err(|(found, advice)| (columns.time, found, advice))?;
    let volts =
        volts(shown, marks.comma).map_err(|(found, advice)| (columns.volts, found, advice))?;
    Ok(LogReading { at, universal, volts, line: None })
}

/// Volts, with their unit or as a number alone: the column says what they are.
fn volts(text: &str, comma: bool) -> Result<Voltage, (String, String)> {
    let plain = if comma { text.replacen(',', ".", 1) } else { text.to_owned() };
    let number = plain.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
    let number = plain.parse::<f64>().ok().filter(|v| number && v.is_finite());
    let refused =
        |why: &str| (format!("{} {why}", quoted(text)), "write volts such as 121.8".to_owned());
    let volts = match number {
        Some(v) if v < 0.0 => {
            return Err(refused("is below zero, and a meter on AC shows no sign"));
        }
        Some(v) => Voltage::from_si(v),
        None if text.is_empty() => {
            return Err((
                "the volts are missing".into(),
                "write what the meter showed, or take the line out".into(),
            ));
        }
        None => parse::<Voltage>(&plain, Sign::NonNegative)
            .map_err(|error| (error.to_string(), "write volts such as 121.8".to_owned()))?,
    };
    match out_of_reach(text, volts) {
        Some(found) => Err((found, CHECK.to_owned())),
        None => Ok(volts),
    }
}
