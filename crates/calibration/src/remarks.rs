//! What is said of a calibration: wrong rows, wide scatter, numbers that go together or that the readings do not tell.

use crate::check::{contradictions, named};
use crate::prior::Prior;
use crate::result::Calibration;
use crate::taken::Posterior;
use gatefrost_core::format::number;
use gatefrost_core::scenario::Scenario;

/// Correlation from which two unknowns are said to move together.
const TOGETHER: f64 = 0.85;
/// A standard error that stays above this share of the one before was hardly told.
const HARDLY: f64 = 0.9;
/// A scatter this many times what is stated is named.
const WIDE: f64 = 1.5;
/// Means that have moved by more standard errors than this are named.
const FAR: f64 = 2.5;

pub(crate) fn of(scenario: &Scenario, c: &Calibration, prior: &Prior, posterior: &Posterior) -> Vec<String> {
    let mut out = Vec::new();
    for r in c.readings.iter().filter(|r| r.wrong) {
        let name = named(r.shot, &scenario.shots[r.shot]);
        out.push(match r.read.is_seen() {
            true => format!("{name}: what was seen of {} does not fit the other readings.", r.read.label()),
            false => format!(
                "{name}: its {} of {} {unit} does not fit the other readings, which give {} {unit}. It is hardly used: look whether the shot is labelled wrongly.",
                r.read.label(), number(r.measured, 4), number(r.after.value, 4), unit = r.unit
            ),
        });
    }
    for pair in contradictions(scenario) {
        let of = |place: usize| named(place, &scenario.shots[place]);
        let far = |place: usize| {
            c.readings
                .iter()
                .find(|r| r.shot == place && r.read == pair.read)
                .map_or(0.0, |r| r.residual.abs())
        };
        let [a, b] = pair.shots;
        let worse = if far(a) > far(b) { a } else { b };
        out.push(format!(
            "{} and {} have the same setting and a {} of {} and {} {}. {} is further from what the other shots give: look whether it is labelled wrongly.",
            of(a), of(b), pair.read.label(), number(pair.values[0], 4), number(pair.values[1], 4), pair.read.unit(), of(worse)
        ));
    }
    for s in c.scatter.iter().filter(|s| s.found > WIDE * s.stated) {
        let unit = s.read.unit_of_error();
        out.push(format!(
            "The readings of {} scatter by {} {unit} about the model; they are stated to be good to {} {unit}. The wider scatter is used.",
            s.read.label(), number(s.found, 2), number(s.stated, 2)
        ));
    }
    let deviation = |k: usize| posterior.of_z[k][k].max(0.0).sqrt();
    for k in 0..prior.names.len() {
        if posterior.z[k].abs() > FAR {
            out.push(format!(
                "The readings move “{}” by {} standard errors of what was known before: look whether that was right.",
                prior.names[k], number(posterior.z[k].abs(), 2)
            ));
        }
        for j in 0..k {
            let r = posterior.of_z[k][j] / deviation(k) / deviation(j);
            if r.abs() > TOGETHER {
                out.push(format!(
                    "“{}” and “{}” move together ({}): {}.",
                    prior.names[j],
                    prior.names[k],
                    number(r, 2),
                    advice(&prior.names[j], &prior.names[k])
                ));
            }
        }
    }
    let untold: Vec<&str> =
        (0..prior.names.len()).filter(|&k| deviation(k) > HARDLY).map(|k| prior.names[k].as_str()).collect();
    if !untold.is_empty() {
        out.push(format!("The readings hardly tell: {}.", untold.join(", ")));
    }
    if !c.converged {
        out.push("The search was given up before it settled: look for wrong rows.".to_owned());
    }
    out
}

/// Which shots tell two unknowns apart.
fn advice(a: &str, b: &str) -> &'static str {
    let either = |part: &str| [a, b].iter().any(|name| name.to_ascii_lowercase().contains(part));
    if either("temperature dependence") {
        "shoot at another melt temperature"
    } else if either("exponent") || either("pressure lost") || (either("viscosity") && !either("conduct")) {
        "shoot at two more injection times, far apart"
    } else if either("mass weighed") || either("compress") {
        "weigh parts at two more hold pressures"
    } else if either("contact") || either("no-flow") || either("conductivity") {
        "weigh parts at two more hold times, and read the part’s temperature on opening"
    } else {
        "shots at settings further apart tell more"
    }
}
