//! What is recorded of a fill.

use super::History;
use super::march::March;

/// Records the history and the extremes of a run.
#[derive(Debug, Clone, Default)]
pub(super) struct Recorder {
    pub history: History,
    pub peak: f64,
    pub need: f64,
    pub gate_peak: f64,
    pub opening_force: f64,
    pub finishing_need: f64,
}

impl Recorder {
    /// Notes the present moment: flow rate \[m³/s\] and nozzle pressure \[Pa\].
    pub fn note(&mut self, march: &March<'_>, q: f64, pressure: f64) {
        let gate = march.gate_pressure();
        let h = &mut self.history;
        h.time.push(march.time);
        h.nozzle.push(pressure);
        h.gate.push(gate);
        h.rate.push(q);
        h.volume.push(march.volume());
        h.front.push(march.front_distance());
        h.front_temperature.push(march.front_temperature());
        self.peak = self.peak.max(pressure);
        self.gate_peak = self.gate_peak.max(gate);
        self.opening_force = self.opening_force.max(march.opening_force());
    }
}
