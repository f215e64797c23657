//! Turns an evaluated set point into the report.

use super::{
    CavityReport, Closures, FeedstockReport, FillHistory, FillReport, Outcome, PassageFlow, PassageReport,
    PathProfile, Report, ViscosityCurve, WeldReport, after, cycle,
};
use crate::edge::{celsius, scaled};
use gatefrost_core::case::Case;
use gatefrost_core::cavity::{Kind, Passage};
use gatefrost_core::feedstock::{ZERO_CELSIUS, mixture};
use gatefrost_core::fill;
use gatefrost_core::limits;
use gatefrost_core::scenario::{Form, Role, Scenario, ScenarioError};
use gatefrost_core::stages::Point;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order;

/// Evaluates a scenario in full.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn evaluate(scenario: &Scenario) -> Result<Report, ScenarioError> {
    scenario.validate()?;
    Ok(report_of(scenario, &Case::resolve(scenario).evaluate()))
}

/// The report of a validated scenario whose set point has been evaluated.
pub fn report_of(scenario: &Scenario, point: &Point<'_>) -> Report {
    let case = point.case;
    let margins = limits::explain_sized(scenario, point);
    Report {
        scenario: scenario.name.clone(),
        inside: point.fill.full && margins.iter().all(|m| m.g >= 0.0 || m.ignored),
        after: after::after(scenario, point, &margins),
        margins,
        feedstock: feedstock(scenario, case),
        cavity: cavity(scenario, case),
        fill: filling(point),
        hold: point.hold.as_ref().map(|hold| cycle::hold(case, hold)),
        cool: cycle::cool(scenario, point),
        remarks: super::remarks::remarks(scenario, point),
        rough: super::remarks::is_rough(point),
    }
}

/// The fill of a scenario on its machine, without the hold.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn fill_of(scenario: &Scenario) -> Result<FillReport, ScenarioError> {
    scenario.validate()?;
    let case = Case::resolve(scenario);
    let fill = fill::actual(&case.material, &case.cavity, case.drive);
    Ok(filling(&Point { case: &case, fill, hold: None }))
}

fn feedstock(s: &Scenario, case: &Case) -> FeedstockReport {
    let f = &s.feedstock;
    let m = &case.material;
    let melt = case.drive.melt;
    let (cold, hot) = (m.no_flow.max(melt - 40.0), melt + 20.0);
    let curves = [cold, melt, hot].map(|t| {
        let shear_rate_1_s: Vec<f64> = (0..=60).map(|i| 10_f64.power(f64::from(i) / 10.0)).collect();
        let viscosity_pa_s = shear_rate_1_s.iter().map(|&r| m.viscosity.viscosity(r, t, 0.0)).collect();
        ViscosityCurve { temperature_c: t - ZERO_CELSIUS, shear_rate_1_s, viscosity_pa_s }
    });
    let phi = f.solids_loading / 100.0;
    FeedstockReport {
        name: f.name.clone(),
        provenance: f.provenance.clone(),
        density_kg_m3: m.density,
        heat_capacity_j_kgk: m.heat_capacity,
        conductivity_w_mk: m.conductivity,
        diffusivity_mm2_s: m.diffusivity() * 1e6,
        powder_mass_percent: 100.0 * mixture::powder_mass_fraction(phi, f.powder_density, f.binder_density),
        particle_size_90_um: 1e6 * m.d90,
        particle_size_90_stated: f.particle_size_90.is_some(),
        melted_c: m.melted - ZERO_CELSIUS,
        loading_factor: m.loading_factor,
        viscosity_at_1000_pa_s: m.viscosity.viscosity(1000.0, melt, 0.0),
        curves: curves.into(),
    }
}

/// The cavity alone, without any evaluation.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn cavity_of(scenario: &Scenario) -> Result<CavityReport, ScenarioError> {
    scenario.validate()?;
    Ok(cavity(scenario, &Case::resolve(scenario)))
}

fn cavity(s: &Scenario, case: &Case) -> CavityReport {
    let c = &case.cavity;
    let start = |i: usize| c.upstream(i).map(|k| c.passages[k].length).sum::<f64>();
    let passages = c
        .passages
        .iter()
        .zip(&s.cavity.passages)
        .enumerate()
        .map(|(i, (p, given))| passage(p, &given.form, start(i)))
        .collect();
    let reach = (0..c.passages.len()).map(|i| start(i) + c.passages[i].length).fold(0.0, f64::max);
    let of_part = c.passages.iter().filter(|p| p.role == Role::Part);
    CavityReport {
        volume_cm3: c.volume * 1e6,
        part_volume_cm3: of_part.clone().map(|p| p.volume() * p.copies).sum::<f64>() * 1e6,
        projected_area_cm2: c.cells.iter().map(|c| c.projected_area).sum::<f64>() * 1e4,
        flow_length_mm: reach * 1e3,
        thickest_mm: of_part.map(Passage::thickest).fold(0.0, f64::max) * 1e3,
        passages,
    }
}

