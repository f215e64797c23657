//! The machine, its settings, and the numerical model.

use crate::catalogue::parameters;

parameters! {
    /// The limits of the injection machine.
    pub struct Machine at "machine" {
        number max_pressure = 120.0 in 0.01 to 400.0, "p_max", "MPa", "pmax", "Greatest injection pressure",
            "Greatest melt pressure that the machine can hold at the nozzle.", "high-pressure PIM 20 to 200 MPa, doi 10.1007/s12289-021-01612-0";
        number max_rate = 60.0 in 0.01 to 5000.0, "Q_max", "cm³/s", "qmax", "Greatest injection rate",
            "Volume flow the injection unit can deliver.", "common practice";
        number clamp_force = 250.0 in 0.1 to 100000.0, "F_c", "kN", "Fc", "Clamp force",
            "Force that keeps the mould shut.", "common practice";
        number shot_volume = 30.0 in 0.01 to 100000.0, "V_max", "cm³", "vmax", "Greatest shot",
            "Melt volume the machine can deliver in one shot.", "common practice";
        number barrel_shots = 2.0 in 0.1 to 50.0, "N_b", "", "nb", "Melt in the barrel",
            "Melt between hopper and nozzle, as a multiple of the greatest shot.", "1.5 to 3, common practice";
        number dosing_rate = 8.0 in 0.01 to 5000.0, "Q_d", "cm³/s", "qd", "Plasticising rate",
            "Volume that the screw melts and meters in one second while the part cools.", "common practice";
        number idle_time = 4.0 in 0.0 to 120.0, "t_0", "s", "t0", "Close, open and eject",
            "Time in each cycle for closing, opening and ejection.", "common practice";
    }
}

parameters! {
    /// The mould besides its cavity: venting and cooling.
    pub struct Mould at "mould" {
        number vent_width = 50.0 in 0.1 to 10000.0, "w_v", "mm", "vw", "Vent width",
            "Width across the flow of the air, of all vents and gaps at ejector pins together.", "half of the outline of a small part, assumed";
        number vent_depth = 0.01 in 0.001 to 1.0, "h_v", "mm", "vd", "Vent depth",
            "Gap that lets air out and holds melt back.", "0.005 to 0.02 mm, common practice";
        number vent_land = 1.0 in 0.05 to 100.0, "L_v", "mm", "vl", "Vent land",
            "Length of the gap along the flow, before it widens.", "1 to 3 mm, common practice";
        number water_flow = 3.0 in 0.01 to 1000.0, "V̇_w", "L/min", "wf", "Cooling water",
            "Flow of water through the mould, all circuits together.", "a few L/min keep a bore of 8 mm turbulent, from memory";
        optional coolant_temperature = 30.0 in 0.0 to 180.0, "T_k", "°C", "Tk", "Coolant set point",
            "Temperature at which the water enters the mould, under pressure above 95 °C. With it the report says how warm the surface of the steel is. It does not change the mould temperature, which is the steel's.", "water 10 to 95 °C, under pressure to 180 °C, common practice";
        count circuits = 1.0 in 1.0 to 50.0, "N_k", "", "nk", "Circuits",
            "Circuits that share the cooling water equally.", "common practice";
        number drilling_bore = 8.0 in 1.0 to 50.0, "D_k", "mm", "Dk", "Bore of the drillings",
            "Diameter of the drillings that carry the cooling water.", "6 to 12 mm, common practice";
        number drilling_pitch = 30.0 in 2.0 to 500.0, "w_k", "mm", "wk", "Pitch of the drillings",
            "Distance between the middles of neighbouring drillings, at least 1.5 bores.", "3 to 5 bores, common practice";
        number drilling_depth = 16.0 in 1.0 to 500.0, "z_k", "mm", "zk", "Depth of the drillings",
            "Distance from the surface of the cavity to the middle of a drilling, at least one bore.", "1.5 to 3 bores, common practice";
        number drilling_length = 800.0 in 10.0 to 100000.0, "L_k", "mm", "Lk", "Length of the drillings",
            "Length of all drillings together where they pass the cavity, both halves of the mould.", "four drillings of 200 mm, assumed";
        number steel_conductivity = 29.0 in 5.0 to 400.0, "k_s", "W/mK", "ks", "Conductivity of the mould steel",
            "Thermal conductivity of what lies between cavity and drillings.", "hardened tool steel 20 to 30, copper alloys 100 to 300 W/mK, from memory";
        number steel_heat = 3.6 in 0.5 to 10.0, "ρc_s", "MJ/m³K", "cs", "Heat capacity of the mould steel",
            "Heat capacity per volume of what lies between cavity and drillings. With the conductivity it says how far the melt warms the steel.", "steel 7800 kg/m³ times 460 J/kgK, handbook tables from memory";
    }
}

