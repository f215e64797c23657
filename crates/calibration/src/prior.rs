//! What is known before the readings, and how the unknowns z change a scenario.
//!
//! A number of the scenario, or its logarithm, is x = x₀ + L z with independent standard normal z. L comes from the
//! uncertainty that the feedstock states. Where that says nothing of the flow law, three unknowns are added that leave each
//! other alone at the shear rate and temperature of the shots: the viscosity as a whole, its temperature dependence and the
//! flow exponent. Compressibility, the pressure lost before the cavity and the scale of masses are added where they are
//! missing: they decide the hold.

use crate::forward::{self, COARSE};
use crate::quantity::Read;
use crate::solve::Model;
use gatefrost_core::case::Case;
use gatefrost_core::catalogue;
use gatefrost_core::document;
use gatefrost_core::feedstock::{Viscosity, ZERO_CELSIUS, at_loading};
use gatefrost_core::scenario::{FlowLawKind, PvtLaw, Scenario, Shot};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use gatefrost_numerics::elementary::Elementary;

/// Standard error of ln η where nothing is stated: a recipe's viscosity may be off by a factor of eight, the range that
/// holds 95 %.
const VISCOSITY: f64 = 1.06;
/// Standard error of the temperature dependence, as a share of it, from memory.
const TEMPERATURE: f64 = 0.3;
/// Standard error of the flow exponent, from memory.
const EXPONENT: f64 = 0.1;
/// Standard error of ln κ_b, or of ln B of Tait's equation, from memory.
const COMPRESSIBILITY: f64 = 0.25;
/// Standard error of the pressure lost before the cavity, as a share of the machine's greatest, assumed.
const LOSS: f64 = 0.01;
/// Standard error of the logarithm of the mass scale, assumed: sizes of a cavity differ from their drawing.
const SCALE: f64 = 0.05;

/// Path of the scale of masses.
const MASS_SCALE: &str = "trials.mass_scale";

/// What is known before the readings.
#[derive(Debug, Clone)]
pub struct Prior {
    /// The scenario at z = 0, without its log.
    pub scenario: Scenario,
    /// The numbers.
    pub doubts: Uncertainty,
    /// L: a row for each number, a column for each unknown.
    pub factor: Vec<Vec<f64>>,
    /// Names of the unknowns.
    pub names: Vec<String>,
    /// Shear rate \[1/s\] and temperature \[°C\] of the shots.
    pub reference: [f64; 2],
}

impl Prior {
    /// Of a scenario whose shots are these; without any, of its set point.
    pub fn of(scenario: &Scenario, shots: &[Shot]) -> Self {
        let mut s = scenario.clone();
        s.shots.clear();
        let stated = s.feedstock.uncertainty.take().unwrap_or_else(|| Uncertainty::usual(&s.feedstock));
        let columns = stated.factor();
        let names = stated.numbers.iter().map(|d| title(&d.path)).collect();
        let mut prior =
            Self { reference: reference(&s, shots), scenario: s, doubts: stated, factor: columns, names };
        for doubt in Uncertainty::usual(&prior.scenario.feedstock).numbers {
            if !prior.has(&doubt.path) {
                prior.add(&title(&doubt.path), &[(doubt.path, doubt.standard_error, doubt.logarithmic)]);
            }
        }
        if !prior.doubts.numbers.iter().any(|d| d.path.starts_with("feedstock.flow_law.")) {
            prior.add_flow();
        }
        prior.add_others();
        prior.drop_certain();
        prior
    }

    fn has(&self, path: &str) -> bool {
        self.doubts.numbers.iter().any(|d| d.path == path)
    }

