//! The boundary between the pages and what they have computed on request: explanations of results, the safety of a set
//! point, the sweep of an input, the estimation from shots, parts to begin with, a lecturer's exercises, and the sizes, the gate's detail and the code of
//! the toolmaker's sheet. Values in, values out, no physics. Workers of a page load this module when it is first needed, so that the module of the window need not
//! hold it.

mod explain;
pub mod posed;
mod qr;
mod safety;
mod starts;
mod sweep;
mod trials;

pub use explain::{cavity_sizes, explained, gate_detail, moves};
pub use posed::{
    posed_answers, posed_choices, posed_class, posed_demos, posed_judged, posed_key, posed_made, posed_task,
    posed_title, posed_tried,
};
pub use qr::qr_code;
pub use safety::{
    answers, best_of, from_mould, levers, levers_changed, opening, ranked_openings, shots, tried, usable_with,
};
pub use starts::{shaped, with_family, with_family_law};
pub use sweep::{SweepShown, SweepValues, sweep_shown, sweep_values, swept};
pub use trials::{calibrated, fitting, next_shots, predicted};

/// Adds the types of what crosses this boundary to those of a page.
#[cfg(feature = "typescript")]
pub fn declare(declarations: &mut gatefrost_web::typescript::Declarations) {
    use ts_rs::TypeVisitor;
    trials::declare(declarations);
    declarations.visit::<qr::QrCode>();
    declarations.visit::<safety::TriedArgs>();
    declarations.visit::<safety::BestArgs>();
    declarations.visit::<safety::ChangeArgs>();
    declarations.visit::<gatefrost_after::plan::FromMould>();
    declarations.visit::<gatefrost_explain::Explanation>();
    declarations.visit::<gatefrost_explain::Move>();
    declarations.visit::<gatefrost_safety::Answers>();
    declarations.visit::<gatefrost_safety::Best>();
    declarations.visit::<gatefrost_safety::Closed>();
    declarations.visit::<gatefrost_safety::Lever>();
    declarations.visit::<gatefrost_safety::Yield>();
}

/// Adds the type of a code to those of a page.
#[cfg(feature = "typescript")]
pub fn declare_code(declarations: &mut gatefrost_web::typescript::Declarations) {
    use ts_rs::TypeVisitor;
    declarations.visit::<qr::QrCode>();
}
