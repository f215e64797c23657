//! The numbers behind each figure: for screen readers, for copying, and as CSV.

use crate::window::nothing_usable;
use crate::{At, Drawing, Figure, Over, along, holding};
use gatefrost_core::units::Units;
use gatefrost_report::{HoldHistory, Moments, PassageReport, Phase, Report};
use gatefrost_window::Window;
use serde::Serialize;

/// A figure's numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DataTable {
    /// What the table shows, in a sentence.
    pub caption: String,
    /// The columns.
    pub columns: Vec<DataColumn>,
    /// The rows; each has one cell a column.
    pub rows: Vec<Vec<DataCell>>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DataColumn {
    /// What it holds.
    pub title: String,
    /// In which unit; empty for text and pure numbers.
    pub unit: String,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(untagged)]
pub enum DataCell {
    /// A number.
    Number(f64),
    /// A text, which may come from a stranger's scenario.
    Text(String),
    /// Nothing, where a value does not exist.
    Empty,
}

impl DataCell {
    pub(crate) fn number(value: f64) -> Self {
        if value.is_finite() { Self::Number(value) } else { Self::Empty }
    }

    pub(crate) fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    fn csv(&self) -> String {
        match self {
            Self::Number(value) => value.to_string(),
            Self::Text(text) => csv_text(text),
            Self::Empty => String::new(),
        }
    }
}

