//! What the trade knows, as checks of the demos. Every value here is common practice unless a source
//! stands beside it.

mod limits;
mod questions;
mod sizes;
mod starts;

use gatefrost_core::format::number;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{ConductivityRule, Family, FlowLaw, LoadingLaw, Scenario, demo};
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_report::Report;
use gatefrost_report::evaluate;

fn demos() -> Vec<(&'static str, Scenario, Report)> {
    let run = |d: &demo::Demo| {
        let s = d.scenario();
        let r = evaluate(&s).expect("a demo is valid");
        (d.name, s, r)
    };
    demo::DEMOS.iter().map(run).collect()
}

fn pressure(s: &Scenario) -> f64 {
    evaluate(s).expect("valid").fill.required_pressure_mpa
}

fn steel() -> Scenario {
    demo::default_demo().scenario()
}

/// A binder of 70 parts paraffin wax to 30 parts polypropylene, about 40 vol% of the mixture. Solid,
/// such a blend weighs 1/(0.7/900 + 0.3/907) = 902 kg/m³ and melts lighter; its heat capacity and
/// conductivity lie within 0.7 and 0.3 parts of the handbook ranges of the two.
#[test]
fn the_steel_demo_has_the_binder_of_the_trade() {
    let f = steel().feedstock;
    assert!(
        f.name.to_lowercase().contains("wax") && f.name.to_lowercase().contains("polypropylene"),
        "{}",
        f.name
    );
    assert!((100.0 - f.solids_loading - 40.0).abs() <= 3.0, "binder {} vol%", 100.0 - f.solids_loading);
    let blend = |wax: f64, pp: f64| 0.7 * wax + 0.3 * pp;
    assert!(f.binder_density < 902.0 && f.binder_density > 0.8 * 902.0);
    assert!((blend(2140.0, 1800.0)..=blend(2900.0, 1925.0)).contains(&f.binder_heat_capacity));
    assert!((blend(0.2, 0.12)..=blend(0.25, 0.22)).contains(&f.binder_conductivity));
}

/// A wax–PP feedstock is fully molten at about 150 °C: it is moulded hotter than that, and stops
/// flowing far below, where its binder sets. Melt 110 to 190 °C, mould 20
/// to 60 °C, powder below about 20 µm, and 2 to 5 vol% or a little more below the critical loading.
/// Each other family has ranges of its own (common practice).
#[test]
fn the_demos_are_set_as_the_trade_sets_them() {
    for (name, s, _) in demos() {
        let (melt, mould) = (s.setup.melt_temperature, s.setup.mould_temperature);
        let ([coldest, hottest], [cold, warm], sets) = match s.feedstock.family {
            None | Some(Family::WaxPolyolefin) => ([150.0, 190.0], [20.0, 60.0], 46.0..110.0),
            // Polyacetal melts at about 165 to 172 °C and crystallises at about 145 °C on cooling, from memory.
            Some(Family::Polyacetal) => ([175.0, 200.0], [120.0, 140.0], 140.0..150.0),
            Some(Family::WaterSoluble) => ([130.0, 180.0], [20.0, 60.0], 46.0..120.0),
            Some(Family::WaxLowPressure) => ([60.0, 95.0], [20.0, 40.0], 40.0..64.0),
        };
        assert!(melt > coldest && melt <= hottest, "{name}: melt {melt} °C");
        assert!((cold..=warm).contains(&mould), "{name}: mould {mould} °C");
        assert!(sets.contains(&s.feedstock.no_flow_temperature), "{name}");
        assert!(s.feedstock.particle_size < 20.0, "{name}: {} µm", s.feedstock.particle_size);
        let clear = s.feedstock.critical_loading - s.feedstock.solids_loading;
        assert!((2.0..=6.5).contains(&clear), "{name}: {clear} vol% below critical");
        assert!(s.feedstock.provenance.contains("illustrative"), "{name}");
    }
}

