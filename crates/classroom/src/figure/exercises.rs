//! The figures of exercises, with a student's own numbers: data as points beside the task, and what the solution says
//! of them.

use super::{Furnace, axis, curve, mark, samples, shown};
use crate::task::Task;
use crate::units::N_M;
use gatefrost_after::debinding::diffusion::Section;
use gatefrost_core::feedstock::loading::relative_viscosity;
use gatefrost_core::scenario::LoadingLaw;
use gatefrost_formula::{Expr, Unit, unit};
use gatefrost_laboratory::critical::density;
use gatefrost_planning::press::{Compact, Punches};
use gatefrost_plot::{Chart, ChartAxis, ChartCurve, ChartForm};

/// When a figure is shown: beside the task it holds the data alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum With {
    /// Beside the task.
    Task,
    /// Beside the solution.
    Solution,
}

/// The figure of an exercise with the numbers of a task; `None` where words and numbers say enough.
pub fn of(exercise: &str, task: &Task, with: With) -> Option<Chart> {
    match (exercise, with) {
        ("rheometer", _) => rheometer(task, with),
        ("runaway", _) => runaway(task, with),
        ("densest-mixture", With::Solution) => densest(task),
        ("solvent", With::Solution) => solvent(task),
        ("gas", With::Solution) => gas(task),
        ("pressing", With::Solution) => pressing(task),
        _ => None,
    }
}

/// A quantity of the data, in SI.
fn given(task: &Task, letter: &str) -> Option<f64> {
    let found = task.given.iter().find(|symbol| symbol.letter == letter)?;
    Some(Expr::Symbol(found.clone().into()).value())
}

fn answer(task: &Task, at: usize) -> Option<f64> {
    task.asked.get(at).map(|asked| asked.by_hand())
}

fn chart(caption: &str, x: ChartAxis, y: ChartAxis) -> Chart {
    Chart { caption: shown(caption), x, y, series: shown("figure-series"), ..Chart::default() }
}

/// The same axis without zero.
fn near(axis: ChartAxis) -> ChartAxis {
    ChartAxis { from_zero: false, ..axis }
}

/// A function of SI in the units of two axes.
fn line([from, to]: [f64; 2], x: Unit, y: Unit, of: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    samples([x.of_si(from), x.of_si(to)], |at| y.of_si(of(x.to_si(at))))
}

/// Pressure against the length of the die at both rates; lines through them meet zero at the end correction.
fn rheometer(task: &Task, with: With) -> Option<Chart> {
    let rows = &task.readings.as_ref()?.rows;
    let words = if with == With::Task { "figure-rheometer-readings" } else { "figure-rheometer" };
    let mut chart = chart(words, axis("die-length", unit::MM), axis("die-pressure", unit::MPA));
    let ends = -unit::MM.of_si(answer(task, 0)?);
    for rate in rows.chunks(2) {
        let points: Vec<[f64; 2]> = rate.iter().map(|row| [row[0], row[2]]).collect();
        let name = format!("{} 1/s", gatefrost_core::format::number(rate.first()?[1], 4));
        if with == With::Solution {
            let ([x, p], [z, q]) = (*points.first()?, *points.last()?);
            let at = |length: f64| p + (q - p) * (length - x) / (z - x);
            let points = vec![[ends, at(ends)], [z, q]];
            chart.curves.push(ChartCurve { name: name.clone(), form: ChartForm::Line, points });
        }
        chart.curves.push(ChartCurve { name, form: ChartForm::Dots, points });
    }
    if with == With::Solution {
        chart.marks.push(mark("figure-end-correction", ends));
    }
    Some(chart)
}

