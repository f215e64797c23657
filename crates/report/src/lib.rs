//! One scenario, evaluated in full, in the units of the trade. The page and the command line show this report.

mod after;
mod build;
mod cycle;
mod edge;
mod moments;
mod remarks;
mod sizes;
mod span;
mod study;

pub use build::{cavity_of, evaluate, fill_of, report_of};
pub use moments::{CellPlace, Moment, Moments, Phase, moments};
pub use sizes::{CavitySize, cavity_sizes};
pub use span::PartSpan;
pub use study::{GateStudy, HoldStudy, gate_studies, hold_study};

use gatefrost_core::limits::Margin;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Everything computed at the set point, for this machine.
///
/// If the machine's pressure runs out, every result is of the fill that continues at that pressure. Only
/// `fill.required_pressure_mpa` is of a fill without a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Report {
    /// Name of the scenario.
    pub scenario: String,
    /// Whether the cavity fills and every limit that applies is met.
    pub inside: bool,
    /// Every limit at this set point. After a short shot, limits of a complete part are left out.
    pub margins: Vec<Margin>,
    /// Mixture properties and viscosity curves.
    pub feedstock: FeedstockReport,
    /// Sizes of the flow path.
    pub cavity: CavityReport,
    /// Filling.
    pub fill: FillReport,
    /// Packing and gate freeze; absent after a short shot, which leaves no part to pack.
    pub hold: Option<HoldReport>,
    /// Cooling and the cycle.
    pub cool: CoolReport,
    /// Sizes and shrinkage after the mould.
    pub after: AfterReport,
    /// Remarks on the validity of the result, in sentences.
    pub remarks: Vec<String>,
    /// Whether the work of the fill or of the hold passed its bound, so that the rest was computed roughly.
    pub rough: bool,
}

/// Mixture properties.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FeedstockReport {
    /// Name of the feedstock.
    pub name: String,
    /// Where its flow constants come from ("illustrative" for the demos).
    pub provenance: String,
    /// Density of the mixture.
    pub density_kg_m3: f64,
    /// Specific heat of the mixture.
    pub heat_capacity_j_kgk: f64,
    /// Conductivity of the mixture.
    pub conductivity_w_mk: f64,
    /// Thermal diffusivity of the mixture.
    pub diffusivity_mm2_s: f64,
    /// Powder share by mass.
    pub powder_mass_percent: f64,
    /// Particle size d90, 2.2 times the median unless it is stated.
    pub particle_size_90_um: f64,
    /// Whether it is stated.
    pub particle_size_90_stated: bool,
    /// Temperature above which the last part of the binder has melted.
    pub melted_c: f64,
    /// Viscosity relative to the loading at which it was measured.
    pub loading_factor: f64,
    /// Viscosity at the melt temperature and 1000 1/s.
    pub viscosity_at_1000_pa_s: f64,
    /// Viscosity against shear rate at the temperatures that occur.
    pub curves: Vec<ViscosityCurve>,
}

/// Viscosity against shear rate at one temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ViscosityCurve {
    /// Temperature.
    pub temperature_c: f64,
    /// Shear rates, rising.
    pub shear_rate_1_s: Vec<f64>,
    /// Viscosities.
    pub viscosity_pa_s: Vec<f64>,
}

/// Sizes of the flow path.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CavityReport {
    /// Volume from the nozzle to the end of flow, all copies.
    pub volume_cm3: f64,
    /// Volume of the passages with the role "part", all copies.
    pub part_volume_cm3: f64,
    /// Area projected on the parting plane.
    pub projected_area_cm2: f64,
    /// Greatest length from the nozzle to an end of flow.
    pub flow_length_mm: f64,
    /// Thickest section of the part.
    pub thickest_mm: f64,
    /// The passages in order.
    pub passages: Vec<PassageReport>,
}

/// One passage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PassageReport {
    /// Name.
    pub name: String,
    /// "sprue", "runner", "gate" or "part".
    pub role: String,
    /// "tube", "strip" or "disc".
    pub shape: String,
    /// Position in the list of the passage that feeds it; absent for the first.
    pub feeder: Option<usize>,
    /// Position in the list of the passage whose end its own end meets.
    pub meets: Option<usize>,
    /// Distance from the nozzle at which it begins.
    pub start_mm: f64,
    /// Length along the flow.
    pub length_mm: f64,
    /// Thickness (diameter of a tube) where the flow enters and leaves.
    pub thickness_mm: [f64; 2],
    /// Width across the flow (diameter of a tube) where the flow enters and leaves.
    pub width_mm: [f64; 2],
    /// Number of copies.
    pub copies: u32,
    /// Volume of all copies.
    pub volume_cm3: f64,
}

