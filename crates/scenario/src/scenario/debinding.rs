//! How the binder leaves the part: its parts, and the steps that take them out.

use super::Family;
use crate::catalogue::parameters;
use serde::{Deserialize, Serialize};

/// What takes a part of the binder out of the moulding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Leaves {
    /// It dissolves in a solvent.
    Solvent,
    /// It dissolves in water.
    Water,
    /// An acid vapour splits it.
    Catalyst,
    /// It decomposes in the furnace.
    Heat,
}

parameters! {
    /// A part of the binder.
    pub struct BinderComponent at "debinding.parts.*" {
        required share = 50.0 in 0.1 to 100.0, "x", "%", "x", "Share of the binder",
            "Share of the binder's mass. The shares of all parts add up to 100 %.", "the recipe";
        number density = 900.0 in 300.0 to 3000.0, "ρ", "kg/m³", "rho", "Density of the part",
            "Density at room temperature; it decides how many pores the part leaves behind.", "wax 900, PP 905, HDPE 950, POM 1410, PEG 1200 kg/m³, handbook tables from memory";
        number half_temperature = 440.0 in 80.0 to 800.0, "T_½", "°C", "Th", "Temperature of half the loss",
            "Temperature at which half of its mass has gone, heated at 10 K/min in the furnace's gas. A thermogravimetric curve shows it.", "wax 260 to 300, stearic acid 240 to 270, PEG 370 to 400, PP 430 to 450, PE 460 to 480 °C in nitrogen, from memory";
        number energy = 230.0 in 20.0 to 500.0, "E", "kJ/mol", "E", "Activation energy of the loss",
            "How fast the loss follows the temperature.", "wax 70 to 100, PP and PE 200 to 260 kJ/mol, from memory";
        number energy_error = 20.0 in 0.0 to 200.0, "ΔE", "kJ/mol", "dE", "Standard error of that energy",
            "Standard error of the activation energy.", "assumed";
    }
    others {
        /// Name of the part.
        name: String = String::from("backbone"), required;
        /// What takes it out first.
        leaves: Leaves = Leaves::Heat;
    }
}

parameters! {
    /// A bath that dissolves a part of the binder: a solvent, or water.
    pub struct Bath at "debinding.steps.*.bath" {
        number temperature = 45.0 in 0.0 to 150.0, "T_s", "°C", "T", "Temperature of the bath",
            "Temperature of the bath. Above the melting of the wax the part swells and cracks.", "30 to 60 °C, common practice";
        number diffusivity = 1.0 in 0.0001 to 1000.0, "D", "1e-6 cm²/s", "D", "Diffusivity in the part",
            "Diffusivity of the dissolved binder in the part, at the reference temperature.", "iron-nickel-copper in hexane 0.98 at 35 and 1.3 at 40 °C (abstract read); measure it";
        number reference = 40.0 in 0.0 to 150.0, "T_r", "°C", "Tr", "Reference temperature of the diffusivity",
            "Temperature for which the diffusivity is given.", "the measurement";
        number energy = 45.0 in 0.0 to 200.0, "E_D", "kJ/mol", "E", "Activation energy of the diffusivity",
            "How fast the diffusivity rises with temperature.", "wax in hexane 45, PEG in alcohol 51, in water 24 kJ/mol (abstracts read)";
        number diffusivity_error = 30.0 in 0.0 to 300.0, "ΔD", "%", "dD", "Standard error of the diffusivity",
            "Standard error of the diffusivity at the reference temperature.", "assumed; a fit to your own readings gives it";
        number energy_error = 8.0 in 0.0 to 100.0, "ΔE_D", "kJ/mol", "dE", "Standard error of that activation energy",
            "Standard error of the activation energy.", "assumed; a fit to your own readings gives it";
        number left = 20.0 in 1.0 to 90.0, "F", "%", "F", "Soluble binder left",
            "Share of the soluble binder that may be left at the end of the bath.", "59 % of the soluble binder must go before the furnace (doi 10.1007/s11661-008-9760-6, read); 80 to 95 %, common practice";
    }
    others {
        /// Whether the bath is water, not a solvent.
        water: bool = false;
    }
}