/// Both torques, and the law through them for both exponents.
fn runaway(task: &Task, with: With) -> Option<Chart> {
    let percent = unit::VOLUME_PERCENT;
    let [phi_1, phi_2, t_1, t_2] = ["φ_1", "φ_2", "M_1", "M_2"].map(|letter| given(task, letter));
    let (phi_1, phi_2, t_1, t_2) = (phi_1?, phi_2?, t_1?, t_2?);
    let torque = ChartAxis { log: with == With::Solution, ..axis("figure-torque", N_M) };
    let mut chart = chart("figure-runaway", near(axis("loading", percent)), torque);
    let readings = [[phi_1, t_1], [phi_2, t_2]].map(|[phi, t]| [percent.of_si(phi), N_M.of_si(t)]);
    if with == With::Solution {
        let exponents: Vec<f64> = task.given.iter().filter(|s| s.letter == "m").map(|s| s.value).collect();
        for (at, m) in exponents.into_iter().enumerate() {
            let critical = answer(task, at)?;
            let law = |phi: f64| relative_viscosity(LoadingLaw::Power, phi, critical, m);
            let drawn = line([phi_1 - 0.05, phi_1 + 0.93 * (critical - phi_1)], percent, N_M, |phi| {
                t_1 * law(phi) / law(phi_1)
            });
            let name = format!("m = {}", gatefrost_core::format::number(m, 3));
            let form = if at == 0 { ChartForm::Leading } else { ChartForm::Line };
            chart.curves.push(ChartCurve { name, form, points: drawn });
        }
    }
    chart.curves.push(curve(Some("figure-readings"), ChartForm::Dots, readings.to_vec()));
    Some(chart)
}

/// Density against the loading.
fn densest(task: &Task) -> Option<Chart> {
    let (powder, binder) = (given(task, "ρ_p")?, given(task, "ρ_b")?);
    let phis = ["φ_1", "φ_c", "φ_2"].map(|letter| given(task, letter));
    let [below, critical, above] = [phis[0]?, phis[1]?, phis[2]?];
    let of = |phi: f64| density::density(phi, critical, powder, binder);
    let percent = unit::VOLUME_PERCENT;
    let mut chart =
        chart("figure-densest", near(axis("loading", percent)), near(axis("figure-density", unit::KG_M3)));
    // The peak has a point of its own.
    let mut points = line([below - 0.03, critical], percent, unit::KG_M3, of);
    points.extend(line([critical, above + 0.02], percent, unit::KG_M3, of));
    let dots = [below, critical, above].map(|phi| [percent.of_si(phi), unit::KG_M3.of_si(of(phi))]);
    chart.curves.push(curve(None, ChartForm::Leading, points));
    chart.curves.push(curve(None, ChartForm::Dots, dots.to_vec()));
    chart.marks.push(mark("critical-loading", percent.of_si(critical)));
    Some(chart)
}

/// Time in the bath against the thickness of the wall.
fn solvent(task: &Task) -> Option<Chart> {
    let (diffusivity, left) = (given(task, "D")?, given(task, "F")?);
    let walls = [given(task, "h_1")?, given(task, "h_2")?];
    let of = |wall: f64| Section::Slab { half: 0.5 * wall }.time(left, diffusivity);
    let mut chart = chart("figure-solvent", axis("figure-wall", unit::MM), axis("figure-bath", unit::HOUR));
    let dots = walls.map(|wall| [unit::MM.of_si(wall), unit::HOUR.of_si(of(wall))]);
    let points = line([0.0, 1.15 * walls[1]], unit::MM, unit::HOUR, of);
    chart.curves.push(curve(None, ChartForm::Leading, points));
    chart.curves.push(curve(None, ChartForm::Dots, dots.to_vec()));
    Some(chart)
}

/// Pressure of the gas against the porosity.
fn gas(task: &Task) -> Option<Chart> {
    let furnace = Furnace {
        wall: given(task, "h")?,
        grain: given(task, "d")?,
        temperature: given(task, "T")?,
        source: given(task, "Γ")?,
        viscosity: given(task, "μ")?,
        molar_mass: given(task, "M")?,
        outside: given(task, "p_0")?,
    };
    let at = |letter: &str, key: &str| Some(mark(key, unit::PERCENT.of_si(given(task, letter)?)));
    Some(furnace.chart(vec![at("ε_1", "figure-open")?, at("ε_2", "figure-shut")?]))
}

