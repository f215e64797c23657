//! The difference between a result and its estimate, taken apart: one cause after another is left out of the model.

mod after;

use crate::entry::{Causes, Entry};
use crate::{Facts, Results};
use gatefrost_core::cavity::Kind;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::{FillReport, GateStudy, Outcome, evaluate, fill_of, gate_studies};

/// A step: what is left out besides what was left out before, and the value without it.
pub(crate) type Step = (&'static str, Option<f64>);

/// Greatest contact conductance of the catalogue \[W/m²K\]: perfect contact.
const PERFECT: f64 = 1e7;
/// Greatest pressure of a machine in the catalogue \[MPa\].
const STRONGEST: f64 = 400.0;

/// The steps from the result towards the estimate; empty if the difference is not taken apart.
pub(crate) fn steps(entry: &Entry, f: &Facts<'_>, row: usize) -> Vec<Step> {
    match entry.causes {
        Causes::None => Vec::new(),
        Causes::Fill(of) => fill(f, of),
        Causes::Gate => gate(f, entry.rows.is_some().then_some(row)),
        Causes::Cooling => cooling(entry, f, row),
        Causes::Furnace => after::furnace(entry, f, row),
        Causes::Pores => after::pores(entry, f, row),
        Causes::Run => after::run(entry, f, row),
    }
}

/// Pressures of the fill. A cause that the scenario does not have is left out of the list.
fn fill(f: &Facts<'_>, of: fn(&FillReport) -> f64) -> Vec<Step> {
    let mut s = f.scenario.clone();
    let mut steps = Vec::new();
    let told = |words: &'static str, s: &Scenario| (words, fill_of(s).ok().map(|fill| of(&fill)));
    if f.report.fill.outcome != Outcome::Full || !s.setup.ram.is_empty() || s.setup.switch_over < 100.0 {
        s.machine.max_pressure = STRONGEST;
        s.setup.switch_over = 100.0;
        s.setup.ram.clear();
        steps.push(told("At one rate to the end, by a machine of 400 MPa", &s));
    }
    if s.model.viscous_heating {
        s.model.viscous_heating = false;
        steps.push(told("Without heat by friction", &s));
    }
    s.setup.mould_temperature = s.setup.melt_temperature;
    steps.push(told("Without cooling at the wall", &s));
    let strips = s.model.side_walls && f.case().cavity.passages.iter().any(|p| p.strip);
    if strips || s.feedstock.entrance_correction > 0.0 || s.feedstock.slip_velocity > 0.0 {
        s.model.side_walls = false;
        s.feedstock.entrance_correction = 0.0;
        s.feedstock.slip_velocity = 0.0;
        steps.push(told("Without side walls, entrances and slip", &s));
    }
    steps
}

/// Freeze times of a gate, or of the one that freezes last.
fn gate(f: &Facts<'_>, row: Option<usize>) -> Vec<Step> {
    let studies = gate_studies(f.point);
    let last = || studies.iter().max_by(|a, b| infinite(a.freeze_s).total_cmp(&infinite(b.freeze_s)));
    let Some(GateStudy { without_creep_s, without_latent_s, perfect_contact_s, .. }) =
        row.map_or_else(last, |row| studies.get(row))
    else {
        return Vec::new();
    };
    vec![
        ("Without creeping melt", *without_creep_s),
        ("Without latent heat", *without_latent_s),
        ("With perfect contact and steel that does not warm", *perfect_contact_s),
    ]
}

fn infinite(time: Option<f64>) -> f64 {
    time.unwrap_or(f64::INFINITY)
}

/// Cooling times.
fn cooling(entry: &Entry, f: &Facts<'_>, row: usize) -> Vec<Step> {
    let mut s = f.scenario.clone();
    let mut steps = Vec::new();
    let told = |words: &'static str, s: &Scenario| {
        (
            words,
            evaluate(s)
                .ok()
                .and_then(|report| (entry.value)(&Results { report: &report, planned: None }, row)),
        )
    };
    if s.feedstock.latent_heat > 0.0 || !s.feedstock.further_melting.is_empty() {
        s.feedstock.latent_heat = 0.0;
        s.feedstock.further_melting.clear();
        steps.push(told("Without latent heat", &s));
    }
    s.setup.contact_conductance = PERFECT;
    s.setup.released_conductance = None;
    s.model.warming_steel = false;
    steps.push(told("With perfect contact and steel that does not warm", &s));
    if s.model.side_walls && f.case().cavity.passages.iter().any(|p| p.strip && p.kind == Kind::Flat) {
        s.model.side_walls = false;
        steps.push(told("Without side walls", &s));
    }
    steps
}
