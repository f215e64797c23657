//! What differs from shot to shot and from lot to lot, and by how much.

use super::{Axis, Scenario};
use crate::uncertainty::{Doubt, Uncertainty};

/// Settings that the machine repeats with some scatter, and the loading, that scatters from batch to batch.
pub const DISTURBED: [Axis; 6] = [
    Axis::MeltTemperature,
    Axis::MouldTemperature,
    Axis::InjectionTime,
    Axis::HoldPressure,
    Axis::HoldTime,
    Axis::SolidsLoading,
];

impl Scenario {
    /// Standard deviation of one of [`DISTURBED`] that stands at `value`, in its edge unit: that of the injection time is a
    /// share of it. Zero for other axes.
    pub fn scatter_of(&self, axis: Axis, value: f64) -> f64 {
        let s = &self.scatter;
        match axis {
            Axis::MeltTemperature => s.melt_temperature,
            Axis::MouldTemperature => s.mould_temperature,
            Axis::InjectionTime => s.injection_time / 100.0 * value,
            Axis::HoldPressure => s.hold_pressure,
            Axis::HoldTime => s.hold_time,
            Axis::SolidsLoading => s.solids_loading,
            Axis::FlowRate | Axis::GateDepth | Axis::WallThickness | Axis::ClampForce => 0.0,
        }
    }

    /// What one lot of feedstock differs in from the next: the viscosity at every shear rate and temperature.
    pub fn lots(&self) -> Uncertainty {
        let kind = self.feedstock.flow_law.kind();
        let error = self.scatter.viscosity / 100.0;
        let fields = kind.scales().iter().filter(|_| error > 0.0);
        let doubt = |field: &&str| Doubt {
            path: format!("feedstock.flow_law.{}.{field}", kind.name()),
            standard_error: error,
            logarithmic: true,
        };
        Uncertainty { numbers: fields.map(doubt).collect(), correlation: Vec::new() }
    }
}
