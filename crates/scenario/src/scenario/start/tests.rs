use super::super::gate::GATES;
use super::*;
use crate::catalogue;
use crate::scenario::Cavity;

fn words(name: &str) -> PartWords {
    Shelf::read().parts.into_iter().find(|p| p.name == name).unwrap()
}

fn made(name: &str, sizes: &[f64], gate: &str) -> Scenario {
    words(name).scenario(sizes, gate::find(gate), None, 1).unwrap()
}

fn usual(name: &str) -> Scenario {
    words(name).scenario(&[], None, None, 1).unwrap()
}

#[test]
fn the_shelf_describes_what_there_is() {
    let shelf = Shelf::read();
    assert!(shelf.parts.iter().map(|p| p.name.as_str()).eq(STARTS.iter().map(|s| s.name)));
    assert!(shelf.gates.iter().map(|g| g.name.as_str()).eq(GATES.iter().map(|g| g.name)));
    for gate in &shelf.gates {
        assert!(gate.source.contains("common practice") || gate.source.contains("from memory"));
        assert!(gate.words.contains("It ") && gate.words.ends_with('.') && !gate.title.is_empty());
    }
    for part in &shelf.parts {
        assert!((1..=5).contains(&part.sizes.len()) && part.words.ends_with('.'), "{}", part.name);
    }
}

fn gates(cavity: &Cavity) -> impl Iterator<Item = &Passage> {
    cavity.passages.iter().filter(|p| p.role == Role::Gate)
}

#[test]
fn every_part_with_every_gate_is_a_valid_scenario() {
    for start in STARTS {
        for gate in GATES {
            // The wall from very thin to very thick.
            for wall in [0.1, 0.5, 2.0, 12.5] {
                let scenario = made(start.name, &[wall], gate.name);
                assert_eq!(scenario.validate(), Ok(()), "{} {} {wall}", start.name, gate.name);
                assert_eq!(gates(&scenario.cavity).count(), 1, "{} {}", start.name, gate.name);
                assert_eq!(Scenario::from_json(&scenario.to_json()), Ok(scenario));
            }
        }
    }
}

#[test]
fn every_size_is_that_of_a_number_in_the_catalogue_and_counts() {
    for start in Shelf::read().parts {
        assert!(gate::find(&start.gate).is_some(), "{}", start.gate);
        let given: Vec<f64> = start.sizes.iter().map(|s| s.default).collect();
        let usual = usual(&start.name).cavity;
        for (i, size) in start.sizes.iter().enumerate() {
            let number = catalogue::at(&size.like).unwrap_or_else(|| panic!("{}", size.like));
            assert!(number.accepts(size.default), "{} {}", start.name, size.title);
            assert_eq!(number.unit, "mm");
            let mut larger = given.clone();
            larger[i] *= 1.25;
            let volume = made(&start.name, &larger, &start.gate).cavity.volume();
            assert!(volume > usual.volume() * 1.01, "{} {}: {volume}", start.name, size.title);
        }
    }
}

/// Sizes that are exchanged, or that make another part, are told by the names that the user gave them.
#[test]
fn sizes_that_do_not_go_together_are_told_in_the_users_words() {
    for (name, sizes, told) in [
        ("bar", &[12.0, 40.0, 8.0][..], "The wall is 12 mm, and the width is 8 mm."),
        ("bar", &[2.0, 8.0, 40.0], "The width is 40 mm, and the length is 8 mm."),
        ("plate", &[2.0, 5.0, 40.0], "The width is 40 mm, and the length is 5 mm."),
        ("plate", &[15.0, 10.0, 22.0], "The wall is 15 mm, and the length is 10 mm."),
        ("disc", &[24.0, 2.0], "The wall is 24 mm, and the diameter is 2 mm."),
        ("ring", &[6.0, 28.0, 5.0], "The wall is 6 mm, and the width of the ring is 5 mm."),
        ("sleeve", &[1.3, 14.0, 10.0, 1.8, 12.0], "The wall at the far end is 1.8 mm"),
    ] {
        let said = find(name).unwrap().check(sizes).unwrap_err().to_string();
        assert!(said.starts_with(told), "{name}: {said}");
    }
    // A square bar, and a plate that is fed at its longer edge, are parts.
    for (name, sizes) in [("bar", [2.0, 8.0, 8.0]), ("plate", [2.0, 20.0, 40.0])] {
        assert_eq!(find(name).unwrap().check(&sizes), Ok(()));
        assert_eq!(made(name, &sizes, "edge").validate(), Ok(()));
    }
}