parameters! {
    /// An oven with acid vapour, in which a front moves into the part.
    pub struct Catalytic at "debinding.steps.*.catalytic" {
        number speed = 1.5 in 0.01 to 50.0, "v", "mm/h", "v", "Speed of the front",
            "How fast the front moves into the part.", "1 to 2 mm/h, from memory; measure it";
        number speed_error = 25.0 in 0.0 to 200.0, "Δv", "%", "dv", "Standard error of that speed",
            "Standard error of the speed.", "assumed";
        number temperature = 120.0 in 60.0 to 200.0, "T_a", "°C", "T", "Temperature of the oven",
            "Temperature of the oven.", "110 to 140 °C, common practice";
    }
}

parameters! {
    /// A furnace that decomposes what is left of the binder.
    pub struct Thermal at "debinding.steps.*.thermal" {
        number ramp = 3.0 in 0.01 to 50.0, "β", "K/min", "r", "Greatest ramp",
            "Fastest that the furnace may heat.", "0.5 to 5 K/min, common practice";
        number end_temperature = 600.0 in 100.0 to 1200.0, "T_d", "°C", "T", "Temperature at the end",
            "Temperature at which the step ends once the binder has gone.", "500 to 650 °C, common practice";
        number allowed_pressure = 50.0 in 0.1 to 10000.0, "Δp", "kPa", "p", "Allowed pressure of the gas",
            "Greatest pressure of the gas in the middle of the wall, above that outside, that the part withstands.", "order of 10 to 100 kPa, from memory; find your own by trial";
        number outside_pressure = 101.3 in 0.1 to 1000.0, "p_0", "kPa", "p0", "Pressure in the furnace",
            "Absolute pressure of the furnace's atmosphere.", "101.3 kPa";
        number gas_viscosity = 25.0 in 1.0 to 200.0, "μ", "µPa·s", "mu", "Viscosity of the gas",
            "Viscosity of the gas in the pores.", "nitrogen 31, hydrocarbon vapours 10 to 20 µPa·s at 700 K, handbook tables from memory";
        number gas_molar_mass = 50.0 in 2.0 to 500.0, "M", "g/mol", "M", "Molar mass of the gas",
            "Mean molar mass of what the binder decomposes to.", "polyolefins 30 to 100 g/mol, from memory";
    }
}

/// One step of debinding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum DebindingStep {
    /// A bath of solvent or water.
    Bath(Bath),
    /// An oven with acid vapour.
    Catalytic(Catalytic),
    /// A furnace.
    Thermal(Thermal),
}

parameters! {
    /// How the binder leaves the part.
    pub struct Debinding at "debinding" {
        optional longest = 48.0 in 0.01 to 10000.0, "t_D", "h", "tD", "Longest debinding",
            "Longest time that all steps of debinding may take together, for the wall that governs them. Left out, debinding bounds no window.", "your choice";
        number open_pores = 2.0 in 0.1 to 30.0, "ε_0", "vol%", "eps0", "Pores before debinding",
            "Pores of the green part that reach its surface, as a share of its volume.", "assumed: what the binder shrinks by as it cools";
        number open_pores_error = 0.5 in 0.0 to 15.0, "Δε_0", "vol%", "eps0e", "Standard error of those pores",
            "Standard error of the pores before debinding, as a share of the part's volume.", "assumed";
        number permeability_error = 50.0 in 0.0 to 1000.0, "ΔK", "%", "dK", "Standard error of the permeability",
            "Standard error of the permeability that follows from grain and pores.", "assumed: Carman and Kozeny tell the order";
    }
    others {
        /// The parts of the binder.
        parts: Vec<BinderComponent> = usual_parts(None);
        /// The steps, in their order.
        steps: Vec<DebindingStep> = usual_steps(None);
    }
}

