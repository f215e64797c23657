//! Exponents of apparent flow curves from a flow law that describes them.
//!
//! With the law known, 4Q/πR³ follows from the shear rate at the wall without any slope:
//! γ̇_app = (4/τ³) ∫τ²γ̇ dτ = (4/3)(γ̇ − τ⁻³ ∫τ³ dγ̇) over the stress from none to the wall's.

use super::Apparent;
use crate::rheometry::FlowPoint;
use crate::rheometry::fit::{self, FitOptions};
use gatefrost_core::feedstock::{Viscosity, ZERO_CELSIUS};
use gatefrost_core::scenario::FlowLawKind;
use gatefrost_numerics::elementary::Elementary;

/// Greatest number of points that a law is fitted to.
const SAMPLE: usize = 400;
/// Least number of points that distinguish laws, and the greatest scatter of ln η of an accepted law.
const FEWEST: usize = 8;
const TRUSTED: f64 = 0.15;
/// Steps of ln γ̇ in the integral, and how far below the readings it begins.
const STEP: f64 = 0.02;
const BELOW: f64 = 14.0;

/// A flow law that describes a set of points.
pub(super) struct WallLaw {
    pub kind: FlowLawKind,
    law: Viscosity,
}

impl WallLaw {
    /// The law that describes the points best; `None` if none does.
    pub(super) fn of(points: &[FlowPoint]) -> Option<Self> {
        if points.len() < FEWEST {
            return None;
        }
        let sample = fit::picked(points.to_vec(), SAMPLE);
        // The Cross law is the Carreau–Yasuda law with a = 1 − n in shape, so it is left out.
        let asked = FlowLawKind::ALL.iter().filter(|kind| **kind != FlowLawKind::CrossWlf);
        let fits = asked.filter_map(|&law| fit::fit(&sample, law, &FitOptions::default()).ok());
        let usable = fits.filter(|f| f.aicc.is_some() && f.log_scatter < TRUSTED);
        let best = usable.min_by(|a, b| a.aicc.unwrap_or(0.0).total_cmp(&b.aicc.unwrap_or(0.0)))?;
        Some(Self { kind: best.kind, law: Viscosity::measured(&best.law) })
    }

    /// Exponents against ln γ̇_app at a temperature \[°C\], over the rates of some points.
    pub(super) fn at(&self, temperature: f64, points: &[Apparent]) -> Vec<(f64, f64)> {
        let ends = points.iter().fold([f64::INFINITY, 0.0_f64], |[a, b], p| [a.min(p.rate), b.max(p.rate)]);
        let (from, to) = (ends[0].logarithm() - BELOW, ends[1].logarithm() + 2.0);
        let steps = ((to - from) / STEP).ceil().clamp(1.0, 1e4) as u32;
        let log_stress = |log_rate: f64| {
            let rate = log_rate.exponential();
            (rate * self.law.viscosity(rate, temperature + ZERO_CELSIUS, 0.0)).logarithm()
        };
        // τ³γ̇ grows by a power from step to step; so does its integral before the first one.
        let cube = |log_rate: f64| 3.0 * log_stress(log_rate) + log_rate;
        let width = (to - from) / f64::from(steps);
        let mut last = cube(from);
        let mut integral = last.exponential() * width / (cube(from + width) - last).max(1e-3);
        let mut table = Vec::new();
        for i in 1..=steps {
            let log_rate = from + width * f64::from(i);
            let next = cube(log_rate);
            let growth = next - last;
            let flat = growth.abs() < 1e-9;
            integral += if flat {
                next.exponential() * width
            } else {
                (next.exponential() - last.exponential()) * width / growth
            };
            last = next;
            let (rate, stress) = (log_rate.exponential(), log_stress(log_rate).exponential());
            let apparent = 4.0 / 3.0 * (rate - integral / stress.powi(3));
            let factor = rate / apparent;
            if factor.is_finite() && apparent > 0.9 * ends[0] && factor > 0.76 {
                table.push((apparent.logarithm(), 1.0 / (4.0 * factor - 3.0)));
            }
        }
        table
    }
}
