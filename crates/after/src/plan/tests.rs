//! The plan of a worked demo against numbers worked out by hand.

use super::*;
use gatefrost_scenario::scenario::{DebindingStep, Dimension, Family, FurnaceStretch, Reached, demo};

fn hinge() -> Scenario {
    demo::find("hinge").expect("a demo").scenario()
}

/// S and mass of the green part, with scatter of the loading, 0.1 of 60 vol%, and of the mass, 0.15 %.
fn mould() -> FromMould {
    let scatter = [(LOADING, 0.1 / 60.0), ("mass", 0.0015)]
        .map(|(cause, relative)| PowderScatter { cause: cause.to_owned(), relative });
    FromMould {
        filled: 0.98863,
        density_kg_m3: 5122.0,
        mass_g: 3.8515,
        shrinkage_spread_percent: [0.74, 1.31],
        scatter: scatter.to_vec(),
    }
}

#[test]
fn a_draft_is_the_plan_without_bands_and_other_walls() {
    let s = demo::default_demo().scenario();
    let (whole, draft) = (plan(&s, None), draft(&s, None));
    let value = |plan: &Plan| plan.debinding_hours.expect("it ends").value;
    assert_eq!(value(&whole), value(&draft));
    let hours = draft.debinding_hours.expect("it ends");
    assert_eq!([hours.low, hours.high], [hours.value; 2]);
    assert!(draft.draft && draft.hours_by_wall.is_empty() && !whole.hours_by_wall.is_empty());
    for (draft, whole) in draft.steps.iter().zip(&whole.steps) {
        let of = |step: &StepPlan| {
            step.schedule.as_ref().map(|s| (s.temperature_c.clone(), s.left_percent.clone()))
        };
        assert_eq!(of(draft), of(whole));
        assert_eq!(draft.mass_loss_percent, whole.mass_loss_percent);
        let no_band = |at: &[f64; 2]| at[0] == at[1];
        assert!(draft.schedule.iter().all(|s| s.temperature_band_c.iter().all(no_band)));
    }
}

#[test]
fn the_thickest_wall_governs_and_the_faces_decide_its_depth() {
    let mut s = hinge();
    let plate = plan(&s, None).walls[0].clone();
    assert_eq!((plate.name.as_str(), plate.thickness_mm, plate.depth_mm), ("base plate", 1.6, 1.6));
    let by_one = plan(&s, None).steps[0].hours.expect("a bath").value;
    for passage in &mut s.cavity.passages {
        passage.reached = Some(Reached::Both);
    }
    let by_both = plan(&s, None);
    assert_eq!(by_both.walls[0].depth_mm, 0.8);
    assert!((by_one / by_both.steps[0].hours.expect("a bath").value - 4.0).abs() < 1e-6);
    // Fo = 0.567 leaves a fifth (series); D at 45 °C from 1e-6 cm²/s at 40 °C with 45 kJ/mol.
    let d = 1e-10 * (45e3 / 8.314_462_618 * (1.0 / 313.15 - 1.0 / 318.15_f64)).exp();
    let by_hand = 0.5674 * 0.8e-3 * 0.8e-3 / d / 3600.0;
    assert!((by_both.steps[0].hours.expect("a bath").value / by_hand - 1.0).abs() < 2e-3, "{by_hand}");
}

#[test]
fn the_bath_opens_the_pores_and_the_furnace_takes_the_rest() {
    let s = hinge();
    let plan = plan(&s, Some(&mould()));
    let [bath, furnace] = &plan.steps[..] else { panic!("two steps") };
    // Wax and stearic acid, 63 % of the binder, of which four fifths go: 0.4 · 880 · 0.63 · 0.8 of 5122 kg/m³.
    assert!((bath.mass_loss_percent - 100.0 * 0.4 * 880.0 * 0.63 * 0.8 / 5122.0).abs() < 1e-9);
    assert!((bath.binder_left_percent - (100.0 - 63.0 * 0.8)).abs() < 1e-9);
    // Two per cent of pores before, and four fifths of the volume of wax and acid.
    assert!((20.0..24.0).contains(&bath.pores_percent), "{}", bath.pores_percent);
    assert!(furnace.binder_left_percent < 0.1 && plan.binder_left_percent < 0.1);
    let sizes = plan.sizes.expect("sizes");
    let w = sizes.weights;
    let lost = bath.mass_loss_percent + furnace.mass_loss_percent;
    assert!((w.green_g - w.brown_g - 3.8515 * lost / 100.0).abs() < 1e-9);
    assert!((w.sintered_g - 3.8515 * 0.6 * 7950.0 / 5122.0).abs() < 1e-9);
}

