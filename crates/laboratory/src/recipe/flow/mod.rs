//! The flow law that a recipe suggests, with its standard errors. One file for each form of the law.

mod cross_wlf;
mod herschel_bulkley;
mod power_law;

use super::blend::{Blend, arrhenius};
use super::check::Resolved;
use super::estimated::Estimated;
use super::library::{BinderPart, R};
use super::{FlowForm, NoFlowRule, Recipe};
use gatefrost_core::feedstock::Shift;
use gatefrost_core::feedstock::loading::relative_viscosity;
use gatefrost_core::scenario::{FlowLaw, LoadingLaw};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Why a constant has the value it has, if it is not computed.
const TYPICAL: &str = "typical of feedstocks, from memory; not computed";
/// Standard error of ln η of the mixing rule itself: a factor of three, from memory. The rule knows
/// nothing of entanglement or of parts that do not mix.
pub const MIXING_ERROR: f64 = 1.1;
/// Shear rate the customary figures are given at \[1/s\].
pub const CUSTOMARY_RATE: f64 = 1000.0;

/// Laws whose spread is taken as the uncertainty of the form: those meant for such loadings.
const FORMS: [LoadingLaw; 4] =
    [LoadingLaw::Power, LoadingLaw::KriegerDougherty, LoadingLaw::Eilers, LoadingLaw::Chong];

/// One source of the uncertainty of the viscosity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Contribution {
    /// Where it comes from.
    pub source: Cow<'static, str>,
    /// Standard error of ln η it brings.
    pub log_error: f64,
}

/// How the viscosity depends on the shear rate. Its constants are typical values, not computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// A plateau and a thinning branch.
    Cross(cross_wlf::Cross),
    /// A yield stress and a branch that thins little.
    Yielding(herschel_bulkley::Yielding),
}

/// The flow of the mixture at a loading, as estimated.
#[derive(Debug, Clone)]
pub struct Flow {
    /// Reference temperature \[°C\].
    pub reference: f64,
    /// Low-rate viscosity of the binder at the reference temperature \[Pa·s\].
    pub binder: f64,
    /// Standard error of its logarithm, with that of the mixing rule.
    pub binder_log_error: f64,
    /// Relative viscosity at the loading.
    pub relative: f64,
    /// Low-rate viscosity of the mixture η₀ \[Pa·s\].
    pub eta0: f64,
    /// Flow activation energy E [kJ/mol].
    pub energy: f64,
    /// Its standard error.
    pub energy_error: f64,
    /// How the viscosity depends on the shear rate.
    pub shape: Shape,
    /// Sources of the uncertainty of ln η₀.
    pub contributions: Vec<Contribution>,
}

impl Flow {
    /// Estimates the flow at the loading `phi`.
    ///
    /// η₀ = η_r(φ) exp(Σ w ln η_part): the binder's melt viscosity mixed logarithmically by mass,
    /// times the relative viscosity. What the shape holds is taken to hold at the loading of the recipe; at another one its
    /// stresses follow the recipe's convention, as in a scenario.
    pub(super) fn new(recipe: &Recipe, r: &Resolved, phi: f64) -> Self {
        let binder = r.blend.log_viscosity(r.reference);
        let energy = r.blend.activation_energy();
        let at = |phi| relative_viscosity(recipe.loading_law, phi, r.phi_c, recipe.loading_exponent);
        let relative = at(phi);
        // An infinite relative viscosity has no ratio to itself.
        let shift = if phi == r.phi {
            Shift::NONE
        } else {
            Shift::new(recipe.loading_scaling, relative / at(r.phi), (1.0 - phi) / (1.0 - r.phi))
        };
        let contribution =
            |source: &'static str, log_error: f64| Contribution { source: source.into(), log_error };
        Self {
            reference: r.reference,
            binder: binder.value.exponential(),
            binder_log_error: binder.error.hypot(MIXING_ERROR),
            relative,
            eta0: binder.value.exponential() * relative,
            energy: energy.value,
            energy_error: energy.error,
            shape: match r.flow_form {
                FlowForm::HerschelBulkley => Shape::Yielding(herschel_bulkley::Yielding::typical(shift)),
                _ => Shape::Cross(cross_wlf::Cross::typical(shift)),
            },
            contributions: vec![
                contribution("melt viscosities of the binder parts", binder.error),
                contribution("logarithmic mixing rule", MIXING_ERROR),
                contribution("critical loading", critical_loading_error(recipe, r, phi)),
                contribution("form of the relative viscosity", form_error(recipe, r, phi)),
            ],
        }
    }

    /// Standard error of ln η₀: the contributions, taken as independent.
    pub fn log_error(&self) -> f64 {
        self.contributions.iter().map(|c| c.log_error.powi(2)).sum::<f64>().sqrt()
    }

    /// η₀ at `t` \[°C\], \[Pa·s\].
    pub fn at_rest(&self, t: f64) -> f64 {
        self.eta0 * arrhenius(self.energy, t, self.reference).exponential()
    }

