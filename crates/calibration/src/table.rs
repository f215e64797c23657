//! The trial log as a table: units in the heads of its columns, any usual separator, decimal commas.

use crate::quantity::Read;
use gatefrost_core::catalogue;
use gatefrost_core::scenario::{MAX_SHOTS, Shot};
use gatefrost_laboratory::rheometry::TableError;
use gatefrost_laboratory::rheometry::table::{ParsedRow, ParsedTable, read as read_table};
use gatefrost_laboratory::rheometry::units::{Measured, Unit};
use std::fmt::Write;

/// A column of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Name,
    Melt,
    Steel,
    Coolant,
    /// A mould temperature that does not say whose it is.
    Mould,
    InjectionTime,
    HoldPressure,
    HoldTime,
    SecondHoldPressure,
    SecondHoldTime,
    CoolingTime,
    SwitchOver,
    PressureLimit,
    Repeats,
    /// Section of the part with the sensor.
    Sensor,
    /// A reading.
    Of(Read),
}

use Column::*;
use Read::*;

/// Every column, in the order in which they are written.
const ALL: [Column; 23] = [
    Name,
    Melt,
    Steel,
    Coolant,
    Mould,
    InjectionTime,
    HoldPressure,
    HoldTime,
    SecondHoldPressure,
    SecondHoldTime,
    CoolingTime,
    SwitchOver,
    PressureLimit,
    Repeats,
    Of(PeakPressure),
    Of(SwitchPressure),
    Of(CavityPressure),
    Sensor,
    Of(Filled),
    Of(PartMass),
    Of(PartTemperature),
    Of(Flash),
    Of(Sink),
];

const TEMPERATURE: &[Unit] = &[("°C", 1.0, 0.0), ("C", 1.0, 0.0), ("K", 1.0, -273.15)];
const PRESSURE: &[Unit] =
    &[("MPa", 1.0, 0.0), ("bar", 0.1, 0.0), ("kPa", 1e-3, 0.0), ("psi", 6.894757e-3, 0.0)];
const TIME: &[Unit] = &[("s", 1.0, 0.0), ("ms", 1e-3, 0.0), ("min", 60.0, 0.0)];
const SHARE: &[Unit] = &[("%", 1.0, 0.0), ("-", 100.0, 0.0), ("1", 100.0, 0.0)];
const MASS: &[Unit] = &[("g", 1.0, 0.0), ("mg", 1e-3, 0.0), ("kg", 1e3, 0.0)];

