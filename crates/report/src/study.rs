//! What the hold depends on: part mass against hold time, and why a gate freezes when it does.

use super::cycle::hand;
use gatefrost_core::case::Case;
use gatefrost_core::cool::Where;
use gatefrost_core::feedstock::{HeatContent, Material};
use gatefrost_core::fill;
use gatefrost_core::pack::{self, Hold, HoldDrive};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use serde::{Deserialize, Serialize};

/// Hold times the part mass is computed for: while the gate closes, where the mass comes to stand still,
/// and after that.
const HOLDS: [usize; 3] = [8, 7, 4];
/// How far each reaches, in times of the last gate's freezing. The last goes on to the hold that is set,
/// but not beyond so many times.
const REACH: [f64; 3] = [0.92, 1.2, 2.4];
const LONGEST: f64 = 8.0;
/// Contact so good that the wall's temperature is the melt's \[W/m²K\].
const PERFECT: f64 = 1e7;

/// Part mass against hold time, and the gates.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct HoldStudy {
    /// Hold times.
    pub hold_time_s: Vec<f64>,
    /// Mass of the green parts after a hold of each time.
    pub part_mass_g: Vec<f64>,
    /// Shrinkage of the tenth of a part that shrinks most, for each.
    pub shrinkage_percent: Vec<f64>,
    /// When the last gate freezes at the hold time set.
    pub gate_freeze_s: Option<f64>,
    /// The gates.
    pub gates: Vec<GateStudy>,
    /// Why there is nothing to study.
    pub reason: Option<String>,
}

/// A gate: its freezing by the transient, by hand, and with one cause after the other taken away.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct GateStudy {
    /// Name of the passage.
    pub name: String,
    /// Gate freeze by the transient.
    pub freeze_s: Option<f64>,
    /// The same without the heat that creeping melt brings.
    pub without_creep_s: Option<f64>,
    /// The same without that and without latent heat.
    pub without_latent_s: Option<f64>,
    /// The same without those and with perfect contact at the wall.
    pub perfect_contact_s: Option<f64>,
    /// The hand formula for the mean temperature: perfect contact, no latent heat, and a gate at melt
    /// temperature throughout when it begins to cool.
    pub hand_mean_s: Option<f64>,
}

/// Computes the hold for a row of hold times, and the gates with their causes taken away. After a short shot all
/// lists are empty.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn hold_study(scenario: &Scenario) -> Result<HoldStudy, ScenarioError> {
    scenario.validate()?;
    let case = Case::resolve(scenario);
    let fill = fill::actual(&case.material, &case.cavity, case.drive);
    if !fill.full {
        let reason = Some("The part is short: there is no hold to study.".to_owned());
        return Ok(HoldStudy { reason, ..HoldStudy::default() });
    }
    let end = fill.end;
    let run = |material, drive: &HoldDrive| pack::hold(material, &case.cavity, &end, drive);
    let set = run(&case.material, &case.hold);

    let still = HoldDrive { convection: false, ..case.hold.clone() };
    let mut plain = Material::clone(&case.material);
    plain.heat = HeatContent::new(0.0, 1.0, 0.0);
    let perfect = HoldDrive { contact: PERFECT, ..still.clone() };
    let stripped = [run(&case.material, &still), run(&plain, &still), run(&plain, &perfect)];
    let freeze = |hold: &Hold, k: usize| hold.gates[k].freeze;
    let gate = |(k, &passage): (usize, &usize)| {
        let p = &case.cavity.passages[passage];
        GateStudy {
            name: p.name.clone(),
            freeze_s: freeze(&set, k),
            without_creep_s: freeze(&stripped[0], k),
            without_latent_s: freeze(&stripped[1], k),
            perfect_contact_s: freeze(&stripped[2], k),
            hand_mean_s: hand(&case, p, Where::Mean, case.material.no_flow),
        }
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
        gates: case.cavity.gates.iter().enumerate().map(gate).collect(),
        reason: None,
    };
    for time in times {
        let hold = run(&case.material, &HoldDrive { steps: until(&steps, time), ..case.hold.clone() });
        study.hold_time_s.push(time);
        study.part_mass_g.push(hold.part_mass * 1e3);
        study.shrinkage_percent.push(100.0 * hold.sink.shrinkage);
    }
    Ok(study)
}

/// Steps of the nozzle pressure cut off at a time, or the last of them held until then.
fn until(steps: &[(f64, f64)], time: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = steps.iter().copied().take_while(|step| step.0 < time).collect();
    match (steps.get(out.len()), out.last_mut()) {
        (Some(step), _) => out.push((time, step.1)),
        (None, Some(last)) => last.0 = time,
        (None, None) => {}
    }
    out
}
