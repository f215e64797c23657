//! Cost and rate with the user's own prices.
//!
//!   C = [m c_f (1 − r) + c_h t_c/(3600 n) + c_r/N_L + c_e]/y + C_t/N
//!
//! m mass of feedstock for each part, r regrind, t_c cycle, n parts of a shot, N_L parts of a furnace load, y share of good
//! parts, N parts a year. What has no price is not counted, and the result says so.

use crate::shot::Shot;
use crate::told::{Row, percent, with};
use gatefrost_after::plan::Plan;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;

/// A cause of cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Cause {
    /// The cause.
    pub name: String,
    /// Cost of a good part by it.
    pub each: f64,
}

/// What a change makes of the cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Change {
    /// What is changed.
    pub what: String,
    /// Change of the cost of a good part, as far as it is counted.
    pub each: f64,
    /// What the change brings along, in a sentence.
    pub remark: String,
}

/// Cost and rate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CostPlan {
    /// Cost of a good part by cause, as far as it is counted.
    pub causes: Vec<Cause>,
    /// Together; `None` where nothing is counted.
    pub each: Option<f64>,
    /// What is not counted, in sentences.
    pub left_out: Vec<String>,
    /// Parts an hour and a furnace run, feedstock for each part, hours of a year.
    pub rates: Vec<Row>,
    /// Quantity at which the mould pays against the other route; `None` where the prices do not tell.
    pub pays_from: Option<f64>,
    /// Why it does not, or what it means, in a sentence.
    pub break_even: String,
    /// What changes would do.
    pub changes: Vec<Change>,
}

/// What the cost of a part follows from. `None` stands for a price that is not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prices {
    /// Mass of feedstock for each part \[kg\].
    pub mass: f64,
    /// Regrind, as a share.
    pub regrind: f64,
    /// Cycle \[s\].
    pub cycle: Option<f64>,
    /// Parts of a shot.
    pub cavities: f64,
    /// For a kilogram of feedstock.
    pub feedstock: Option<f64>,
    /// For an hour of moulding.
    pub machine: Option<f64>,
    /// For a furnace run.
    pub furnace: Option<f64>,
    /// Parts in it.
    pub load: Option<f64>,
    /// For finishing a part.
    pub finishing: Option<f64>,
    /// For the mould.
    pub mould: Option<f64>,
    /// Good parts a year.
    pub pieces: Option<f64>,
    /// Share of good parts; `None` counts every part as good.
    pub good: Option<f64>,
}

impl Prices {
    /// Cost of a good part by cause, without the mould: feedstock, moulding, furnace, finishing.
    pub fn running(&self) -> [Option<f64>; 4] {
        let good = self.good.unwrap_or(1.0);
        let of = |price: Option<f64>, amount: Option<f64>| Some(price? * amount? / good);
        [
            of(self.feedstock, Some(self.mass * (1.0 - self.regrind))),
            of(self.machine, self.cycle.map(|cycle| cycle / 3600.0 / self.cavities)),
            of(self.furnace, self.load.map(|load| 1.0 / load)),
            of(self.finishing, Some(1.0)),
        ]
    }

    /// Share of the mould in each part of a year.
    pub fn of_mould(&self) -> Option<f64> {
        Some(self.mould? / self.pieces?)
    }

    /// All that is counted.
    pub fn each(&self) -> f64 {
        self.running().iter().flatten().sum::<f64>() + self.of_mould().unwrap_or(0.0)
    }

    /// Quantity from which the mould pays against a route whose parts cost `part` each with a tool of `tool`:
    /// (C_t − C_o)/(c_o − c). `None` if the running cost is not below that of the other route.
    pub fn pays_from(&self, part: f64, tool: f64) -> Option<f64> {
        let running: f64 = self.running().iter().flatten().sum();
        let less = part - running;
        (less > 0.0).then(|| ((self.mould.unwrap_or(0.0) - tool) / less).max(0.0))
    }
}

const NAMES: [&str; 4] = ["feedstock", "moulding", "debinding and sintering", "finishing"];

fn prices(s: &Scenario, shot: Option<&Shot>) -> Prices {
    let p = &s.plan;
    let cavities = crate::parts_of_a_shot(s);
    Prices {
        mass: shot.map_or(0.0, |shot| shot.mass() / 1e3 / cavities),
        regrind: p.regrind / 100.0,
        cycle: shot.and_then(|shot| shot.cool.cycle_s),
        cavities,
        feedstock: p.feedstock_price.filter(|_| shot.is_some()),
        machine: p.machine_price,
        furnace: p.furnace_price,
        load: p.furnace_load,
        finishing: p.finishing_price,
        mould: p.mould_price,
        pieces: p.pieces,
        good: p.good_share.map(|share| share / 100.0),
    }
}

