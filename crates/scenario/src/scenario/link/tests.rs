use super::*;
use crate::scenario::{
    Axis, FlowLaw, Form, HoldStep, Passage, PowerLawConstants, PvtLaw, Span, TaitConstants,
};
use crate::uncertainty::{Doubt, Uncertainty};

#[test]
fn a_demo_is_its_name_alone() {
    for d in demo::DEMOS {
        assert_eq!(encode(&d.scenario()), format!("2;d={}", d.name));
    }
}

#[test]
fn every_kind_of_change_survives_the_round_trip() {
    let mut s = demo::default_demo().scenario();
    s.name = "<b>; = # % \" ü".to_owned();
    s.setup.melt_temperature = 171.25;
    s.model.layers = 24;
    s.model.viscous_heating = false;
    s.window.y.from = 120.0;
    s.window.x = Span { axis: Axis::FlowRate, from: 0.5, to: 40.0 };
    s.mould.vent_depth = 0.015;
    s.limits.jet_speed = 1.5;
    s.cavity.passages[0].copies = 1;
    s.cavity.passages[1].name = "feeder".to_owned();
    if let Form::Tube(t) = &mut s.cavity.passages[1].form {
        t.diameter_end = Some(4.0);
    }
    let opened = decode(&encode(&s));
    assert_eq!(opened.problems, vec![]);
    assert_eq!(opened.scenario, s);

    s.cavity.passages.push(Passage { after: Some("feeder".to_owned()), ..Passage::default() });
    s.feedstock.pvt = PvtLaw::Tait(TaitConstants { b5: 62.0, ..TaitConstants::default() });
    s.setup.further_hold.push(HoldStep { pressure: 33.0, time: 1.5 });
    s.feedstock.flow_law = FlowLaw::PowerLaw(PowerLawConstants::default());
    s.feedstock.uncertainty = Some(Uncertainty {
        numbers: ["feedstock.flow_law.power_law.n", "feedstock.powder_density", "setup.contact_conductance"]
            .map(|path| Doubt { path: path.to_owned(), standard_error: 0.1 / 3.0, logarithmic: false })
            .to_vec(),
        correlation: vec![vec![1.0]],
    });
    let opened = decode(&encode(&s));
    assert_eq!(opened.problems, vec![]);
    assert_eq!(opened.scenario, s);
}

#[test]
fn what_changes_in_number_or_kind_costs_little_more_than_its_numbers() {
    let mut s = demo::default_demo().scenario();
    let before = s.cavity.passages.clone();
    s.cavity.passages.swap(3, 4);
    s.cavity.passages.remove(1);
    let strip = Passage {
        form: Form::named("strip").expect("a strip"),
        name: "rib".to_owned(),
        ..Passage::default()
    };
    s.cavity.passages.push(strip);
    s.feedstock.flow_law = FlowLaw::named("power_law").expect("a law");
    s.feedstock.pvt = PvtLaw::Linear;
    s.setup.further_hold.push(HoldStep { pressure: 33.0, time: 1.5 });
    s.ignored = vec![crate::Limit::Sink, crate::Limit::Jetting];
    let text = encode(&s);
    assert!(text.contains("c=0,2,4,3,s;law=power_law;pvt=linear;hs=1;ig=sink,jetting"), "{text}");
    assert!(text.len() < 200, "{} characters: {text}", text.len());
    assert_eq!(decode(&text).scenario, s);

    // Another form under an old name is a new passage.
    s.cavity.passages = before;
    s.cavity.passages[1].form = Form::named("strip").expect("a strip");
    let text = encode(&s);
    assert!(text.contains("c=0,s,2,3,4;"), "{text}");
    assert_eq!(decode(&text).scenario, s);
    for bad in ["c=0,9", "c=x", "hs=999", "hs=-1", "law=none", "pvt=", "ig=nothing", "c="] {
        let opened = decode(&format!("1;d=hinge;{bad}"));
        assert!(!opened.problems.is_empty(), "{bad}");
        assert_eq!(opened.scenario.validate(), Ok(()), "{bad}");
    }
}

