//! The trial log: shots on the machine, their settings and what was read.

use crate::catalogue::parameters;

parameters! {
    /// One shot of the log, or the mean of several at the same setting: what was set, and what was read. What was not read
    /// is left out.
    pub struct Shot at "shots.*" {
        required melt_temperature = 165.0 in 20.0 to 450.0, "T_m", "°C", "T", "Melt temperature",
            "Temperature of the melt.", "the machine";
        required mould_temperature = 40.0 in 0.0 to 450.0, "T_w", "°C", "Tw", "Mould temperature",
            "Temperature of the cavity steel, or set point of the coolant where that is stated.", "the machine";
        required injection_time = 0.6 in 0.005 to 120.0, "t_i", "s", "ti", "Injection time",
            "Time to fill nozzle, runner and cavity.", "the machine";
        number hold_pressure = 0.0 in 0.0 to 400.0, "p_h", "MPa", "ph", "Hold pressure",
            "Melt pressure at the nozzle after filling.", "the machine";
        number hold_time = 0.0 in 0.0 to 600.0, "t_h", "s", "th", "Hold time",
            "How long it is kept.", "the machine";
        optional second_hold_pressure = 30.0 in 0.0 to 400.0, "p_h2", "MPa", "p2", "Pressure of the hold step",
            "Pressure of a second step of the hold.", "the machine";
        optional second_hold_time = 2.0 in 0.01 to 600.0, "t_h2", "s", "t2", "Time of the hold step",
            "How long that step lasts.", "the machine";
        optional cooling_time = 10.0 in 0.0 to 1200.0, "t_c", "s", "tc", "Cooling time",
            "From the end of the hold until the mould opens.", "the machine";
        optional switch_over = 98.0 in 50.0 to 100.0, "u_s", "%", "us", "Switch-over",
            "Share of the volume that is filled at the set rate. Left out, that of the scenario.", "the machine";
        optional pressure_limit = 100.0 in 0.01 to 400.0, "p_l", "MPa", "pl", "Pressure limit",
            "Greatest injection pressure set for this shot, as for a short shot. Left out, the machine's own.", "the machine";
        count repeats = 1.0 in 1.0 to 1000.0, "N", "", "N", "Repeats",
            "Shots whose mean this is.", "the log";
        count coolant = 0.0 in 0.0 to 1.0, "k", "", "k", "Mould is the coolant’s",
            "1 if the mould temperature is the set point of the coolant, 0 if it is that of the steel.", "the log";
        count used = 0.0 in 0.0 to 1.0, "c", "", "c", "In the calibration",
            "1 if the feedstock has been calibrated with it already: no shot is used twice.", "the log";
        optional flash = 1.0 in 0.0 to 1.0, "f", "", "f", "Flash",
            "1 if flash was seen, 0 if not; left out where nobody looked.", "seen";
        optional sink = 1.0 in 0.0 to 1.0, "s", "", "s", "Sink",
            "1 if a sink or a void was seen, 0 if not.", "seen";
        optional peak_pressure = 80.0 in 0.01 to 400.0, "p", "MPa", "p", "Peak pressure",
            "Greatest injection pressure that the machine showed.", "read";
        optional switch_pressure = 70.0 in 0.01 to 400.0, "p_s", "MPa", "ps", "Switch-over pressure",
            "Injection pressure at the switch-over.", "read";
        optional cavity_pressure = 40.0 in 0.01 to 400.0, "p_c", "MPa", "pc", "Cavity pressure",
            "Greatest pressure of the sensor in the cavity.", "read";
        optional filled = 80.0 in 1.0 to 100.0, "u", "%", "u", "Filled share",
            "Share of the whole path that a short shot filled, by weight.", "read";
        optional part_mass = 10.0 in 0.0001 to 100000.0, "m", "g", "m", "Part mass",
            "Mass of all green parts of the shot, without sprue and runners.", "weighed";
        optional part_temperature = 55.0 in 0.0 to 400.0, "T_p", "°C", "Tp", "Part temperature",
            "Mean temperature of the part as the mould opens.", "read";
    }
    others {
        /// Name or number of the shot.
        name: String = String::new();
        /// Name of the section of the part at whose entry the pressure sensor is. Left out, the first one.
        sensor: Option<String> = None;
    }
}

parameters! {
    /// The trial log: what its readings are good to, and what stands between the machine and the model.
    pub struct Trials at "trials" {
        number steel_rise = 8.0 in 0.0 to 60.0, "ΔT_k", "K", "Jk", "Steel above coolant",
            "Temperature of the cavity steel above the set point of the coolant, for shots that state the coolant.", "5 to 14 K in a measured moulding";
        number pressure_loss = 0.0 in -50.0 to 100.0, "p_0", "MPa", "J0", "Pressure lost before",
            "What machine and nozzle take: pressure shown by the machine, less that of the melt at the nozzle.", "a calibration finds it";
        number mass_scale = 1.0 in 0.5 to 2.0, "f_m", "", "Jm", "Mass weighed over computed",
            "Takes up what the cavity differs in from its drawing.", "a calibration finds it";
        number pressure_error = 2.0 in 0.01 to 50.0, "σ_p", "%", "Jp", "Pressures read",
            "Standard deviation of a pressure that was read in one shot.", "0.5 to 0.7 % from shot to shot in a measured moulding; the rest is the gauge";
        number mass_error = 0.2 in 0.001 to 20.0, "σ_m", "%", "Jw", "Masses read",
            "Standard deviation of a mass that was weighed of one shot.", "0.02 to 0.1 % from shot to shot in a measured moulding";
        number temperature_error = 2.0 in 0.05 to 50.0, "σ_T", "K", "JT", "Temperatures read",
            "Standard deviation of a part temperature that was read of one shot.", "assumed; a camera reads the surface";
        number pressure_model = 3.0 in 0.0 to 100.0, "τ_p", "%", "Jq", "Model, pressures",
            "Standard deviation of computed pressures about true ones. It does not average out over repeats. A calibration widens it where the readings ask for it.", "2.8 to 5.4 % in a measured moulding";
        number mass_model = 0.3 in 0.0 to 50.0, "τ_m", "%", "Jv", "Model, masses",
            "The same of masses, after one scale.", "0.24 % in a measured moulding";
        number temperature_model = 1.0 in 0.0 to 100.0, "τ_T", "K", "JU", "Model, temperatures",
            "The same of part temperatures.", "0.6 K in a measured moulding";
        count logged = 0.0 in 0.0 to 1000.0, "N_t", "", "Jn", "Shots of the log",
            "Number of shots of the log. A link carries only this number: the log itself is in the file.", "the log";
    }
}

/// Greatest number of shots in a log.
pub const MAX_SHOTS: usize = 200;