/// A column's header and the names that are accepted.
type Heads = (&'static str, &'static [&'static str], &'static [Unit]);

impl Column {
    fn heads(self) -> Heads {
        match self {
            Name => ("shot", &["shot", "name", "experiment", "no", "no.", "#"], &[]),
            Melt => ("melt temperature [°C]", &["melt temperature", "melt", "t melt"], TEMPERATURE),
            Steel => (
                "steel temperature [°C]",
                &["steel temperature", "mould steel", "mold steel", "steel"],
                TEMPERATURE,
            ),
            Coolant => (
                "coolant temperature [°C]",
                &["coolant temperature", "coolant", "water temperature", "water"],
                TEMPERATURE,
            ),
            Mould => (
                "mould temperature [°C]",
                &["mould temperature", "mold temperature", "mould", "mold"],
                TEMPERATURE,
            ),
            InjectionTime => ("injection time [s]", &["injection time", "fill time", "filling time"], TIME),
            HoldPressure => (
                "hold pressure [MPa]",
                &["hold pressure", "holding pressure", "hold pressure 1", "packing pressure"],
                PRESSURE,
            ),
            HoldTime => {
                ("hold time [s]", &["hold time", "holding time", "hold time 1", "packing time"], TIME)
            }
            SecondHoldPressure => {
                ("second hold pressure [MPa]", &["second hold pressure", "hold pressure 2"], PRESSURE)
            }
            SecondHoldTime => ("second hold time [s]", &["second hold time", "hold time 2"], TIME),
            CoolingTime => ("cooling time [s]", &["cooling time"], TIME),
            SwitchOver => ("switch-over [%]", &["switch over", "switchover"], SHARE),
            PressureLimit => {
                ("pressure limit [MPa]", &["pressure limit", "injection pressure limit"], PRESSURE)
            }
            Repeats => ("repeats", &["repeats", "shots", "n"], &[]),
            Sensor => ("sensor section", &["sensor section", "sensor", "sensor passage"], &[]),
            Of(PeakPressure) => (
                "peak pressure [MPa]",
                &["peak pressure", "injection pressure max", "max pressure", "fill pressure"],
                PRESSURE,
            ),
            Of(SwitchPressure) => {
                ("switch-over pressure [MPa]", &["switch over pressure", "switchover pressure"], PRESSURE)
            }
            Of(CavityPressure) => {
                ("cavity pressure [MPa]", &["cavity pressure", "cavity pressure max"], PRESSURE)
            }
            Of(Filled) => ("filled share [%]", &["filled share", "filled", "fill share"], SHARE),
            Of(PartMass) => ("part mass [g]", &["part mass", "part weight", "mass", "weight"], MASS),
            Of(PartTemperature) => (
                "part temperature [°C]",
                &["part temperature", "temperature on opening", "ir after ejection"],
                TEMPERATURE,
            ),
            Of(Flash) => ("flash", &["flash", "flash seen"], &[]),
            Of(Sink) => ("sink", &["sink", "sink seen", "void"], &[]),
        }
    }

    /// Field of a shot with the number of this column.
    fn field(self) -> Option<&'static str> {
        Some(match self {
            Name | Sensor | Of(Flash | Sink) => return None,
            Melt => "melt_temperature",
            Steel | Coolant | Mould => "mould_temperature",
            InjectionTime => "injection_time",
            HoldPressure => "hold_pressure",
            HoldTime => "hold_time",
            SecondHoldPressure => "second_hold_pressure",
            SecondHoldTime => "second_hold_time",
            CoolingTime => "cooling_time",
            SwitchOver => "switch_over",
            PressureLimit => "pressure_limit",
            Repeats => "repeats",
            Of(PeakPressure) => "peak_pressure",
            Of(SwitchPressure) => "switch_pressure",
            Of(CavityPressure) => "cavity_pressure",
            Of(Filled) => "filled",
            Of(PartMass) => "part_mass",
            Of(PartTemperature) => "part_temperature",
        })
    }

    /// Puts a value into a shot.
    fn put(self, shot: &mut Shot, value: f64) {
        match self {
            Name | Sensor => {}
            Melt => shot.melt_temperature = value,
            Steel | Coolant | Mould => {
                shot.mould_temperature = value;
                shot.coolant = u32::from(self == Coolant);
            }
            InjectionTime => shot.injection_time = value,
            HoldPressure => shot.hold_pressure = value,
            HoldTime => shot.hold_time = value,
            SecondHoldPressure => shot.second_hold_pressure = Some(value),
            SecondHoldTime => shot.second_hold_time = Some(value),
            CoolingTime => shot.cooling_time = Some(value),
            SwitchOver => shot.switch_over = Some(value),
            PressureLimit => shot.pressure_limit = Some(value),
            Repeats => shot.repeats = value as u32,
            Of(read) => read.put(shot, if read.is_seen() { value.round() } else { value }),
        }
    }

    /// The cell of a shot; empty where there is nothing.
    fn cell(self, shot: &Shot) -> String {
        let told = |value: Option<f64>| value.map_or_else(String::new, |v| v.to_string());
        let seen = |value: Option<f64>| match value {
            Some(seen) if seen > 0.5 => "yes".to_owned(),
            Some(_) => "no".to_owned(),
            None => String::new(),
        };
        match self {
            Name => shot.name.replace('"', "'"),
            Sensor => shot.sensor.clone().unwrap_or_default().replace('"', "'"),
            Melt => told(Some(shot.melt_temperature)),
            Steel => told(Some(shot.mould_temperature).filter(|_| shot.coolant == 0)),
            Coolant => told(Some(shot.mould_temperature).filter(|_| shot.coolant == 1)),
            Mould => String::new(),
            InjectionTime => told(Some(shot.injection_time)),
            HoldPressure => told(Some(shot.hold_pressure)),
            HoldTime => told(Some(shot.hold_time)),
            SecondHoldPressure => told(shot.second_hold_pressure),
            SecondHoldTime => told(shot.second_hold_time),
            CoolingTime => told(shot.cooling_time),
            SwitchOver => told(shot.switch_over),
            PressureLimit => told(shot.pressure_limit),
            Repeats => told(Some(f64::from(shot.repeats)).filter(|n| *n > 1.0)),
            Of(read) if read.is_seen() => seen(read.of(shot)),
            Of(read) => told(read.of(shot)),
        }
    }
}