parameters! {
    /// The set point, set by the operator.
    pub struct Setup at "setup" {
        number melt_temperature = 165.0 in 20.0 to 450.0, "T_m", "°C", "T", "Melt temperature",
            "Temperature of the feedstock as it leaves the nozzle.", "melt 110 to 190 °C, common practice";
        number mould_temperature = 40.0 in 0.0 to 450.0, "T_w", "°C", "Tw", "Mould temperature",
            "Temperature of the surface of the cavity steel, a few kelvins above the coolant's set point.", "mould 20 to 60 °C, common practice";
        number injection_time = 0.6 in 0.005 to 120.0, "t_i", "s", "ti", "Injection time",
            "Time to fill nozzle, runner and cavity at a constant rate.", "common practice";
        number hold_pressure = 60.0 in 0.0 to 400.0, "p_h", "MPa", "ph", "Hold pressure",
            "Melt pressure at the nozzle once the cavity is full.", "Al2O3 hold of 70 MPa or more better, J. Eur. Ceram. Soc. 20 (2000) 1301";
        number hold_time = 4.0 in 0.0 to 600.0, "t_h", "s", "th", "Hold time",
            "How long the hold pressure is kept after filling.", "Al2O3 hold above 5 s better, J. Eur. Ceram. Soc. 20 (2000) 1301";
        optional cooling_time = 10.0 in 0.0 to 1200.0, "t_c", "s", "tc", "Cooling time",
            "From the end of the hold until the mould opens. Left out, the mould opens when everything is cold enough to eject.", "common practice";
        number switch_over = 100.0 in 50.0 to 100.0, "u_s", "%", "us", "Switch-over",
            "Share of the volume that is filled at the set rate. The rest fills at the hold pressure, no faster than before.", "95 to 99 %, common practice";
        number contact_conductance = 5000.0 in 10.0 to 10000000.0, "h_c", "W/m²K", "hc", "Mould contact conductance",
            "Heat transfer coefficient between melt and cavity steel. It is the least certain number of a filling calculation.", "1e3 to 1e4 W/m²K, from memory";
        optional released_conductance = 1000.0 in 10.0 to 10000000.0, "h_r", "W/m²K", "hr", "Conductance after release",
            "Heat transfer coefficient where the part has shrunk off the steel: it falls from the contact conductance to this while the pressure falls from 1 MPa to none. Left out, contact is never lost.", "a gap of 0.05 mm of air conducts 500 W/m²K, closed form";
    }
    others {
        /// Ram speed in steps; empty for one speed.
        ram: Vec<RamStep> = Vec::new();
        /// Further steps of the hold, after the first.
        further_hold: Vec<HoldStep> = Vec::new();
    }
}

parameters! {
    /// One further step of the hold.
    pub struct HoldStep at "setup.further_hold.*" {
        required pressure = 30.0 in 0.0 to 400.0, "p_h", "MPa", "p", "Pressure of the hold step",
            "Melt pressure at the nozzle during this step.", "common practice";
        required time = 2.0 in 0.01 to 600.0, "t_h", "s", "t", "Time of the hold step",
            "How long this step lasts.", "common practice";
    }
}

