//! Readings that lead to a number which no scenario accepts, and what in them does so.

use super::densities::FurnaceRun;
use super::mass_loss::Weighing;
use gatefrost_core::catalogue;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Bath, Sintering};

/// Least difference of two temperatures that says something, K.
const APART: f64 = 4.0;

/// Refuses a bath with fitted numbers that are out of range, and names the weighings.
///
/// # Errors
/// A sentence with the lines of two weighings that contradict each other, if there are such, or with the number.
pub(super) fn bath(bath: &Bath, weighings: &[Weighing]) -> Result<(), String> {
    let group = "debinding.steps.0.bath";
    let out = out_of_range(&[
        (format!("{group}.energy"), bath.energy),
        (format!("{group}.diffusivity"), bath.diffusivity),
        (format!("{group}.energy_error"), bath.energy_error),
        (format!("{group}.diffusivity_error"), bath.diffusivity_error),
    ]);
    let Some(out) = out else { return Ok(()) };
    let colder = |a: &Weighing, b: &Weighing| {
        b.temperature_c - a.temperature_c >= APART
            && (b.rod, b.size_mm) == (a.rod, a.size_mm)
            && b.time_h >= a.time_h
            && b.loss_percent < a.loss_percent
    };
    Err(match contradiction(weighings, colder) {
        Some((a, b)) => format!(
            "Line {}: at {} °C less was lost than at {} °C in line {}, in the same time or more. A warmer bath takes out more: check temperatures and times. {out}",
            b.line,
            number(b.temperature_c, 4),
            number(a.temperature_c, 4),
            a.line
        ),
        None => format!("These weighings tell no diffusivity that can be used. {out}"),
    })
}

/// Refuses a sintering curve with fitted numbers that are out of range, and names the runs.
///
/// # Errors
/// As [`bath`].
pub(super) fn curve(sintering: &Sintering, runs: &[FurnaceRun]) -> Result<(), String> {
    let out = out_of_range(&[
        ("sintering.energy".to_owned(), sintering.energy),
        ("sintering.energy_error".to_owned(), sintering.energy_error),
        ("sintering.width".to_owned(), sintering.width),
        ("sintering.log_half".to_owned(), sintering.log_half.unwrap_or(0.0)),
    ]);
    let Some(out) = out else { return Ok(()) };
    let no_denser = |a: &FurnaceRun, b: &FurnaceRun| {
        b.temperature_c - a.temperature_c >= APART
            && b.hold_min >= a.hold_min
            && b.ramp_k_min <= a.ramp_k_min
            && b.density_percent <= a.density_percent
    };
    Err(match contradiction(runs, no_denser) {
        Some((a, b)) => format!(
            "Line {}: at {} °C the density is no higher than at {} °C in line {}, after the same hold or a longer one. A hotter run sinters further: check temperatures and densities. {out}",
            b.line,
            number(b.temperature_c, 4),
            number(a.temperature_c, 4),
            a.line
        ),
        None => format!("These runs tell no curve that can be used. {out}"),
    })
}

/// The first pair of readings, the colder one first, that contradict each other.
fn contradiction<T>(readings: &[T], contradict: impl Fn(&T, &T) -> bool) -> Option<(&T, &T)> {
    readings.iter().find_map(|b| readings.iter().find(|a| contradict(a, b)).map(|a| (a, b)))
}

/// A sentence on the first number that is out of its range.
fn out_of_range(fitted: &[(String, f64)]) -> Option<String> {
    fitted.iter().find_map(|(path, value)| {
        let known = catalogue::at(path)?;
        (!known.accepts(*value)).then(|| {
            format!(
                "“{}” would be {} {}; accepted is {}.",
                known.title,
                number(*value, 3),
                known.unit,
                known.accepted()
            )
        })
    })
}

#[cfg(test)]
mod tests {
    use crate::trials::{Unfit, densities, fit_losses};
    use gatefrost_core::scenario::{Sintering, demo};

    fn why<T>(fitted: Result<T, Unfit>) -> String {
        match fitted {
            Err(Unfit::Readings(why)) => why,
            Err(Unfit::Table(error)) => error.to_string(),
            Ok(_) => "fitted".to_owned(),
        }
    }

    /// A warmer bath that took out less would have a negative energy: the two lines are named.
    #[test]
    fn less_lost_in_a_warmer_bath_is_told_with_its_lines() {
        let text =
            "temperature [°C],time [h],wall [mm],mass loss [%]\n40,2,4,1.5\n40,4,4,2\n55,2,4,0.7\n55,4,4,1\n";
        let told = why(fit_losses(demo::default_demo().scenario(), text, None));
        assert!(told.starts_with("Line 4: at 55 °C less was lost than at 40 °C in line 2"), "{told}");
        assert!(told.contains("would be -") && told.contains("accepted is"), "{told}");
    }

    /// Densities that do not rise with the temperature leave the energy open: its standard error would be absurd.
    #[test]
    fn flat_densities_are_told_with_their_lines() {
        let text = "ramp [K/min],temperature [°C],hold [min],density [%]\n5,1300,60,95\n5,1340,60,95\n5,1380,60,95\n";
        let runs = densities::read(text).expect("a table").readings;
        let told =
            |energy_error: f64| super::curve(&Sintering { energy_error, ..Sintering::default() }, &runs);
        assert_eq!(told(40.0), Ok(()));
        let told = told(833_609.0).expect_err("absurd");
        assert!(
            told.starts_with("Line 3: at 1340 °C the density is no higher than at 1300 °C in line 2"),
            "{told}"
        );
    }
}