#[test]
fn an_uncertainty_that_is_none_costs_no_more_than_itself() {
    for bad in ["7", "{\"numbers\":[{\"path\":\"setup.hold_time\",\"standard_error\":1}]}"] {
        let opened = decode(&format!("1;d=hinge;T=172;un={bad}"));
        assert_eq!(opened.problems.len(), 1, "{bad}: {:?}", opened.problems);
        assert_eq!(opened.problems[0].path, "feedstock.uncertainty");
        assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
        assert_eq!(opened.scenario.feedstock.uncertainty, Some(Uncertainty::default()));
    }
}

/// What a link left out, by the path of each problem.
fn left_out(opened: &Opened) -> Vec<&str> {
    opened.problems.iter().map(|p| p.path.as_str()).collect()
}

#[test]
fn a_link_says_that_it_is_of_an_earlier_version() {
    let earlier = decode("1;d=hinge;T=172").earlier.expect("of version 1");
    assert_eq!((earlier.version, earlier.dropped), (1, vec![]));
    assert_eq!(decode("2;d=hinge;T=172").earlier, None);
    assert_eq!(decode("1;d=hinge;T=172").scenario, decode("2;d=hinge;T=172").scenario);
}

#[test]
fn an_angle_of_a_wall_or_a_projected_area_travels_under_its_key() {
    let mut s = demo::default_demo().scenario();
    s.cavity.passages[3].wall_angle = Some(72.5);
    s.cavity.passages[4].projected_area = Some(1.25);
    let text = encode(&s);
    assert_eq!(text, "2;d=hinge;c3.wa=72.5;c4.pa=1.25");
    let opened = decode(&text);
    assert_eq!(opened.problems, vec![]);
    assert_eq!(opened.scenario, s);
    // Left out again, they are as the passage lies.
    assert_eq!(decode(&format!("{text};c3.wa=;c4.pa=")).scenario, demo::default_demo().scenario());
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_opens() {
    let opened = decode("#1;d=hinge;T=172;Tw=hot;zz=3;ti=NaN;ph=-5;loose");
    assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
    assert_eq!(opened.kept, 2, "the demo and one number");
    let said: Vec<&str> = opened.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        said,
        [
            "\"loose\" is not of the form key=value",
            "Mould temperature (Tw in the link) is \"hot\"; accepted is a number, 0 to 450 °C; 40 °C of the demo stands in its place",
            "\"zz\" is not a key of this link version, or has no place here",
            "Injection time (ti in the link) is \"NaN\"; accepted is a number, 0.005 to 120 s; 0.4 s of the demo stands in its place",
            "Hold pressure (ph in the link) is \"-5\"; accepted is a number, 0 to 400 MPa; 65 MPa of the demo stands in its place",
        ]
    );
}

#[test]
fn one_bad_text_costs_no_more_than_itself() {
    let long = "x".repeat(200);
    let too_long = format!("name={long}");
    for (bad, path) in [
        (too_long.as_str(), "name"),
        ("name=%ff", "name"),
        ("ll=newton", "feedstock.loading_law"),
        ("vh=perhaps", "model.viscous_heating"),
        ("xa=colour", "window.x.axis"),
        ("c2.role=door", "cavity.passages.2.role"),
        ("c2.after=nowhere", "cavity.passages.2.after"),
        ("c2.N=1.5", "cavity.passages.2.copies"),
        ("c2.h=-1", "cavity.passages.2.form.strip.thickness"),
        ("c=0,9", "cavity.passages"),
        ("c=[]", "cavity.passages"),
        ("c=[{\"name\":\"x\"}]", "cavity.passages.0.role"),
        ("law=none", "feedstock.flow_law"),
        ("ig=nothing", "ignored.0"),
        ("hs=99", "setup.further_hold"),
        ("K=3", "feedstock.flow_law.power_law.consistency"),
    ] {
        let opened = decode(&format!("1;d=hinge;T=172;phi=57;{bad}"));
        assert_eq!(left_out(&opened), [path], "{bad}: {:?}", opened.problems);
        let Scenario { setup, feedstock, .. } = &opened.scenario;
        assert_eq!(
            (setup.melt_temperature, feedstock.solids_loading, opened.kept),
            (172.0, 57.0, 3),
            "{bad}"
        );
        let mut rest = demo::default_demo().scenario();
        (rest.setup.melt_temperature, rest.feedstock.solids_loading) = (172.0, 57.0);
        assert_eq!(opened.scenario, rest, "{bad}");
    }
}

