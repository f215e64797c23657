//! The trial log as a table.

use gatefrost_calibration::table;
use gatefrost_core::scenario::Shot;
use gatefrost_web::values::{args_of, document_to_js, thrown};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// Arguments of a table that is read.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct LogArgs {
    /// The log as it is.
    shots: Vec<Shot>,
    /// The table.
    text: String,
}

/// Arguments of a log that is written.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct WriteArgs {
    /// The log.
    shots: Vec<Shot>,
}

/// A log with a table in it.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct ReadLog {
    /// The shots of the log: those that are in the calibration already, then those of the table.
    shots: Vec<Shot>,
    /// Shots of the table.
    rows: usize,
    /// How the table was understood.
    notes: Vec<String>,
}

/// Reads a table of shots into a log: `{shots, text}`.
///
/// # Errors
/// Throws `{problems: [{line, column, message}], unlisted}`.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.ReadLog")]
pub fn read_log(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.LogArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let LogArgs { shots, text } = args_of(&args)?;
    let log = table::read(&text).map_err(thrown)?;
    let rows = log.shots.len();
    let (shots, note) = table::taken_in(&shots, log.shots);
    document_to_js(&ReadLog { shots, rows, notes: log.notes.into_iter().chain(note).collect() })
}

/// A log as a table: `{shots}`.
///
/// # Errors
/// When it is no log.
#[wasm_bindgen]
pub fn write_log(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.WriteArgs")] args: JsValue,
) -> Result<String, JsValue> {
    Ok(table::write(&args_of::<WriteArgs>(&args)?.shots))
}
