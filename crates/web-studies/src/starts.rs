//! Parts to begin with and forms of gate.

use gatefrost_core::scenario::{Family, Scenario, ScenarioError, gate, start};
use gatefrost_core::start::hold_until_frozen;
use gatefrost_web::values::{args_of, document_to_js, read, thrown};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
struct ShapedArgs {
    scenario: String,
    part: String,
    sizes: Vec<f64>,
    over: Option<f64>,
    gate: String,
    usual: bool,
    cavities: u32,
}

/// A scenario with a part of a usual form in it, of these sizes, or, where no part is named, with its own part; and with
/// this form of gate: `{scenario, part, sizes, over, gate, usual, cavities}`. The cavity's sizes are `over` times those given, to the
/// hundredth of a millimetre: 1 for sizes of the cavity, the oversize factor for those of the sintered part. The hold lasts
/// until the gates of a part of a usual form freeze, with a reserve. So many `cavities`, 1, 2, 4 or 8, stand on a
/// balanced runner. `usual` takes a usual set-up for its own, with a machine and a mould that go with the cavity.
///
/// # Errors
/// Throws the problems of the sizes or of the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Scenario")]
pub fn shaped(args: JsValue) -> Result<JsValue, JsValue> {
    let ShapedArgs { scenario, part, sizes, over, gate, usual, cavities } = args_of(&args)?;
    let mut scenario = read(&scenario)?;
    if usual {
        start::make_usual(&mut scenario);
    }
    let unknown = || JsError::new("there is no such part or gate");
    let gate = gate::find(&gate).ok_or_else(unknown)?;
    if part.is_empty() {
        scenario.cavity.take_gate(gate);
    } else {
        let form = start::find(&part).ok_or_else(unknown)?;
        form.check(&sizes).map_err(thrown)?;
        let over = over.ok_or_else(factor_unknown)?;
        let cut = |size: &f64| if over == 1.0 { *size } else { (size * over * 100.0).round() / 100.0 };
        let sizes: Vec<f64> = sizes.iter().map(cut).collect();
        form.put(&mut scenario, &sizes, gate, cavities);
        if usual {
            start::suit_machine(&mut scenario);
        }
    }
    scenario.validate().map_err(thrown)?;
    if !part.is_empty() {
        hold_until_frozen(&mut scenario);
    }
    document_to_js(&scenario)
}

fn factor_unknown() -> JsValue {
    thrown(ScenarioError::saying([
        "The oversize factor of the present scenario is not known: give the sizes of the cavity",
    ]))
}

#[derive(Deserialize)]
struct FamilyArgs {
    scenario: String,
    family: String,
}

/// A scenario with the usual numbers of a family of binders in place of its own: `{scenario, family}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Scenario")]
pub fn with_family(args: JsValue) -> Result<JsValue, JsValue> {
    of_family(&args, Family::take)
}

/// A scenario with a typical flow law of a family of binders in place of its own: `{scenario, family}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Scenario")]
pub fn with_family_law(args: JsValue) -> Result<JsValue, JsValue> {
    of_family(&args, Family::take_flow_law)
}

fn of_family(args: &JsValue, take: impl Fn(Family, &mut Scenario)) -> Result<JsValue, JsValue> {
    let FamilyArgs { scenario, family } = args_of(args)?;
    let mut scenario = read(&scenario)?;
    let family = Family::named(&family).ok_or_else(|| JsError::new("there is no such family"))?;
    take(family, &mut scenario);
    scenario.validate().map_err(thrown)?;
    document_to_js(&scenario)
}
