//! The plan on one page: what is set, made, cut, weighed and measured, in the order of the work.

mod checks;
mod cut;
mod debinding;
mod moulding;

pub use checks::weight_scatter;

use crate::cost::CostPlan;
use crate::machine::MachinePlan;
use crate::mixing::MixingPlan;
use crate::mould::MouldPlan;
use crate::route::{FROM_MEMORY, RoutePlan};
use crate::shot::Shot;
use crate::told::{Row, with};
use gatefrost_after::plan::{FromMould, Plan};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;

/// What the ± of a scatter is.
const SIGMA: &str = "one standard deviation";

/// The page to print.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Sheet {
    /// Name of the scenario.
    pub name: String,
    /// What must be settled before anybody works by it, in sentences.
    pub open: Vec<String>,
    /// The steps, in their order.
    pub parts: Vec<SheetPart>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SheetPart {
    /// Name of the step.
    pub name: String,
    /// Heads of the three columns.
    pub heads: [String; 3],
    /// What is set, and within what.
    pub rows: Vec<Row>,
    /// What to do and to mind, in sentences.
    pub notes: Vec<String>,
}

impl SheetPart {
    fn new(name: &str, heads: [&str; 3], rows: Vec<Row>, notes: Vec<String>) -> Self {
        Self { name: name.to_owned(), heads: heads.map(str::to_owned), rows, notes }
    }
}

/// What the sheet is made of.
pub(crate) struct Parts<'a> {
    pub(crate) s: &'a Scenario,
    pub(crate) shot: Option<&'a Shot>,
    pub(crate) handed: Option<&'a FromMould>,
    pub(crate) after: &'a Plan,
    pub(crate) route: &'a RoutePlan,
    pub(crate) machine: Option<&'a MachinePlan>,
    pub(crate) mould: Option<&'a MouldPlan>,
    pub(crate) mixing: Option<&'a MixingPlan>,
    pub(crate) cost: &'a CostPlan,
}

impl Sheet {
    pub(crate) fn of(p: &Parts<'_>) -> Self {
        let mut parts = vec![route(p), recipe(p)];
        parts.push(moulding::moulding(p));
        parts.extend([
            debinding::debinding(p),
            sintering(p),
            cut::sizes(p),
            checks::checks(p),
            checks::cautions(),
        ]);
        Self { name: p.s.name.clone(), open: open(p), parts }
    }
}

/// What stands against working by the sheet.
fn open(p: &Parts<'_>) -> Vec<String> {
    let mut list = Vec::new();
    match p.shot {
        None => list.push("The moulding has not been computed.".to_owned()),
        Some(shot) => {
            let missed = shot.margins.iter().filter(|m| m.g < 0.0 && !m.ignored);
            list.extend(missed.map(|m| format!("Limit not met: {}. {} {}", m.label, m.sentence, m.remedy)));
        }
    }
    let of_machine = p.machine.map_or(&[][..], |machine| &machine.demands);
    let of_mould = p.mould.map_or_else(Vec::new, |mould| {
        mould.cooling.iter().chain(&mould.vents).chain(&mould.ejection).collect::<Vec<_>>()
    });
    let of_mixing = p.mixing.map_or(&[][..], |mixing| &mixing.rows);
    for row in of_machine.iter().chain(of_mould).chain(of_mixing).filter(|row| row.met == Some(false)) {
        list.push(format!("{}: {}; {}.", sentence(&row.what), row.here, row.against.trim_end_matches('.')));
    }
    if p.s.feedstock.melted_temperature.is_none() {
        list.push("It is not stated at what temperature all of the binder has melted: too cold a mixer or melt is not found out.".to_owned());
    }
    if p.s.sizes.dimensions.is_empty() {
        list.push("No dimension is named: no size can be cut.".to_owned());
    }
    let sizes = p.after.sizes.iter().flat_map(|sizes| &sizes.dimensions);
    list.extend(sizes.filter(|d| !d.capable).map(|d| {
        format!(
            "The tolerance of “{}” is not held: Cpk {}, wanted {}.",
            d.name,
            number(d.cpk, 3),
            number(p.s.sizes.capability, 3)
        )
    }));
    list.extend(p.after.steps.iter().filter_map(|step| step.no_time.clone()));
    if p.s.feedstock.provenance.to_lowercase().contains("illustrative") {
        list.push(
            "The flow constants of the feedstock are illustrative: measure your own before a tool is cut."
                .to_owned(),
        );
    }
    list
}

