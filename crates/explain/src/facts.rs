//! A set point with all that explanations draw from, and the quantities that several formulas share.

use crate::{Planned, Results};
use gatefrost_core::case::Case;
use gatefrost_core::cavity::{Kind, Passage};
use gatefrost_core::scenario::Scenario;
use gatefrost_core::stages::Point;
use gatefrost_formula::{Expr, Unit, symbol, unit};
use gatefrost_report::Report;

/// A set point, evaluated.
pub struct Facts<'a> {
    /// The scenario, in the units of the trade.
    pub scenario: &'a Scenario,
    /// The evaluation.
    pub point: &'a Point<'a>,
    /// What is told of it.
    pub report: &'a Report,
    /// What follows the mould; absent where no result of it is explained.
    pub planned: Option<&'a Planned>,
}

impl<'a> Facts<'a> {
    /// What paths are read from.
    pub fn results(&self) -> Results<'a> {
        Results { report: self.report, planned: self.planned }
    }

    /// The scenario in SI.
    pub fn case(&self) -> &Case {
        self.point.case
    }

    /// A passage by its name in the report.
    pub fn passage_named(&self, name: &str) -> Option<usize> {
        self.case().cavity.passages.iter().position(|p| p.name == name)
    }

    /// Indices of the passages from the nozzle to the end that fills last.
    pub fn longest_path(&self) -> Vec<usize> {
        let Some(path) = self.report.fill.paths.first() else { return Vec::new() };
        let mut all: Vec<usize> =
            std::iter::once(path.index).chain(self.case().cavity.upstream(path.index)).collect();
        all.reverse();
        all
    }

    /// Flow through one copy of a passage at the set rate \[cm³/s\]. Branches share the flow by the volumes behind them.
    pub fn flow(&self, passage: usize) -> f64 {
        let passages = &self.case().cavity.passages;
        let behind = |k: usize| volume_behind(passages, k);
        let siblings =
            |k: usize| (0..passages.len()).filter(move |&i| passages[i].feeder == passages[k].feeder);
        let share: f64 = std::iter::once(passage)
            .chain(self.case().cavity.upstream(passage))
            .map(|k| behind(k) / siblings(k).map(behind).sum::<f64>())
            .product();
        1e6 * self.case().drive.rate * share / passages[passage].copies
    }
}

/// Volume of a passage and of all that it feeds \[m³\].
fn volume_behind(passages: &[Passage], k: usize) -> f64 {
    let fed = (0..passages.len()).filter(|&i| passages[i].feeder == Some(k));
    passages[k].volume() * passages[k].copies + fed.map(|i| volume_behind(passages, i)).sum::<f64>()
}

/// Quantities that several formulas share.
impl Facts<'_> {
    pub(crate) fn melt(&self) -> Expr {
        symbol("T_m", "melt temperature", unit::CELSIUS, self.scenario.setup.melt_temperature)
    }

    pub(crate) fn wall(&self) -> Expr {
        symbol("T_w", "mould temperature", unit::CELSIUS, self.scenario.setup.mould_temperature)
    }

    pub(crate) fn no_flow(&self) -> Expr {
        symbol("T_nf", "no-flow temperature", unit::CELSIUS, self.scenario.feedstock.no_flow_temperature)
    }

    pub(crate) fn ejection(&self) -> Expr {
        symbol("T_e", "ejection temperature", unit::CELSIUS, self.scenario.feedstock.ejection_temperature)
    }

    pub(crate) fn diffusivity(&self) -> Expr {
        symbol("α", "thermal diffusivity", unit::MM2_S, self.report.feedstock.diffusivity_mm2_s)
    }

    pub(crate) fn density(&self) -> Expr {
        symbol("ρ", "density of the cold mixture", unit::KG_M3, self.report.feedstock.density_kg_m3)
    }

    pub(crate) fn heat_capacity(&self) -> Expr {
        symbol("c_p", "specific heat of the mixture", unit::J_KGK, self.report.feedstock.heat_capacity_j_kgk)
    }

    pub(crate) fn loading(&self) -> Expr {
        symbol("φ", "solids loading", unit::VOLUME_PERCENT, self.scenario.feedstock.solids_loading)
    }

    pub(crate) fn volume(&self) -> Expr {
        symbol("V", "volume from the nozzle to the ends of flow", unit::CM3, self.report.cavity.volume_cm3)
    }

    pub(crate) fn part_volume(&self) -> Expr {
        symbol("V_p", "volume of the cavities of the parts", unit::CM3, self.report.cavity.part_volume_cm3)
    }

    pub(crate) fn area(&self) -> Expr {
        symbol("A", "projected area", unit::CM2, self.report.cavity.projected_area_cm2)
    }

    pub(crate) fn injection_time(&self) -> Expr {
        symbol("t_i", "injection time", unit::SECOND, self.scenario.setup.injection_time)
    }

    pub(crate) fn hold_pressure(&self) -> Expr {
        symbol("p_h", "hold pressure", unit::MPA, self.scenario.setup.hold_pressure)
    }

    /// The same as the sizes take it: as measured on parts, or by the hold.
    pub(crate) fn filled_of_sizes(&self) -> Option<Expr> {
        let words = "volume of the cold green parts over that of the cavity, as measured";
        let measured = |share| symbol("S", words, unit::PERCENT, share);
        self.scenario.sizes.measured_filled.map(measured).or_else(|| self.filled_when_cold())
    }

    /// The share of the cavity that the cold green parts fill.
    pub(crate) fn filled_when_cold(&self) -> Option<Expr> {
        let share = self.report.after.cavity_filled_percent?;
        Some(symbol("S", "volume of the cold green parts over that of the cavity", unit::PERCENT, share))
    }
}

/// A length of a passage \[m\] as a quantity in mm.
pub(crate) fn length(letter: &'static str, words: &'static str, metres: f64) -> Expr {
    symbol(letter, words, unit::MM, metres * 1e3)
}

/// A quantity in SI, told in a unit.
pub(crate) fn told(letter: &'static str, words: &'static str, unit: Unit, si: f64) -> Expr {
    symbol(letter, words, unit, unit.of_si(si))
}

/// Mean half gap or radius of a passage \[m\].
pub(crate) fn half_gap(p: &Passage) -> f64 {
    0.5 * (p.half_gap[0] + p.half_gap[1])
}

/// Mean width of a passage \[m\].
pub(crate) fn width(p: &Passage) -> f64 {
    0.5 * (p.width[0] + p.width[1])
}

/// Whether a passage is round.
pub(crate) fn is_round(p: &Passage) -> bool {
    p.kind == Kind::Round
}