/// Greatest number of parts of a binder.
pub const MAX_PARTS: usize = 8;

/// Greatest number of steps of debinding.
pub const MAX_STEPS: usize = 6;

impl DebindingStep {
    /// The step of a name, `bath`, `catalytic` or `thermal`, with the catalogue's numbers.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "bath" => Some(Self::Bath(Bath::default())),
            "catalytic" => Some(Self::Catalytic(Catalytic::default())),
            "thermal" => Some(Self::Thermal(Thermal::default())),
            _ => None,
        }
    }
}

/// Name, share \[%\], density \[kg/m³\], temperature of half the loss \[°C\], activation energy \[kJ/mol\], way out.
type Row = (&'static str, f64, f64, f64, f64, Leaves);

const WAX: [Row; 3] = [
    ("paraffin wax", 60.0, 900.0, 280.0, 85.0, Leaves::Solvent),
    ("polypropylene", 37.0, 905.0, 440.0, 230.0, Leaves::Heat),
    ("stearic acid", 3.0, 940.0, 255.0, 85.0, Leaves::Solvent),
];
const POLYACETAL: [Row; 2] = [
    ("polyacetal", 88.0, 1410.0, 360.0, 130.0, Leaves::Catalyst),
    ("polyethylene", 12.0, 950.0, 465.0, 240.0, Leaves::Heat),
];
const SOLUBLE: [Row; 3] = [
    ("polyethylene glycol", 65.0, 1200.0, 385.0, 180.0, Leaves::Water),
    ("backbone", 32.0, 1180.0, 370.0, 180.0, Leaves::Heat),
    ("stearic acid", 3.0, 940.0, 255.0, 85.0, Leaves::Heat),
];
const WAX_ALONE: [Row; 2] = [
    ("paraffin wax", 95.0, 900.0, 280.0, 85.0, Leaves::Heat),
    ("stearic acid", 5.0, 940.0, 255.0, 85.0, Leaves::Heat),
];

/// Usual parts of a family's binder (from memory); those of wax with a polyolefin where no family is stated.
fn usual_parts(family: Option<Family>) -> Vec<BinderComponent> {
    let rows: &[Row] = match family {
        None | Some(Family::WaxPolyolefin) => &WAX,
        Some(Family::Polyacetal) => &POLYACETAL,
        Some(Family::WaterSoluble) => &SOLUBLE,
        Some(Family::WaxLowPressure) => &WAX_ALONE,
    };
    let part = |&(name, share, density, half_temperature, energy, leaves): &Row| BinderComponent {
        share,
        density,
        half_temperature,
        energy,
        energy_error: 0.09 * energy,
        name: name.to_owned(),
        leaves,
    };
    rows.iter().map(part).collect()
}

/// Usual steps for a family's binder.
fn usual_steps(family: Option<Family>) -> Vec<DebindingStep> {
    let thermal = DebindingStep::Thermal(Thermal::default());
    match family {
        None | Some(Family::WaxPolyolefin) => vec![DebindingStep::Bath(Bath::default()), thermal],
        Some(Family::Polyacetal) => vec![DebindingStep::Catalytic(Catalytic::default()), thermal],
        Some(Family::WaterSoluble) => {
            let water =
                Bath { water: true, temperature: 50.0, reference: 50.0, energy: 24.0, ..Bath::default() };
            vec![DebindingStep::Bath(water), thermal]
        }
        // Without pores that a bath opens, a slow furnace: the powder bed that draws the wax off is not computed.
        Some(Family::WaxLowPressure) => {
            vec![DebindingStep::Thermal(Thermal { ramp: 0.5, end_temperature: 500.0, ..Thermal::default() })]
        }
    }
}

impl Debinding {
    /// What is usual for a family, or for wax with a polyolefin where none is stated. From memory: a feedstock's own data
    /// replace it.
    pub fn usual(family: Option<Family>) -> Self {
        Self { parts: usual_parts(family), steps: usual_steps(family), ..Self::default() }
    }
}
