//! Thresholds of the limits that bound the window.

use crate::catalogue::parameters;

parameters! {
    /// Where each limit of the window lies.
    pub struct Thresholds at "limits" {
        number pressure_use = 90.0 in 1.0 to 100.0, "u_p", "%", "up", "Usable share of the injection pressure",
            "Share of the greatest injection pressure that filling may need; the rest is reserve for scatter.", "common practice";
        number rate_use = 90.0 in 1.0 to 100.0, "u_Q", "%", "uQ", "Usable share of the injection rate",
            "Share of the greatest injection rate that filling may need.", "common practice";
        number clamp_use = 85.0 in 1.0 to 100.0, "u_F", "%", "uF", "Usable share of the clamp force",
            "Share of the clamp force that the opening force may reach.", "common practice";
        number shot_share = 20.0 in 0.0 to 100.0, "u_V", "%", "uV", "Least share of the greatest shot",
            "Least volume of sprue, runners and parts, as a share of the machine's greatest shot; 0 asks for none.", "20 to 80 %, common practice";
        number melt_reserve = 5.0 in 0.0 to 200.0, "ΔT_m", "K", "dm", "Reserve above melting",
            "How far the melt temperature must be above the temperature at which all of the binder has melted.", "0 to 10 K, common practice";
        number viscosity = 1000.0 in 0.1 to 1000000.0, "η_s", "Pa·s", "es", "Greatest viscosity on the path",
            "Greatest viscosity at the melt temperature, in the section of the lowest shear rate. Below about 100 Pa·s a feedstock flows well; 1000 Pa·s is the customary ceiling.", "common practice";
        number loading_gap = 2.0 in 0.0 to 20.0, "Δφ", "vol%", "dphi", "Distance to the critical loading",
            "How far the solids loading must stay below the critical loading.", "2 to 5 vol%, common practice";
        number gate_grains = 10.0 in 0.0 to 1000.0, "N_g", "", "ng", "Grains over the gate depth",
            "Least depth of the gate, as a multiple of the particle size d₉₀.", "10, common practice";
        number gate_wall = 100.0 in 1.0 to 1000.0, "u_g", "%", "ug", "Greatest gate depth over the wall",
            "Greatest thickness of the gate where the melt leaves it, as a share of the thickness behind it.", "50 to 80 % is usual, from memory; above 100 % the gate freezes after its wall";
        number shear_rate = 100000.0 in 1.0 to 100000000.0, "γ̇_s", "1/s", "gs", "Greatest shear rate before separation",
            "Greatest apparent wall shear rate (6Q/wh², 4Q/πR³) anywhere along the path.", "shear rates 1e2 to 1e5 1/s, from memory";
        number jet_speed = 3.0 in 0.001 to 1000.0, "v_J", "m/s", "vj", "Greatest speed before jetting",
            "Greatest v (1 − B h_g/h_s): mean velocity in a gate, times the share of the thickness behind it that the swollen strand leaves open.", "assumed, no published value found; find your own by trial";
        number wall_stress = 0.5 in 0.001 to 100.0, "τ_w", "MPa", "tw", "Greatest wall stress",
            "Greatest shear stress at the wall of parts, at the melt temperature.", "slip and fracture begin at 0.1 to 0.5 MPa, from memory";
        number migration = 0.5 in 0.001 to 1000.0, "M", "", "mg", "Greatest migration",
            "Greatest (a/H)² γ̇ t, summed along the path: radius a of a grain of size d₉₀, half gap H, shear rate γ̇, time t under shear.", "order of magnitude, from memory";
        number air_pressure = 0.3 in 0.11 to 10.0, "p_a", "MPa", "pa", "Greatest air pressure",
            "Greatest absolute pressure of the air that the melt drives out.", "adiabatic, three times ambient heats air from 40 to 155 °C; closed form";
        number binder_loss = 1.0 in 0.001 to 50.0, "X_b", "%", "xb", "Greatest loss of binder",
            "Greatest share of the binder's mass that may decompose in barrel and mould.", "1 %, common practice";
        number cold_front_reserve = 30.0 in 0.0 to 200.0, "ΔT_f", "K", "df", "Reserve above a cold front",
            "How far the flow front must stay above the no-flow temperature, so that fronts still weld.", "common practice";
        number weld_reserve = 25.0 in 0.0 to 200.0, "ΔT_w", "K", "dw", "Reserve of a weld line",
            "How far the colder of two fronts must be above the no-flow temperature where they meet.", "common practice";
        number hold_cover = 130.0 in 0.0 to 500.0, "u_h", "%", "uh", "Hold time over gate freeze",
            "Shortest hold time, as a share of the time that the last gate takes to freeze; 0 asks for none. If the pressure is released too soon after gate freeze, the melt opens the gate again.", "gate freeze and a reserve, common practice";
        number residual_pressure = 15.0 in 0.0 to 400.0, "p_r", "MPa", "pr", "Greatest residual pressure",
            "Greatest mean pressure left in the part when the mould opens. Above it, the part sticks or cracks on ejection.", "common practice; find your own by trial";
        number soft_loss = 0.5 in 0.0 to 20.0, "S_s", "%", "Ss", "Greatest loss while soft",
            "Greatest loss of volume of what is still soft and can no longer be fed, over the worst 10 % of the part. Above it, sinks and voids show.", "judgement: 0.01 mm of a wall of 2 mm; find your own by trial";
        number water_rise = 3.0 in 0.1 to 50.0, "ΔT_c", "K", "dc", "Greatest rise of the cooling water",
            "Greatest rise of the water temperature through the mould.", "3 to 5 K, common practice";
    }
}