    /// Viscosity \[Pa·s\] at `rate` \[1/s\] and `t` \[°C\].
    pub fn viscosity(&self, rate: f64, t: f64) -> f64 {
        match &self.shape {
            Shape::Cross(shape) => shape.viscosity(self.at_rest(t), rate),
            Shape::Yielding(shape) => shape.viscosity(self.at_rest(t), rate),
        }
    }

    /// Slope d ln τ/d ln γ̇ at `rate` \[1/s\] and `t` \[°C\].
    pub fn slope(&self, rate: f64, t: f64) -> f64 {
        match &self.shape {
            Shape::Cross(shape) => shape.slope(self.at_rest(t), rate),
            Shape::Yielding(shape) => shape.slope(self.at_rest(t), rate),
        }
    }

    /// Standard error of ln η at `rate` \[1/s\] and `t` \[°C\], from those of η₀, E and the shape, taken as independent.
    pub fn log_error_at(&self, rate: f64, t: f64) -> f64 {
        let of_level = self.log_error().hypot(arrhenius(self.energy_error, t, self.reference));
        match &self.shape {
            Shape::Cross(shape) => shape.log_error(self.at_rest(t), rate, of_level),
            Shape::Yielding(shape) => shape.log_error(self.at_rest(t), rate, of_level),
        }
    }

    /// The law in the form of the recipe, and its constants with their bands.
    pub(super) fn law(&self, form: FlowForm) -> (FlowLaw, Vec<Estimated>) {
        match (&self.shape, form) {
            (Shape::Yielding(shape), _) => shape.law(self),
            (Shape::Cross(shape), FlowForm::PowerLaw) => power_law::law(self, shape),
            (Shape::Cross(shape), _) => shape.law(self),
        }
    }
}

/// Standard error of ln η_r from that of the critical loading: half the change between one error above and one below,
/// downwards at most half-way to the loading.
fn critical_loading_error(recipe: &Recipe, r: &Resolved, phi: f64) -> f64 {
    let log =
        |phi_c: f64| relative_viscosity(recipe.loading_law, phi, phi_c, recipe.loading_exponent).logarithm();
    let (up, down) = (r.phi_c_error, r.phi_c_error.min(0.5 * (r.phi_c - phi).max(0.0)));
    0.5 * (log(r.phi_c - down) - log(r.phi_c + up)).abs()
}

/// Scatter of ln η_r among the published forms at this loading.
fn form_error(recipe: &Recipe, r: &Resolved, phi: f64) -> f64 {
    let logs = FORMS.map(|law| relative_viscosity(law, phi, r.phi_c, recipe.loading_exponent).logarithm());
    let mean = logs.iter().sum::<f64>() / logs.len() as f64;
    (logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / (logs.len() - 1) as f64).sqrt()
}

/// Rheological index of Weir for ranking feedstocks, α = (1/η₀)(1 − n)/(E/R) \[1/(Pa·s·K)\].
///
/// `eta0` is the viscosity at the customary rate \[Pa·s\], `exponent` the slope n there, `energy` the
/// flow activation energy [kJ/mol]. High when the feedstock is thin, thins readily with rate and
/// changes little with temperature. Meant for comparing feedstocks under one set of conditions; its
/// size alone says nothing. Formula from memory.
pub fn mouldability(eta0: f64, exponent: f64, energy: f64) -> f64 {
    (1.0 - exponent) / (eta0 * energy * 1e3 / R)
}

/// The backbone that carries the part out of the mould, where the no-flow temperature is its own, too.
pub(super) fn carrier(recipe: &Recipe, blend: &Blend) -> Option<&'static BinderPart> {
    match recipe.no_flow_rule {
        NoFlowRule::Backbone => blend.backbone(BACKBONE_SHARE),
        NoFlowRule::HalfSolid => None,
    }
}

/// Temperatures that follow from how much of the binder is molten \[°C\]: (value, low, high).
pub(super) struct Temperatures {
    pub no_flow: (f64, f64, f64),
    pub ejection: (f64, f64, f64),
}

/// Least share of the binder for the backbone.
pub(super) const BACKBONE_SHARE: f64 = 0.1;

impl Temperatures {
    /// The backbone decides both where there is one: what flows no more once it begins to set on cooling, it carries once
    /// half of it has set, whatever is still liquid in it. The band of the latter runs from 90 % set to where setting
    /// begins. Without a backbone, or where half of the binder decides the no-flow temperature, a part is carried once 90 % of
    /// the binder is solid.
    pub(super) fn new(recipe: &Recipe, blend: &Blend) -> Self {
        let molten = |share| blend.temperature_of_molten(share);
        let half = (molten(0.5), molten(0.1), molten(0.9));
        let no_flow = match (recipe.no_flow_rule, blend.first_to_set(BACKBONE_SHARE)) {
            (NoFlowRule::Backbone, Some(part)) => {
                let v = &part.crystallises;
                (v.value, v.low, v.high)
            }
            _ => half,
        };
        let ejection = match carrier(recipe, blend) {
            Some(part) => {
                let alone = Blend::new(vec![(part, 1.0)]);
                let molten = |share| alone.temperature_of_molten(share);
                (molten(0.5), molten(0.1), part.crystallises.value)
            }
            None => (molten(0.1), molten(0.02), molten(0.5)),
        };
        Self { no_flow, ejection }
    }
}
