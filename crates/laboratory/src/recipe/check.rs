//! A recipe checked and its keys looked up.

use super::blend::Blend;
use super::library::{self, BinderPart, Powder};
use super::{FlowForm, Loading, Recipe, family, names, options};
use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::document::Unread;
use gatefrost_core::feedstock::mixture;
use gatefrost_core::format::{number, quoted};
use gatefrost_core::naming;
use gatefrost_core::scenario::{Family, Problem, ScenarioError};

/// Accepted deviation of the sum of the mass fractions from 1. Within it they are scaled.
const TOLERANCE: f64 = 1e-3;
/// Greatest number of parts of a binder.
const MAX_PARTS: usize = 12;

/// A recipe that has passed its checks.
pub(super) struct Resolved {
    /// Name of the feedstock.
    pub name: String,
    pub powder: &'static Powder,
    pub blend: Blend,
    /// Solids loading φ by volume at room temperature.
    pub phi: f64,
    /// Critical loading.
    pub phi_c: f64,
    /// Standard error of the critical loading.
    pub phi_c_error: f64,
    /// Sum of the mass fractions as given.
    pub sum: f64,
    /// Reference temperature \[°C\].
    pub reference: f64,
    /// The family that the binder belongs to.
    pub family: Option<Family>,
    /// Form of the flow law.
    pub flow_form: FlowForm,
}

/// Standard error of a critical loading given without one.
const GIVEN_PHI_C_ERROR: f64 = 0.01;

/// Temperature at which a binder is moulded \[°C\], where none is given. Wax alone is moulded some kelvins above its melting
/// range, at 60 to 95 °C; any other binder at 160 °C or above it (common practice).
fn usual_reference(blend: &Blend, family: Option<Family>) -> f64 {
    let (above, least) = if family == Some(Family::WaxLowPressure) { (10.0, 60.0) } else { (2.0, 160.0) };
    (((blend.melting_end() + above) / 5.0).ceil() * 5.0).max(least)
}

impl Recipe {
    pub(super) fn resolve(&self) -> Result<Resolved, ScenarioError> {
        let mut problems = Vec::new();
        let length = self.name.as_deref().unwrap_or_default().chars().count();
        if length > 120 {
            push(&mut problems, "name", format!("has {length} characters; at most 120 are accepted"));
        }
        let powder = library::powder(&self.powder);
        if powder.is_none() {
            let known = library::powders().iter().map(|p| p.key.as_str());
            push(&mut problems, "powder", unknown(&self.powder, known));
        }
        let (parts, sum) = self.check_binder(&mut problems);
        self.check_numbers(&mut problems);
        let (Some(powder), true) = (powder, problems.is_empty()) else {
            return Err(ScenarioError { problems });
        };

        let given = self.name.as_deref().map(str::trim).filter(|name| !name.is_empty());
        let name = given.map_or_else(|| names::usual(powder, &parts), str::to_owned);
        let blend = Blend::new(parts);
        let (phi_c, phi_c_error) = match self.critical_loading {
            Some(given) => {
                (given / 100.0, self.critical_loading_error.map_or(GIVEN_PHI_C_ERROR, |e| e / 100.0))
            }
            None => (powder.critical_loading.value / 100.0, powder.critical_loading.error() / 100.0),
        };
        let phi = self.check_loading(&mut problems, powder, &blend, phi_c);
        let family = family::of(&blend);
        let flow_form = match (self.flow_form, family) {
            (FlowForm::Usual, Some(Family::WaxLowPressure)) => FlowForm::HerschelBulkley,
            (FlowForm::Usual, _) => FlowForm::CrossWlf,
            (chosen, _) => chosen,
        };
        let reference = self.reference_temperature.unwrap_or_else(|| usual_reference(&blend, family));
        let resolved =
            Resolved { name, powder, blend, phi, phi_c, phi_c_error, sum, reference, family, flow_form };
        if problems.is_empty() { Ok(resolved) } else { Err(ScenarioError { problems }) }
    }