/// Without the pores that a bath opens, a wall that is thick for its fine powder is held back by its gas; pores set it free.
#[test]
fn wax_goes_first_for_a_reason() {
    let mut s = hinge();
    s.feedstock.particle_size = 2.0;
    s.debinding.steps.remove(0);
    let closed = plan(&s, None);
    let open = plan(
        &{
            let mut s = hinge();
            s.feedstock.particle_size = 2.0;
            s
        },
        None,
    );
    let held =
        |p: &Plan| p.steps.last().and_then(|step| step.schedule.as_ref()).expect("a furnace").held_back;
    assert!(held(&closed) && !held(&open), "{} {}", held(&closed), held(&open));
    let hours = |p: &Plan| p.steps.last().expect("a furnace").hours.expect("an end").value;
    assert!(hours(&closed) > 2.0 * hours(&open), "{} {}", hours(&closed), hours(&open));
}

/// 25 mm: the cavity is 29.4535 mm (closed form), ±0.3 % has Cp 0.79 (closed form).
#[test]
fn a_dimension_has_its_cavity_and_its_capability() {
    let mut s = hinge();
    let dimension = Dimension { size: 25.0, tolerance: 0.075, name: "length".into(), ..Dimension::default() };
    s.sizes.dimensions = vec![dimension.clone()];
    s.sizes.measuring_scatter = 0.0;
    let sizes = plan(&s, Some(&mould())).sizes.expect("sizes");
    let d = &sizes.dimensions[0];
    assert!((sizes.oversize_factor - 1.17814).abs() < 1e-5, "{}", sizes.oversize_factor);
    assert!((d.cavity_mm - 29.4535).abs() < 2e-4 && d.open_by_mm == 0.0 && !d.capable, "{d:?}");
    assert!((d.cp - 0.79).abs() < 0.006 && d.cp == d.cpk, "{d:?}");
    let of: Vec<&str> = sizes.budget.iter().map(|share| share.cause.as_str()).collect();
    assert_eq!(of, ["sintered density", LOADING, "mass", "other scatter of a length"]);
    assert!((sizes.budget.iter().map(|share| share.of_variance_percent).sum::<f64>() - 100.0).abs() < 1e-9);
    assert!((sizes.spread_inside_percent - 0.19).abs() < 1e-12);
    // Cut by loading alone it comes out 0.38 % too small.
    s.sizes.dimensions[0].cavity = Some(25.0 * 1.17365);
    let d = plan(&s, Some(&mould())).sizes.expect("sizes").dimensions[0].clone();
    assert!(d.cut && (d.mean_mm - 25.0 * 1.17365 / 1.17814).abs() < 1e-3 && d.cpk < d.cp, "{d:?}");
    assert!((d.open_by_mm - 25.0 * (1.17814 - 1.17365)).abs() < 1e-3, "{d:?}");
}

#[test]
fn a_tolerance_that_no_process_holds_is_named() {
    let mut s = hinge();
    let of =
        |tolerance: f64| Dimension { size: 20.0, tolerance, name: "bore".into(), ..Dimension::default() };
    s.sizes.dimensions = vec![of(0.1), of(0.01)];
    let remarks = plan(&s, None).remarks;
    let told: Vec<&String> = remarks.iter().filter(|words| words.contains("tolerance")).collect();
    assert!(matches!(told[..], [one] if one.contains("“bore”, ±0.01 mm, is ±0.05 %")), "{remarks:?}");
}