fn passage(p: &Passage, form: &Form, start: f64) -> PassageReport {
    let role = match p.role {
        Role::Sprue => "sprue",
        Role::Runner => "runner",
        Role::Gate => "gate",
        Role::Part => "part",
    };
    let shape = match form {
        Form::Tube(_) => "tube",
        Form::Strip(_) => "strip",
        Form::Disc(_) => "disc",
    };
    PassageReport {
        name: p.name.clone(),
        role: role.to_owned(),
        shape: shape.to_owned(),
        feeder: p.feeder,
        meets: p.meets,
        start_mm: start * 1e3,
        length_mm: p.length * 1e3,
        thickness_mm: p.half_gap.map(|h| 2e3 * h),
        width_mm: p.width.map(|w| 1e3 * w),
        copies: p.copies as u32,
        volume_cm3: p.volume() * p.copies * 1e6,
    }
}

fn filling(point: &Point<'_>) -> FillReport {
    let (case, fill) = (point.case, &point.fill);
    let end = &fill.end;
    let balance = &end.balance;
    let filled = end.volume();
    // One kelvin keeps the balance meaningful for walls at melt temperature, where the melt brings no heat.
    let one_kelvin = case.material.volumetric_heat() * filled;
    let outcome = match fill.full {
        true if fill.ran_out.contains(&true) => Outcome::FullButSlow,
        true => Outcome::Full,
        false => Outcome::ShortShot,
    };
    FillReport {
        outcome,
        filled_percent: 100.0 * filled / case.cavity.volume,
        fill_time_s: end.time,
        rate_cm3_s: case.drive.rate * 1e6,
        nozzle_pressure_mpa: fill.peak / 1e6,
        gate_pressure_mpa: fill.gate_peak / 1e6,
        required_pressure_mpa: fill.need / 1e6,
        opening_force_kn: fill.opening_force / 1e3,
        front_temperature_min_c: fill.coldest_front - ZERO_CELSIUS,
        melt_temperature_max_c: end.hottest - ZERO_CELSIUS,
        viscous_rise_k: end.hottest - case.drive.melt,
        history: history(&fill.history, case.cavity.volume),
        paths: paths(point),
        weld_lines: welds(point),
        passages: flows(point),
        // Without flow the balance is exact.
        closures: if filled == 0.0 {
            Closures { volume: 0.0, enthalpy: 0.0 }
        } else {
            Closures {
                volume: balance.delivered / filled - 1.0,
                enthalpy: (balance.inflow + balance.dissipated - balance.lost - end.stored())
                    / (balance.inflow + balance.dissipated + one_kelvin),
            }
        },
        steps: fill.history.time.len(),
    }
}

fn history(h: &fill::History, volume: f64) -> FillHistory {
    FillHistory {
        time_s: h.time.clone(),
        nozzle_mpa: scaled(&h.nozzle, 1e-6),
        gate_mpa: scaled(&h.gate, 1e-6),
        rate_cm3_s: scaled(&h.rate, 1e6),
        filled_percent: scaled(&h.volume, 100.0 / volume),
        front_mm: scaled(&h.front, 1e3),
        front_temperature_c: celsius(h.front_temperature.iter().copied()),
    }
}

/// The path to each end of flow, the last to fill first.
fn paths(point: &Point<'_>) -> Vec<PathProfile> {
    let case = point.case;
    let c = &case.cavity;
    let end = &point.fill.end;
    // At a weld the other front may have filled the last cells before the own front arrived.
    let filled = |cell: usize| {
        let range = c.ranges[c.cells[cell].passage].clone();
        end.times[range].iter().map(|t| t[1]).fold(0.0, f64::max)
    };
    let mut ends = c.ends.clone();
    order::sort_by(&mut ends, |&end| -order::rounded(filled(end), 30));
    let profile = |last: usize| {
        let mut cells: Vec<usize> = c.path_back(last).filter(|&i| end.share[i] >= 1.0).collect();
        cells.reverse();
        let of = |value: &dyn Fn(usize) -> f64| -> Vec<f64> { cells.iter().map(|&i| value(i)).collect() };
        PathProfile {
            end: c.passages[c.cells[last].passage].name.clone(),
            index: c.cells[last].passage,
            filled_after_s: Some(filled(last)).filter(|t| t.is_finite()),
            distance_mm: of(&|i| c.cells[i].distance * 1e3),
            pressure_mpa: of(&|i| end.pressure[i] / 1e6),
            mean_temperature_c: of(&|i| end.mean_temperature(i) - ZERO_CELSIUS),
            centre_temperature_c: of(&|i| end.layer_temperatures(i)[0] - ZERO_CELSIUS),
            frozen_percent: of(&|i| 100.0 * frozen_share(case, end.layer_temperatures(i), i)),
            shear_rate_1_s: of(&|i| {
                let cell = &c.cells[i];
                let q = end.greatest_flow[i] / cell.copies;
                match c.layers(i).kind {
                    Kind::Flat => 3.0 * q / cell.flow_constant,
                    Kind::Round => 4.0 * q / cell.flow_constant,
                }
            }),
            shrinkage_percent: point.hold.as_ref().map_or(Vec::new(), |h| of(&|i| 100.0 * h.shrinkage[i])),
        }
    };
    ends.into_iter().map(profile).collect()
}

