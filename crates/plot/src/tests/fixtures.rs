//! Hand-made reports and windows, plausible enough to look at.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Plane, Span, demo};
use gatefrost_report::*;
use gatefrost_window::{LimitLine, Window};

pub(super) const HOSTILE: &str = "<b>Hinge</b> & \"co\" \u{202e}\u{0}";

fn line(limit: Limit, label: &'static str, pieces: Vec<Vec<[f64; 2]>>) -> LimitLine {
    LimitLine { limit, label: label.into(), pieces }
}

fn sampled(from: f64, to: f64, y: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    (0..=40).map(|i| from * (to / from).powf(f64::from(i) / 40.0)).map(|x| [x, y(x)]).collect()
}

fn reversed(mut line: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    line.reverse();
    line
}

/// Injection time against melt temperature; the usable region is the middle.
pub(super) fn window() -> Window {
    let log = |x: f64| x.log10();
    // Below this line the melt is too cold to fill: out is below, so the line runs right to left.
    let short = |x: f64| 138.0 + 26.0 * (log(x) - 0.1).max(-0.9).powi(2) + 8.0 * log(x);
    let stiff = |x: f64| 126.0 + 3.0 * log(x);
    let burning = |x: f64| 196.0 + 6.0 * log(x);
    let flash = |x: f64| 205.0 + 14.0 * (log(x) + 1.0);
    let sink = |x: f64| 150.0 - 60.0 * (log(x) - 0.62);
    let top = sampled(0.16, 2.4, burning);
    let bottom = sampled(0.16, 2.4, |x| short(x).max(stiff(x)));
    let mut outline = bottom;
    outline.extend(reversed(top));
    Window {
        plane: Plane {
            x: Span { axis: Axis::InjectionTime, from: 0.04, to: 4.0 },
            y: Span { axis: Axis::MeltTemperature, from: 110.0, to: 220.0 },
        },
        lines: vec![
            line(Limit::ShortShot, "short shot", vec![reversed(sampled(0.04, 4.0, short))]),
            line(Limit::StiffGate, "too stiff at the gate", vec![reversed(sampled(0.04, 4.0, stiff))]),
            line(Limit::Burning, "burning", vec![sampled(0.04, 4.0, burning)]),
            line(Limit::Flash, "flash", vec![sampled(0.04, 0.4, flash)]),
            line(Limit::Separation, "separation", vec![vec![[0.16, 110.0], [0.15, 160.0], [0.13, 220.0]]]),
            line(Limit::Rate, "injection rate", vec![vec![[0.09, 110.0], [0.09, 220.0]]]),
            line(Limit::ColdFront, "cold front", vec![vec![[2.9, 220.0], [2.4, 180.0], [1.9, 110.0]]]),
            line(Limit::Sink, "sink", vec![sampled(0.33, 4.0, sink)]),
        ],
        broken_everywhere: vec![],
        held_everywhere: vec![],
        outlines: vec![outline],
        usable_share: 0.3,
        nearest: None,
        evaluations: 100,
        holds: 100,
    }
}

/// Nothing usable: one limit is broken everywhere.
pub(super) fn empty_window() -> Window {
    let mut window = window();
    window.lines.truncate(2);
    window.outlines.clear();
    window.usable_share = 0.0;
    window.broken_everywhere = vec![Limit::Sink, Limit::Flash];
    window.held_everywhere = vec![Limit::Rate, Limit::Burning];
    window
}

fn passage(
    name: &str,
    role: &str,
    shape: &str,
    start: f64,
    length: f64,
    t: [f64; 2],
    w: [f64; 2],
) -> PassageReport {
    PassageReport {
        name: name.to_owned(),
        role: role.to_owned(),
        shape: shape.to_owned(),
        feeder: None,
        meets: None,
        start_mm: start,
        length_mm: length,
        thickness_mm: t,
        width_mm: w,
        copies: 1,
        volume_cm3: 0.3,
    }
}