#[test]
fn a_colder_furnace_makes_larger_parts() {
    let s = hinge();
    let run = plan(&s, None).sintering.expect("a run");
    assert!(!run.from_curve && (run.density_percent - 97.0).abs() < 1e-9);
    let [hotter, colder, longer, shorter] = &run.deviations[..] else { panic!("four") };
    assert!(hotter.density_change_percent > 0.0 && hotter.length_change_percent < 0.0);
    assert!(colder.length_change_percent > 0.0);
    assert!(longer.density_change_percent > 0.0 && shorter.density_change_percent < 0.0);
    // dL/L = −dρ/(3ρ) for a small change (closed form).
    let expected = -colder.density_change_percent / (3.0 * 97.0) * 100.0;
    assert!((colder.length_change_percent / expected - 1.0).abs() < 0.02);
    assert!(
        (run.density.last().expect("points").y - 97.0).abs() < 1e-6,
        "the curve passes through the density"
    );
    let end = run.length_percent.last().expect("points").y;
    assert!((end - 100.0 * (60.0_f64 / 97.0).cbrt()).abs() < 1e-6, "{end}");
}

#[test]
fn each_family_comes_to_an_end() {
    // Where the ramp decides, the band may have no upper half.
    for family in Family::ALL {
        let mut s = hinge();
        family.take(&mut s);
        let plan = plan(&s, Some(&mould()));
        let hours = plan.debinding_hours.unwrap_or_else(|| panic!("{family:?}: {:?}", plan.remarks));
        assert!(
            hours.low < hours.value && hours.value <= hours.high && hours.high < 1000.0,
            "{family:?} {hours:?}"
        );
        assert!(plan.binder_left_percent < 0.5, "{family:?} leaves {} %", plan.binder_left_percent);
        let rises = plan.hours_by_wall.windows(2).all(|pair| pair[1].y >= pair[0].y * (1.0 - 0.01));
        assert!(rises, "{family:?}: {:?}", plan.hours_by_wall);
    }
}

/// To the trade brown is debound: without a bath, too, the brown part has lost its binder. Two cavities make two parts.
#[test]
fn the_brown_part_is_debound_by_any_route() {
    let mut s = hinge();
    let by_bath = plan(&s, Some(&mould())).sizes.expect("sizes");
    assert_eq!((by_bath.parts, by_bath.weights_of_one), (1.0, by_bath.weights));
    s.debinding.steps.remove(0);
    let by_heat = plan(&s, Some(&mould())).sizes.expect("sizes").weights;
    let by_hand = 3.8515 * (1.0 - 0.4 * 880.0 / 5122.0);
    assert!((by_heat.brown_g / by_hand - 1.0).abs() < 1e-3, "{by_heat:?} against {by_hand}");
    for passage in &mut s.cavity.passages {
        passage.copies *= 2;
    }
    let two = plan(&s, Some(&mould())).sizes.expect("sizes");
    assert_eq!(two.parts, 2.0);
    assert!((two.weights_of_one.brown_g - 0.5 * two.weights.brown_g).abs() < 1e-12);
}