/// How the fill ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Full, at the set rate throughout.
    Full,
    /// Full, but slower, because the machine's pressure ran out.
    FullButSlow,
    /// The front stalled before the cavity was full.
    ShortShot,
}

/// Filling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FillReport {
    /// How the fill ended.
    pub outcome: Outcome,
    /// Share of the volume filled.
    pub filled_percent: f64,
    /// Time until full, or until the front stalled.
    pub fill_time_s: f64,
    /// Rate that the set injection time asks for.
    pub rate_cm3_s: f64,
    /// Greatest pressure at the nozzle.
    pub nozzle_pressure_mpa: f64,
    /// Greatest pressure at the entry of the gate.
    pub gate_pressure_mpa: f64,
    /// Greatest pressure that filling at the set rate needs up to the switch-over, without a limit of the machine. It
    /// does not depend on the machine. A value of 4000 means 4000 or more.
    pub required_pressure_mpa: f64,
    /// Greatest opening force while filling. That of the hold is in `hold`.
    pub opening_force_kn: f64,
    /// Lowest temperature of the flow front.
    pub front_temperature_min_c: f64,
    /// Highest temperature of the melt. A value of 1000 means 1000 or more. It converges more slowly than pressure; see
    /// the refinement study in the handbook.
    pub melt_temperature_max_c: f64,
    /// Difference of the hottest melt to the set melt temperature.
    pub viscous_rise_k: f64,
    /// The fill against time.
    pub history: FillHistory,
    /// State along the path to each end of flow at the end of filling, the last to fill first.
    pub paths: Vec<PathProfile>,
    /// The welds, where fronts met.
    pub weld_lines: Vec<WeldReport>,
    /// Greatest shear rate, stress and speed in each passage.
    pub passages: Vec<PassageFlow>,
    /// Volume and enthalpy balances.
    pub closures: Closures,
    /// Number of steps in time.
    pub steps: usize,
}

/// The fill against time; all lists have one entry for each step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FillHistory {
    /// Time.
    pub time_s: Vec<f64>,
    /// Pressure at the nozzle.
    pub nozzle_mpa: Vec<f64>,
    /// Pressure at the entry of the gate.
    pub gate_mpa: Vec<f64>,
    /// Flow rate.
    pub rate_cm3_s: Vec<f64>,
    /// Share of the volume filled.
    pub filled_percent: Vec<f64>,
    /// Distance of the front from the nozzle.
    pub front_mm: Vec<f64>,
    /// Temperature of the melt that the front deposits.
    pub front_temperature_c: Vec<f64>,
}

/// Two fronts that met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WeldReport {
    /// Passage in which they met.
    pub passage: String,
    /// Its position in the list.
    pub index: usize,
    /// Distance from where that passage begins.
    pub from_start_mm: f64,
    /// Time at which they met.
    pub time_s: f64,
    /// Temperatures of the two fronts.
    pub front_temperatures_c: [f64; 2],
    /// Greatest pressure there during the hold; absent after a short shot.
    pub pressure_mpa: Option<f64>,
    /// Pressure there when its mean temperature fell to the no-flow temperature, at which the weld line set.
    pub pressure_when_set_mpa: Option<f64>,
}

/// State along the path from the nozzle to one end of flow; one entry for each cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PathProfile {
    /// Name of the passage that it ends in.
    pub end: String,
    /// Position of that passage in the list.
    pub index: usize,
    /// Time at which that end was full; absent if it never was.
    pub filled_after_s: Option<f64>,
    /// Distance from the nozzle, cell centres.
    pub distance_mm: Vec<f64>,
    /// Pressure.
    pub pressure_mpa: Vec<f64>,
    /// Mean temperature over the section.
    pub mean_temperature_c: Vec<f64>,
    /// Temperature in the middle of the gap.
    pub centre_temperature_c: Vec<f64>,
    /// Share of the half gap that is below the no-flow temperature.
    pub frozen_percent: Vec<f64>,
    /// Greatest apparent wall shear rate while filling.
    pub shear_rate_1_s: Vec<f64>,
    /// Volumetric shrinkage from the final mass of the cell to the cold part; empty if the path does not fill.
    pub shrinkage_percent: Vec<f64>,
}