/// The welds, where fronts have met. Fronts that have not met yet are left out.
fn welds(point: &Point<'_>) -> Vec<WeldReport> {
    let c = &point.case.cavity;
    let end = &point.fill.end;
    let no_flow = point.case.material.no_flow;
    let traces = point.hold.as_ref().map_or(&[][..], |hold| &hold.history.welds);
    let report = |(k, w): (usize, &fill::Weld)| {
        let [_, cell] = w.cells;
        let held = traces.get(k).map(Vec::as_slice);
        let (place, passage) = (&c.cells[cell], &c.passages[c.cells[cell].passage]);
        // The own front of the second cell came from its feeder, the other front from the far side.
        let forward = end.feeder[cell] == place.feeder;
        let within = if forward { w.share } else { 1.0 - w.share };
        let start: f64 = c.upstream(place.passage).map(|k| c.passages[k].length).sum();
        WeldReport {
            passage: passage.name.clone(),
            index: place.passage,
            from_start_mm: (place.distance + (within - 0.5) * place.length - start) * 1e3,
            time_s: w.time,
            front_temperatures_c: w.temperature.map(|t| t - ZERO_CELSIUS),
            pressure_mpa: held.map(|held| held.iter().map(|(p, _)| p / 1e6).fold(0.0, f64::max)),
            pressure_when_set_mpa: held
                .and_then(|held| held.iter().find(|(_, t)| *t <= no_flow))
                .map(|(p, _)| p / 1e6),
        }
    };
    let met = |(_, w): &(usize, &fill::Weld)| end.share[w.cells[1]] >= 1.0;
    end.welds.iter().enumerate().filter(met).map(report).collect()
}

/// Share of the half gap below the no-flow temperature, from the wall inwards.
pub(super) fn frozen_share(case: &Case, t: &[f64], cell: usize) -> f64 {
    let layers = case.cavity.layers(cell);
    let middle = |j: usize| 0.5 * (layers.faces[j] + layers.faces[j + 1]);
    let Some(last) = t.iter().rposition(|&t| t > case.material.no_flow) else { return 1.0 };
    if last + 1 == t.len() {
        return 0.0;
    }
    let f = (t[last] - case.material.no_flow) / (t[last] - t[last + 1]);
    1.0 - (middle(last) + f * (middle(last + 1) - middle(last)))
}

/// Pressure drop over some cells, from the entry of the melt to its exit \[Pa\]. If fronts came from both ends, it is the
/// drop from the entries to the place where they met.
fn pressure_drop(end: &fill::March<'_>, cells: std::ops::Range<usize>) -> f64 {
    let half = |i: usize| 0.5 * end.share[i] * end.drop[i];
    let wet = || cells.clone().filter(|&i| end.share[i] > 0.0);
    let highest = wet().map(|i| end.pressure[i] + half(i)).fold(0.0, f64::max);
    let lowest = wet().map(|i| end.pressure[i] - half(i)).fold(f64::INFINITY, f64::min);
    (highest - lowest).max(0.0)
}

fn flows(point: &Point<'_>) -> Vec<PassageFlow> {
    let (case, end) = (point.case, &point.fill.end);
    let c = &case.cavity;
    let flow = |index: usize, p: &Passage| {
        let of = |list: &dyn Fn(usize) -> f64| -> Vec<f64> {
            (0..c.cells.len()).filter(|&i| c.cells[i].passage == index).map(list).collect()
        };
        let greatest = |list: Vec<f64>| list.into_iter().fold(0.0, f64::max);
        PassageFlow {
            name: p.name.clone(),
            apparent_shear_rate_1_s: end.hardest(index, |q, f| p.apparent_shear_rate(q, f)),
            greatest_shear_rate_1_s: greatest(of(&|i| end.greatest_rate[i])),
            wall_stress_kpa: greatest(of(&|i| end.greatest_stress[i])) / 1e3,
            velocity_m_s: end.hardest(index, |q, f| q / p.area_at(f)),
            pressure_drop_mpa: pressure_drop(end, c.ranges[index].clone()) / 1e6,
            slip_percent: 100.0 * greatest(of(&|i| end.slip[i])),
        }
    };
    c.passages.iter().enumerate().map(|(i, p)| flow(i, p)).collect()
}
