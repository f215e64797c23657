//! The batch sheet: masses to weigh for a wanted mass or volume of feedstock.

use super::check::{Resolved, held_to, push, tidy};
use gatefrost_core::feedstock::mixture;
use gatefrost_core::scenario::ScenarioError;
use serde::{Deserialize, Serialize};

/// The wanted batch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Batch {
    /// How much feedstock.
    pub amount: Amount,
    /// Regrind that goes into it, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub regrind: Option<Regrind>,
}

/// How much feedstock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Amount {
    /// Mass \[kg\].
    MassKg(f64),
    /// Volume without voids at room temperature \[L\].
    VolumeL(f64),
}

/// Regrind of the same powder and the same binder.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Regrind {
    /// Its share of the batch's mass.
    pub mass_fraction: f64,
    /// Its loading [vol%]; left out, that of the recipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loading: Option<f64>,
}

/// Masses to weigh.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BatchSheet {
    /// Mass of the batch.
    pub mass_kg: f64,
    /// Its volume without voids at room temperature.
    pub volume_l: f64,
    /// Loading by volume.
    pub volume_percent: f64,
    /// Loading by mass.
    pub mass_percent: f64,
    /// Regrind to weigh in.
    pub regrind_kg: f64,
    /// Fresh powder to weigh in.
    pub powder_kg: f64,
    /// Fresh binder parts to weigh in, in the order of the recipe.
    pub parts: Vec<PartMass>,
}

/// Mass of a binder part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PartMass {
    /// Key in the library.
    pub part: String,
    /// Name in words.
    pub name: String,
    /// Fresh mass to weigh in.
    pub mass_kg: f64,
}

/// Loading by mass [%] at a loading by volume [%]; densities in kg/m³.
pub fn mass_percent(volume_percent: f64, powder_density: f64, binder_density: f64) -> f64 {
    100.0 * mixture::powder_mass_fraction(volume_percent / 100.0, powder_density, binder_density)
}

/// Loading by volume [%] at a loading by mass [%]: the inverse of [`mass_percent`].
pub fn volume_percent(mass_percent: f64, powder_density: f64, binder_density: f64) -> f64 {
    100.0 * mixture::loading_of_mass_fraction(mass_percent / 100.0, powder_density, binder_density)
}

/// The sheet of a checked recipe.
///
/// Fresh powder and binder make up for regrind of another loading, so that the batch has the loading of the recipe. If
/// that needs a negative mass of either, the share of regrind is refused.
pub(super) fn sheet(r: &Resolved, batch: &Batch) -> Result<BatchSheet, ScenarioError> {
    let mut problems = Vec::new();
    let powder_density = r.powder.density.value;
    let binder_density = 1.0 / r.blend.volume_room().value;
    let density = mixture::density(r.phi, powder_density, binder_density);

    let (path, amount) = match batch.amount {
        Amount::MassKg(m) => ("batch.amount.mass_kg", m),
        Amount::VolumeL(v) => ("batch.amount.volume_l", v),
    };
    held_to(&mut problems, path, amount);
    let (mass, volume) = match batch.amount {
        Amount::MassKg(m) => (m, m / density * 1e3),
        Amount::VolumeL(v) => (v * density * 1e-3, v),
    };

    let share = mixture::powder_mass_fraction(r.phi, powder_density, binder_density);
    let (mut back, mut back_share) = (0.0, share);
    if let Some(regrind) = batch.regrind {
        back = regrind.mass_fraction;
        held_to(&mut problems, "batch.regrind.mass_fraction", back);
        if let Some(loading) = regrind.loading {
            held_to(&mut problems, "batch.regrind.loading", loading);
            back_share = mixture::powder_mass_fraction(loading / 100.0, powder_density, binder_density);
        }
        // The regrind must not bring more powder or more binder than the batch holds.
        let most = (share / back_share).min((1.0 - share) / (1.0 - back_share)).min(1.0);
        if problems.is_empty() && back > most * (1.0 + 1e-12) {
            push(
                &mut problems,
                "batch.regrind.mass_fraction",
                format!(
                    "is {back}; regrind of that loading can make up at most {} of this batch",
                    tidy((most * 1e6).floor() / 1e6)
                ),
            );
        }
    }
    if !problems.is_empty() {
        return Err(ScenarioError { problems });
    }

    let fresh_powder = (mass * (share - back * back_share)).max(0.0);
    let fresh_binder = (mass * ((1.0 - share) - back * (1.0 - back_share))).max(0.0);
    let parts = r
        .blend
        .parts()
        .iter()
        .map(|(p, w)| PartMass { part: p.key.clone(), name: p.name.clone(), mass_kg: w * fresh_binder })
        .collect();
    Ok(BatchSheet {
        mass_kg: mass,
        volume_l: volume,
        volume_percent: 100.0 * r.phi,
        mass_percent: 100.0 * share,
        regrind_kg: back * mass,
        powder_kg: fresh_powder,
        parts,
    })
}
