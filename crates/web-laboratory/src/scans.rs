//! Scans of calorimetry: kept on the page to be drawn, and put into a scenario.

use crate::{Laboratory, checked_link};
use gatefrost_core::scenario::Scenario;
use gatefrost_laboratory::dsc::{self, Direction, DscResult};
use gatefrost_laboratory::readings::Scanned;
use gatefrost_web::values::{read, thrown, unpacked};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Laboratory {
    /// Takes what `scan` answered, in the place of the scan in the same direction, to draw it.
    ///
    /// # Errors
    /// When the bytes are no such answer.
    pub fn take_scan(&mut self, scanned: &[u8]) -> Result<(), JsError> {
        let scanned: Scanned = unpacked(scanned)?;
        self.forget_scan(scanned.found.direction == Direction::Heating);
        let place = if scanned.found.direction == Direction::Heating { self.scans.len() } else { 0 };
        self.scans.insert(place, scanned);
        Ok(())
    }

    /// Forgets the scan on heating or on cooling: its table has no result any more.
    pub fn forget_scan(&mut self, heating: bool) {
        self.scans.retain(|scan| (scan.found.direction == Direction::Heating) != heating);
    }

    /// What the scans say of each other, in sentences; nothing unless both are there.
    pub fn compare_scans(&self) -> Vec<String> {
        match self.scans.as_slice() {
            [cooling, heating] => dsc::compared(&heating.found, &cooling.found),
            _ => Vec::new(),
        }
    }

    /// Share of binder in the mass of a scenario's feedstock, or of the recipe's.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn binder_share(&self, scenario: &str, recipe: bool) -> Result<f64, JsValue> {
        let mut scenario = read(scenario)?;
        if recipe {
            self.put_recipe(&mut scenario).map_err(thrown)?;
        }
        Ok(dsc::binder_share(&scenario.feedstock))
    }

    /// The link to a scenario with the melting peaks and the temperatures of the scans in place of its own; the other
    /// constants of the feedstock from the recipe, if wanted. `binder_share` is the share of binder in the mass of the
    /// sample.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn link_with_scans(
        &self,
        scenario: &str,
        recipe: bool,
        binder_share: f64,
    ) -> Result<String, JsValue> {
        let mut scenario = read(scenario)?;
        if recipe {
            self.put_recipe(&mut scenario).map_err(thrown)?;
        }
        self.put_scans(&mut scenario, binder_share);
        checked_link(scenario)
    }
}

impl Laboratory {
    pub(crate) fn put_scans(&self, scenario: &mut Scenario, binder_share: f64) {
        let mut found: Vec<DscResult> = self.scans.iter().map(|scan| scan.found.clone()).collect();
        // The recipe may have changed since the tables were read.
        for peak in found.iter_mut().flat_map(|scan| &mut scan.peaks) {
            peak.heat_of_binder = peak.heat / binder_share;
        }
        dsc::apply(&mut scenario.feedstock, &found);
    }
}
