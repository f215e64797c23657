//! Reads a table of readings from text: header with units, then numbers.
//!
//! The reader is written here instead of taken from a CSV library. The separator and the decimal sign are found from the
//! text, every message names the line number of an editor (with comments and blank lines), and cells never hold line
//! breaks. What remains of CSV is a split with quotes.

use super::cells::{number, separator_of, shortened, split};
use super::problem::TableError;
use super::text::is_text;
use super::units::{Measured, Quantity, Scale};
use gatefrost_core::format;
use std::borrow::Cow;

/// Greatest number of rows.
pub const MAX_ROWS: usize = 100_000;
/// Greatest number of unknown columns that are named.
const MOST_IGNORED: usize = 2;

/// A column that was understood.
#[derive(Debug, Clone)]
pub struct ParsedColumn<Q = Quantity> {
    /// What it holds.
    pub quantity: Q,
    /// Its header as read, shortened.
    pub header: String,
    /// Its unit.
    pub scale: Option<Scale>,
    place: usize,
}

/// A row: its line, and one value in SI units for each column, absent where the cell is empty.
#[derive(Debug, Clone)]
pub struct ParsedRow {
    /// Line number of an editor, from 1.
    pub line: usize,
    /// One for each column.
    pub values: Vec<Option<f64>>,
    /// The cells of the columns of texts, in their order.
    pub texts: Vec<String>,
}

/// A table as read, in SI.
#[derive(Debug, Clone)]
pub struct ParsedTable<Q = Quantity> {
    /// The columns that were understood.
    pub columns: Vec<ParsedColumn<Q>>,
    /// The rows.
    pub rows: Vec<ParsedRow>,
    /// Headers that name nothing known.
    pub ignored: Vec<String>,
    /// What separates the cells.
    pub separator: char,
    /// Whether decimal commas were read.
    pub decimal_comma: bool,
    /// Line of the header.
    pub header_line: usize,
}

impl<Q: Measured> ParsedTable<Q> {
    /// Place of a quantity among the columns.
    pub fn place(&self, quantity: Q) -> Option<usize> {
        self.columns.iter().position(|column| column.quantity == quantity)
    }

    /// Reports missing columns and unknown headers, unless a header has been refused already, because that may be the
    /// missing one.
    pub fn lacks(&self, missing: String, problems: &mut TableError) {
        if problems.problems.iter().any(|p| p.line == Some(self.header_line)) {
            return;
        }
        let unknown = match self.ignored.as_slice() {
            [] => String::new(),
            some if some.len() <= MOST_IGNORED => format!(" Not understood: {}.", some.join(", ")),
            some => {
                let (named, more) = some.split_at(MOST_IGNORED);
                format!(" Not understood: {} and {} more.", named.join(", "), more.len())
            }
        };
        problems.push(Some(self.header_line), None, missing + &unknown);
    }

    /// Notes for the reader on how the text was understood.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if !self.ignored.is_empty() {
            notes.push(format!("Columns not used: {}.", self.ignored.join(", ")));
        }
        if self.decimal_comma {
            notes.push("Decimal commas were read.".to_owned());
        }
        notes
    }
}

