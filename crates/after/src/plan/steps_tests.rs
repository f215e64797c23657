//! The steps of debinding and the furnace run against closed forms, in orders and with errors that a demo does not have.

use super::*;
use gatefrost_scenario::scenario::{
    BinderComponent, Catalytic, DebindingStep, Form, FurnaceStretch, Leaves, Passage, Reached, Thermal, Tube,
    demo,
};

/// The hinge with walls that are reached from both faces, and these steps.
fn with_steps(steps: Vec<DebindingStep>) -> Scenario {
    let mut s = demo::find("hinge").expect("a demo").scenario();
    for passage in &mut s.cavity.passages {
        passage.reached = Some(Reached::Both);
    }
    s.debinding.steps = steps;
    s
}

fn bath(left: f64) -> DebindingStep {
    DebindingStep::Bath(Bath { left, ..Bath::default() })
}

fn furnace() -> DebindingStep {
    DebindingStep::Thermal(Thermal::default())
}

fn hours(plan: &Plan) -> Vec<f64> {
    plan.steps.iter().map(|step| step.hours.expect("an end").value).collect()
}

/// Two baths take as long as one that goes as far, and the second goes on where the first ended.
#[test]
fn a_second_bath_goes_on() {
    let one = plan(&with_steps(vec![bath(20.0)]), None);
    let two = plan(&with_steps(vec![bath(50.0), bath(20.0)]), None);
    assert!((hours(&two).iter().sum::<f64>() / hours(&one)[0] - 1.0).abs() < 1e-6, "{:?}", hours(&two));
    let loss = |plan: &Plan| plan.steps.iter().map(|step| step.mass_loss_percent).sum::<f64>();
    assert!((loss(&one) - loss(&two)).abs() < 1e-9);
    // At its time the second curve of losses tells the loss of the step.
    let second = &two.steps[1];
    let curve = &second.losses[1].points;
    let end = second.hours.expect("an end").value;
    let at = curve.iter().rfind(|p| p.x <= end).expect("points").y;
    assert!((at / second.mass_loss_percent - 1.0).abs() < 0.05, "{at} of {}", second.mass_loss_percent);
    // The same bath again, and one after the furnace, find nothing.
    for steps in [vec![bath(20.0), bath(20.0)], vec![furnace(), bath(20.0)]] {
        let plan = plan(&with_steps(steps), None);
        assert_eq!((hours(&plan)[1], plan.steps[1].mass_loss_percent), (0.0, 0.0));
        assert!(plan.steps[1].losses.iter().flat_map(|curve| &curve.points).all(|p| p.y == 0.0));
        assert!(plan.remarks.iter().any(|words| words.contains("Step 2, solvent bath, finds nothing")));
    }
}

/// Slab 1.6 mm from both faces and rod 2 mm: at 1.5 mm/h the rod's front takes 1/1.5 h, the slab's 0.8/1.5. In a bath the
/// slab takes longer: 0.567 · 0.8² against 0.216 · 1² (series).
#[test]
fn the_wall_that_takes_longest_governs() {
    let mut s = with_steps(vec![DebindingStep::Catalytic(Catalytic { speed: 1.5, ..Catalytic::default() })]);
    s.debinding.parts =
        vec![BinderComponent { share: 100.0, leaves: Leaves::Catalyst, ..BinderComponent::default() }];
    let thickest = walls_of(&s)[0].index;
    let slab = s.cavity.passages[thickest].clone();
    let tube = Form::Tube(Tube { length: 10.0, diameter: 2.0, diameter_end: None });
    s.cavity.passages = vec![slab.clone(), Passage { form: tube, ..slab }];
    let by_front = plan(&s, None);
    assert_eq!((by_front.walls[0].rod, by_front.walls[0].depth_mm), (true, 1.0));
    assert!((hours(&by_front)[0] - 1.0 / 1.5).abs() < 1e-9, "{:?}", by_front.walls);
    s.debinding = with_steps(vec![bath(20.0)]).debinding;
    let by_bath = plan(&s, None);
    assert_eq!((by_bath.walls[0].rod, by_bath.walls[0].thickness_mm), (false, 1.6));
    assert_eq!(debinding_hours(&s), Some(hours(&by_bath)[0]));
}