    /// Adds an unknown that shifts numbers; a logarithm shifts where the last entry is true.
    fn add(&mut self, name: &str, shifts: &[(String, f64, bool)]) {
        let column = self.names.len();
        self.names.push(name.to_owned());
        self.factor.iter_mut().for_each(|row| row.push(0.0));
        for (path, by, logarithmic) in shifts {
            let place = self.doubts.numbers.iter().position(|d| d.path == *path);
            let place = place.unwrap_or_else(|| {
                let doubt = Doubt { path: path.clone(), standard_error: 0.0, logarithmic: *logarithmic };
                self.doubts.numbers.push(doubt);
                self.factor.push(vec![0.0; column + 1]);
                self.doubts.numbers.len() - 1
            });
            self.factor[place][column] = *by;
        }
    }

    fn add_flow(&mut self) {
        let kind = self.scenario.feedstock.flow_law.kind();
        let path = |field: &str| format!("feedstock.flow_law.{}.{field}", kind.name());
        let scales = |by: f64| kind.scales().iter().map(|field| (path(field), by, true)).collect::<Vec<_>>();
        self.add("viscosity", &scales(VISCOSITY));
        let slope = match kind {
            FlowLawKind::CrossWlf => "a1",
            _ => "activation_energy",
        };
        let pivots = [(slope, TEMPERATURE, "temperature dependence")];
        let exponent = kind.exponent().map(|field| (field, EXPONENT, "flow exponent"));
        for (field, error, name) in pivots.into_iter().chain(exponent) {
            let value = self.value(&path(field));
            let by = if field == slope { error * value.max(0.1 * default_of(&path(field))) } else { error };
            // The viscosity at the reference stays.
            let step = 0.02 * by;
            let moved = |by: f64| {
                let only = Uncertainty {
                    numbers: vec![Doubt { path: path(field), standard_error: 1.0, logarithmic: false }],
                    correlation: Vec::new(),
                };
                self.log_viscosity(&only.shifted(&self.scenario, &[by]))
            };
            let back = -(moved(step) - moved(-step)) / (2.0 * step) * by;
            let mut shifts = scales(back);
            shifts.push((path(field), by, false));
            self.add(name, &shifts);
        }
    }

    fn add_others(&mut self) {
        let compressed: Vec<(String, f64, bool)> = match self.scenario.feedstock.pvt {
            PvtLaw::Linear => vec![("feedstock.binder_compressibility".to_owned(), COMPRESSIBILITY, true)],
            PvtLaw::Tait(_) => ["b3m", "b3s"]
                .map(|field| (format!("feedstock.pvt.tait.{field}"), -COMPRESSIBILITY, true))
                .to_vec(),
        };
        if !compressed.iter().any(|(path, _, _)| self.has(path)) {
            self.add("compressibility", &compressed);
        }
        let lost = LOSS * self.scenario.machine.max_pressure;
        for (name, path, by, logarithmic) in [
            ("pressure lost before the cavity", "trials.pressure_loss", lost, false),
            ("mass weighed over computed", MASS_SCALE, SCALE, true),
        ] {
            if !self.has(path) {
                self.add(name, &[(path.to_owned(), by, logarithmic)]);
            }
        }
    }

    /// Leaves out unknowns that change nothing.
    fn drop_certain(&mut self) {
        let keep: Vec<bool> =
            (0..self.names.len()).map(|k| self.factor.iter().any(|row| row[k] != 0.0)).collect();
        self.keep(&keep);
    }

    /// Keeps some of the unknowns; the others stay as they are.
    pub fn keep(&mut self, keep: &[bool]) {
        let kept = |k: &usize| keep[*k];
        for row in &mut self.factor {
            *row = (0..row.len()).filter(kept).map(|k| row[k]).collect();
        }
        self.names = (0..self.names.len()).filter(kept).map(|k| self.names[k].clone()).collect();
    }

    /// Shifts of the numbers, L z.
    pub fn shifts(&self, z: &[f64]) -> Vec<f64> {
        self.factor.iter().map(|row| row.iter().zip(z).map(|(l, z)| l * z).sum()).collect()
    }

    /// The scenario at z.
    pub fn at(&self, z: &[f64]) -> Scenario {
        self.doubts.shifted(&self.scenario, &self.shifts(z))
    }