#[test]
fn of_entries_that_are_bad_only_together_the_fewest_are_left_out() {
    for (text, kept, gone) in [
        // 65.9 vol% goes with the demo's 66; 60 goes with nothing here.
        ("phi=65.9;phic=60", "phi", "feedstock.critical_loading"),
        ("phi=57;T=60", "phi", "setup.melt_temperature"),
        ("T=190;ph=90;pmax=85", "T;pmax", "setup.hold_pressure"),
        ("T=190;xf=7", "T", "window.x.from"),
    ] {
        let opened = decode(&format!("1;d=hinge;{text}"));
        assert_eq!(left_out(&opened), [gone], "{text}: {:?}", opened.problems);
        let left = encode(&opened.scenario);
        for key in kept.split(';') {
            assert!(left.contains(&format!(";{key}=")), "{key} of {text} is kept: {left}");
        }
        assert_eq!(opened.scenario.validate_plane(), Ok(()), "{text}");
    }
    // Two faults that have nothing to do with each other, and one entry that mends a third.
    let opened = decode("1;d=hinge;phi=68;phic=72;T=60;ph=500;ti=0.3");
    assert_eq!(left_out(&opened), ["setup.hold_pressure", "setup.melt_temperature"]);
    let feedstock = &opened.scenario.feedstock;
    assert_eq!((feedstock.solids_loading, feedstock.critical_loading), (68.0, 72.0));
    assert_eq!(opened.kept, 4);
}

#[test]
fn what_stands_in_a_list_that_is_lost_is_not_put_into_the_demo_s() {
    let demo = demo::default_demo().scenario();
    for (text, said) in
        [("c=0,1,s,x;c2.h=0.5;c3.w=9", "c2.h, c3.w"), ("law=newton;n=0.9", "n"), ("c=0,1;c0.L=9", "c0.L")]
    {
        let opened = decode(&format!("1;d=hinge;{text}"));
        assert_eq!((opened.problems.len(), opened.kept), (2, 1), "{text}: {:?}", opened.problems);
        assert!(opened.problems[1].message.ends_with(said), "{}", opened.problems[1].message);
        assert_eq!(opened.scenario, demo, "{text}");
    }
}

#[test]
fn it_is_told_whether_anything_was_kept() {
    for (text, kept) in [("", 0), ("1;d=anvil", 0), ("7;d=hinge;T=172", 0), ("%%%", 0), ("1;zz=3", 0)] {
        assert_eq!(decode(text).kept, kept, "{text}");
    }
    let opened = decode("1;d=anvil;T=172");
    assert_eq!((opened.kept, opened.scenario.setup.melt_temperature), (1, 172.0));
    assert!(opened.problems[0].message.starts_with("The demo \"anvil\" is not known here"));
    assert_eq!(decode("1;d=sleeve").kept, 1);
}

#[test]
fn the_work_on_a_hostile_link_is_bounded() {
    // As many keys as fit, all unknown; and as many as there are, all at odds with each other.
    let unknown = format!("1;{}", "q=1;".repeat(8000));
    let opened = decode(&unknown);
    assert!(opened.problems.len() <= 41, "{}", opened.problems.len());
    assert_eq!(opened.problems.len() + opened.unlisted, 8000);
    let list = vec!["d"; 64].join(",");
    let radii: String = (0..64).map(|i| format!(";c{i}.r1=90;c{i}.r2=80")).collect();
    let opened = decode(&format!("1;d=hinge;T=172;c={list}{radii}"));
    assert!(!opened.problems.is_empty());
    assert_eq!(opened.scenario.validate_plane(), Ok(()));
    assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
}

