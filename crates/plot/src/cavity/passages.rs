//! The passages of the flow path as a table.

use crate::table::{DataCell, DataTable, columns};
use gatefrost_report::PassageReport;

/// The passages in numbers.
pub(crate) fn table(passages: &[PassageReport], caption: String) -> DataTable {
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
