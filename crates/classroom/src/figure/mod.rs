//! Figures of the classroom. What is drawn is computed by the core's functions; the plot crate draws it.

pub mod exercises;

use crate::shown::capitalised;
use crate::texts::Texts;
use gatefrost_after::debinding::diffusion::Section;
use gatefrost_after::debinding::gas::{Atmosphere, permeability};
use gatefrost_formula::Unit;
use gatefrost_formula::unit;
use gatefrost_plot::{Chart, ChartAxis, ChartCurve, ChartForm, ChartMark};

/// Points of a curve.
const POINTS: usize = 80;

/// The text of a key with a capital at its beginning.
fn titled(key: &str) -> String {
    capitalised(&shown(key))
}

/// An axis that reaches zero.
pub(crate) fn axis(key: &str, unit: Unit) -> ChartAxis {
    ChartAxis { title: titled(key), unit: unit.sign.to_owned(), log: false, from_zero: true }
}

/// A curve of points in the units of the axes.
pub(crate) fn curve(key: Option<&str>, form: ChartForm, points: Vec<[f64; 2]>) -> ChartCurve {
    ChartCurve { name: key.map(shown).unwrap_or_default(), form, points }
}

/// The text of a key.
pub(crate) fn shown(key: &str) -> String {
    Texts::english().word(key)
}

/// An upright line with its name.
pub(crate) fn mark(key: &str, at: f64) -> ChartMark {
    ChartMark { at, text: shown(key), leading: false }
}

/// A function at evenly spread places.
pub(crate) fn samples([from, to]: [f64; 2], of: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    let place = |k: usize| from + (to - from) * k as f64 / (POINTS - 1) as f64;
    (0..POINTS).map(|k| [place(k), of(place(k))]).collect()
}

/// A wall in a furnace: thickness and grain \[m\], temperature \[K\], gas made \[kg/(m³ s)\], viscosity \[Pa s\], molar mass
/// \[kg/mol\], pressure outside \[Pa\].
#[derive(Debug, Clone, Copy)]
pub(crate) struct Furnace {
    pub wall: f64,
    pub grain: f64,
    pub temperature: f64,
    pub source: f64,
    pub viscosity: f64,
    pub molar_mass: f64,
    pub outside: f64,
}

impl Furnace {
    /// Pressure in the middle above that outside \[Pa\], at a porosity as a share.
    pub fn excess(&self, porosity: f64) -> f64 {
        let Self { outside: pressure, viscosity, molar_mass, .. } = *self;
        let around = Atmosphere { pressure, viscosity, molar_mass };
        let section = Section::Slab { half: 0.5 * self.wall };
        around.excess(section, self.source, self.temperature, permeability(porosity, self.grain))
    }

    /// The pressure against the porosity, with some porosities marked.
    pub fn chart(&self, marks: Vec<ChartMark>) -> Chart {
        let kpa = |percent: f64| unit::KPA.of_si(self.excess(percent / 100.0));
        Chart {
            caption: shown("figure-gas"),
            x: ChartAxis { from_zero: false, ..axis("figure-porosity", unit::PERCENT) },
            y: ChartAxis { log: true, ..axis("figure-gas-pressure", unit::KPA) },
            series: shown("figure-series"),
            curves: vec![curve(None, ChartForm::Leading, samples(POROSITIES, kpa))],
            marks,
            empty: String::new(),
        }
    }
}

/// Porosities of the figure, per cent.
const POROSITIES: [f64; 2] = [1.5, 32.0];

/// The wall that is shown in the hall: the data of the exercise in the middle of their ranges.
const HALL: Furnace = Furnace {
    wall: 4e-3,
    grain: 12e-6,
    temperature: 700.0,
    source: 0.03,
    viscosity: 25e-6,
    molar_mass: 50e-3,
    outside: 101_325.0,
};

/// Pressure of the gas inside a wall against its porosity, and at one porosity \[%\]: the figure, and the pressure \[kPa\].
pub fn gas_in_hall(porosity_percent: f64) -> (Chart, f64) {
    let here = ChartMark { at: porosity_percent, text: String::new(), leading: true };
    (HALL.chart(vec![here]), unit::KPA.of_si(HALL.excess(porosity_percent / 100.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Carman and Kozeny with Darcy's law, written out in SI.
    #[test]
    fn the_gas_pressure_rises_as_pores_shut() {
        let by_hand = |e: f64| {
            let k = e.powi(3) * 12e-6_f64.powi(2) / (180.0 * (1.0 - e).powi(2));
            let squares =
                101_325.0_f64.powi(2) + 25e-6 * 8.314_462_6 * 700.0 * 0.03 * 2e-3_f64.powi(2) / (k * 50e-3);
            (squares.sqrt() - 101_325.0) / 1000.0
        };
        let mut last = f64::INFINITY;
        for percent in [2.0, 5.0, 10.0, 20.0, 30.0] {
            let (chart, found) = gas_in_hall(percent);
            assert!((found / by_hand(percent / 100.0) - 1.0).abs() < 1e-6, "{percent}: {found}");
            assert!(found < last && chart.curves[0].points.iter().all(|p| p[1] > 0.0));
            last = found;
        }
    }
}