/// What passes the check is a valid scenario, and the rules name the sizes as the form does.
#[test]
fn rules_of_sizes_agree_with_the_shelf_and_with_validation() {
    for words in Shelf::read().parts {
        let start = find(&words.name).unwrap();
        let usual = words.all_sizes(&[]);
        assert_eq!(start.check(&usual), Ok(()), "{}", words.name);
        for ([small, large], names, times, _) in start.rules {
            for (place, name) in [(small, names[0]), (large, names[1])] {
                assert_eq!(words.sizes[*place].title.to_lowercase(), name, "{}", words.name);
            }
            let mut edge = usual.clone();
            edge[*small] = times * edge[*large];
            if start.check(&edge).is_ok() {
                assert_eq!(
                    made(&words.name, &edge, &words.gate).validate(),
                    Ok(()),
                    "{} {edge:?}",
                    words.name
                );
            }
            edge[*small] *= 1.001;
            assert!(start.check(&edge).is_err(), "{} {edge:?}", words.name);
        }
    }
    let wall = made("bar", &[f64::NAN], "edge").validate().unwrap_err().to_string();
    assert!(wall.contains("thickness"), "{wall}");
}

/// Each level doubles the branches, all cavities are fed alike, and the wall of each level is sheared alike: Q/d³ is the
/// same, where Q is the flow through one branch.
#[test]
fn a_balanced_runner_feeds_all_cavities_alike() {
    for words in Shelf::read().parts {
        let one = words.scenario(&[], None, None, 1).unwrap().cavity;
        let of_part = |c: &Cavity| {
            c.passages
                .iter()
                .filter(|p| p.role == Role::Part)
                .map(|p| f64::from(p.copies) * p.form.volume())
                .sum::<f64>()
        };
        for n in [2, 4, 8] {
            let s = words.scenario(&[], None, None, n).unwrap();
            assert_eq!(s.validate(), Ok(()), "{} {n}", words.name);
            assert_eq!(Scenario::from_json(&s.to_json()), Ok(s.clone()));
            assert!((of_part(&s.cavity) / (f64::from(n) * of_part(&one)) - 1.0).abs() < 1e-12);
            let runner: Vec<_> = s.cavity.passages.iter().filter(|p| p.role == Role::Runner).collect();
            assert_eq!(1_u32 << runner.len(), n);
            let shear = |p: &&Passage| {
                let d = p.form.depths().next().unwrap().1;
                1.0 / (f64::from(p.copies) * d.powi(3))
            };
            for (level, p) in runner.iter().enumerate() {
                assert_eq!(p.copies, 2 << level);
                assert!((shear(p) / shear(&runner[0]) - 1.0).abs() < 2e-3, "{} {n}", words.name);
            }
        }
    }
}

#[test]
fn volumes_are_those_of_the_solids() {
    let part = |name: &str, sizes: &[f64]| {
        let cavity = made(name, sizes, "edge").cavity;
        let parts = cavity.passages.iter().filter(|p| p.role == Role::Part);
        parts.map(|p| p.form.volume() * f64::from(p.copies)).sum::<f64>()
    };
    use std::f64::consts::PI;
    for (name, sizes, volume) in [
        ("bar", &[2.0, 40.0, 8.0][..], 640.0),
        ("plate", &[2.0, 40.0, 20.0], 1600.0),
        ("disc", &[2.0, 24.0], PI * 144.0 * 2.0),
        ("ring", &[2.0, 28.0, 5.0], PI * 28.0 * 5.0 * 2.0),
        ("sleeve", &[1.8, 14.0, 10.0, 1.3, 12.0], PI * 14.0 * (18.0 + 15.6)),
    ] {
        let found = part(name, sizes);
        // What the hole for the gate takes is left out.
        assert!((found / volume - 1.0).abs() < 0.005, "{name}: {found} {volume}");
    }
}

