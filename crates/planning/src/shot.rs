//! What is read of a report: the field names are those of the report, so that its JSON is read as it stands.

use serde::Deserialize;

/// The report of one set point, as far as the plan uses it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Shot {
    /// Whether the cavity fills and every limit that applies is met.
    pub inside: bool,
    /// Limits at the set point.
    pub margins: Vec<ShotMargin>,
    /// The mixture.
    pub feedstock: ShotFeedstock,
    /// The flow path.
    pub cavity: ShotCavity,
    /// Filling.
    pub fill: ShotFill,
    /// Packing; absent after a short shot.
    pub hold: Option<ShotHold>,
    /// Cooling and cycle.
    pub cool: ShotCool,
}

/// One limit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotMargin {
    /// Name of the limit.
    pub limit: String,
    /// Short name.
    pub label: String,
    /// Signed margin.
    pub g: f64,
    /// What was found, in `unit`.
    pub value: f64,
    /// What is allowed, in `unit`.
    pub threshold: f64,
    /// Whether at least so much is needed.
    pub at_least: bool,
    /// Unit of both.
    pub unit: String,
    /// What happens, and by how much it is met or missed, in a sentence.
    pub sentence: String,
    /// What would help most.
    pub remedy: String,
    /// Whether the scenario leaves it out.
    pub ignored: bool,
}

/// The mixture.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotFeedstock {
    /// Density.
    pub density_kg_m3: f64,
    /// Temperature at which the last part of the binder has melted.
    pub melted_c: f64,
}

/// The flow path.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotCavity {
    /// Sprue, runners, gates and parts.
    pub volume_cm3: f64,
    /// Parts alone.
    pub part_volume_cm3: f64,
    /// Thickest wall of the parts.
    pub thickest_mm: f64,
    /// Each passage.
    pub passages: Vec<ShotPassage>,
}

/// One passage.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotPassage {
    /// "sprue", "runner", "gate" or "part".
    pub role: String,
    /// Volume of all copies.
    pub volume_cm3: f64,
}

/// Filling.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotFill {
    /// Time of filling on this machine.
    pub fill_time_s: f64,
    /// Flow rate that is set.
    pub rate_cm3_s: f64,
    /// Pressure that a machine without a limit would need.
    pub required_pressure_mpa: f64,
    /// Force that opens the mould.
    pub opening_force_kn: f64,
}

/// Packing.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotHold {
    /// Force that opens the mould.
    pub opening_force_kn: f64,
    /// Time at which the last gate freezes.
    pub gate_freeze_s: Option<f64>,
}

/// Cooling and cycle.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotCool {
    /// From the end of filling until the part can be ejected.
    pub cooling_time_s: Option<f64>,
    /// The same for the slowest sprue or runner.
    pub runner_time_s: Option<f64>,
    /// Time to meter the next shot.
    pub plasticising_s: f64,
    /// Stretches of the cycle.
    pub cycle: Vec<ShotStretch>,
    /// The whole cycle.
    pub cycle_s: Option<f64>,
    /// Mean heat flow into the mould.
    pub heat_w: Option<f64>,
}

/// A stretch of the cycle.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotStretch {
    /// What happens.
    pub name: String,
    /// How long it lasts.
    pub seconds: f64,
    /// Whether it runs beside the stretch before it and adds nothing to the cycle.
    pub inside: bool,
}

impl Shot {
    /// Time from the end of the hold until the mould opens \[s\]; `None` without a cycle.
    pub(crate) fn cooling(&self) -> Option<f64> {
        self.cool.cycle.iter().find(|stretch| stretch.name == "cool").map(|stretch| stretch.seconds)
    }

    /// Whether part, sprue and runners are cold enough before a hold \[s\] ends.
    pub(crate) fn waits_for_hold(&self, held: f64) -> bool {
        let cooled = self.cool.cooling_time_s.zip(self.cool.runner_time_s);
        cooled.is_some_and(|(part, runner)| part.max(runner) < held)
    }

    /// Volume of sprue and runners over that of the shot.
    pub(crate) fn sprue_share(&self) -> f64 {
        let waste = self.cavity.volume_cm3 - self.cavity.part_volume_cm3;
        (waste / self.cavity.volume_cm3).clamp(0.0, 1.0)
    }

    /// Mass of a shot \[g\], cold.
    pub(crate) fn mass(&self) -> f64 {
        self.cavity.volume_cm3 * self.feedstock.density_kg_m3 * 1e-3
    }

    /// The limit of a name.
    pub(crate) fn margin(&self, name: &str) -> Option<&ShotMargin> {
        self.margins.iter().find(|margin| margin.limit == name)
    }
}