pub(crate) fn plan(s: &Scenario, shot: Option<&Shot>, after: &Plan) -> CostPlan {
    let prices = prices(s, shot);
    let running = prices.running();
    let mut causes: Vec<Cause> = NAMES
        .iter()
        .zip(running)
        .filter_map(|(name, each)| Some(Cause { name: (*name).to_owned(), each: each? }))
        .collect();
    causes.extend(prices.of_mould().map(|each| Cause { name: "mould".to_owned(), each }));
    let each = (!causes.is_empty()).then(|| prices.each());
    let (pays_from, break_even) = break_even(s, &prices);
    CostPlan {
        causes,
        each,
        left_out: left_out(s, &prices),
        rates: rates(s, &prices, after),
        pays_from,
        break_even,
        changes: if each.is_some() { changes(s, shot, &prices, after) } else { Vec::new() },
    }
}

fn left_out(s: &Scenario, prices: &Prices) -> Vec<String> {
    let p = &s.plan;
    let mut list = Vec::new();
    let mut say = |missing: bool, words: &str| {
        if missing {
            list.push(words.to_owned());
        }
    };
    say(
        prices.feedstock.is_none(),
        "Feedstock is not counted: its price is not stated, or there is no shot.",
    );
    say(p.machine_price.is_none(), "Moulding is not counted: the price of an hour is not stated.");
    say(
        p.machine_price.is_some() && prices.cycle.is_none(),
        "Moulding is not counted: there is no cycle at this set point.",
    );
    say(
        p.furnace_price.is_none() || p.furnace_load.is_none(),
        "Debinding and sintering are not counted: price and load of a furnace run are needed.",
    );
    say(p.finishing_price.is_none(), "Finishing is not counted: its price is not stated.");
    say(
        p.mould_price.is_none() || p.pieces.is_none(),
        "The mould is not counted: its price and the parts a year are needed.",
    );
    say(p.good_share.is_none(), "Rejects are not counted: the share of good parts is not stated.");
    list
}

fn rates(s: &Scenario, prices: &Prices, after: &Plan) -> Vec<Row> {
    let good = prices.good.unwrap_or(1.0);
    let mut rows = vec![Row::told("parts of a shot", number(prices.cavities, 6), "")];
    if let Some(cycle) = prices.cycle {
        let hourly = 3600.0 * prices.cavities / cycle * good;
        let of_cycle = format!("a cycle of {}", with(cycle, "s"));
        let told = Row::told("good parts an hour", number(hourly, 3), of_cycle);
        rows.push(told.explained_by("cool.cycle_s"));
        if let Some(pieces) = prices.pieces {
            let hours = pieces / hourly;
            let here = with(hours, "h");
            rows.push(match s.plan.hours {
                Some(has) => Row::judged(
                    "moulding in a year",
                    here,
                    format!("{} are there", with(has, "h")),
                    hours <= has,
                ),
                None => Row::told("moulding in a year", here, ""),
            });
        }
    }
    rows.push(Row::told(
        "feedstock for a good part",
        with(1e3 * prices.mass / good, "g"),
        format!("{} of it fresh", with(1e3 * prices.mass * (1.0 - prices.regrind) / good, "g")),
    ));
    if let Some(load) = prices.load {
        let runs =
            prices.pieces.map(|pieces| format!("{} runs a year", number((pieces / (load * good)).ceil(), 6)));
        rows.push(Row::told("good parts of a furnace run", number(load * good, 4), runs.unwrap_or_default()));
        if let Some(hours) = &after.debinding_hours {
            let against = format!("debinding takes about {}", with(hours.value, "h"));
            rows.push(Row::told(
                "shots for a furnace run",
                number((load / prices.cavities).ceil(), 6),
                against,
            ));
        }
    }
    rows
}

fn break_even(s: &Scenario, prices: &Prices) -> (Option<f64>, String) {
    let (Some(part), Some(_)) = (s.plan.other_price, s.plan.mould_price) else {
        return (
            None,
            "Break-even: the price of the mould and of a part by the other route are needed.".to_owned(),
        );
    };
    match prices.pays_from(part, s.plan.other_tool.unwrap_or(0.0)) {
        None => (
            None,
            "The running cost that is counted is not below the other route’s: the mould never pays."
                .to_owned(),
        ),
        Some(from) => {
            let tool =
                if s.plan.other_tool.is_none() { " The other route’s tool is not counted." } else { "" };
            let part =
                if prices.running().contains(&None) { " What is left out above would raise it." } else { "" };
            (Some(from), format!("The mould pays from {} parts on.{tool}{part}", number(from, 3)))
        }
    }
}