/// What is left of the punch's pressure along a compact.
fn pressing(task: &Task) -> Option<Chart> {
    let (height, width, friction) = (given(task, "H")?, given(task, "D")?, given(task, "μk")?);
    let left = |punches: Punches, depth: f64| {
        // A compact as tall as the depth ends there.
        let compact = Compact { height: depth.max(1e-9), width, friction, density: 0.6, slope: 0.1 };
        compact.least(punches)
    };
    let one = line([0.0, height], unit::MM, unit::PERCENT, |z| left(Punches::One, z));
    let both = line([0.0, height], unit::MM, unit::PERCENT, |z| left(Punches::Both, 2.0 * z.min(height - z)));
    let mut chart =
        chart("figure-pressing", axis("figure-depth", unit::MM), axis("figure-left", unit::PERCENT));
    chart.curves.push(curve(Some("figure-one"), ChartForm::Line, one));
    chart.curves.push(curve(Some("figure-both"), ChartForm::Line, both));
    Some(chart)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::StudentId;
    use crate::exercises::{ALL, find};

    fn task(name: &str, id: &str) -> Task {
        find(name).expect("an exercise").task(&StudentId::read(id).expect("an id"))
    }

    /// What the solution's figure marks are the answers, and data beside a task give none of them away.
    #[test]
    fn figures_show_what_the_student_has() {
        let mut figures = 0;
        for exercise in ALL {
            for id in ["s001", "ada lovelace"] {
                let task = task(exercise.name, id);
                for with in [With::Task, With::Solution] {
                    let Some(chart) = of(exercise.name, &task, with) else { continue };
                    figures += 1;
                    assert!(
                        !chart.caption.is_empty() && !chart.x.title.is_empty() && !chart.y.title.is_empty()
                    );
                    for point in chart.curves.iter().flat_map(|curve| &curve.points) {
                        assert!(point.iter().all(|v| v.is_finite()), "{} {id}: {point:?}", exercise.name);
                    }
                    if with == With::Task {
                        assert!(chart.marks.is_empty());
                        assert!(chart.curves.iter().all(|curve| curve.form == ChartForm::Dots));
                    }
                }
            }
        }
        // Two beside their tasks, six beside their solutions, for two students.
        assert_eq!(figures, 16);
    }

    /// The law goes through both readings; the lines of the rheometer meet zero at the end correction.
    #[test]
    fn curves_go_through_the_data() {
        let figure = of("runaway", &task("runaway", "s001"), With::Solution).expect("a figure");
        let [readings] = &figure.curves[2..] else { panic!("readings") };
        for law in &figure.curves[..2] {
            for dot in &readings.points {
                let near = law.points.windows(2).find(|pair| pair[0][0] <= dot[0] && dot[0] <= pair[1][0]);
                let near = near.expect("a stretch");
                assert!(near[0][1] * 0.98 <= dot[1] && dot[1] <= near[1][1] * 1.02, "{dot:?} {near:?}");
            }
        }
        let figure = of("rheometer", &task("rheometer", "s001"), With::Solution).expect("a figure");
        for line in figure.curves.iter().filter(|curve| curve.form == ChartForm::Line) {
            assert!(line.points[0][1].abs() < 0.02 * line.points[1][1], "{:?}", line.points);
        }
        // A wall twice as thick takes four times as long.
        let figure = of("solvent", &task("solvent", "s001"), With::Solution).expect("a figure");
        let dots = &figure.curves[1].points;
        let ratio = (dots[1][0] / dots[0][0]).powi(2);
        assert!((dots[1][1] / dots[0][1] / ratio - 1.0).abs() < 1e-9);
    }
}