/// Reads the columns that hold one of `wanted`. `usual` is the unit of a quantity whose header states none. Problems
/// found along the way go to `problems`; `None` where the text cannot be read as a table at all.
pub fn read<Q: Measured>(
    text: &str,
    wanted: &[Q],
    usual: Option<(Q, &str)>,
    problems: &mut TableError,
) -> Option<ParsedTable<Q>> {
    if let Err(refusal) = is_text(text) {
        problems.problems.push(refusal);
        return None;
    }
    let text = text.trim_start_matches('\u{feff}');
    let breaks = if text.contains('\n') { '\n' } else { '\r' };
    let mut separator = None;
    let mut lines =
        text.split(breaks).enumerate().map(|(i, line)| (i + 1, line.trim_matches(['\r', ' ']))).filter(
            |(_, line)| !line.starts_with('#') && !line.trim_matches(['\t', ';', ',', ' ', '"']).is_empty(),
        );

    let mut first = lines.next();
    if let Some((_, line)) = first
        && let Some(mark) = line.strip_prefix("sep=")
    {
        separator = mark.chars().next();
        first = lines.next();
    }
    let Some((header_line, header)) = first else {
        problems.push(None, None, "There is nothing to read: the first line must name the columns, the next ones hold the readings.");
        return None;
    };
    let separator = separator.unwrap_or_else(|| separator_of(header));
    let cells = split(header, separator);
    if cells.iter().all(|cell| number(cell).is_some()) {
        problems.push(
            Some(header_line),
            None,
            format!("The first line must name the columns, such as {}; numbers were found.", example(wanted)),
        );
        return None;
    }
    let (mut columns, ignored) = columns_of(&cells, wanted, header_line, problems);
    let mut table = ParsedTable {
        columns: Vec::new(),
        rows: Vec::new(),
        ignored,
        separator,
        decimal_comma: false,
        header_line,
    };
    let mut decimals = Decimals::default();
    let mut line_count = 0;
    for (line, content) in lines {
        let fields = split(content, separator);
        if line_count == 0 {
            if units_row(&mut columns, &fields) {
                continue;
            }
            if let Some((quantity, unit)) = usual {
                for column in columns.iter_mut().filter(|c| c.quantity == quantity && c.scale.is_none()) {
                    column.scale = quantity.scale(unit);
                }
            }
        }
        line_count += 1;
        if line_count > MAX_ROWS {
            problems.push(
                Some(line),
                None,
                format!("More than {MAX_ROWS} rows: use fewer readings or split the file."),
            );
            break;
        }
        if fields.len() > cells.len() && fields[cells.len()..].iter().any(|cell| !cell.is_empty()) {
            let hint =
                if separator == ',' { "; decimal commas need a semicolon or tab as separator" } else { "" };
            problems.push(
                Some(line),
                None,
                format!("{} cells, but the header has {}{hint}.", fields.len(), cells.len()),
            );
            continue;
        }
        let mut texts = Vec::new();
        let values = columns
            .iter_mut()
            .map(|column| {
                let cell = fields.get(column.place).map_or("", |cell| cell.as_ref());
                if column.quantity.is_text() {
                    texts.push(cell.chars().filter(|c| !c.is_control()).collect());
                    return None;
                }
                column.quantity.word(cell).or_else(|| value(cell, column, line, &mut decimals, problems))
            })
            .collect();
        table.rows.push(ParsedRow { line, values, texts });
    }
    if let (Some(comma), Some(point)) = (decimals.comma, decimals.point) {
        problems.push(
            Some(comma.max(point)),
            None,
            format!("Decimal commas (line {comma}) and decimal points (line {point}) in one file: use one of them."),
        );
    }
    for column in
        columns.iter().filter(|column| column.scale.is_none() && !column.quantity.units().is_empty())
    {
        problems.push(
            Some(header_line),
            Some(&column.header),
            format!("The unit is missing: write it in brackets, one of {}.", column.quantity.units_text()),
        );
    }
    if line_count == 0 {
        problems.push(None, None, "No readings below the header.");
    }
    table.decimal_comma = decimals.comma.is_some();
    table.columns = columns;
    Some(table)
}

