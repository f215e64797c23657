//! The boundary between Gatefrost and the page of the window: values in, values out, no physics.
//!
//! Evaluations run in workers ([`evaluate`] and its like). Their answers come back packed; [`Sheet`] draws from them.

mod document;
mod plane;
mod sheet;
mod tracing;
mod work;

pub use document::{
    demos, differences, earlier_of, new_flow_law, new_passage, new_pvt_law, read_json, threshold_of,
    write_json,
};
pub use plane::{axes, fraction_of, moves, set_point, value_at};
pub use sheet::Sheet;
pub use tracing::{Tracing, band, margins, nearest, size_part};
pub use work::{beside, evaluate, hold_study, moments, span_of_part};

/// The types of what crosses this boundary.
#[cfg(feature = "typescript")]
pub fn declarations() -> gatefrost_web::typescript::Declarations {
    use ts_rs::TypeVisitor;
    let mut declarations = gatefrost_web::typescript::Declarations::shared();
    declarations.visit::<document::DemoEntry>();
    declarations.visit::<plane::AxisEntry>();
    declarations.visit::<sheet::WindowLine>();
    declarations.visit::<sheet::Compared<'static>>();
    declarations.visit::<sheet::MomentLine>();
    declarations.visit::<tracing::MarginsArgs>();
    declarations.visit::<tracing::SizePartArgs>();
    declarations.visit::<tracing::BandArgs>();
    declarations.visit::<tracing::Traced>();
    declarations.visit::<gatefrost_core::scenario::Difference>();
    declarations.visit::<gatefrost_core::scenario::start::Shelf>();
    gatefrost_web_studies::declare(&mut declarations);
    declarations.visit::<gatefrost_report::CavitySize>();
    declarations.visit::<gatefrost_plot::Reading>();
    declarations.visit::<gatefrost_report::GateStudy>();
    declarations.visit::<gatefrost_report::Report>();
    declarations.visit::<gatefrost_window::Moved>();
    declarations.visit::<gatefrost_window::Nearest>();
    declarations.visit::<gatefrost_window::Swept>();
    declarations
}
