//! What the toolmaker cuts: sizes of the cavity beside those of the sintered part.

use super::{PassageReport, Report};
use gatefrost_after::dimensions::Chain;
use gatefrost_after::plan::{directions, lie};
use gatefrost_core::scenario::Scenario;
use serde::Serialize;
use std::borrow::Cow;

/// One size of the cavity.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CavitySize {
    /// The dimension by its name, or the passage of the part.
    pub name: String,
    /// What is measured on a passage; empty for a named dimension.
    pub measure: Cow<'static, str>,
    /// Size of the sintered part: the nominal one of a dimension that is not cut yet, otherwise the mean.
    pub final_mm: f64,
    /// Tolerance of the sintered size to either side, if one is stated.
    pub tolerance_mm: Option<f64>,
    /// Size of the cavity at 23 °C.
    pub cavity_mm: f64,
    /// Whether that size is stated as cut already.
    pub cut: bool,
}

/// Sizes of the cavity with those of the sintered part, final = cavity/Y, where Y is the oversize factor of the part. Named
/// dimensions where the scenario has some, with the factors of their directions; otherwise length, width and thickness
/// of each passage of the part.
///
/// # Arguments
/// - `s`: the scenario
/// - `report`: its report
///
/// Returns nothing where the report has no oversize factor. Where several parts differ, only passages that name a part are
/// listed, because the factor is that of the part.
///
/// Source: as `gatefrost_after::dimensions`.
pub fn cavity_sizes(s: &Scenario, report: &Report) -> Vec<CavitySize> {
    let after = &report.after;
    let Some(over_final) = after.oversize_factor else { return Vec::new() };
    if !s.sizes.dimensions.is_empty() {
        let of = |d: &gatefrost_core::scenario::Dimension| {
            let (lie, directions) = (lie(d), directions(s));
            // The green size on the way is not wanted.
            let chain = match d.cavity {
                Some(cavity) => Chain::from(cavity, lie, directions, 1.0, over_final),
                None => Chain::to(d.size, lie, directions, 1.0, over_final),
            };
            CavitySize {
                name: d.name.clone(),
                measure: "".into(),
                final_mm: chain.sintered,
                tolerance_mm: Some(d.tolerance),
                cavity_mm: chain.cavity,
                cut: d.cavity.is_some(),
            }
        };
        return s.sizes.dimensions.iter().map(of).collect();
    }
    let factor = |p: &PassageReport| {
        if after.parts.is_empty() {
            return Some(over_final);
        }
        after.parts.iter().find(|part| part.name == p.name).map(|part| part.oversize_factor)
    };
    let parts = report.cavity.passages.iter().filter(|p| p.role == "part");
    parts.filter_map(|p| Some((p, factor(p)?))).flat_map(|(p, factor)| of_passage(p, factor)).collect()
}

/// Length, width and thickness of a passage; a wall that tapers has two.
fn of_passage(p: &PassageReport, factor: f64) -> Vec<CavitySize> {
    let two = |[a, b]: [f64; 2], names: [&'static str; 3]| {
        let [one, first, last] = names;
        if (a - b).abs() < 1e-9 { vec![(one, a)] } else { vec![(first, a), (last, b)] }
    };
    let mut sizes = vec![("length", p.length_mm)];
    match p.shape.as_str() {
        "tube" => {
            sizes.extend(two(p.thickness_mm, ["diameter", "diameter at its begin", "diameter at its end"]))
        }
        shape => {
            if shape == "strip" {
                sizes.extend(two(p.width_mm, ["width", "width at its begin", "width at its end"]));
            }
            sizes
                .extend(two(p.thickness_mm, ["thickness", "thickness at its begin", "thickness at its end"]));
        }
    }
    let told = |(measure, cavity_mm): (&'static str, f64)| CavitySize {
        name: p.name.clone(),
        measure: measure.into(),
        final_mm: cavity_mm / factor,
        tolerance_mm: None,
        cavity_mm,
        cut: false,
    };
    sizes.into_iter().map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::{Dimension, demo};

    /// The cavity of each passage, and what the powder in it leaves: final = cavity over the oversize factor of the report.
    /// A named dimension that is not cut gets its cavity from its nominal size.
    #[test]
    fn final_and_cavity_go_together_by_the_oversize_factor() {
        let mut s = demo::default_demo().scenario();
        s.model = s.model.at_most(12, 6);
        let report = crate::evaluate(&s).expect("valid");
        let factor = report.after.oversize_factor.expect("a whole part");
        let sizes = cavity_sizes(&s, &report);
        assert!(sizes.len() >= 6, "two passages of three sizes: {sizes:?}");
        assert!(sizes.iter().all(|size| (size.cavity_mm / size.final_mm - factor).abs() < 1e-12));
        let thickest = sizes.iter().filter(|size| size.measure == "thickness").map(|size| size.cavity_mm);
        assert_eq!(thickest.fold(0.0, f64::max), report.cavity.thickest_mm);
        s.sizes.along_factor = 1.002;
        let along = Dimension { flow: gatefrost_core::scenario::Flow::Along, ..Dimension::default() };
        let cut = Dimension { cavity: Some(23.9), ..Dimension::default() };
        s.sizes.dimensions = vec![along.clone(), cut];
        let [to_cut, is_cut] = &cavity_sizes(&s, &report)[..] else { panic!("two dimensions") };
        // One direction along the flow and two across it: the factors of the three have the product 1.
        let (long, across) = (factor * 1.002_f64.powf(2.0 / 3.0), factor * 1.002_f64.powf(-1.0 / 3.0));
        assert!((to_cut.cavity_mm - along.size * long).abs() < 1e-9 && !to_cut.cut);
        assert!((is_cut.final_mm - 23.9 / across).abs() < 1e-9 && is_cut.cut);
        s.feedstock.powder_loss = 0.0;
        let none =
            Report { after: crate::AfterReport { oversize_factor: None, ..report.after.clone() }, ..report };
        assert_eq!(cavity_sizes(&s, &none), []);
    }
}