/// A text as a CSV field. A spreadsheet would run a text that begins like a formula, so such a
/// text is given a leading apostrophe.
fn csv_text(text: &str) -> String {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let text = if formula { format!("'{text}") } else { text.to_owned() };
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

impl DataTable {
    /// The same with every column in the units in which a reader sees it.
    #[must_use]
    pub fn shown_in(mut self, units: Units) -> Self {
        for (i, column) in self.columns.iter_mut().enumerate() {
            let view = units.shown(&column.unit);
            for cell in self.rows.iter_mut().filter_map(|row| row.get_mut(i)) {
                if let DataCell::Number(value) = cell {
                    *value = view.of(*value);
                }
            }
            column.unit = view.unit.to_owned();
        }
        self.caption = units.restated(&self.caption);
        self
    }

    /// The table as CSV (RFC 4180) with a head line; numbers in full.
    pub fn to_csv(&self) -> String {
        let head = self.columns.iter().map(|c| {
            csv_text(&if c.unit.is_empty() { c.title.clone() } else { format!("{} [{}]", c.title, c.unit) })
        });
        let mut csv = head.collect::<Vec<_>>().join(",");
        csv.push_str("\r\n");
        for row in &self.rows {
            csv.push_str(&row.iter().map(DataCell::csv).collect::<Vec<_>>().join(","));
            csv.push_str("\r\n");
        }
        csv
    }
}

/// The numbers behind a figure.
pub(crate) fn of(figure: &Figure<'_>) -> DataTable {
    match figure {
        Figure::Window { window, over, .. } => {
            window_table(window, over.fitting(&window.plane), figure.caption())
        }
        Figure::Viscosity(report) => viscosity(report, figure.caption()),
        Figure::FillPressure(report) => fill(report, figure.caption()),
        Figure::Along { report, at, end } => along(report, *at, *end, figure.caption()),
        Figure::Hold(report) => hold(report, figure.caption()),
        Figure::Trace(report, moments) => trace(report, moments, figure.caption()),
        Figure::Mass(_, study) => side_by_side(
            figure.caption(),
            &[
                ("Hold time", "s"),
                ("Mass of the parts", "g"),
                ("Shrinkage of the worst 10 %, by volume", "%"),
            ],
            &[&study.hold_time_s, &study.part_mass_g, &study.shrinkage_percent],
        ),
        Figure::Cavity(..) | Figure::Path { .. } => cavity(figure.cavity().passages, figure.caption()),
        Figure::Cycle(report) => cycle(report, figure.caption()),
    }
}

pub(crate) fn columns(list: &[(&str, &str)]) -> Vec<DataColumn> {
    list.iter()
        .map(|(title, unit)| DataColumn { title: (*title).to_owned(), unit: (*unit).to_owned() })
        .collect()
}

/// Lists of equal meaning side by side; a shorter list leaves its cells empty.
fn side_by_side(caption: String, heads: &[(&str, &str)], lists: &[&[f64]]) -> DataTable {
    rows_of(caption, columns(heads), lists)
}

fn rows_of(caption: String, columns: Vec<DataColumn>, lists: &[&[f64]]) -> DataTable {
    let longest = lists.iter().map(|l| l.len()).max().unwrap_or(0);
    let cell = |list: &[f64], i: usize| list.get(i).map_or(DataCell::Empty, |v| DataCell::number(*v));
    let rows = (0..longest).map(|i| lists.iter().map(|l| cell(l, i)).collect()).collect();
    DataTable { caption, columns, rows }
}

fn window_table(window: &Window, over: Over<'_>, mut caption: String) -> DataTable {
    if let Some(text) = nothing_usable(window) {
        caption = format!("{caption}. {text}");
    }
    let (x, y) = (window.plane.x.axis.parameter(), window.plane.y.axis.parameter());
    let heads = [("Limit", ""), ("Where", ""), ("Piece", ""), (x.title, x.unit), (y.title, y.unit)];
    // What is read most comes first: a table of points is long.
    let mut rows = over.widths();
    for line in &window.lines {
        for (i, piece) in line.pieces.iter().enumerate() {
            for [x, y] in piece {
                rows.push(vec![
                    DataCell::text(line.label.as_ref()),
                    DataCell::text("on the line"),
                    DataCell::number((i + 1) as f64),
                    DataCell::number(*x),
                    DataCell::number(*y),
                ]);
            }
        }
    }
    for (limits, place) in
        [(&window.broken_everywhere, "not met anywhere"), (&window.held_everywhere, "met everywhere")]
    {
        for limit in limits {
            let name = DataCell::text(limit.label());
            rows.push(vec![name, DataCell::text(place), DataCell::Empty, DataCell::Empty, DataCell::Empty]);
        }
    }
    rows.extend(over.rows());
    DataTable { caption, columns: columns(&heads), rows }
}

fn viscosity(report: &Report, caption: String) -> DataTable {
    let heads =
        [("Curve or passage", ""), ("Temperature", "°C"), ("Shear rate", "1/s"), ("Viscosity", "Pa·s")];
    let mut rows = Vec::new();
    for curve in &report.feedstock.curves {
        for (rate, viscosity) in curve.shear_rate_1_s.iter().zip(&curve.viscosity_pa_s) {
            rows.push(vec![
                DataCell::text("curve"),
                DataCell::number(curve.temperature_c),
                DataCell::number(*rate),
                DataCell::number(*viscosity),
            ]);
        }
    }
    for p in &report.fill.passages {
        rows.push(vec![
            DataCell::text(&p.name),
            DataCell::Empty,
            DataCell::number(p.apparent_shear_rate_1_s),
            DataCell::Empty,
        ]);
    }
    DataTable { caption, columns: columns(&heads), rows }
}

fn fill(report: &Report, caption: String) -> DataTable {
    let h = &report.fill.history;
    side_by_side(
        caption,
        &[
            ("Time", "s"),
            ("Nozzle pressure", "MPa"),
            ("Gate pressure", "MPa"),
            ("Flow rate", "cm³/s"),
            ("Filled", "%"),
            ("Front", "mm"),
            ("Front temperature", "°C"),
        ],
        &[
            &h.time_s,
            &h.nozzle_mpa,
            &h.gate_mpa,
            &h.rate_cm3_s,
            &h.filled_percent,
            &h.front_mm,
            &h.front_temperature_c,
        ],
    )
}

fn along(report: &Report, at: Option<At<'_>>, end: Option<usize>, caption: String) -> DataTable {
    let heads = [
        ("Way to", ""),
        ("Distance from the nozzle", "mm"),
        ("Pressure", "MPa"),
        ("Mean temperature", "°C"),
        ("Centre temperature", "°C"),
        ("Frozen layer", "% of the half gap"),
    ];
    let mut rows = Vec::new();
    for way in along::ways(report, at, end) {
        for (i, distance) in way.distance.iter().enumerate() {
            let mut row = vec![DataCell::text(&way.end), DataCell::number(*distance)];
            let lists = [&way.pressure, &way.mean, &way.centre, &way.frozen];
            row.extend(lists.map(|list| list.get(i).map_or(DataCell::Empty, |v| DataCell::number(*v))));
            rows.push(row);
        }
    }
    DataTable { caption, columns: columns(&heads), rows }
}

fn hold(report: &Report, caption: String) -> DataTable {
    let none = HoldHistory::default();
    let h = report.hold.as_ref().map_or(&none, |hold| &hold.history);
    let (time, last) = (&h.time_s, [&h.hottest_part_c, &h.part_mass_g]);
    let mut columns = columns(&[("Time from the end of filling", "s"), ("Nozzle pressure", "MPa")]);
    let mut lists = vec![time, &h.nozzle_mpa];
    for (traces, words, unit) in [
        (&h.gates_mpa, "Pressure behind", "MPa"),
        (&h.ends_mpa, "Pressure at the end of", "MPa"),
        (&h.gate_openness, "Openness of", ""),
    ] {
        for trace in traces {
            columns.push(DataColumn { title: format!("{words} {}", trace.name), unit: unit.to_owned() });
            lists.push(&trace.values);
        }
    }
    columns.push(DataColumn {
        title: "Hottest mean temperature of the parts".to_owned(),
        unit: "°C".to_owned(),
    });
    columns.push(DataColumn { title: "Mass of the parts".to_owned(), unit: "g".to_owned() });
    lists.extend(last);
    rows_of(caption, columns, &lists.iter().map(|list| list.as_slice()).collect::<Vec<_>>())
}

fn trace(report: &Report, moments: &Moments, caption: String) -> DataTable {
    let mut columns =
        columns(&[("Time", "s"), ("Part of the cycle", ""), ("Filled", "%"), ("Nozzle pressure", "MPa")]);
    let places = holding::places(report, moments);
    let titles = places.iter().map(|(name, _)| format!("Pressure {name}"));
    columns.extend(titles.map(|title| DataColumn { title, unit: "MPa".to_owned() }));
    let rows = moments.moments.iter().map(|m| {
        let stage = match m.stage {
            Phase::Fill => "fill",
            Phase::Hold => "hold",
            Phase::Cool => "cool",
        };
        let mut row = vec![DataCell::number(m.time_s), DataCell::text(stage)];
        row.extend([m.filled_percent, m.nozzle_mpa].map(DataCell::number));
        row.extend(places.iter().map(|(_, cell)| DataCell::number(holding::pressure_at(m, *cell))));
        row
    });
    DataTable { caption, columns, rows: rows.collect() }
}

fn cavity(passages: &[PassageReport], caption: String) -> DataTable {
    let heads = [
        ("Passage", ""),
        ("Role", ""),
        ("Shape", ""),
        ("Follows", ""),
        ("Meets", ""),
        ("Start", "mm"),
        ("Length", "mm"),
        ("Thickness at entry", "mm"),
        ("Thickness at exit", "mm"),
        ("Width at entry", "mm"),
        ("Width at exit", "mm"),
        ("Copies", ""),
        ("Volume", "cm³"),
    ];
    let rows = passages.iter().map(|p| {
        let named = |i: Option<usize>| i.and_then(|i| passages.get(i)).map(|p| DataCell::text(&p.name));
        let mut row = vec![DataCell::text(&p.name), DataCell::text(&p.role), DataCell::text(&p.shape)];
        row.extend([p.feeder, p.meets].map(|i| named(i).unwrap_or(DataCell::Empty)));
        let [t0, t1] = p.thickness_mm;
        let [w0, w1] = p.width_mm;
        let numbers = [p.start_mm, p.length_mm, t0, t1, w0, w1, f64::from(p.copies), p.volume_cm3];
        row.extend(numbers.map(DataCell::number));
        row
    });
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn cycle(report: &Report, caption: String) -> DataTable {
    let heads = [("Part of the cycle", ""), ("Begins", "s"), ("Lasts", "s")];
    let rows = crate::cycle::stretches(report).into_iter().map(|s| {
        vec![
            DataCell::text(s.part.name.as_ref()),
            DataCell::number(s.start),
            DataCell::number(s.part.seconds),
        ]
    });
    let governed = &report.cool.governed_by;
    let caption = if governed.is_empty() {
        caption
    } else {
        format!("{caption}. What decides the cycle time: {governed}")
    };
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}
