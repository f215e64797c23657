//! Validation of what follows the mould: dimensions, debinding, sintering.

use super::validate::{Problem, check_text, problem};
use super::{
    DebindingStep, Leaves, MAX_DIMENSIONS, MAX_PARTS, MAX_SHOTS, MAX_STEPS, MAX_STRETCHES, Scenario,
};
use crate::format::number;

/// How far the shares of the binder's parts may be from 100 % together \[%\].
const SHARE_TOLERANCE: f64 = 0.5;

impl Scenario {
    /// Lengths of the lists, and names.
    pub(super) fn check_lists_after(&self, problems: &mut Vec<Problem>) {
        let (sizes, debinding) = (&self.sizes, &self.debinding);
        for (path, count, most, what) in [
            ("sizes.dimensions", sizes.dimensions.len(), MAX_DIMENSIONS, "dimensions"),
            ("debinding.parts", debinding.parts.len(), MAX_PARTS, "parts"),
            ("debinding.steps", debinding.steps.len(), MAX_STEPS, "steps"),
            ("shots", self.shots.len(), MAX_SHOTS, "shots"),
            ("sintering.stretches", self.sintering.stretches.len(), MAX_STRETCHES, "stretches"),
        ] {
            if count > most {
                problems.push(problem(path, format!("has {count} {what}; at most {most} are accepted")));
            }
        }
        let dimensions = sizes.dimensions.iter().enumerate().take(MAX_DIMENSIONS);
        let dimensions = dimensions.map(|(i, d)| (format!("sizes.dimensions.{i}.name"), &d.name));
        let parts = debinding.parts.iter().enumerate().take(MAX_PARTS);
        let parts = parts.map(|(i, p)| (format!("debinding.parts.{i}.name"), &p.name));
        for (path, name) in dimensions.chain(parts) {
            if name.trim().is_empty() {
                problems.push(problem(&path, "is empty; accepted is a name of 1 to 60 characters"));
            } else {
                check_text(&path, name, 60, problems);
            }
        }
        for (i, shot) in self.shots.iter().enumerate().take(MAX_SHOTS) {
            check_text(&format!("shots.{i}.name"), &shot.name, 60, problems);
        }
    }

    /// Rules between fields.
    pub(super) fn check_after(&self, problems: &mut Vec<Problem>) {
        self.check_dimensions(problems);
        self.check_binder(problems);
        self.check_furnace(problems);
    }

    fn check_dimensions(&self, problems: &mut Vec<Problem>) {
        for (i, d) in self.sizes.dimensions.iter().enumerate() {
            if d.tolerance >= d.size {
                problems.push(problem(
                    &format!("sizes.dimensions.{i}.tolerance"),
                    format!("is ±{} mm; it must be less than the size, {} mm", d.tolerance, d.size),
                ));
            }
            if let Some(cavity) = d.cavity.filter(|cavity| *cavity < 0.5 * d.size || *cavity > 3.0 * d.size) {
                problems.push(problem(
                    &format!("sizes.dimensions.{i}.cavity"),
                    format!("is {cavity} mm; accepted is 0.5 to 3 times the final size, {} mm", d.size),
                ));
            }
        }
    }

    fn check_binder(&self, problems: &mut Vec<Problem>) {
        let parts = &self.debinding.parts;
        let sum: f64 = parts.iter().map(|part| part.share).sum();
        if !parts.is_empty() && (sum - 100.0).abs() > SHARE_TOLERANCE {
            let predicate = format!(
                "adds up to {} % of the binder; the shares of all parts must add up to 100 %",
                number(sum, 6)
            );
            problems.push(problem("debinding.parts", predicate));
        }
        for (i, step) in self.debinding.steps.iter().enumerate() {
            let way = match step {
                DebindingStep::Bath(bath) if bath.water => Leaves::Water,
                DebindingStep::Bath(_) => Leaves::Solvent,
                DebindingStep::Catalytic(_) => Leaves::Catalyst,
                DebindingStep::Thermal(_) => continue,
            };
            if !parts.iter().any(|part| part.leaves == way) {
                problems.push(problem(
                    &format!("debinding.steps.{i}"),
                    format!("takes nothing out: no part of the binder leaves by {}", way.words()),
                ));
            }
        }
    }

    fn check_furnace(&self, problems: &mut Vec<Problem>) {
        let mut before = f64::NEG_INFINITY;
        for (i, stretch) in self.sintering.stretches.iter().enumerate() {
            if stretch.temperature < before {
                problems.push(problem(
                    &format!("sintering.stretches.{i}.temperature"),
                    format!("is {} °C; the stretch before it ends at {before} °C, and a run that cools is not computed", stretch.temperature),
                ));
            }
            before = stretch.temperature;
        }
        let (full, green) = (self.sintering.full_density, self.feedstock.solids_loading);
        if full <= green {
            problems.push(problem(
                "sintering.full_density",
                format!("is {full} %; it must exceed the solids loading, {green} vol%"),
            ));
        }
    }
}

impl Leaves {
    /// In a sentence that says by what a part leaves.
    pub fn words(self) -> &'static str {
        match self {
            Self::Solvent => "a solvent",
            Self::Water => "water",
            Self::Catalyst => "an acid vapour",
            Self::Heat => "heat",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{Dimension, FurnaceStretch, demo};

    fn refused(change: impl FnOnce(&mut Scenario)) -> String {
        let mut scenario = demo::default_demo().scenario();
        change(&mut scenario);
        let problems = scenario.validate().expect_err("refused").problems;
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn what_cannot_be_is_named_with_its_value() {
        let told = refused(|s| s.debinding.parts[0].share = 50.0);
        assert!(told.contains("adds up to 90 %"), "{told}");
        let told =
            refused(|s| s.sizes.dimensions = vec![Dimension { tolerance: 30.0, ..Dimension::default() }]);
        assert!(told.contains("±30 mm; it must be less than the size, 20 mm"), "{told}");
        let told = refused(|s| {
            let cold = FurnaceStretch { temperature: 900.0, ..FurnaceStretch::default() };
            s.sintering.stretches.push(cold);
        });
        assert!(told.contains("is 900 °C; the stretch before it ends at 1360 °C"), "{told}");
        let told = refused(|s| s.debinding.parts.iter_mut().for_each(|p| p.leaves = Leaves::Heat));
        assert!(told.contains("no part of the binder leaves by a solvent"), "{told}");
        let told =
            refused(|s| s.sizes.dimensions = vec![Dimension { name: " ".into(), ..Dimension::default() }]);
        assert!(told.contains("Name of the dimension is empty"), "{told}");
    }
}