/// The pores decide how long a furnace without a bath takes: their error widens its band, and one that ends in a step that
/// does not end is wider still.
#[test]
fn the_band_of_a_furnace_holds_the_errors_of_pores_and_permeability() {
    let mut s = with_steps(vec![furnace()]);
    s.feedstock.particle_size = 2.0;
    for passage in &mut s.cavity.passages {
        passage.reached = Some(Reached::One);
    }
    let band = |s: &Scenario| plan(s, None).steps[0].hours.expect("an end");
    let wide = band(&s);
    let only = |pores: f64, permeability: f64| {
        let mut s = s.clone();
        s.debinding.open_pores_error = pores;
        s.debinding.permeability_error = permeability;
        band(&s)
    };
    let none = only(0.0, 0.0);
    for one in [only(0.5, 0.0), only(0.0, 50.0)] {
        assert!(
            one.high > none.high * 1.05 && one.high < wide.high && one.low <= none.low,
            "{one:?} {none:?}"
        );
    }
    // One side of the band of the pores is the time with so many fewer.
    let mut fewer = s.clone();
    fewer.debinding.open_pores -= 1.96 * 0.5;
    assert!(band(&fewer).value < only(0.5, 0.0).high * 1.1, "{:?}", band(&fewer));
    // Pores that may all be shut: the step may not end, and the band says so.
    assert!(only(1.2, 0.0).high > 3.0 * none.high, "{:?} {none:?}", only(1.2, 0.0));
}

/// No more pores than the powder leaves room for.
#[test]
fn pores_take_the_room_of_the_binder() {
    let s = with_steps(vec![bath(20.0), furnace()]);
    let steps = plan(&s, None).steps;
    let room = 100.0 - s.feedstock.solids_loading;
    let last = steps.last().expect("a furnace").pores_percent;
    assert!(last <= room + 1e-9 && last > room - 0.1, "{last} of {room}");
}

/// A powder that loses mass in the furnace ends at the length of the size table: (φ (1 − w)/ρ)^⅓.
#[test]
fn the_run_ends_at_the_length_of_the_table() {
    let mut s = with_steps(Vec::new());
    s.feedstock.powder_loss = 5.0;
    let run = plan(&s, None).sintering.expect("a run");
    let over = crate::Furnace::resolve(&s).green_over_final().expect("powder");
    let end = run.length_percent.last().expect("points").y;
    assert!((end - 100.0 / over).abs() < 1e-6, "{end} against {}", 100.0 / over);
}

fn stretch(temperature: f64, hold: f64) -> FurnaceStretch {
    FurnaceStretch { temperature, hold, ..FurnaceStretch::default() }
}

/// Two stretches of 2 h that differ by 0.01 K deviate as one of 4 h, and a run without a hold has no hold to lengthen.
#[test]
fn a_deviation_moves_the_whole_run() {
    let of = |stretches: Vec<FurnaceStretch>| {
        let mut s = with_steps(Vec::new());
        s.sintering.stretches = stretches;
        plan(&s, None).sintering.expect("a run")
    };
    let two = of(vec![stretch(1360.0, 120.0), stretch(1360.01, 120.0)]);
    let one = of(vec![stretch(1360.0, 240.0)]);
    let [of_two, of_one] = [&two, &one].map(|run| run.deviations[0].density_change_percent);
    assert!((of_two / of_one - 1.0).abs() < 1e-3, "{of_two} against {of_one}");
    assert_eq!(of(vec![stretch(1360.0, 0.0)]).deviations.len(), 2);
    // Colder by 5 K with the last hold as much longer as is told: the same work, by rates alone but for the ramp.
    let longer = one.longer_if_colder.expect("a hold");
    let rate = (300e3_f64 / 8.314_462_618 * (1.0 / 1628.15 - 1.0 / 1633.15)).exp();
    assert!((longer / rate - 1.0).abs() < 0.01, "{longer} against {rate}");
}

/// Through the set density the error of Q moves only what differs from the run; of a fitted curve it moves the density too,
/// the more the farther the run is from the fitted ones.
#[test]
fn the_error_of_the_energy_widens_the_bands() {
    let mut s = with_steps(Vec::new());
    let width = |[low, high]: [f64; 2]| high - low;
    let of = |s: &Scenario| plan(s, None).sintering.expect("a run");
    let run = of(&s);
    assert!(width(run.density_range_percent) < 1e-9);
    let [low, high] = run.longer_range.expect("a hold");
    // ln of the factor goes with Q: its band is ± 1.96 · 40/300 of it.
    let factor = run.longer_if_colder.expect("a hold");
    assert!((high.ln() / factor.ln() - 1.0 - 1.96 * 40.0 / 300.0).abs() < 0.02, "{low} {factor} {high}");
    assert!(width(run.deviations[0].length_change_range_percent) > 0.0);
    s.sintering.log_half = curve(&s).map(|curve| curve.log_half);
    s.sintering.fitted_at = Some(1360.0);
    let near = width(of(&s).density_range_percent);
    s.sintering.fitted_at = Some(1200.0);
    let far = width(of(&s).density_range_percent);
    s.sintering.energy_error = 0.0;
    assert!(far > 10.0 * near && far > 0.5 && width(of(&s).density_range_percent) == 0.0, "{far} {near}");
}
