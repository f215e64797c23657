//! Pressure of a cell as a linear function of its flow.

/// Pressure at the entry of a cell, linearised in the flow into it: p = offset + slope·q.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Affine {
    /// Pressure without flow \[Pa\].
    pub offset: f64,
    /// Rise with the flow \[Pa s/m³\].
    pub slope: f64,
}