impl Measured for Column {
    fn header(self) -> &'static str {
        self.heads().0
    }

    fn names(self) -> &'static [&'static str] {
        self.heads().1
    }

    fn units(self) -> &'static [Unit] {
        self.heads().2
    }

    fn word(self, cell: &str) -> Option<f64> {
        if !matches!(self, Of(Flash | Sink)) {
            return None;
        }
        match cell.trim().to_ascii_lowercase().as_str() {
            "yes" | "y" | "true" | "x" => Some(1.0),
            "no" | "n" | "false" => Some(0.0),
            _ => None,
        }
    }

    fn is_text(self) -> bool {
        matches!(self, Name | Sensor)
    }
}

/// A log that was read, with notes on how it was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    /// The shots.
    pub shots: Vec<Shot>,
    /// Notes: columns that were not used, decimal commas.
    pub notes: Vec<String>,
}

/// Reads a trial log: a line of heads with units, then a line for each shot. Columns: shot, melt temperature, steel
/// temperature or coolant temperature, injection time, hold pressure and hold time, those of a second step, cooling time,
/// switch-over, pressure limit, repeats; peak pressure, switch-over pressure, cavity pressure with the section of the
/// part at whose entry the sensor is, filled share, part mass, part temperature, flash and sink (yes or no). Empty cells are what was not set or not read.
///
/// # Errors
/// Names lines and columns: what is no number, units that are not known or mixed, values out of range, columns that are
/// missing, and more than [`MAX_SHOTS`] shots.
pub fn read(text: &str) -> Result<Log, TableError> {
    let mut problems = TableError::default();
    let Some(table) = read_table(text, &ALL, None, &mut problems) else { return Err(problems) };
    heads(&table, &mut problems);
    if table.rows.len() > MAX_SHOTS {
        problems.push(
            Some(table.rows[MAX_SHOTS].line),
            None,
            format!("The log has {} shots; at most {MAX_SHOTS} are read. Give the mean of shots with one setting and their number in the column “repeats”.", table.rows.len()),
        );
        return Err(problems);
    }
    let shots = table.rows.iter().map(|row| shot(&table, row, &mut problems)).collect();
    let notes = table.notes();
    problems.or(Log { shots, notes })
}

/// Columns without which a shot has no setting.
fn heads(table: &ParsedTable<Column>, problems: &mut TableError) {
    if table.place(Mould).is_some() {
        let told =
            "It does not say whose temperature it is: write “steel temperature” or “coolant temperature”.";
        let header = table.place(Mould).map(|place| table.columns[place].header.as_str());
        problems.push(Some(table.header_line), header, told);
        return;
    }
    let lacks = |any: &[Column]| any.iter().all(|column| table.place(*column).is_none());
    let needed: [&[Column]; 3] = [&[Melt], &[Steel, Coolant], &[InjectionTime]];
    let missing: Vec<String> = needed
        .iter()
        .filter(|any| lacks(any))
        .map(|any| any.iter().map(|column| column.header()).collect::<Vec<_>>().join(" or "))
        .collect();
    if !missing.is_empty() {
        table.lacks(format!("Columns are missing: {}.", missing.join(", ")), problems);
    }
}