#[test]
fn hostile_text_opens_a_demo_and_says_why() {
    let long = format!("1;name={}", "x".repeat(MAX_LINK_BYTES));
    let deep = format!("1;c={}", "[".repeat(5000));
    for text in [
        "3;d=hinge",
        "3;",
        "3",
        "4;d=hinge",
        "%%%",
        "1;d=%ff",
        "1;c=[]",
        "1;c={}",
        "1;law=7",
        "1;phi=65.9;phic=60",
        &long,
        &deep,
    ] {
        let opened = decode(text);
        assert!(!opened.problems.is_empty(), "{text:.40}");
        assert_eq!(opened.scenario.validate(), Ok(()), "{text:.40}");
    }
    assert_eq!(decode("").problems, vec![]);
}

/// A feedstock of its own, from a recipe: more numbers than a readable link holds.
fn of_its_own() -> Scenario {
    let mut s = demo::find("hasp").expect("a demo").scenario();
    let mut tree = document(&s);
    let mut factor = 1.0;
    // Solid, melting and melt must still go together.
    let free = |path: &str| path.starts_with("feedstock.") && !path.contains("tait");
    walk(&document(&s), &mut String::new(), &mut |path, value| {
        factor += 0.000_037;
        if let (true, Some(number)) = (free(path), value.as_f64()) {
            *tree.pointer_mut(&pointer_of(path)).expect("a place") = (number * factor).into();
        }
    });
    s = document::read_tree(tree).expect("a scenario");
    s.feedstock.measured_loading = s.feedstock.solids_loading;
    s
}

#[test]
fn a_long_link_is_packed_and_opens_as_the_plain_one_does() {
    let s = of_its_own();
    let text = encode(&s);
    let plain = encode_against(&s, demo::find("hasp").expect("a demo"), None);
    assert!(text.starts_with("3;") && text.len() * 10 < plain.len() * 7, "{} {}", text.len(), plain.len());
    let digits = |c: char| c.is_ascii_alphanumeric() || "-_".contains(c);
    assert!(text[2..].chars().all(digits), "{text}: nothing that an address would have to encode");
    let opened = decode(&text);
    assert_eq!((opened.problems.as_slice(), &opened.scenario), ([].as_slice(), &s));
    assert_eq!(decode(&plain), opened, "to the last bit");
    // A short one can be read.
    assert_eq!(encode(&Scenario { notes: "a".repeat(200), ..demo::default_demo().scenario() })[..2], *"2;");
}

/// What was packed is read as any link: an entry that is bad by itself is named, and the others are kept. A packed link
/// in a packed link is none.
#[test]
fn a_packed_link_may_hold_anything() {
    let opened = decode(&format!("3;{}", packed::packed("2;d=guide;T=171;zz=1")));
    assert_eq!((opened.demo, opened.kept, opened.problems.len()), ("guide", 2, 1), "{:?}", opened.problems);
    let within = format!("3;{}", packed::packed("2;d=guide"));
    for text in
        [&format!("3;{}", packed::packed(&within)), &within[..within.len() - 1], &format!("{within};T=170")]
    {
        let opened = decode(text);
        assert_eq!((opened.kept, opened.problems.len()), (0, 1), "{text}");
        assert_eq!(opened.scenario, demo::default_demo().scenario(), "{text}");
    }
    let said = &decode("3;d=hinge").problems[0].message;
    assert_eq!(
        said,
        "The link cannot be read: a packed link must be whole, and characters of it are missing, changed or added. Copy it again"
    );
}

#[test]
fn it_is_told_how_many_were_left_out_and_whether_only_the_demo_is_left() {
    for (text, kept, only_demo, left_out) in [
        ("1;d=hinge;T=abc;phi=xx", 1, true, 2),
        ("1;d=hinge;T=abc;phi=57", 2, false, 1),
        ("1;T=abc", 0, false, 1),
        ("1;d=hinge", 1, true, 0),
    ] {
        let opened = decode(text);
        let left = opened.problems.len() + opened.unlisted;
        assert_eq!((opened.kept, opened.only_demo, left), (kept, only_demo, left_out), "{text}");
    }
    let unknown: String = (0..60).map(|i| format!(";zz{i}=1")).collect();
    let opened = decode(&format!("1;d=hinge{unknown}"));
    assert_eq!(opened.problems.len() + opened.unlisted, 60);
}