/// Shear rates 1e2 to 1e5 1/s in the gate (from memory), and a mixture of hundreds of Pa·s or less there.
#[test]
fn the_demos_flow_as_feedstocks_flow() {
    for (name, _, r) in demos() {
        let fastest = r.fill.passages.iter().map(|p| p.apparent_shear_rate_1_s).fold(0.0, f64::max);
        assert!((1e2..=1e5).contains(&fastest), "{name}: {fastest} 1/s");
        let stiff = r.margins.iter().find(|m| m.limit == Limit::StiffGate).expect("is reported");
        assert!(stiff.g > 0.0 && stiff.value < 1000.0, "{name}: {}", stiff.sentence);
    }
}

/// Below about 100 Pa·s at moulding rates a mixture flows well; pressure falls with viscosity. The
/// steel made thinner until it has 100 Pa·s at 1000 1/s needs a small part of the machine's pressure.
#[test]
fn a_thin_mixture_flows_well() {
    let thinned = |factor: f64| {
        let mut s = steel();
        if let FlowLaw::CrossWlf(c) = &mut s.feedstock.flow_law {
            c.d1 *= factor;
            c.tau_star *= factor;
        }
        let r = evaluate(&s).expect("valid");
        (r.feedstock.viscosity_at_1000_pa_s, r.fill.required_pressure_mpa, s.machine.max_pressure)
    };
    let runs = [3.0, 1.0, 0.3, 0.1].map(thinned);
    assert!(runs.windows(2).all(|w| w[1].0 < w[0].0 && w[1].1 < w[0].1), "{runs:?}");
    let own = thinned(1.0).0;
    let (viscosity, needed, available) = thinned((90.0 / own).min(1.0));
    assert!(viscosity < 100.0 && needed < 0.5 * available, "{viscosity} Pa·s needs {needed} MPa");
}

/// More powder makes the mixture stiffer under every law, without end towards the critical loading.
#[test]
fn pressure_diverges_towards_the_critical_loading() {
    for law in [LoadingLaw::Power, LoadingLaw::KriegerDougherty, LoadingLaw::Eilers, LoadingLaw::Chong] {
        let at = |gap: f64| {
            let mut s = steel();
            s.feedstock.loading_law = law;
            s.feedstock.solids_loading = s.feedstock.critical_loading - gap;
            pressure(&s)
        };
        let found = [6.0, 3.0, 1.0, 0.1].map(at);
        assert!(found.windows(2).all(|w| w[1] > w[0]), "{law:?}: {found:?}");
        assert!(found[3] > 3.0 * found[0], "{law:?}: {found:?}");
    }
}

/// The gate freezes during the hold, and before the part it feeds is cool.
#[test]
fn the_gate_freezes_during_the_hold() {
    for (name, _, r) in demos() {
        let freeze = r.hold.as_ref().expect("the part is full").gate_freeze_s.expect("freezes");
        assert!(freeze < r.hold.as_ref().expect("the part is full").held_s, "{name}: {freeze} s of the hold");
        assert!(freeze < r.cool.cooling_time_s.expect("cools"), "{name}");
        assert!(
            r.hold
                .as_ref()
                .expect("the part is full")
                .ends
                .iter()
                .all(|end| end.sealed_after_s <= freeze * (1.0 + 1e-9)),
            "{name}"
        );
    }
}

/// The centre of a section reaches a temperature later than its mean; real contact takes longer than
/// the perfect one of the hand formula.
#[test]
fn the_centre_freezes_after_the_mean() {
    for (name, _, r) in demos() {
        for gate in &r.hold.as_ref().expect("the part is full").gates {
            let (mean, centre) = (gate.hand_mean_s.expect("cools"), gate.hand_centre_s.expect("cools"));
            assert!(centre > mean, "{name}: {mean} {centre}");
            let transient = gate.centre_freeze_s.expect("freezes");
            assert!(transient > mean, "{name}: {transient} {mean}");
        }
        assert!(r.cool.cooling_time_s.expect("cools") > r.cool.hand_s.expect("cools"), "{name}");
    }
}