/// ±0.3 % of 25 mm with a mean that is off by 0.1 %: 0.2 % are left. At Cpk 1 the others take their part (by hand).
#[test]
fn the_room_of_the_loading_counts_the_mean() {
    let room = |s: &Scenario, mould: &FromMould| {
        plan(s, Some(mould)).sizes.expect("sizes").loading_room.expect("a dimension")
    };
    let mut s = hinge();
    s.sizes.capability = 1.0;
    s.scatter.solids_loading = 0.1;
    let nominal = Dimension { size: 25.0, tolerance: 0.075, name: "length".into(), ..Dimension::default() };
    s.sizes.dimensions = vec![nominal.clone()];
    let free = plan(&s, Some(&mould())).sizes.expect("sizes");
    let others: f64 =
        free.budget.iter().filter(|b| b.cause != LOADING).map(|b| b.percent * b.percent).sum::<f64>().sqrt();
    let by_hand = |left: f64| ((left / 3.0).powi(2) - others * others).sqrt() * 3.0 * 60.0 / 100.0;
    let is = |found: LoadingRoom, left: f64| {
        let LoadingRoom::UpTo { vol_percent, dimension } = found else { panic!("{found:?}") };
        assert!((vol_percent / by_hand(left) - 1.0).abs() < 1e-3 && dimension == "length", "{vol_percent}");
    };
    s.sizes.dimensions[0].tolerance = 0.125;
    is(room(&s, &mould()), 0.5);
    s.sizes.dimensions[0].cavity = Some(25.0 * free.oversize_factor * 1.001);
    is(room(&s, &mould()), (0.5 - 0.1) / 1.001);
    // The mean outside the tolerance: no scatter helps. Too much scatter elsewhere, and no scatter at all, are others.
    s.sizes.dimensions[0].cavity = Some(29.0);
    assert!(matches!(room(&s, &mould()), LoadingRoom::MeanOutside { .. }));
    s.sizes.dimensions = vec![Dimension { tolerance: 0.02, ..nominal }];
    assert!(matches!(room(&s, &mould()), LoadingRoom::OthersTooMuch { .. }));
    s.sizes.dimensions[0].tolerance = 0.5;
    s.scatter.solids_loading = 0.0;
    assert_eq!(room(&s, &mould()), LoadingRoom::NoScatter);
}

/// Hinge: solidus 45 °C, liquidus 75 °C. A bath in between is told as well as one above, and water as well as a solvent.
#[test]
fn a_bath_that_melts_the_binder_is_named() {
    let told = |celsius: f64, water: bool| {
        let mut s = hinge();
        let DebindingStep::Bath(bath) = &mut s.debinding.steps[0] else { panic!("a bath") };
        (bath.temperature, bath.water) = (celsius, water);
        plan(&s, None).remarks.join(" ")
    };
    assert!(!told(45.0, false).contains("of the binder, "), "{}", told(45.0, false));
    for water in [false, true] {
        assert!(told(74.0, water).contains("at 74 °C is above the solidus of the binder, 45 °C"));
        assert!(told(76.0, water).contains("at 76 °C is above the liquidus of the binder, 75 °C"));
    }
}

#[test]
fn only_steps_of_the_route_are_spoken_of() {
    let mut s = hinge();
    let faces = |s: &Scenario| plan(s, None).remarks.into_iter().find(|r| r.contains("one face is assumed"));
    let by_bath = faces(&s).expect("a remark");
    assert!(by_bath.contains("a bath takes a quarter") && !by_bath.contains("catalytic"), "{by_bath}");
    s.debinding.steps.remove(0);
    assert!(!faces(&s).expect("a remark").contains("From both faces"));
}

#[test]
fn a_run_of_steel_for_another_powder_is_named() {
    let mut s = demo::find("guide").expect("a demo").scenario();
    assert!(plan(&s, None).sintering.is_none());
    s.sintering.stretches = vec![FurnaceStretch::default()];
    assert!(plan(&s, None).remarks.iter().any(|r| r.contains("the usual one of steel")));
    s.sintering.stretches[0].temperature = 1600.0;
    s.sintering.energy = 470.0;
    assert!(!plan(&s, None).remarks.iter().any(|r| r.contains("steel")));
    assert!(!plan(&hinge(), None).remarks.iter().any(|r| r.contains("steel")));
}

/// No step takes no time, and the zero has no minus. The time of the governing wall is the same in the curve.
#[test]
fn the_curve_against_the_wall_passes_through_the_plan() {
    let mut s = hinge();
    let whole = plan(&s, None);
    let (hours, wall) = (whole.debinding_hours.expect("an end"), whole.walls[0].thickness_mm);
    let there = *whole.hours_by_wall.iter().find(|p| (p.x - wall).abs() < 1e-9).expect("the governing wall");
    for (told, drawn) in [(hours.value, there.y), (hours.low, there.low), (hours.high, there.high)] {
        assert!((told / drawn - 1.0).abs() < 1e-12, "{hours:?} against {there:?}");
    }
    s.debinding.steps.clear();
    let none = plan(&s, None).debinding_hours.expect("no time");
    assert!(none.value == 0.0 && none.value.is_sign_positive(), "{none:?}");
}