/// A key that two places share loses one of them. The keys of flags and texts are beside those of the numbers.
#[test]
fn no_two_places_share_a_key() {
    for demo in demo::DEMOS {
        let mut keys: Vec<String> =
            keys_of(&document(&demo.scenario())).into_iter().map(|(key, _)| key).collect();
        let all = keys.len();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), all, "{}", demo.name);
    }
}

#[test]
fn side_walls_that_are_left_out_cross_a_link() {
    let mut scenario = demo::default_demo().scenario();
    scenario.model.side_walls = false;
    scenario.scatter.mould_temperature = 2.5;
    let opened = decode(&encode(&scenario));
    assert_eq!(opened.problems, []);
    assert_eq!(opened.scenario, scenario);
    // As it was written before they had a key of their own.
    let old = decode("2;d=hinge;sw=false");
    assert_eq!((old.problems, old.scenario.model.side_walls), (vec![], false));
    assert_eq!(decode("2;d=hinge;sw=2.5").scenario.scatter.mould_temperature, 2.5);
}

#[test]
fn an_entry_that_is_given_twice_is_named() {
    let opened = decode("1;d=hinge;T=172;T=150");
    assert_eq!(opened.scenario.setup.melt_temperature, 150.0);
    assert_eq!(opened.kept, 2);
    let said: Vec<&str> = opened.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        said,
        ["Melt temperature (T in the link) is given more than once: \"172\" gives way to \"150\""]
    );
    let opened = decode("1;d=hinge;hs=2;hs=1;d=guide");
    assert_eq!((opened.demo, opened.scenario.setup.further_hold.len()), ("guide", 1));
    let said: Vec<&str> = opened.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert_eq!(said[0], "The demo is given more than once: \"hinge\" gives way to \"guide\"");
    // Of one good and one bad, the good one stands.
    let opened = decode("1;d=hinge;T=172;T=abc");
    assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
    assert!(opened.problems[0].message.ends_with("; 172 °C stands in its place"), "{:?}", opened.problems);
}

#[test]
fn a_name_that_is_no_limit_costs_no_other() {
    use crate::Limit;
    for text in ["ig=sink,foo,weld", "ig=%5B%22sink%22,%22foo%22,%22weld%22%5D"] {
        let opened = decode(&format!("1;d=hinge;{text}"));
        assert_eq!(opened.scenario.ignored, [Limit::Sink, Limit::Weld], "{text}");
        assert_eq!(left_out(&opened), ["ignored.1"], "{text}: {:?}", opened.problems);
        assert!(opened.problems[0].message.contains("is \"foo\""), "{:?}", opened.problems);
        assert_eq!(opened.kept, 2, "{text}");
    }
    assert!(decode("1;d=hinge;ig=").scenario.ignored.is_empty());
}

#[test]
fn what_stands_in_the_place_of_an_entry_is_told() {
    for (bad, stands) in [
        ("T=abc", "; 165 °C of the demo stands in its place"),
        ("T=60", "; 165 °C of the demo stands in its place"),
        ("ll=newton", "of the demo stands in its place"),
        ("vh=perhaps", "; true of the demo stands in its place"),
        ("c2.h2=thin", "; nothing stands in its place"),
        ("c=0,9", "; that of the demo stands in its place"),
        ("c=0,1,s,4;c2.h=thin", "; 2 mm stands in its place"),
    ] {
        let opened = decode(&format!("1;d=hinge;{bad}"));
        let said = &opened.problems[0].message;
        assert!(said.ends_with(stands), "{bad}: {said}");
    }
}