parameters! {
    /// How well settings and loading repeat from shot to shot: standard deviations.
    pub struct Scatter at "scatter" {
        number melt_temperature = 0.9 in 0.0 to 50.0, "σ_T", "K", "sT", "Scatter of the melt temperature",
            "Standard deviation from shot to shot.", "nozzle of a measured moulding: 0.5 K in half of its settings, 0.9 K or less in nine of ten";
        number mould_temperature = 1.0 in 0.0 to 50.0, "σ_w", "K", "sw", "Scatter of the mould temperature",
            "Standard deviation of the cavity steel from shot to shot.", "common practice";
        number injection_time = 0.2 in 0.0 to 50.0, "σ_i", "%", "si", "Scatter of the injection time",
            "Standard deviation, as a share of the injection time.", "a measured moulding: 0.22 % or less in nine of ten settings";
        number hold_pressure = 0.65 in 0.0 to 50.0, "σ_p", "MPa", "sp", "Scatter of the hold pressure",
            "Standard deviation at the nozzle.", "a measured moulding: 0.4 MPa in half of its settings, 0.65 MPa or less in nine of ten";
        number hold_time = 0.02 in 0.0 to 10.0, "σ_h", "s", "sh", "Scatter of the hold time",
            "Standard deviation of the hold time.", "common practice";
        number solids_loading = 0.1 in 0.0 to 5.0, "σ_φ", "vol%", "sf", "Scatter of the loading",
            "Standard deviation of the solids loading from batch to batch.", "weighing and mixing, common practice";
        number viscosity = 7.0 in 0.0 to 100.0, "σ_η", "%", "sv", "Scatter of the viscosity",
            "Standard deviation of the viscosity from lot to lot, beyond what the loading explains. It enters the share of shots inside.", "5 to 10 %, from memory";
    }
}

parameters! {
    /// One step of the ram speed.
    pub struct RamStep at "setup.ram.*" {
        required share = 50.0 in 0.1 to 100.0, "u", "%", "u", "Volume of the speed step",
            "Share of the volume that is injected at this speed. The shares of all steps add up to 100 %.", "common practice";
        required speed = 100.0 in 1.0 to 100.0, "v", "%", "v", "Speed of the speed step",
            "Speed of the ram, in per cent of any speed common to all steps: only the ratios between the steps are used. The injection time sets the speeds themselves.", "slow through the gate, fast, slow at the end, common practice";
    }
}

/// Greatest number of steps of the ram speed.
pub const MAX_RAM_STEPS: usize = 5;

/// Greatest number of steps of the hold after the first.
pub const MAX_HOLD_STEPS: usize = 8;

parameters! {
    /// Numerical resolution.
    pub struct Model at "model" {
        count axial_cells = 58.0 in 4.0 to 600.0, "N_s", "", "Ns", "Cells along the path",
            "Number of cells over the whole flow path; each passage has at least two.", "refinement study in the handbook";
        count layers = 20.0 in 4.0 to 120.0, "N_y", "", "Ny", "Layers over the half gap",
            "Number of layers from the middle of the gap to the wall, finer towards the wall.", "refinement study in the handbook";
    }
    others {
        /// Whether viscous dissipation heats the melt. Off only to compare with closed forms.
        viscous_heating: bool = true;
        /// Whether a strip has walls at its sides. Off only to compare with wide slits.
        side_walls: bool = true;
        /// Whether the melt warms the steel. Off only to compare with walls of one temperature.
        warming_steel: bool = true;
    }
}

impl Model {
    /// The same resolution, limited to these numbers of cells and layers: coarser and faster.
    pub fn at_most(&self, axial_cells: u32, layers: u32) -> Self {
        Self {
            axial_cells: self.axial_cells.min(axial_cells),
            layers: self.layers.min(layers),
            ..self.clone()
        }
    }
}
