//! The boundary between Gatefrost and the page of the window: values in, values out, no physics.
//!
//! Evaluations run in workers ([`evaluate`] and its like). Their answers come back packed; [`Sheet`] draws from them.

mod document;
mod plane;
mod qr;
mod safety;
mod sheet;
mod starts;
mod tracing;
mod work;

pub use document::{
    demos, differences, link_of, new_flow_law, new_passage, new_pvt_law, read_json, threshold_of, write_json,
};
pub use plane::{axes, fraction_of, moves, set_point, value_at};
pub use qr::{QrCode, qr_code};
pub use safety::{best_of, levers_changed, opening, ranked_openings, safety, tried, usable_with};
pub use sheet::Sheet;
pub use starts::{shaped, starts};
pub use tracing::{Tracing, band, margins, missed};
pub use work::{beside, evaluate, hold_study, moments};
