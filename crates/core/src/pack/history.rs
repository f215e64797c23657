//! The hold in time.

/// The hold in time; one entry a step, SI, from the end of filling.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct History {
    /// Time \[s\].
    pub time: Vec<f64>,
    /// Nozzle pressure \[Pa\].
    pub nozzle: Vec<f64>,
    /// Pressure just behind each gate \[Pa\].
    pub behind_gate: Vec<Vec<f64>>,
    /// Pressure at each end of flow, over the last tenth of the volume on the way there \[Pa\].
    pub end: Vec<Vec<f64>>,
    /// Fluidity of each gate relative to the end of filling.
    pub openness: Vec<Vec<f64>>,
    /// Hottest mean temperature of a section of the part \[K\].
    pub hottest_part: Vec<f64>,
    /// Mass of the parts \[kg\].
    pub part_mass: Vec<f64>,
    /// Pressure \[Pa\] and mean temperature \[K\] where fronts met.
    pub welds: Vec<Vec<(f64, f64)>>,
}
