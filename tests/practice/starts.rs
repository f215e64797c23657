//! Parts to begin with: each is whole, and in the window, before a user has changed anything.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::gate::GATES;
use gatefrost_core::scenario::start::{self, CAVITIES, Shelf};
use gatefrost_core::scenario::{Family, Passage, PvtLaw, Scenario};
use gatefrost_core::start::hold_until_frozen;
use gatefrost_report::{Outcome, Report, evaluate};
use gatefrost_tests::build::{isothermal, merge, power_law, scenario};
use serde_json::json;
use std::f64::consts::PI;

/// A practitioner begins with a part, a number of cavities and a family: with no number changed, every limit is met, those of
/// the machine too, whether the part is made with the family, gets it afterwards, or is put into a scenario of the family.
#[test]
fn every_part_times_any_number_of_cavities_of_each_family_stands_in_its_window() {
    let families = Family::ALL.into_iter().map(Some).chain([None]);
    for (family, part) in
        families.flat_map(|family| Shelf::read().parts.into_iter().map(move |p| (family, p)))
    {
        for cavities in CAVITIES {
            let made = part.scenario(&[], None, family, cavities).expect("made");
            let mut ways = vec![("made", made)];
            if let Some(family) = family {
                let mut taken = part.scenario(&[], None, None, cavities).expect("made");
                family.take(&mut taken);
                // The hinge's flow law is one for high pressure.
                if family == Family::WaxLowPressure {
                    family.take_flow_law(&mut taken);
                }
                start::suit_machine(&mut taken);
                let mut put = Shelf::read().parts[0].scenario(&[], None, Some(family), 8).expect("made");
                start::make_usual(&mut put);
                let gate = gatefrost_core::scenario::gate::find(&part.gate).expect("a gate");
                let usual = start::find(&part.name).expect("a part");
                usual.put(&mut put, &part.all_sizes(&[]), gate, cavities);
                start::suit_machine(&mut put);
                ways.extend([("taken", taken), ("put", put)]);
            }
            for (how, mut s) in ways {
                hold_until_frozen(&mut s);
                let what =
                    format!("{} {} × {cavities}, {how}", family.map_or("none", Family::name), part.name);
                let r = meets_every_limit(&s, &what);
                // As long as its limit asks and a quarter more, or as short as the steps allow.
                let held = r.margins.iter().find(|m| m.limit == Limit::HoldCover).expect("is there");
                let shortest = s.setup.further_hold.last().is_some_and(|step| step.time <= 1.0);
                assert!(held.value < 1.4 * held.threshold || shortest, "{what}: {}", held.sentence);
                let welds = usize::from(part.name == "ring");
                assert_eq!(r.fill.weld_lines.len(), welds, "{what}");
            }
        }
    }
}

fn meets_every_limit(s: &Scenario, what: &str) -> Report {
    let r = evaluate(s).unwrap_or_else(|e| panic!("{what}: {e}"));
    assert_eq!(r.fill.outcome, Outcome::Full, "{what}");
    let near: Vec<_> = r.margins.iter().filter(|m| m.g < 0.1).map(|m| (m.g, &m.sentence)).collect();
    assert!(near.is_empty() && r.inside, "{what}: {near:?}");
    // The pvT has the step of the family's binder, and no melt flows below it.
    if s.feedstock.family.is_some() {
        let PvtLaw::Tait(pvt) = &s.feedstock.pvt else { panic!("{what}: no step") };
        assert!(pvt.b7 > 0.02 * pvt.b1m && pvt.b5 <= s.feedstock.no_flow_temperature, "{what}: {pvt:?}");
    }
    r
}