/// Finds the columns of the header; reports doubles and units that do not fit.
fn columns_of<Q: Measured>(
    cells: &[Cow<'_, str>],
    wanted: &[Q],
    line: usize,
    problems: &mut TableError,
) -> (Vec<ParsedColumn<Q>>, Vec<String>) {
    let (mut columns, mut ignored): (Vec<ParsedColumn<Q>>, Vec<String>) = (Vec::new(), Vec::new());
    for (place, cell) in cells.iter().enumerate() {
        let header = cell.trim();
        let Some((quantity, unit)) = Q::of_header(header, wanted) else {
            if !header.is_empty() {
                ignored.push(shortened(header));
            }
            continue;
        };
        if let Some(twin) = columns.iter().find(|column| column.quantity == quantity) {
            let message = format!("It gives the same as “{}”: keep one of the two.", twin.header);
            problems.push(Some(line), Some(&shortened(header)), message);
            continue;
        }
        let scale = unit.as_ref().and_then(|unit| quantity.scale(unit));
        if let Some(unit) =
            unit.filter(|unit| !unit.is_empty() && scale.is_none() && !quantity.units().is_empty())
        {
            // `t [s]` is a time, not a temperature in an unknown unit.
            if header.starts_with(|c: char| c.is_alphabetic())
                && !header.chars().nth(1).is_some_and(char::is_alphanumeric)
            {
                ignored.push(shortened(header));
                continue;
            }
            let hint = quantity.hint(&unit);
            let message = format!(
                "The unit “{}” is not known here: use one of {}.{hint}",
                shortened(&unit),
                quantity.units_text()
            );
            problems.push(Some(line), Some(&shortened(header)), message);
            continue;
        }
        columns.push(ParsedColumn { quantity, header: shortened(header), scale, place });
    }
    (columns, ignored)
}

/// Takes a line of units below the header, if this is one.
fn units_row<Q: Measured>(columns: &mut [ParsedColumn<Q>], fields: &[Cow<'_, str>]) -> bool {
    let bare = |cell: &Cow<'_, str>| cell.trim_matches(['[', ']', '(', ')', ' ']).to_owned();
    let known = |column: &ParsedColumn<Q>| {
        let cell = fields.get(column.place).map(bare).unwrap_or_default();
        // `1/s` begins like a number.
        let scale = column.quantity.scale(&cell);
        (cell.is_empty() || scale.is_some() || number(&cell).is_none()).then_some(scale)
    };
    let scales: Vec<Option<Option<Scale>>> = columns.iter().map(known).collect();
    if !scales.iter().all(Option::is_some) || !scales.iter().flatten().any(Option::is_some) {
        return false;
    }
    for (column, scale) in columns.iter_mut().zip(scales.into_iter().flatten()) {
        column.scale = column.scale.take().or(scale);
    }
    true
}

/// Lines on which a decimal comma and a decimal point were first seen.
#[derive(Default)]
struct Decimals {
    comma: Option<usize>,
    point: Option<usize>,
}

/// The value of a cell in SI. Reports texts that are not numbers, and units other than the column's.
fn value<Q: Measured>(
    cell: &str,
    column: &mut ParsedColumn<Q>,
    line: usize,
    decimals: &mut Decimals,
    problems: &mut TableError,
) -> Option<f64> {
    if cell.is_empty() {
        return None;
    }
    let Some((digits, unit)) = number(cell) else {
        let message = format!("“{}” is not a number.", shortened(cell));
        problems.push(Some(line), Some(&column.header), message);
        return None;
    };
    if digits.contains(',') && digits.contains('.') || digits.matches(',').count() > 1 {
        let message = format!(
            "“{}” has more than one decimal sign: leave out separators of thousands.",
            shortened(cell)
        );
        problems.push(Some(line), Some(&column.header), message);
        return None;
    }
    if digits.contains(',') {
        decimals.comma.get_or_insert(line);
    } else if digits.contains('.') {
        decimals.point.get_or_insert(line);
    }
    let parsed = match digits.contains([',', '−']) {
        true => format::parsed(&digits.replace(',', ".").replace('−', "-")),
        false => format::parsed(digits),
    };
    let Some(parsed) = parsed else {
        problems.push(Some(line), Some(&column.header), format!("“{}” is not a number.", shortened(cell)));
        return None;
    };
    if !unit.is_empty() {
        let given = column.quantity.scale(unit);
        match (&column.scale, given) {
            (_, None) => {
                let message = format!("“{}” is not a number in a known unit.", shortened(cell));
                problems.push(Some(line), Some(&column.header), message);
                return None;
            }
            (None, given) => column.scale = given,
            (Some(scale), Some(given)) if *scale != given => {
                let message =
                    format!("{} here, {} above: use one unit for the whole column.", given.text, scale.text);
                problems.push(Some(line), Some(&column.header), message);
                return None;
            }
            _ => {}
        }
    }
    Some(column.scale.as_ref().map_or(parsed, |scale| parsed * scale.factor + scale.offset))
}

fn example<Q: Measured>(wanted: &[Q]) -> String {
    let headers: Vec<&str> = wanted.iter().take(3).map(|quantity| quantity.header()).collect();
    headers.join(", ")
}