fn shot(table: &ParsedTable<Column>, row: &ParsedRow, problems: &mut TableError) -> Shot {
    let mut shot = Shot::default();
    let are_texts = table.columns.iter().filter(|column| column.quantity.is_text());
    for (column, text) in are_texts.zip(&row.texts) {
        let text: String = text.trim().chars().take(60).collect();
        match column.quantity {
            Sensor => shot.sensor = Some(text).filter(|text| !text.is_empty()),
            _ => shot.name = text,
        }
    }
    let mut given = Vec::new();
    for (column, value) in table.columns.iter().zip(&row.values) {
        let Some(value) = *value else { continue };
        let entry =
            column.quantity.field().and_then(|field| Shot::PARAMETERS.iter().find(|p| p.field == field));
        if let Some(p) = entry.filter(|p: &&catalogue::Parameter| !p.accepts(value)) {
            let told = format!("It is {value} {}; accepted is {}.", p.unit, p.accepted());
            problems.push(Some(row.line), Some(&column.header), told.replace("  ", " ").replace(" ;", ";"));
            continue;
        }
        given.push(column.quantity);
        column.quantity.put(&mut shot, value);
    }
    let lacks = |any: &[Column]| {
        any.iter().any(|c| table.place(*c).is_some()) && !any.iter().any(|c| given.contains(c))
    };
    if problems.problems.iter().any(|p| p.line == Some(row.line)) {
        return shot;
    }
    for any in [&[Melt][..], &[Steel, Coolant], &[InjectionTime]] {
        if lacks(any) {
            problems.push(Some(row.line), Some(any[0].header()), "The cell is empty; a number is needed.");
        }
    }
    if given.contains(&Steel) && given.contains(&Coolant) {
        problems.push(
            Some(row.line),
            Some(Coolant.header()),
            "Steel and coolant are both given: keep that of the steel.",
        );
    }
    if given.contains(&SecondHoldPressure) != given.contains(&SecondHoldTime) {
        problems.push(Some(row.line), None, "A second step of the hold needs its pressure and its time.");
    }
    shot
}

/// Writes a log: the columns that have something in them, separated by commas.
pub fn write(shots: &[Shot]) -> String {
    let used: Vec<Column> =
        ALL.into_iter().filter(|column| shots.iter().any(|shot| !column.cell(shot).is_empty())).collect();
    let line = |cells: Vec<String>| cells.join(",");
    let mut out = line(used.iter().map(|column| column.header().to_owned()).collect());
    for shot in shots {
        let cell = |column: &Column| {
            let cell = column.cell(shot);
            if cell.contains([',', ';']) { format!("\"{cell}\"") } else { cell }
        };
        let _ = write!(out, "\n{}", line(used.iter().map(cell).collect()));
    }
    out.push('\n');
    out
}

/// A log in which the rows of a table take the place of the shots that are not in the calibration yet. Rows that are in the
/// calibration already are not taken twice; how many there were is said in a note.
pub fn taken_in(log: &[Shot], rows: Vec<Shot>) -> (Vec<Shot>, Option<String>) {
    let mut shots: Vec<Shot> = log.iter().filter(|shot| shot.used == 1).cloned().collect();
    let known = shots.clone();
    let is_new = |row: &Shot| known.iter().all(|shot| Shot { used: 0, ..shot.clone() } != *row);
    let count = rows.len();
    shots.extend(rows.into_iter().filter(is_new));
    let twice = count + known.len() - shots.len();
    let note = match twice {
        0 => None,
        1 => Some("One row is in the calibration already and was not added again.".to_owned()),
        _ => Some(format!("{twice} rows are in the calibration already and were not added again.")),
    };
    (shots, note)
}