/// Four bars on a balanced runner, every branch a passage of its own: the split of the flow is solved, not shared out. The
/// cavities fill at the same instant, get the same mass and a quarter of the flow, and the pressure is that of the list with
/// copies, which shares the flow out; the tree has other cells, which moves the pressure by 0.5 %. It would catch a runner whose levels or copies do not belong together.
#[test]
fn cavities_on_a_balanced_runner_fill_together_and_alike() {
    let bars = Shelf::read().parts.into_iter().find(|p| p.name == "bar").expect("there is a bar");
    let copies = bars.scenario(&[], None, None, 4).expect("made");
    let mut apart = copies.clone();
    let named = |k: usize, name: String, after: Option<String>| Passage {
        name,
        after,
        copies: 1,
        ..copies.cavity.passages[k].clone()
    };
    let mut passages = vec![copies.cavity.passages[0].clone()];
    for arm in 1..=2 {
        passages.push(named(1, format!("main {arm}"), Some("sprue".to_owned())));
        for side in 1..=2 {
            let to = |name: &str| format!("{name} {arm}{side}");
            passages.push(named(2, to("side"), Some(format!("main {arm}"))));
            passages.push(named(3, to("gate"), None));
            passages.push(named(4, to("bar"), None));
        }
    }
    apart.cavity.passages = passages;
    let [together, apart] = [copies, apart].map(|s| evaluate(&s).expect("valid"));
    let full: Vec<f64> = apart.fill.paths.iter().filter_map(|p| p.filled_after_s).collect();
    assert_eq!(full.len(), 4);
    assert!(full.iter().all(|t| (t / full[0] - 1.0).abs() < 1e-9), "{full:?}");
    let bars: Vec<usize> =
        (0..apart.cavity.passages.len()).filter(|&i| apart.cavity.passages[i].role == "part").collect();
    let hold = |r: &Report| r.hold.clone().expect("it fills");
    // Equal volumes that shrink alike from the mass sealed in them have equal masses.
    let ends: Vec<f64> = hold(&apart).ends.iter().map(|end| end.shrinkage_percent).collect();
    assert!(ends.len() == 4 && ends.iter().all(|s| (s / ends[0] - 1.0).abs() < 1e-3), "{ends:?}");
    let same = |of: &dyn Fn(usize) -> f64| bars.iter().all(|&i| (of(i) / of(bars[0]) - 1.0).abs() < 1e-3);
    assert!(same(&|i| apart.fill.passages[i].apparent_shear_rate_1_s));
    // 6 Q/(w h²) with a quarter of the whole flow.
    let quarter = apart.fill.rate_cm3_s / 4.0 * 1e3;
    let rate = apart.fill.passages[bars[0]].apparent_shear_rate_1_s;
    assert!((rate / (6.0 * quarter / (8.0 * 4.0)) - 1.0).abs() < 1e-6, "{rate}");
    for (one, other) in [
        (together.fill.required_pressure_mpa, apart.fill.required_pressure_mpa),
        (together.fill.fill_time_s, apart.fill.fill_time_s),
        (hold(&together).part_mass_g, hold(&apart).part_mass_g),
    ] {
        assert!((one / other - 1.0).abs() < 1e-2, "{one} {other}");
    }
}

/// The pressure that the runner takes, against Δp = (2 K L/R) ((3n+1)/(4n) · 4Q/(πR³))ⁿ of a power-law fluid in each level's
/// tubes (closed form), Q the flow through one branch: at one temperature, with 40 layers, within 0.5 %.
#[test]
fn the_runner_takes_the_pressure_of_the_closed_form() {
    let (k, n) = (800.0, 0.45);
    for cavities in CAVITIES {
        let bars = Shelf::read().parts.into_iter().find(|p| p.name == "bar").expect("there is a bar");
        let cavity = bars.scenario(&[], None, None, cavities).expect("made").cavity;
        let mut changes = isothermal();
        let law = json!({ "feedstock": { "flow_law": power_law(k, n, 0.0) }, "model": { "layers": 40 } });
        merge(&mut changes, &law);
        merge(&mut changes, &json!({ "setup": { "injection_time": 0.5 } }));
        let passages = serde_json::to_value(&cavity.passages).expect("plain data");
        let r = evaluate(&scenario(passages, &changes)).expect("valid");
        let rate = r.fill.rate_cm3_s * 1e-6;
        for (p, flow) in r.cavity.passages.iter().zip(&r.fill.passages).filter(|(p, _)| p.role == "runner") {
            let (radius, length) = (0.5e-3 * p.thickness_mm[0], 1e-3 * p.length_mm);
            let one = rate / f64::from(p.copies);
            let sheared = (3.0 * n + 1.0) / (4.0 * n) * 4.0 * one / (PI * radius.powi(3));
            let drop = 2.0 * k * length / radius * sheared.powf(n) * 1e-6;
            let found = flow.pressure_drop_mpa;
            assert!((found / drop - 1.0).abs() < 5e-3, "{cavities} {}: {found} {drop}", p.name);
        }
    }
}

#[test]
fn the_halves_of_a_ring_meet_opposite_the_gate() {
    let ring = Shelf::read().parts.into_iter().find(|p| p.name == "ring").expect("there is a ring");
    let r = evaluate(&ring.scenario(&[], None, None, 1).expect("made")).expect("valid");
    let weld = &r.fill.weld_lines[0];
    let half = r.cavity.passages[weld.index].length_mm;
    assert!((weld.from_start_mm / half - 1.0).abs() < 0.02, "{} {half}", weld.from_start_mm);
}

#[test]
fn with_any_gate_they_fill_and_say_what_they_break() {
    for start in Shelf::read().parts {
        for gate in GATES {
            let scenario = start.scenario(&[], Some(gate), None, 1).expect("made");
            let r = evaluate(&scenario).expect("valid");
            assert_eq!(r.fill.outcome, Outcome::Full, "{} {}", start.name, gate.name);
            for margin in r.margins.iter().filter(|m| m.g < 0.0) {
                assert!(margin.sentence.contains("not met by"), "{}", margin.sentence);
                assert!(!margin.remedy.is_empty(), "{}", margin.label);
            }
        }
    }
}