/// With a capital at its beginning.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn route(p: &Parts<'_>) -> SheetPart {
    let mut rows = p.route.routes.last().map_or_else(Vec::new, |moulding| moulding.reasons.clone());
    if let Some(each) = p.cost.each {
        rows.push(Row::told(
            "cost of a good part, as far as counted",
            number(each, 3),
            match p.cost.left_out.len() {
                0 => "every cause is counted".to_owned(),
                1 => "1 cause is not counted: see Cost".to_owned(),
                left => format!("{left} causes are not counted: see Cost"),
            },
        ));
    }
    let notes = vec![FROM_MEMORY.to_owned(), p.cost.break_even.clone()];
    SheetPart::new("1 Route: injection moulding", ["Reason", "This part", "Usual"], rows, notes)
}

fn recipe(p: &Parts<'_>) -> SheetPart {
    let f = &p.s.feedstock;
    let mut rows = vec![Row::told(
        "solids loading",
        with(f.solids_loading, "vol%"),
        format!(
            "± {} from batch to batch, {SIGMA}; critical {}",
            with(p.s.scatter.solids_loading, "vol%"),
            with(f.critical_loading, "vol%")
        ),
    )];
    let mut notes = Vec::new();
    if let Some(mixing) = p.mixing {
        for part in &mixing.components {
            let against = match (part.batch_g, part.fresh_g) {
                (Some(all), Some(fresh)) if fresh < all => {
                    format!(
                        "{} in the batch: {} fresh, the rest in the regrind",
                        with_grams(all),
                        with_grams(fresh)
                    )
                }
                (Some(all), _) => format!("{} in the batch", with_grams(all)),
                _ => String::new(),
            };
            rows.push(Row::told(&part.name, format!("{} % by mass", number(part.mass_percent, 4)), against));
        }
        rows.extend(mixing.rows.iter().cloned());
        notes.extend(mixing.order.iter().cloned());
        notes.extend(mixing.left_out.iter().cloned());
    }
    SheetPart::new("2 Recipe and mixing", ["What", "Value", "Within, or in the batch"], rows, notes)
}

fn with_grams(grams: f64) -> String {
    format!("{} g", number(grams, 5))
}

fn sintering(p: &Parts<'_>) -> SheetPart {
    let stretches = &p.s.sintering.stretches;
    let rows = stretches.iter().map(|stretch| {
        Row::told(
            &format!("at {} up to", with(stretch.ramp, "K/min")),
            format!("{} °C", number(stretch.temperature, 5)),
            format!(
                "held {}; the furnace within ± {} of it",
                with(stretch.hold, "min"),
                with(p.s.sintering.temperature_scatter, "K")
            ),
        )
    });
    let mut notes = vec!["Atmosphere, setters and the end of cooling follow the powder supplier’s data sheet and the furnace maker’s manual.".to_owned()];
    notes.extend(p.after.sintering.iter().flat_map(|run| &run.deviations).map(|d| {
        format!("{}: lengths change by {}.", sentence(&d.what), with(d.length_change_percent, "%"))
    }));
    let density = Row::told(
        "density at the end",
        format!("{} % of the solid’s", number(100.0 * crate::route::sintered(p.s), 4)),
        format!("± {} from part to part, {SIGMA}", with(p.s.sizes.density_scatter, "%")),
    );
    let rows = rows.chain(std::iter::once(density)).collect();
    SheetPart::new("5 Sintering, an outline for trials", ["Stretch", "Value", "Within"], rows, notes)
}