/// Hotter melt and a hotter mould fill at less pressure, but take longer to cool.
#[test]
fn hotter_melt_and_mould_need_less_pressure() {
    for (name, s, _) in demos() {
        let at = |melt: f64, mould: f64| {
            let mut s = s.clone();
            s.setup.melt_temperature += melt;
            s.setup.mould_temperature += mould;
            let r = evaluate(&s).expect("valid");
            (r.fill.required_pressure_mpa, r.cool.cooling_time_s.expect("cools"))
        };
        let runs = [at(-10.0, 0.0), at(0.0, 0.0), at(10.0, 0.0), at(20.0, 0.0)];
        assert!(runs.windows(2).all(|w| w[1].0 < w[0].0 && w[1].1 > w[0].1), "{name}: {runs:?}");
        let runs = [at(0.0, -10.0), at(0.0, 0.0), at(0.0, 5.0)];
        assert!(runs.windows(2).all(|w| w[1].0 < w[0].0 && w[1].1 > w[0].1), "{name}: {runs:?}");
    }
}

/// The README says how long the hinge's gate takes to freeze, and how much the three least known numbers move it.
#[test]
fn the_readme_tells_the_spread_of_gate_freeze() {
    let readme = include_str!("../../README.md");
    let mut hinge = steel();
    hinge.feedstock.conductivity_rule = ConductivityRule::LewisNielsen;
    let freeze = |change: &dyn Fn(&mut Scenario)| {
        let mut s = hinge.clone();
        change(&mut s);
        evaluate(&s).expect("valid").hold.expect("full").gate_freeze_s.expect("freezes")
    };
    let usual = Uncertainty::usual(&hinge.feedstock);
    assert!(readme.contains(&format!("freezes after {:.2} s", freeze(&|_| ()))));
    for (doubt, error) in usual.numbers.iter().zip(["0.6", "7", "0.44"]) {
        assert_eq!(number(doubt.standard_error, 3), error, "{}", doubt.path);
    }
    let [contact, no_flow, conducts] = [0, 1, 2].map(|i| usual.numbers[i].standard_error);
    let ends = |change: &dyn Fn(&mut Scenario, f64)| {
        let mut ends = [-1.0, 1.0].map(|sign| freeze(&|s: &mut Scenario| change(s, sign)));
        ends.sort_by(f64::total_cmp);
        format!("{:.2} to {:.2} s", ends[0], ends[1])
    };
    let rows = [
        ("no-flow temperature", ends(&|s, sign| s.feedstock.no_flow_temperature += sign * no_flow)),
        ("contact conductance", ends(&|s, sign| s.setup.contact_conductance *= (sign * contact).exp())),
        ("conductivity", ends(&|s, sign| s.feedstock.conductivity_factor *= (sign * conducts).exp())),
    ];
    for (name, range) in rows {
        let row = readme.lines().find(|line| line.starts_with(&format!("| {name} |")));
        assert!(row.is_some_and(|row| row.contains(&range)), "{name}: {range}, not {row:?}");
    }
    for (rule, name) in [
        (ConductivityRule::Lichtenecker, "Lichtenecker"),
        (ConductivityRule::MaxwellEucken, "Maxwell and Eucken"),
    ] {
        let told =
            format!("{:.2} s by {name}", freeze(&|s: &mut Scenario| s.feedstock.conductivity_rule = rule));
        assert!(readme.contains(&told), "{told}");
    }
}

/// Fast filling needs pressure for its rate, slow filling for its cold melt: in between lies a least
/// pressure. A moulder finds it from short shots at several rates.
#[test]
fn pressure_against_injection_time_has_a_minimum() {
    let mut s = steel();
    let times: Vec<f64> = (0..9).map(|i| 0.03 * 3_f64.powf(0.5 * f64::from(i))).collect();
    let found: Vec<f64> = times
        .iter()
        .map(|&t| {
            s.setup.injection_time = t;
            pressure(&s)
        })
        .collect();
    let least = (0..found.len()).min_by(|&a, &b| found[a].total_cmp(&found[b])).expect("not empty");
    assert!(least > 0 && least + 1 < found.len(), "{times:?}: {found:?}");
    assert!(found[..=least].windows(2).all(|w| w[1] < w[0]), "falls to it: {found:?}");
    assert!(found[least..].windows(2).all(|w| w[1] > w[0]), "rises from it: {found:?}");
}