fn traced(name: &str, time: &[f64], value: impl Fn(f64) -> f64) -> Trace {
    Trace { name: name.to_owned(), values: time.iter().map(|t| value(*t)).collect() }
}

/// The hand-made path filling and setting: one moment for each fifth of the fill, then two of the hold.
pub(super) fn moments() -> Moments {
    let spans: Vec<(usize, [f64; 2])> = report()
        .cavity
        .passages
        .iter()
        .enumerate()
        .flat_map(|(i, p)| {
            let step = p.length_mm / 4.0;
            (0..4).map(move |k| (i, [0.0, 1.0].map(|end| p.start_mm + step * (f64::from(k) + end))))
        })
        .collect();
    let moment = |time_s: f64, stage: Phase, frozen: f64| {
        let front = 207.0 * time_s;
        let filled: Vec<f64> =
            spans.iter().map(|(_, [a, b])| ((front - a) / (b - a)).clamp(0.0, 1.0)).collect();
        let all = |value: f64| vec![value; spans.len()];
        Moment {
            time_s,
            stage,
            nozzle_mpa: if time_s < 3.5 { 60.0 } else { 0.0 },
            filled_percent: 200.0 * time_s.min(0.5),
            backwards: vec![false; spans.len()],
            pressure_mpa: filled.iter().map(|f| f * 40.0).collect(),
            mean_temperature_c: all(150.0 - 20.0 * time_s),
            centre_temperature_c: all(160.0 - 20.0 * time_s),
            frozen_percent: all(frozen),
            filled,
        }
    };
    let mut list: Vec<Moment> = (0..=5).map(|k| moment(0.1 * f64::from(k), Phase::Fill, 4.0)).collect();
    list.push(moment(0.5, Phase::Hold, 10.0));
    list.push(moment(3.5, Phase::Cool, 60.0));
    Moments {
        cells: spans.iter().map(|&(passage, span_mm)| CellPlace { passage, span_mm }).collect(),
        moments: list,
    }
}

pub(super) fn study() -> HoldStudy {
    let hold_time_s: Vec<f64> = (1..=16).map(|k| 0.3 * f64::from(k)).collect();
    HoldStudy {
        part_mass_g: hold_time_s.iter().map(|t| 5.1 - 0.3 * (-t).exp()).collect(),
        shrinkage_percent: hold_time_s.iter().map(|t| 1.0 + 3.0 * (-t).exp()).collect(),
        hold_time_s,
        gate_freeze_s: Some(2.31),
        gates: vec![],
        reason: None,
    }
}

/// A demo as the core computes it: two arms that meet at a weld line.
pub(super) fn yoke() -> (Report, Moments, HoldStudy) {
    let scenario = demo::find("yoke").unwrap().scenario();
    let study = hold_study(&scenario).unwrap();
    (evaluate(&scenario).unwrap(), gatefrost_report::moments(&scenario).unwrap(), study)
}

