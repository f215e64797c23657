//! What can be read off a fill at one instant.

use super::march::March;

impl March<'_> {
    /// Heat stored above the wall temperature \[J\].
    pub fn stored(&self) -> f64 {
        let heat = self.material.volumetric_heat();
        let wall = self.material.heat.of(self.drive.wall);
        let of = |&i: &usize| {
            let cell = &self.cavity.cells[i];
            let mean = self.cavity.layers(i).mean(&self.content[i * self.layers..(i + 1) * self.layers]);
            heat * self.share[i] * cell.volume * cell.copies * (mean - wall)
        };
        self.reached.iter().map(of).sum()
    }

    /// Layer temperatures of a cell, middle to wall \[K\].
    pub fn layer_temperatures(&self, i: usize) -> &[f64] {
        &self.temperature[i * self.layers..(i + 1) * self.layers]
    }

    /// Mean temperature of a cell over its area \[K\].
    pub fn mean_temperature(&self, i: usize) -> f64 {
        self.cavity.layers(i).mean(self.layer_temperatures(i))
    }

    /// Greatest value of `of` over the cells of a passage so far: a function of the greatest flow through one copy
    /// \[m³/s\] and of the fraction of the passage's length, taken at both ends of each cell.
    pub fn hardest(&self, passage: usize, of: impl Fn(f64, f64) -> f64) -> f64 {
        let length = self.cavity.passages[passage].length;
        let range = self.cavity.ranges[passage].clone();
        let mut from = 0.0;
        let mut greatest = 0.0_f64;
        for i in range.clone() {
            let cell = &self.cavity.cells[i];
            // Exactly at its end.
            let to = if i + 1 == range.end { 1.0 } else { from + cell.length / length };
            let flow = self.greatest_flow[i] / cell.copies;
            greatest = greatest.max(of(flow, from)).max(of(flow, to));
            from = to;
        }
        greatest
    }

    /// Greatest flow into a passage so far, all copies \[m³/s\].
    pub fn passage_flow(&self, passage: usize) -> f64 {
        self.greatest_flow[self.cavity.ranges[passage].clone()].iter().copied().fold(0.0, f64::max)
    }

    /// Coldest of the fronts now; of those that were, once they have all ended \[K\].
    pub fn front_temperature(&self) -> f64 {
        let coldest = self.fronts.iter().map(|f| f.temperature).fold(f64::INFINITY, f64::min);
        if coldest.is_finite() { coldest } else { self.coldest_front }
    }

    /// Greatest pressure at the entry of a gate \[Pa\].
    pub fn gate_pressure(&self) -> f64 {
        let entry = |&gate: &usize| {
            let first = self.cavity.ranges[gate].start;
            self.exit[first] + self.share[first] * self.drop[first]
        };
        self.cavity.gates.iter().map(entry).fold(0.0, f64::max)
    }

    /// Distance of the foremost front from the nozzle \[m\].
    pub fn front_distance(&self) -> f64 {
        let reach = |&i: &usize| {
            let cell = &self.cavity.cells[i];
            // A cell that a front entered from its far end fills backwards.
            let forward = self.feeder[i] == cell.feeder;
            let from_middle = (self.share[i] - 0.5) * cell.length;
            if self.share[i] == 0.0 {
                0.0
            } else {
                cell.distance + if forward { from_middle } else { -from_middle }
            }
        };
        self.reached.iter().map(reach).fold(0.0, f64::max)
    }

    /// Force that opens the mould, ∫p dA over the projected area \[N\].
    pub fn opening_force(&self) -> f64 {
        let of = |&i: &usize| self.pressure[i] * self.share[i] * self.cavity.cells[i].projected_area;
        self.reached.iter().map(of).sum()
    }
}