fn changes(s: &Scenario, shot: Option<&Shot>, prices: &Prices, after: &Plan) -> Vec<Change> {
    let now = prices.each();
    let change = |what: &str, other: Prices, remark: String| Change {
        what: what.to_owned(),
        each: other.each() - now,
        remark,
    };
    let mut list = vec![change(
        "twice the cavities, the same cycle",
        Prices { cavities: 2.0 * prices.cavities, ..*prices },
        "Clamp force and shot double; the mould costs more, which is not counted here.".to_owned(),
    )];
    if let Some(shot) = shot {
        list.push(thinner(shot, prices, after, now));
        list.push(fuller(s, prices, now));
        let gives = shot.sprue_share();
        list.push(change(
            &format!("all of sprue and runners reground, {}", percent(gives)),
            Prices { regrind: gives, ..*prices },
            format!(
                "The melt passes the machine {} times on average.",
                number(crate::mixing::mean_passes(gives), 3)
            ),
        ));
    }
    if let Some(load) = prices.load {
        list.push(change(
            "a tenth more parts in a furnace run",
            Prices { load: Some(1.1 * load), ..*prices },
            "Gas must still reach every part.".to_owned(),
        ));
    }
    list
}

/// Wall a tenth thinner: volume of the parts by a tenth, the stretch of cooling with its square (conduction).
fn thinner(shot: &Shot, prices: &Prices, after: &Plan, now: f64) -> Change {
    const TO: f64 = 0.9;
    let parts = shot.cavity.part_volume_cm3 / shot.cavity.volume_cm3;
    let mass = prices.mass * (1.0 - parts * (1.0 - TO));
    let cooled = shot.cooling().unwrap_or(0.0) * (1.0 - TO * TO);
    let cycle = prices.cycle.map(|cycle| cycle - cooled.max(0.0));
    let hours = after.walls.first().and_then(|wall| {
        let list: Vec<_> = after.hours_by_wall.iter().map(|p| (p.x, p.y)).collect();
        Some(between(&list, TO * wall.thickness_mm)? / between(&list, wall.thickness_mm)?)
    });
    let remark = match hours {
        Some(factor) => {
            format!("Debinding takes {} of its time; filling needs more pressure.", percent(factor))
        }
        None => "Filling needs more pressure.".to_owned(),
    };
    let other = Prices { mass, cycle, ..*prices };
    Change { what: "walls a tenth thinner".to_owned(), each: other.each() - now, remark }
}

/// The value at `x` on a line through points that rise in x; `None` outside.
fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let pair = points.windows(2).find(|pair| pair[0].0 <= x && x <= pair[1].0)?;
    let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
    Some(if x1 > x0 { y0 + (y1 - y0) * (x - x0) / (x1 - x0) } else { y0 })
}

/// One more vol% of powder: the same powder in each sintered part, in less binder and a smaller cavity.
fn fuller(s: &Scenario, prices: &Prices, now: f64) -> Change {
    let f = &s.feedstock;
    let per_powder = |percent: f64| {
        let phi = percent / 100.0;
        1.0 + (1.0 - phi) * f.binder_density / (phi * f.powder_density)
    };
    let (at, to) = (f.solids_loading, f.solids_loading + 1.0);
    let mass = if at > 0.0 { prices.mass * per_powder(to.min(100.0)) / per_powder(at) } else { prices.mass };
    let other = Prices { mass, ..*prices };
    let remark = if to + s.limits.loading_gap > f.critical_loading {
        "It would come too near the critical loading."
    } else {
        "Viscosity rises; the cavity must be cut smaller."
    };
    Change {
        what: "1 vol% more powder, the same sintered part".to_owned(),
        each: other.each() - now,
        remark: remark.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn prices() -> Prices {
        Prices {
            mass: 8e-3,
            regrind: 0.25,
            cycle: Some(18.0),
            cavities: 2.0,
            feedstock: Some(30.0),
            machine: Some(40.0),
            furnace: Some(500.0),
            load: Some(2000.0),
            finishing: Some(0.2),
            mould: Some(15_000.0),
            pieces: Some(20_000.0),
            good: Some(0.95),
        }
    }

    /// By hand: 0.18, 0.1, 0.25 and 0.2 over 0.95, and 0.75 of the mould.
    #[test]
    fn a_part_costs_the_sum_of_its_causes() {
        let p = prices();
        let by_hand = [0.18 / 0.95, 0.1 / 0.95, 0.25 / 0.95, 0.2 / 0.95];
        for (found, expected) in p.running().into_iter().zip(by_hand) {
            assert!((found.expect("a price") - expected).abs() < 1e-12);
        }
        assert!((p.each() - (0.73 / 0.95 + 0.75)).abs() < 1e-12);
        // (15000 − 5000)/(2 − 0.768421)
        assert!((p.pays_from(2.0, 5000.0).expect("pays") - 10_000.0 / (2.0 - 0.73 / 0.95)).abs() < 1e-6);
        assert_eq!(p.pays_from(0.5, 0.0), None);
    }

    #[test]
    fn what_has_no_price_is_not_counted() {
        let p = Prices { furnace: None, good: None, mould: None, ..prices() };
        assert_eq!(p.running()[2], None);
        assert!((p.each() - (0.18 + 0.1 + 0.2)).abs() < 1e-12);
    }
}