#[test]
fn a_gate_is_sized_from_the_wall_behind_it() {
    let gated = |wall: f64, name: &str| {
        let cavity = made("bar", &[wall], name).cavity;
        gates(&cavity).next().unwrap().form.clone()
    };
    for gate in GATES {
        let depth = |wall| gated(wall, gate.name).depths().next().unwrap().1;
        assert!(depth(4.0) > 1.3 * depth(2.0), "{}", gate.name);
        let shallowest = gated(2.0, gate.name).depths().map(|(_, d)| d).fold(f64::INFINITY, f64::min);
        // Half the wall or somewhat less or more; the sprue is the exception.
        assert!((0.4..0.7).contains(&(shallowest / 2.0)) || gate.name == "direct", "{}", gate.name);
    }
    let Form::Strip(edge) = gated(2.0, "edge") else { panic!() };
    assert_eq!((edge.width, edge.thickness), (4.0, 1.2));
    let Form::Strip(fan) = gated(2.0, "fan") else { panic!() };
    assert_eq!(
        (fan.width, fan.width_end, fan.thickness, fan.thickness_end),
        (4.0, Some(8.0), 2.0, Some(1.0))
    );
    let Form::Strip(film) = gated(2.0, "film") else { panic!() };
    assert_eq!(film.width, 8.0);
    // The diaphragm spans the bore of the sleeve, from the sprue's end: (14 − 1.8)/2 and (2.5 + 1.8)/2.
    let sleeve = usual("sleeve").cavity;
    let Form::Disc(membrane) = &sleeve.passages[1].form else { panic!() };
    assert_eq!((membrane.inner_radius, membrane.outer_radius), (2.15, 6.1));
}

#[test]
fn another_gate_keeps_the_tree() {
    let mut yoke = demo::find("yoke").unwrap().scenario();
    let feeders = |c: &Cavity| (0..c.passages.len()).map(|i| c.feeder(i).unwrap()).collect::<Vec<_>>();
    let before = feeders(&yoke.cavity);
    for gate in GATES {
        yoke.cavity.take_gate(gate);
        assert_eq!(yoke.validate(), Ok(()), "{}", gate.name);
        assert_eq!(feeders(&yoke.cavity), before);
        let names: Vec<&str> = gates(&yoke.cavity).map(|p| p.name.as_str()).collect();
        assert_eq!(names, [format!("{} gate", gate.name), format!("{} gate 2", gate.name)]);
    }
    // Followers by name keep following, under a name that others have too.
    let mut ring = usual("ring");
    ring.cavity.passages[0].name = "film gate".to_owned();
    ring.cavity.take_gate(gate::find("film").unwrap());
    assert_eq!(ring.cavity.passages[2].name, "film gate 2");
    assert_eq!(ring.cavity.feeder(4), Ok(Some(2)));
    assert_eq!(ring.validate(), Ok(()));
}

#[test]
fn a_cavity_without_a_gate_gets_one_before_its_part() {
    let mut bar = usual("bar");
    bar.cavity.passages.remove(2);
    bar.cavity.take_gate(gate::find("edge").unwrap());
    let roles: Vec<Role> = bar.cavity.passages.iter().map(|p| p.role).collect();
    assert_eq!(roles, [Role::Sprue, Role::Runner, Role::Gate, Role::Part]);
    assert_eq!(bar.validate(), Ok(()));
    // A branch that was named keeps its junction: the gate comes between.
    let mut ring = usual("ring");
    ring.cavity.passages.remove(2);
    ring.cavity.passages.swap(0, 1);
    for passage in &mut ring.cavity.passages[2..] {
        passage.after = Some("runner".to_owned());
    }
    ring.cavity.take_gate(gate::find("edge").unwrap());
    assert_eq!(ring.cavity.feeder(2), Ok(Some(0)));
    assert_eq!(ring.cavity.feeder(3), Ok(Some(2)));
    // Without a part there is nothing to size it by.
    let mut none = bar.clone();
    none.cavity.passages.truncate(2);
    let before = none.cavity.clone();
    none.cavity.take_gate(gate::find("edge").unwrap());
    assert_eq!(none.cavity, before);
}