    /// A number of the scenario.
    fn value(&self, path: &str) -> f64 {
        value_of(&self.scenario, path)
    }

    /// ln of the viscosity of the feedstock at the reference \[Pa·s\].
    pub fn log_viscosity(&self, s: &Scenario) -> f64 {
        let [rate, temperature] = self.reference;
        let law: Viscosity = at_loading(&s.feedstock).0;
        law.viscosity(rate, temperature + ZERO_CELSIUS, 0.0).max(1e-12).logarithm()
    }
}

/// A number of a scenario; NaN if it is not there.
pub fn value_of(s: &Scenario, path: &str) -> f64 {
    let tree = document::tree(s).ok();
    let at = tree.as_ref().and_then(|tree| tree.pointer(&format!("/{}", path.replace('.', "/"))));
    at.and_then(|value| value.as_f64()).unwrap_or(f64::NAN)
}

fn default_of(path: &str) -> f64 {
    catalogue::at(path).and_then(|p| p.default).unwrap_or(1.0)
}

/// Title of a number, as the page has it.
pub fn title(path: &str) -> String {
    catalogue::at(path).map_or(path, |p| p.title).to_owned()
}

/// Shear rate and temperature of the shots: the apparent rate at the wall in the middle of each passage, and the melt; means
/// over passages and shots, that of rates of their logarithms.
fn reference(s: &Scenario, shots: &[Shot]) -> [f64; 2] {
    let case = Case::resolve(s);
    let times: Vec<f64> = match shots {
        [] => vec![s.setup.injection_time],
        shots => shots.iter().map(|shot| shot.injection_time).collect(),
    };
    let melts: Vec<f64> = match shots {
        [] => vec![s.setup.melt_temperature],
        shots => shots.iter().map(|shot| shot.melt_temperature).collect(),
    };
    let count = times.len() as f64;
    let log_time = times.iter().map(|t| t.logarithm()).sum::<f64>() / count;
    let flow = case.cavity.volume / log_time.exponential();
    let passages = &case.cavity.passages;
    let rates = passages.iter().map(|p| p.apparent_shear_rate(flow / p.copies, 0.5).max(1e-6).logarithm());
    let rate = (rates.sum::<f64>() / passages.len() as f64).exponential();
    [rate, melts.iter().sum::<f64>() / count]
}

/// The solver as a model of the readings of some shots.
pub struct Shots<'a> {
    /// What is known before.
    pub prior: &'a Prior,
    /// The shots, and what is asked of each.
    pub asked: Vec<(Shot, Vec<Read>)>,
}

impl Model for Shots<'_> {
    fn predict(&self, z: &[f64], coarse: bool) -> Vec<f64> {
        let mut base = self.prior.at(z);
        if coarse {
            base.model = base.model.at_most(COARSE[0], COARSE[1]);
        }
        let shared = Case::resolve(&base);
        let of = |(shot, asked): &(Shot, Vec<Read>)| {
            forward::readings(&shared, &forward::at(&base, shot), shot, asked)
        };
        self.asked.iter().flat_map(of).collect()
    }

    /// An unknown that only scales the masses moves their logarithms by its standard error.
    fn known_slopes(&self, unknown: usize) -> Option<Vec<f64>> {
        let moves = |row: &Vec<f64>| row[unknown] != 0.0;
        let moved: Vec<usize> =
            (0..self.prior.factor.len()).filter(|&i| moves(&self.prior.factor[i])).collect();
        let [only] = moved[..] else { return None };
        let doubt = &self.prior.doubts.numbers[only];
        let slope = self.prior.factor[only][unknown];
        let of = |read: &Read| if *read == Read::PartMass { slope } else { 0.0 };
        (doubt.path == MASS_SCALE && doubt.logarithmic)
            .then(|| self.asked.iter().flat_map(|(_, asked)| asked.iter().map(of)).collect())
    }
}
