use super::*;
use crate::scenario::{
    Axis, FlowLaw, Form, HoldStep, Passage, PowerLawConstants, PvtLaw, Span, TaitConstants,
};
use crate::uncertainty::Doubt;

#[test]
fn a_demo_is_its_name_alone() {
    for d in demo::DEMOS {
        assert_eq!(encode(&d.scenario()), format!("1;d={}", d.name));
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
        assert_eq!(opened.problems[0].path, "un");
        assert_eq!(opened.scenario.setup.melt_temperature, 172.0);
        assert_eq!(opened.scenario.feedstock.uncertainty, None);
    }
}

#[test]
fn an_angle_of_a_wall_or_a_projected_area_travels_under_its_key() {
    let mut s = demo::default_demo().scenario();
    s.cavity.passages[3].wall_angle = Some(72.5);
    s.cavity.passages[4].projected_area = Some(1.25);
    let text = encode(&s);
    assert_eq!(text, "1;d=hinge;c3.wa=72.5;c4.pa=1.25");
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
    let named: Vec<&str> = opened.problems.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(named, ["link", "Tw", "zz", "ti", "ph"]);
}

#[test]
fn hostile_text_opens_a_demo_and_says_why() {
    let long = format!("1;name={}", "x".repeat(MAX_LINK_BYTES));
    let deep = format!("1;c={}", "[".repeat(5000));
    for text in
        ["2;d=hinge", "%%%", "1;d=%ff", "1;c=[]", "1;c={}", "1;law=7", "1;phi=65.9;phic=60", &long, &deep]
    {
        let opened = decode(text);
        assert!(!opened.problems.is_empty(), "{text:.40}");
        assert_eq!(opened.scenario.validate(), Ok(()), "{text:.40}");
    }
    assert_eq!(decode("").problems, vec![]);
}