/// Greatest shear rate, stress and speed in one passage during the fill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PassageFlow {
    /// Name of the passage.
    pub name: String,
    /// Apparent wall shear rate, 6Q/wh² or 4Q/πR³, at the narrowest place.
    pub apparent_shear_rate_1_s: f64,
    /// Greatest shear rate over the gap at any time. Heated layers near the wall can exceed the apparent rate; a frozen
    /// wall layer moves it inwards. It is taken at the middles of layers and cells, so in a uniform melt it is somewhat
    /// below the rate at the wall.
    pub greatest_shear_rate_1_s: f64,
    /// Greatest wall shear stress.
    pub wall_stress_kpa: f64,
    /// Greatest mean velocity.
    pub velocity_m_s: f64,
    /// Pressure drop across the passage at the end of filling, at the rate of that time.
    pub pressure_drop_mpa: f64,
    /// Share of the flow that slips along the wall, where it is greatest, as last computed; 0 without slip.
    #[serde(default)]
    pub slip_percent: f64,
}

/// Relative balances; zero would be perfect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Closures {
    /// (volume delivered − volume filled) / volume filled.
    pub volume: f64,
    /// (enthalpy in + dissipation − wall loss − enthalpy stored), above the wall temperature, relative to
    /// (enthalpy in + dissipation + one kelvin of the filled volume).
    pub enthalpy: f64,
}

/// Packing and gate freeze. Times start at the end of filling. A time is absent if the section never reaches the state,
/// for example in a mould at melt temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct HoldReport {
    /// The gates, in the order of the passages.
    pub gates: Vec<GateReport>,
    /// Time at which the last of them froze.
    pub gate_freeze_s: Option<f64>,
    /// Time for which the nozzle presses, all steps together, without steps at the end that have no pressure.
    pub held_s: f64,
    /// The ends of flow, the one with the greatest shrinkage first.
    pub ends: Vec<EndReport>,
    /// Mass of the green parts, all together.
    pub part_mass_g: f64,
    /// Mean pressure left in the parts when the mould opens, for the gate where it is greatest.
    pub residual_pressure_mpa: f64,
    /// Name of the passage with the worst 10 % of a part.
    pub shrinks_most: String,
    /// Volumetric shrinkage of the worst 10 %, from its final mass to the cold part.
    pub shrinkage_percent: f64,
    /// Mean volumetric shrinkage of the parts when the mould opens, from the cavity to the part at its temperature then
    /// and without pressure; negative if the part expands.
    pub shrinkage_when_opened_percent: f64,
    /// Least and greatest volumetric shrinkage over the parts.
    pub shrinkage_spread_percent: [f64; 2],
    /// Share of the cavity of the parts that is empty when the mould opens: voids inside or sink marks outside.
    pub void_percent: f64,
    /// Greatest opening force while holding.
    pub opening_force_kn: f64,
    /// Mass and enthalpy balances.
    pub closures: HoldClosures,
    /// The hold against time.
    pub history: HoldHistory,
}

/// A gate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct GateReport {
    /// Name of the passage.
    pub name: String,
    /// Time of gate freeze: the fluidity of the gate is a thousandth of that at the end of filling.
    pub freeze_s: Option<f64>,
    /// Time until the centre is at the no-flow temperature.
    pub centre_freeze_s: Option<f64>,
    /// The hand formula for the mean temperature. It assumes perfect wall contact, no latent heat and a gate that begins
    /// at melt temperature.
    pub hand_mean_s: Option<f64>,
    /// The hand formula for the centre temperature.
    pub hand_centre_s: Option<f64>,
}

/// An end of flow: the last tenth of the volume on the path to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EndReport {
    /// Name of the passage.
    pub name: String,
    /// Name of the gate that sealed it: the last to freeze of the gates that feed it.
    pub gate: String,
    /// Time at which that gate sealed it. If it never does, the end of the computation; then the melt flows back when
    /// the hold ends.
    pub sealed_after_s: f64,
    /// Pressure there when it was sealed.
    pub sealed_pressure_mpa: f64,
    /// Volumetric shrinkage from its final mass to the cold part.
    pub shrinkage_percent: f64,
}

/// Relative balances of the hold; zero would be perfect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct HoldClosures {
    /// (mass before + mass delivered − ∫ρ dV)/mass before.
    pub mass: f64,
    /// (enthalpy before + in + dissipation − wall loss − enthalpy after), above the wall temperature, relative to
    /// (enthalpy before + in + one kelvin of the volume).
    pub enthalpy: f64,
}