pub(super) fn report() -> Report {
    let n = 60;
    let time: Vec<f64> = (0..=n).map(|i| 0.5 * f64::from(i) / f64::from(n)).collect();
    let hold_time: Vec<f64> = (0..=n).map(|i| 6.0 * f64::from(i) / f64::from(n)).collect();
    let distance: Vec<f64> = (0..103).map(|i| 0.5 + f64::from(i)).collect();
    let mut passages = vec![
        passage("sprue", "sprue", "tube", 0.0, 40.0, [3.5, 5.0], [3.5, 5.0]),
        passage("runner", "runner", "tube", 40.0, 22.0, [4.0, 4.0], [4.0, 4.0]),
        passage("edge gate", "gate", "strip", 62.0, 1.5, [1.2, 1.2], [4.0, 4.0]),
        passage("base plate", "part", "strip", 63.5, 24.0, [2.2, 2.2], [14.0, 14.0]),
        passage("ear", "part", "strip", 87.5, 16.0, [1.6, 1.6], [10.0, 8.0]),
    ];
    for (i, passage) in passages.iter_mut().enumerate() {
        passage.feeder = i.checked_sub(1);
    }
    let flow = |name: &str, rate: f64| PassageFlow {
        name: name.to_owned(),
        apparent_shear_rate_1_s: rate,
        greatest_shear_rate_1_s: rate * 1.6,
        wall_stress_kpa: 80.0,
        velocity_m_s: 0.4,
        pressure_drop_mpa: 8.0,
        slip_percent: 0.0,
    };
    let curve = |temperature_c: f64, zero: f64| ViscosityCurve {
        temperature_c,
        shear_rate_1_s: (0..=40).map(|i| 10f64.powf(f64::from(i) * 0.125)).collect(),
        viscosity_pa_s: (0..=40)
            .map(|i| zero / (1.0 + (10f64.powf(f64::from(i) * 0.125) / 80.0).powf(0.6)))
            .collect(),
    };
    Report {
        scenario: HOSTILE.to_owned(),
        inside: true,
        margins: vec![],
        feedstock: FeedstockReport {
            name: "f".to_owned(),
            provenance: "illustrative".to_owned(),
            density_kg_m3: 5000.0,
            heat_capacity_j_kgk: 700.0,
            conductivity_w_mk: 2.0,
            diffusivity_mm2_s: 0.5,
            powder_mass_percent: 92.0,
            particle_size_90_um: 22.0,
            particle_size_90_stated: false,
            melted_c: 75.0,
            loading_factor: 1.0,
            viscosity_at_1000_pa_s: 60.0,
            curves: vec![curve(130.0, 1800.0), curve(150.0, 900.0), curve(165.0, 600.0), curve(185.0, 520.0)],
        },
        cavity: CavityReport {
            volume_cm3: 2.0,
            part_volume_cm3: 1.0,
            projected_area_cm2: 6.0,
            flow_length_mm: 103.5,
            thickest_mm: 2.2,
            passages,
        },
        fill: FillReport {
            outcome: Outcome::Full,
            filled_percent: 100.0,
            fill_time_s: 0.5,
            rate_cm3_s: 4.0,
            nozzle_pressure_mpa: 62.0,
            gate_pressure_mpa: 30.0,
            required_pressure_mpa: 62.0,
            opening_force_kn: 12.0,
            front_temperature_min_c: 140.0,
            melt_temperature_max_c: 168.0,
            viscous_rise_k: 3.0,
            history: FillHistory {
                nozzle_mpa: time.iter().map(|t| 62.0 * (t / 0.5).powf(0.7)).collect(),
                gate_mpa: time.iter().map(|t| (62.0 * (t / 0.5).powf(0.7) - 34.0).max(0.0)).collect(),
                rate_cm3_s: time.iter().map(|_| 4.0).collect(),
                filled_percent: time.iter().map(|t| t * 200.0).collect(),
                front_mm: time.iter().map(|t| t * 207.0).collect(),
                front_temperature_c: time.iter().map(|t| 165.0 - 40.0 * t).collect(),
                time_s: time,
            },
            paths: vec![PathProfile {
                end: "ear".to_owned(),
                index: 4,
                filled_after_s: Some(0.5),
                pressure_mpa: distance.iter().map(|d| 62.0 - 0.6 * d).collect(),
                mean_temperature_c: distance
                    .iter()
                    .map(|d| 163.0 - 0.2 * d - if *d > 63.0 { 8.0 } else { 0.0 })
                    .collect(),
                centre_temperature_c: distance.iter().map(|d| 165.0 - 0.05 * d).collect(),
                frozen_percent: distance
                    .iter()
                    .map(|d| if *d > 63.0 { 14.0 - 0.1 * (d - 63.0) } else { 5.0 })
                    .collect(),
                shear_rate_1_s: distance.iter().map(|_| 900.0).collect(),
                shrinkage_percent: distance.iter().map(|_| 1.0).collect(),
                distance_mm: distance,
            }],
            weld_lines: vec![],
            passages: vec![
                flow("sprue", 900.0),
                flow("runner", 640.0),
                flow("edge gate", 4200.0),
                flow("base plate", 350.0),
                flow("ear", 950.0),
            ],
            closures: Closures { volume: 1e-9, enthalpy: 1e-4 },
            steps: 60,
        },
        hold: Some(HoldReport {
            gates: vec![GateReport {
                name: "edge gate".to_owned(),
                freeze_s: Some(2.31),
                centre_freeze_s: Some(2.1),
                hand_mean_s: Some(1.2),
                hand_centre_s: Some(1.9),
            }],
            gate_freeze_s: Some(2.31),
            held_s: 3.0,
            ends: vec![EndReport {
                name: "ear".to_owned(),
                gate: "edge gate".to_owned(),
                sealed_after_s: 2.31,
                sealed_pressure_mpa: 30.0,
                shrinkage_percent: 1.0,
            }],
            part_mass_g: 5.1,
            residual_pressure_mpa: 2.0,
            shrinks_most: "ear".to_owned(),
            shrinkage_percent: 1.0,
            shrinkage_when_opened_percent: 0.4,
            shrinkage_spread_percent: [0.7, 1.2],
            void_percent: 0.0,
            opening_force_kn: 11.0,
            closures: HoldClosures { mass: 1e-12, enthalpy: 1e-5 },
            history: HoldHistory {
                nozzle_mpa: hold_time.iter().map(|t| if *t < 3.0 { 60.0 } else { 0.0 }).collect(),
                gates_mpa: vec![traced("edge gate", &hold_time, |t| 56.0 * (-t / 2.4f64).exp())],
                ends_mpa: vec![traced("ear", &hold_time, |t| 50.0 * (-t / 1.9f64).exp())],
                gate_openness: vec![traced("edge gate", &hold_time, |t| (-(t / 0.9f64).powi(2)).exp())],
                hottest_part_c: hold_time.iter().map(|t| 40.0 + 120.0 * (-t / 2.0f64).exp()).collect(),
                part_mass_g: hold_time.iter().map(|t| 5.1 - 0.1 * (-t).exp()).collect(),
                time_s: hold_time,
            },
        }),
        cool: CoolReport {
            section: "base plate".to_owned(),
            cooling_time_s: Some(9.0),
            hand_s: Some(8.0),
            runner_time_s: Some(12.0),
            plasticising_s: 2.2,
            heat_w: Some(56.0),
            steel: None,
            cycle: [
                ("close", 1.5, false),
                ("fill", 0.5, false),
                ("hold", 3.0, false),
                ("cool", 9.4, false),
                ("plasticise", 2.2, true),
                ("open and eject", 2.5, false),
                ("spray", 0.4, false),
            ]
            .map(|(name, seconds, inside)| CyclePart { name: name.into(), seconds, inside })
            .to_vec(),
            cycle_s: Some(17.3),
            governed_by: "cooling of the part, of base plate first of all".to_owned(),
        },
        after: AfterReport {
            oversize_factor: Some(1.18),
            oversize_by_loading_alone: Some(1.176),
            cavity_filled_percent: Some(99.0),
            moulding_shrinkage_percent: Some(0.33),
            sintering_shrinkage_percent: 15.0,
            parts: vec![],
            no_size: None,
            limits_not_met: vec![],
        },
        remarks: vec![],
        rough: false,
    }
}

/// The same report with every list empty and every optional value absent.
pub(super) fn empty_report() -> Report {
    let mut r = report();
    r.feedstock.curves.clear();
    r.cavity.passages.clear();
    r.fill.history = FillHistory::default();
    r.fill.paths.clear();
    r.fill.passages.clear();
    r.fill.fill_time_s = f64::NAN;
    r.hold = None;
    r.cool.cycle.clear();
    r
}