    fn check_binder(&self, problems: &mut Vec<Problem>) -> (Vec<(&'static BinderPart, f64)>, f64) {
        let count = self.binder.len();
        if count == 0 || count > MAX_PARTS {
            push(problems, "binder", format!("has {count} parts; accepted is 1 to {MAX_PARTS}"));
            return (Vec::new(), 0.0);
        }
        let mut parts: Vec<(&'static BinderPart, f64)> = Vec::with_capacity(count);
        for (i, part) in self.binder.iter().enumerate() {
            let w = part.mass_fraction;
            if !(w > 0.0 && w <= 1.0) {
                let path = format!("binder.{i}.mass_fraction");
                push(
                    problems,
                    &path,
                    format!("is {}; accepted is a number, more than 0, up to 1", number(w, 6)),
                );
            }
            let Some(found) = library::binder(&part.part) else {
                let known = library::binders().iter().map(|p| p.key.as_str());
                push(problems, &format!("binder.{i}.part"), unknown(&part.part, known));
                continue;
            };
            if parts.iter().any(|(p, _)| p.key == found.key) {
                push(
                    problems,
                    &format!("binder.{i}.part"),
                    format!("is \"{}\", listed twice; accepted is one share of each part", found.key),
                );
            }
            parts.push((found, w));
        }
        let sum: f64 = self.binder.iter().map(|p| p.mass_fraction).sum();
        let off = sum - 1.0;
        if off.is_nan() || off.abs() > TOLERANCE {
            let side = if off > 0.0 { "too much" } else { "short" };
            push(
                problems,
                "binder",
                format!(
                    "has mass fractions that sum to {}, {} {side}; they must sum to 1 within {TOLERANCE}",
                    tidy(sum),
                    tidy(off.abs())
                ),
            );
        }
        (parts, sum)
    }

    /// Checks numbers that a scenario has too against the ranges of the scenario.
    fn check_numbers(&self, problems: &mut Vec<Problem>) {
        let given = [
            ("critical_loading", self.critical_loading),
            ("particle_size", self.particle_size),
            ("loading_exponent", Some(self.loading_exponent)),
        ];
        for (name, value) in given {
            let (Some(value), Some(parameter)) = (value, catalogue::at(&format!("feedstock.{name}"))) else {
                continue;
            };
            if !parameter.accepts(value) {
                push(
                    problems,
                    name,
                    format!("is {}; accepted is {}", number(value, 6), parameter.accepted()),
                );
            }
        }
        if let Some(t) = self.reference_temperature {
            held_to(problems, "reference_temperature", t);
        }
        if let Some(error) = self.critical_loading_error
            && held_to(problems, "critical_loading_error", error)
            && self.critical_loading.is_none()
        {
            let message = format!("is {error}; it needs the critical_loading whose error it is");
            push(problems, "critical_loading_error", message);
        }
    }

    fn check_loading(&self, problems: &mut Vec<Problem>, powder: &Powder, blend: &Blend, phi_c: f64) -> f64 {
        let (path, given, phi) = match self.loading {
            Loading::VolumePercent(v) => ("loading.volume_percent", v, v / 100.0),
            Loading::MassPercent(w) => {
                let binder = 1.0 / blend.volume_room().value;
                let phi = mixture::loading_of_mass_fraction(w / 100.0, powder.density.value, binder);
                ("loading.mass_percent", w, phi)
            }
        };
        if !held_to(problems, path, given) {
            return phi;
        }
        if !(0.0..=0.8).contains(&phi) {
            push(problems, path, format!("comes to {} vol%; accepted is 0 to 80 vol%", tidy(100.0 * phi)));
        } else if phi >= phi_c {
            push(
                problems,
                path,
                format!(
                    "comes to {} vol%; it must stay below the critical loading, {} vol%, where the viscosity diverges",
                    tidy(100.0 * phi),
                    tidy(100.0 * phi_c)
                ),
            );
        }
        phi
    }
}

/// Names of the fields of a recipe that are not described elsewhere.
const NAMES: &[(&str, &str)] = &[
    ("", "The recipe"),
    ("name", "Name"),
    ("powder", "Powder"),
    ("loading", "Solids loading"),
    ("binder", "Binder"),
    ("batch", "Batch"),
    ("latent_in_heat_capacity", "Latent heat in the heat capacity"),
];

/// The catalogue entry of the number at a path of a recipe.
fn parameter(path: &str) -> Option<&'static Parameter> {
    options::at(path).or_else(|| catalogue::at(&format!("feedstock.{path}")))
}

fn title(path: &str) -> Option<&'static str> {
    if path.starts_with("binder.") {
        return match path.rsplit('.').next() {
            Some("part") => Some("Binder part"),
            Some("mass_fraction") => Some("Share of the binder part"),
            _ => Some("Binder"),
        };
    }
    let choices = options::CHOICES.iter().map(|choice| (choice.field, choice.title));
    let named =
        || NAMES.iter().copied().chain(choices).find(|(named, _)| *named == path).map(|(_, title)| title);
    parameter(path).map(|p| p.title).or_else(named).or_else(|| naming::title(path))
}

/// One problem; `predicate` is the rest of a sentence that begins with the field's name.
pub(super) fn one(path: &str, predicate: &str) -> ScenarioError {
    ScenarioError { problems: vec![naming::problem(path, title(path), predicate)] }
}

/// An error of reading.
pub(super) fn unreadable(unread: &Unread) -> ScenarioError {
    let predicate = parameter(&unread.path).map_or_else(|| unread.predicate.clone(), |p| unread.number(p));
    one(&unread.path, &predicate)
}

pub(super) fn push(problems: &mut Vec<Problem>, path: &str, predicate: String) {
    problems.push(naming::problem(path, title(path), &predicate));
}

/// Checks a number against the range of its entry. Returns whether it is in the range.
pub(super) fn held_to(problems: &mut Vec<Problem>, path: &str, value: f64) -> bool {
    let Some(parameter) = options::at(path).filter(|p| !p.accepts(value)) else {
        return true;
    };
    push(problems, path, format!("is {}; accepted is {}", number(value, 6), parameter.accepted()));
    false
}

/// Six decimals at most, without trailing zeros; very large numbers as a power of ten.
pub(super) fn tidy(value: f64) -> String {
    if value.abs() >= 1e7 {
        return number(value, 6);
    }
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn unknown<'a>(key: &str, known: impl Iterator<Item = &'a str>) -> String {
    format!("is {}, not in the library; known are {}", quoted(key), known.collect::<Vec<_>>().join(", "))
}