/// Names that a scenario refuses opened once, and still do.
#[test]
fn names_that_cannot_be_shown_are_mended_and_named() {
    for (text, name) in [("c2.name=%07A%00B", "AB"), ("c2.name=", "unnamed"), ("c2.name=%20%20", "unnamed")] {
        let opened = decode(&format!("1;d=hinge;T=172;{text}"));
        assert_eq!(left_out(&opened), ["cavity.passages.2.name"], "{text}: {:?}", opened.problems);
        assert_eq!(opened.scenario.cavity.passages[2].name, name, "{text}");
        assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
        assert!(
            opened.problems[0].message.contains(&format!("opened as \"{name}\"")),
            "{:?}",
            opened.problems
        );
    }
    // References go on meaning the same passage.
    let opened = decode("1;d=hinge;c1.name=%07feed;c2.after=%07feed");
    let passages = &opened.scenario.cavity.passages;
    assert_eq!((passages[1].name.as_str(), passages[2].after.as_deref()), ("feed", Some("feed")));
    assert_eq!(decode("1;d=hinge;name=a%0Ab").scenario.name, "ab");
    assert_eq!(decode("1;d=hinge;notes=a%0Ab").scenario.notes, "a\nb", "notes have lines");
    let passages = &demo::default_demo().scenario().cavity.passages;
    let mut whole = serde_json::to_value(passages).unwrap();
    whole[1]["name"] = "\u{7}".into();
    let mut text = "1;d=hinge".to_owned();
    push_pair(&mut text, "c", &whole.to_string());
    let opened = decode(&text);
    assert_eq!(opened.scenario.cavity.passages[1].name, "unnamed", "{:?}", opened.problems);
}

#[test]
fn uncertain_numbers_are_told_by_their_keys() {
    let mut s = demo::find("hasp").expect("a demo").scenario();
    let doubt = |path: &str, standard_error, logarithmic| Doubt {
        path: path.to_owned(),
        standard_error,
        logarithmic,
    };
    let numbers = vec![
        doubt("feedstock.flow_law.cross_wlf.n", 0.1, false),
        doubt("feedstock.flow_law.cross_wlf.tau_star", 0.7, true),
        doubt("feedstock.further_melting.0.solidus", 5.0, false),
        doubt("feedstock.pvt.tait.b1m", 0.013, false),
        doubt("setup.contact_conductance", 0.6, true),
    ];
    let mut correlation = vec![vec![1.0, -0.4, 0.0], vec![-0.4, 1.0, 0.2], vec![0.0, 0.2, 1.0]];
    s.feedstock.uncertainty =
        Some(Uncertainty { numbers: numbers.clone(), correlation: correlation.clone() });
    let text = encode(&s);
    assert_eq!(text, "2;d=hasp;un=n:0.1,ts~0.7,m0.s:5,b1m:0.013,hc~0.6,-0.4,0,0.2");
    let opened = decode(&text);
    assert_eq!((opened.problems, &opened.scenario), (vec![], &s));
    // What this form does not hold is written as a whole.
    correlation[0][1] += 1e-9;
    s.feedstock.uncertainty = Some(Uncertainty { numbers, correlation });
    let opened = decode(&encode(&s));
    assert_eq!((opened.problems, &opened.scenario), (vec![], &s));
    for bad in [
        "T:1",
        "zz:1",
        "n:x",
        "n:0.1,n:0.2",
        "n:0.1,ts:0.1,0.5,0.5",
        "n:-1",
        "n:0.1,ts:0.1,7",
        "m999.s:1",
        "m0:1",
    ] {
        let opened = decode(&format!("2;d=hinge;T=172;un={bad}"));
        assert_eq!(opened.problems.len(), 1, "{bad}: {:?}", opened.problems);
        assert_eq!((opened.kept, opened.scenario.validate()), (2, Ok(())), "{bad}");
    }
}

#[test]
fn a_part_of_one_demo_may_have_the_feedstock_of_another() {
    let mut s = demo::default_demo().scenario();
    s.feedstock = demo::find("toggle").expect("a demo").scenario().feedstock;
    s.debinding = Debinding::usual(s.feedstock.family);
    s.feedstock.solids_loading -= 1.0;
    s.window.y.from = 160.0;
    let text = encode(&s);
    assert_eq!(text, format!("2;d=hinge;fd=toggle;phi={};yf=160", s.feedstock.solids_loading));
    let opened = decode(&text);
    assert_eq!((opened.problems, &opened.scenario), (vec![], &s));
    let opened = decode("2;d=hinge;fd=anvil;T=172");
    assert_eq!((opened.problems.len(), opened.kept), (1, 2));
    assert!(opened.problems[0].message.contains("anvil"), "{:?}", opened.problems);
    // By itself it does not go with the demo's window, which begins below its no-flow temperature.
    let opened = decode("2;d=hinge;fd=toggle");
    assert_eq!((opened.problems.len(), &opened.scenario), (1, &demo::default_demo().scenario()));
}