/// A named list of values over time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Trace {
    /// Name of the passage.
    pub name: String,
    /// One value for each time.
    pub values: Vec<f64>,
}

/// The hold against time, from the end of filling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct HoldHistory {
    /// Time from the end of filling.
    pub time_s: Vec<f64>,
    /// Pressure at the nozzle.
    pub nozzle_mpa: Vec<f64>,
    /// Pressure behind each gate \[MPa\].
    pub gates_mpa: Vec<Trace>,
    /// Pressure at each end of flow \[MPa\].
    pub ends_mpa: Vec<Trace>,
    /// Fluidity of each gate relative to that at the end of filling; a million means a million or more.
    pub gate_openness: Vec<Trace>,
    /// Highest mean temperature of a section of the parts.
    pub hottest_part_c: Vec<f64>,
    /// Mass of the parts.
    pub part_mass_g: Vec<f64>,
}

/// Cooling and the cycle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CoolReport {
    /// Name of the section of the part that cools last by the hand formula: the thickest.
    pub section: String,
    /// Time from the end of filling until every section of the part has a mean temperature that allows
    /// ejection.
    pub cooling_time_s: Option<f64>,
    /// The same by the closed form, with perfect wall contact and no latent heat.
    pub hand_s: Option<f64>,
    /// The same for the slowest runner or sprue.
    pub runner_time_s: Option<f64>,
    /// Time to meter the next shot, during the cooling.
    pub plasticising_s: f64,
    /// The cycle, part by part; empty when the cavity does not fill or the part never cools enough.
    pub cycle: Vec<CyclePart>,
    /// The whole cycle.
    pub cycle_s: Option<f64>,
    /// Mean heat flow into the mould over the cycle, which its cooling must remove.
    pub heat_w: Option<f64>,
    /// The surface of the steel; absent without the coolant's set point, where there is no cycle, and where
    /// the water cannot take the heat.
    pub steel: Option<SteelReport>,
    /// What limits the cycle time, in words.
    pub governed_by: String,
}

/// From the coolant to the surface of the steel, with the mean heat of the cycle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SteelReport {
    /// Mean temperature of the steel's surface, for the mould temperature that is set. The heat follows the mould
    /// temperature in its turn; one step from the one to the other is usually enough.
    pub surface_c: f64,
    /// Rise of the water through the mould.
    pub rise_k: f64,
    /// From the water to the wall of the drilling.
    pub film_k: f64,
    /// Through the steel.
    pub steel_k: f64,
    /// Reynolds number in the drillings.
    pub reynolds: f64,
    /// How the water flows, in words.
    pub flow: Cow<'static, str>,
}

/// A stretch of the cycle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CyclePart {
    /// What happens.
    pub name: Cow<'static, str>,
    /// How long it lasts.
    pub seconds: f64,
    /// Whether it runs during the stretch before it, from the beginning of that one.
    pub inside: bool,
}

/// After the mould: sizes of cavity, green part and sintered part, by the conservation of powder
/// (`gatefrost_core::dimensions`).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AfterReport {
    /// Cavity size over final size, [ρ_s,r/(φ S (1 − w))]^⅓, of all parts together; absent where `no_size` says
    /// why.
    pub oversize_factor: Option<f64>,
    /// Green size over final size, by loading alone (S = 1): the effect of the furnace. It is not the size to cut. Absent
    /// without powder.
    pub oversize_by_loading_alone: Option<f64>,
    /// S: volume of the cold green parts over that of the cavity.
    pub cavity_filled_percent: Option<f64>,
    /// Linear shrinkage from the cavity to the cold green part, 1 − S^⅓; negative if the part is larger.
    pub moulding_shrinkage_percent: Option<f64>,
    /// Linear shrinkage in the furnace, from the green to the sintered part, 1 − [φ(1 − w)/ρ_s,r]^⅓. It does not depend
    /// on the hold.
    pub sintering_shrinkage_percent: f64,
    /// The single parts, if there are several that are not copies of each other.
    pub parts: Vec<PartSize>,
    /// Why there is no size.
    pub no_size: Option<String>,
    /// Names of the limits that apply and are not met at this set point, if there is a size.
    pub limits_not_met: Vec<Cow<'static, str>>,
}

/// The size of one of several parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PartSize {
    /// Name of its first passage.
    pub name: String,
    /// Cavity size over its final size.
    pub oversize_factor: f64,
}
