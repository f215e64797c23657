//! One cycle moment by moment, and the hold against its time.

use crate::failure::Failure;
use crate::input::Source;
use crate::output::{json, print};
use gatefrost_core::scenario::Scenario;
use gatefrost_plot::{DataCell, DataColumn, DataTable};
use gatefrost_report::{HoldStudy, Moments, Phase};

/// Prints the moments as JSON.
pub(crate) fn moments(source: &Source) -> Result<(), Failure> {
    print(&json(&followed(source)?.1)?)
}

/// Prints the moments as a table: one row for each moment and cell.
pub(crate) fn moments_csv(source: &Source) -> Result<(), Failure> {
    let (scenario, found) = followed(source)?;
    let heads = [
        ("Time", "s"),
        ("Part of the cycle", ""),
        ("Nozzle pressure", "MPa"),
        ("Passage", ""),
        ("From", "mm"),
        ("To", "mm"),
        ("Filled", "%"),
        ("From its far end", ""),
        ("Pressure", "MPa"),
        ("Mean temperature", "°C"),
        ("Centre temperature", "°C"),
        ("Frozen layer", "% of the half gap"),
    ];
    let mut rows = Vec::new();
    for m in &found.moments {
        let stage = match m.stage {
            Phase::Fill => "fill",
            Phase::Hold => "hold",
            Phase::Cool => "cool",
        };
        for (i, cell) in found.cells.iter().enumerate() {
            rows.push(vec![
                DataCell::Number(m.time_s),
                DataCell::Text(stage.to_owned()),
                DataCell::Number(m.nozzle_mpa),
                DataCell::Text(scenario.cavity.passages[cell.passage].name.clone()),
                DataCell::Number(cell.span_mm[0]),
                DataCell::Number(cell.span_mm[1]),
                DataCell::Number(100.0 * m.filled[i]),
                DataCell::Text(if m.backwards[i] { "yes" } else { "no" }.to_owned()),
                DataCell::Number(m.pressure_mpa[i]),
                DataCell::Number(m.mean_temperature_c[i]),
                DataCell::Number(m.centre_temperature_c[i]),
                DataCell::Number(m.frozen_percent[i]),
            ]);
        }
    }
    print_table(&heads, rows)
}

/// Prints the study of the hold as JSON.
pub(crate) fn hold(source: &Source) -> Result<(), Failure> {
    print(&json(&studied(source)?)?)
}

/// Prints mass and shrinkage against the hold time as a table.
pub(crate) fn hold_csv(source: &Source) -> Result<(), Failure> {
    let study = studied(source)?;
    let heads =
        [("Hold time", "s"), ("Mass of the parts", "g"), ("Shrinkage of the worst 10 %, by volume", "%")];
    let lists = study.hold_time_s.iter().zip(study.part_mass_g.iter().zip(&study.shrinkage_percent));
    let rows =
        lists.map(|(time, (mass, shrinkage))| [time, mass, shrinkage].map(|v| DataCell::Number(*v)).to_vec());
    print_table(&heads, rows.collect())
}

fn followed(source: &Source) -> Result<(Scenario, Moments), Failure> {
    let scenario = source.scenario()?;
    let found = gatefrost_report::moments(&scenario).map_err(|e| Failure::scenario(&source.name(), &e))?;
    Ok((scenario, found))
}

fn studied(source: &Source) -> Result<HoldStudy, Failure> {
    gatefrost_report::hold_study(&source.scenario()?).map_err(|e| Failure::scenario(&source.name(), &e))
}

fn print_table(heads: &[(&str, &str)], rows: Vec<Vec<DataCell>>) -> Result<(), Failure> {
    let column =
        |(title, unit): &(&str, &str)| DataColumn { title: (*title).to_owned(), unit: (*unit).to_owned() };
    let table = DataTable { caption: String::new(), columns: heads.iter().map(column).collect(), rows };
    // Printing ends the last line itself.
    let csv = table.to_csv();
    print(csv.strip_suffix('\n').unwrap_or(&csv))
}
