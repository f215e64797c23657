//! The study of the hold: part mass against hold time, and the causes of the time of gate freeze.

use super::cycle::hand;
use gatefrost_core::case::Case;
use gatefrost_core::cool::Where;
use gatefrost_core::feedstock::{HeatContent, Material};
use gatefrost_core::pack::{self, Hold, HoldDrive};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_core::stages::Point;
use gatefrost_core::wall::Contact;
use serde::{Deserialize, Serialize};

/// Numbers of hold times for which the part mass is computed: while the gate closes, where the mass becomes constant, and
/// after that.
const HOLDS: [usize; 3] = [8, 7, 4];
/// End of each range, in units of the freeze time of the last gate. The last range extends to
/// the set hold time, at most to `LONGEST`.
const REACH: [f64; 3] = [0.92, 1.2, 2.4];
const LONGEST: f64 = 8.0;
/// Perfect contact: so good that the surface of the melt has the wall's temperature \[W/m²K\].
const PERFECT: f64 = 1e7;

/// Part mass against hold time, and the gates.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct HoldStudy {
    /// Hold times.
    pub hold_time_s: Vec<f64>,
    /// Mass of the green parts after a hold of each time.
    pub part_mass_g: Vec<f64>,
    /// Shrinkage of the worst 10 % of a part after a hold of each time.
    pub shrinkage_percent: Vec<f64>,
    /// Time at which the last gate freezes with the set hold time.
    pub gate_freeze_s: Option<f64>,
    /// The gates.
    pub gates: Vec<GateStudy>,
    /// Why there is nothing to study.
    pub reason: Option<String>,
}

/// The freeze time of a gate: by the transient, by the hand formula, and with one cause after another left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct GateStudy {
    /// Name of the passage.
    pub name: String,
    /// Gate freeze by the transient.
    pub freeze_s: Option<f64>,
    /// The same without the heat of melt that creeps through the gate.
    pub without_creep_s: Option<f64>,
    /// The same without that heat and without latent heat.
    pub without_latent_s: Option<f64>,
    /// The same without both, and with perfect contact at the wall.
    pub perfect_contact_s: Option<f64>,
    /// The hand formula for the mean temperature: perfect contact, no latent heat, and a gate that begins at melt
    /// temperature.
    pub hand_mean_s: Option<f64>,
}

/// Computes the hold for a list of hold times, and the freeze times of the gates with causes left out. After a short
/// shot all lists are empty.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn hold_study(scenario: &Scenario) -> Result<HoldStudy, ScenarioError> {
    scenario.validate()?;
    let case = Case::resolve(scenario);
    let point = case.evaluate();
    let Some(set) = &point.hold else {
        let reason = Some("The part is short: there is no hold to study.".to_owned());
        return Ok(HoldStudy { reason, ..HoldStudy::default() });
    };
    let held = case.hold.held();
    let steps = case.hold.steps.iter().take_while(|step| step.0 <= held);
    let steps: Vec<(f64, f64)> = steps.copied().collect();
    let unit = set.gate_freeze().filter(|t| *t > 0.0).unwrap_or_else(|| held.max(0.1));
    let far = (1.1 * held).clamp(REACH[2] * unit, LONGEST * unit);
    let mut times = Vec::new();
    let mut from = 0.0;
    for (count, to) in HOLDS.into_iter().zip([REACH[0] * unit, REACH[1] * unit, far]) {
        times.extend((1..=count).map(|k| from + (to - from) * k as f64 / count as f64));
        from = to;
    }
    let mut study = HoldStudy {
        hold_time_s: Vec::with_capacity(times.len()),
        part_mass_g: Vec::with_capacity(times.len()),
        shrinkage_percent: Vec::with_capacity(times.len()),
        gate_freeze_s: set.gate_freeze(),
        gates: gate_studies(&point),
        reason: None,
    };
    for time in times {
        let drive = HoldDrive { steps: until(&steps, time), ..case.hold.clone() };
        let hold = pack::hold(&case.material, &case.cavity, &point.fill.end, &drive);
        study.hold_time_s.push(time);
        study.part_mass_g.push(hold.part_mass * 1e3);
        study.shrinkage_percent.push(100.0 * hold.sink.shrinkage);
    }
    Ok(study)
}

/// The freeze times of the gates of a set point, with one cause after another left out; empty after a short shot.
pub fn gate_studies(point: &Point<'_>) -> Vec<GateStudy> {
    let Some(set) = &point.hold else { return Vec::new() };
    let case = point.case;
    let run = |material, drive: &HoldDrive| pack::hold(material, &case.cavity, &point.fill.end, drive);
    let still = HoldDrive { convection: false, ..case.hold.clone() };
    let mut plain = Material::clone(&case.material);
    plain.heat = HeatContent::new(0.0, 1.0, 0.0);
    let cold = Contact { conductance: PERFECT, released: None, steel: None };
    let perfect = HoldDrive { contact: cold, ..still.clone() };
    let stripped = [run(&case.material, &still), run(&plain, &still), run(&plain, &perfect)];
    let freeze = |hold: &Hold, k: usize| hold.gates[k].freeze;
    let gate = |(k, &passage): (usize, &usize)| {
        let p = &case.cavity.passages[passage];
        GateStudy {
            name: p.name.clone(),
            freeze_s: freeze(set, k),
            without_creep_s: freeze(&stripped[0], k),
            without_latent_s: freeze(&stripped[1], k),
            perfect_contact_s: freeze(&stripped[2], k),
            hand_mean_s: hand(case, p, Where::Mean, case.material.no_flow),
        }
    };
    case.cavity.gates.iter().enumerate().map(gate).collect()
}

/// Steps of the nozzle pressure, shortened or extended to end at a given time.
fn until(steps: &[(f64, f64)], time: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = steps.iter().copied().take_while(|step| step.0 < time).collect();
    match (steps.get(out.len()), out.last_mut()) {
        (Some(step), _) => out.push((time, step.1)),
        (None, Some(last)) => last.0 = time,
        (None, None) => {}
    }
    out
}
