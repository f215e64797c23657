//! Repeatable random scenarios from the whole of the catalogue.

use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::scenario::{Axis, FlowLawKind, Scenario, Span};
use serde_json::{Map, Value, json};

/// SplitMix64 (Steele, Lea and Flood, 2014; from memory): small, and the same everywhere.
pub struct Random(u64);

impl Random {
    /// A sequence of its own for each seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number between two others.
    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.bits() % n
    }

    /// True once in `n` times.
    pub fn once_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }

    /// One of a list.
    pub fn pick<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.below(list.len() as u64) as usize]
    }

    /// A value in a parameter's range: often its default, sometimes an end, else anything between,
    /// on a logarithmic scale where the range spans decades.
    fn value(&mut self, p: &Parameter, wild: u64) -> f64 {
        let value = match (self.below(10), p.default) {
            (c, Some(default)) if c >= wild => default,
            (0, _) if wild > 5 => *[p.min, p.max].get(self.below(2) as usize).unwrap_or(&p.min),
            _ if p.min > 0.0 && p.max / p.min > 50.0 => {
                self.between(p.min.ln(), p.max.ln()).exp().clamp(p.min, p.max)
            }
            _ => self.between(p.min, p.max),
        };
        if p.whole { value.round() } else { value }
    }

    /// One group of the catalogue as an object; fields of `skip` are left out.
    fn group(&mut self, name: &str, wild: u64, skip: &[&str]) -> Map<String, Value> {
        let mut out = Map::new();
        for p in catalogue::all().filter(|p| p.group == name && !skip.contains(&p.field)) {
            if p.default.is_none() && self.once_in(2) {
                continue;
            }
            let value = self.value(p, wild);
            out.insert(p.field.to_owned(), if p.whole { json!(value as u64) } else { json!(value) });
        }
        out
    }

    /// A scenario document. `wild` of ten numbers leave their default; above five, ends of ranges
    /// come up as well. Most documents are valid; the rules that tie fields together may refuse one.
    pub fn document(&mut self, wild: u64) -> Value {
        let mut feedstock = self.group("feedstock", wild, &[]);
        let laws: Vec<&str> = FlowLawKind::ALL.iter().map(|kind| kind.name()).collect();
        let law = self.pick(&laws);
        let constants = self.group(&format!("feedstock.flow_law.{law}"), wild, &[]);
        feedstock.insert("flow_law".into(), json!({ law: constants }));
        feedstock.insert(
            "loading_law".into(),
            json!(self.pick(&["power", "krieger_dougherty", "eilers", "chong"])),
        );
        feedstock.insert(
            "conductivity_rule".into(),
            json!(self.pick(&["maxwell_eucken", "bruggeman", "lichtenecker"])),
        );
        feedstock.insert("pvt".into(), self.pvt(wild));
        let passages = self.tree(wild);
        let mut setup = self.group("setup", wild, &[]);
        let mut machine = self.group("machine", wild, &[]);
        // Keep the rules that tie fields together likely to hold.
        let number = |o: &Map<String, Value>, key: &str| o[key].as_f64().unwrap_or_default();
        let liquidus = number(&feedstock, "liquidus").max(number(&feedstock, "solidus") + 1.0);
        feedstock.insert("liquidus".into(), json!(liquidus));
        let critical = number(&feedstock, "critical_loading");
        for key in ["solids_loading", "measured_loading"] {
            let capped = number(&feedstock, key).min(0.97 * critical);
            feedstock.insert(key.into(), json!(capped));
        }
        let mut cooled = self.group("mould", wild, &[]);
        let bore = number(&cooled, "drilling_bore");
        for (key, bores) in [("drilling_pitch", 1.5), ("drilling_depth", 1.0)] {
            let apart = number(&cooled, key).max(bores * bore);
            cooled.insert(key.into(), json!(apart));
        }
        let melt = number(&setup, "melt_temperature");
        let mould = number(&setup, "mould_temperature").min(melt);
        setup.insert("mould_temperature".into(), json!(mould));
        let no_flow = number(&feedstock, "no_flow_temperature").min(melt - 1.0);
        feedstock.insert("no_flow_temperature".into(), json!(no_flow));
        let hold = number(&setup, "hold_pressure");
        let most = number(&machine, "max_pressure").max(hold);
        machine.insert("max_pressure".into(), json!(most));
        let steps: Vec<Value> = (0..self.below(4))
            .map(|_| json!({ "pressure": self.between(0.0, most), "time": self.between(0.01, 5.0) }))
            .collect();
        setup.insert("further_hold".into(), json!(steps));
        let inject = number(&setup, "injection_time");
        let hold_span = if hold > 0.0 { [0.5 * hold, hold] } else { [0.0, most] };
        json!({
            "gatefrost": 1, "name": "random", "notes": "ü <b> ; = # %",
            "feedstock": feedstock, "cavity": { "passages": passages }, "mould": cooled,
            "machine": machine, "setup": setup,
            "limits": self.group("limits", wild, &[]),
            "window": {
                "x": { "axis": "injection_time", "from": inject.min(60.0), "to": (2.0 * inject).min(120.0) },
                "y": { "axis": "hold_pressure", "from": hold_span[0], "to": hold_span[1] }
            },
            "model": {
                "axial_cells": 4 + self.below(20), "layers": 4 + self.below(12), "viscous_heating": !self.once_in(4)
            }
        })
    }

    /// A scenario near another: a third of its numbers are up to so many per cent off, and two other settings
    /// about its set point span the plane. It can be computed all over that plane.
    pub fn near(&mut self, scenario: &Scenario, percent: f64) -> Scenario {
        let document = serde_json::to_value(scenario).unwrap_or_default();
        loop {
            let mut moved = document.clone();
            self.shake(&mut moved, "", percent / 100.0);
            let Ok(mut near) = Scenario::from_json(&moved.to_string()) else { continue };
            let [x, y] = [(); 2].map(|()| Axis::ALL[self.below(Axis::ALL.len() as u64) as usize]);
            (near.window.x, near.window.y) = (self.span(&near, x), self.span(&near, y));
            if near.validate_plane().is_ok() {
                return near;
            }
        }
    }

    fn span(&mut self, s: &Scenario, axis: Axis) -> Span {
        let here = s.get(axis);
        let wide = if axis.logarithmic() { [0.3, 3.0] } else { [0.75, 1.25] };
        let [from, to] = [self.between(wide[0], 0.95), self.between(1.05, wide[1])];
        Span { axis, from: here * from, to: here * to }
    }

    fn shake(&mut self, value: &mut Value, path: &str, most: f64) {
        let deeper = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
        match value {
            Value::Object(fields) => {
                for (name, v) in fields {
                    self.shake(v, &deeper(name), most);
                }
            }
            Value::Array(list) => {
                for (i, v) in list.iter_mut().enumerate() {
                    self.shake(v, &deeper(&i.to_string()), most);
                }
            }
            leaf => {
                let (Some(p), Some(v)) = (catalogue::at(path).filter(|p| !p.whole), leaf.as_f64()) else {
                    return;
                };
                if self.once_in(3) {
                    *leaf = json!((v * (1.0 + self.between(-most, most))).clamp(p.min, p.max));
                }
            }
        }
    }

    /// How the binder's volume follows temperature and pressure.
    fn pvt(&mut self, wild: u64) -> Value {
        if self.once_in(2) {
            return json!("linear");
        }
        let mut constants = self.group("feedstock.pvt.tait", wild, &[]);
        let of = |key: &str| constants[key].as_f64().unwrap_or_default();
        // Solid and melting together take no more room than the melt.
        let solid = of("b1s").min(of("b1m"));
        let melting = of("b7").min(of("b1m") - solid);
        constants.insert("b1s".into(), json!(solid));
        constants.insert("b7".into(), json!(melting));
        json!({ "tait": constants })
    }

    /// Passages in a row or as a tree, some of whose ends meet.
    fn tree(&mut self, wild: u64) -> Vec<Value> {
        let count = 1 + self.below(7) as usize;
        let branching = self.once_in(2);
        let after: Vec<Option<usize>> = (0..count)
            .map(|i| {
                let row = i.checked_sub(1)?;
                Some(if branching && self.once_in(2) { self.below(i as u64) as usize } else { row })
            })
            .collect();
        let is_end = |i: usize| !after.contains(&Some(i));
        let mut passages: Vec<Value> = (0..count).map(|i| self.passage(i, wild, is_end(i))).collect();
        for (i, feeder) in after.iter().enumerate() {
            if let Some(k) = feeder {
                passages[i]["after"] = json!(format!("passage {k}"));
            }
        }
        let ends: Vec<usize> = (0..count).filter(|&i| is_end(i)).collect();
        if let [a, b, ..] = ends[..]
            && self.once_in(2)
        {
            passages[b]["meets"] = json!(format!("passage {a}"));
            passages[b]["copies"] = passages[a]["copies"].clone();
        }
        passages
    }

    fn passage(&mut self, index: usize, wild: u64, last: bool) -> Value {
        let shape = self.pick(&["tube", "strip", "disc"]);
        let mut form = self.group(&format!("cavity.passages.*.form.{shape}"), wild, &[]);
        if shape == "disc" {
            let inner = form["inner_radius"].as_f64().unwrap_or(1.0);
            let outer = form["outer_radius"].as_f64().unwrap_or(2.0).max(1.5 * inner);
            form.insert("outer_radius".into(), json!(outer));
        }
        let role = if last { "part" } else { self.pick(&["sprue", "runner", "gate", "part"]) };
        let mut out = self.group("cavity.passages.*", wild, &[]);
        // A passage states one of these at most.
        if out.contains_key("wall_angle") {
            out.remove("projected_area");
        }
        out.insert("name".into(), json!(format!("passage {index}")));
        out.insert("role".into(), json!(role));
        out.insert("form".into(), json!({ shape: form }));
        Value::Object(out)
    }
}
