//! What surrounds the mould: the route, the screw, ejection, mixing and the user's own prices.

use crate::catalogue::parameters;

parameters! {
    /// What the plan needs beside the moulding. Most of it is left out until it is known; what is left out is not computed,
    /// and no price has a default.
    pub struct Planning at "plan" {
        optional pieces = 20000.0 in 1.0 to 1000000000.0, "N_a", "1/a", "Pn", "Parts a year",
            "Good parts that are wanted in a year.", "the order";
        count undercuts = 0.0 in 0.0 to 1000.0, "N_u", "", "Pu", "Undercuts",
            "Features of the part that a punch moving along one axis cannot form.", "the drawing";
        optional pressed_height = 10.0 in 0.01 to 5000.0, "H", "mm", "PH", "Height as pressed",
            "Height of a compact along the axis of the press, at the end of pressing.", "the drawing, larger by the shrinkage of sintering";
        optional pressed_width = 10.0 in 0.01 to 5000.0, "D", "mm", "PD", "Width as pressed",
            "Diameter of the compact across that axis, or four times the area over the perimeter of another section.", "the drawing, larger by the shrinkage of sintering";
        number wall_friction = 0.15 in 0.001 to 2.0, "µk", "", "Pk", "Friction times side pressure",
            "Coefficient of friction at the die wall, times the ratio of the pressure on it to the pressure along the axis.", "0.1 to 0.2 with lubricant, from memory";
        number pressed_density = 60.0 in 10.0 to 99.0, "ρ_0", "%", "Pr", "Density at the punch",
            "Density of the compact at the moving punch, relative to that of the solid.", "granulated ceramics 50 to 60, metal powders 70 to 90 %, from memory";
        number density_slope = 12.0 in 0.0 to 60.0, "b", "%", "Pb", "Density from ten times the pressure",
            "By how much the relative density rises when the pressure rises to ten times.", "granulated ceramics about 10, metal powders 20 to 25 %, from memory; measure two pressures";
        optional screw_diameter = 18.0 in 2.0 to 300.0, "D_s", "mm", "Ps", "Diameter of the screw",
            "Diameter of the screw or plunger that injects.", "the machine's data sheet";
        optional screw_length = 20.0 in 0.0 to 60.0, "L/D", "", "Pl", "Length of the screw in diameters",
            "0 for a plunger, which melts and injects without mixing.", "about 20 for feedstocks, from memory";
        number cushion = 7.0 in 0.0 to 60.0, "u_c", "%", "Pc", "Cushion",
            "Melt that stays before the screw after the hold, as a share of the stroke.", "5 to 10 %, common practice";
        optional core_radius = 5.0 in 0.05 to 1000.0, "r_c", "mm", "Cr", "Radius of a core",
            "Radius of the core on which the part shrinks.", "the drawing of the mould";
        optional core_length = 10.0 in 0.05 to 2000.0, "L_c", "mm", "Cl", "Length of a core",
            "Length of the core inside the part.", "the drawing of the mould";
        optional core_wall = 1.5 in 0.05 to 200.0, "t_c", "mm", "Cw", "Wall around a core",
            "Thickness of the wall around the core. Left out, the thickest wall of the part.", "the drawing of the mould";
        count cores = 1.0 in 1.0 to 1000.0, "N_c", "", "Cn", "Cores of one part",
            "Cores like this one in one part.", "the drawing of the mould";
        number draft = 0.5 in 0.0 to 30.0, "α", "°", "Ca", "Draft",
            "Angle of the core's flank to the direction of ejection.", "0.5 to 2°, common practice";
        number ejection_friction = 0.2 in 0.0 to 2.0, "µ", "", "Cf", "Friction on the core",
            "Coefficient of friction of the green part on the steel.", "0.1 to 0.4, from memory";
        number green_modulus = 4.0 in 0.01 to 200.0, "E", "GPa", "CE", "Modulus of the green part",
            "Young's modulus of the green part at ejection.", "a few GPa, from memory";
        number contraction = 0.4 in 0.0 to 5.0, "ε", "%", "Cc", "Contraction on the core",
            "Linear contraction between the time the part grips the core and ejection.", "0.3 to 0.6 %, from memory";
        number green_strength = 8.0 in 0.01 to 500.0, "R_g", "MPa", "CR", "Strength of the green part",
            "Strength of the green part at ejection.", "5 to 20 MPa in bending, from memory; measure bars";
        optional pins = 4.0 in 1.0 to 1000.0, "N_p", "", "Cp", "Ejector pins of one part",
            "Pins that push one part out.", "the drawing of the mould";
        optional pin_diameter = 2.0 in 0.1 to 200.0, "d_p", "mm", "Cd", "Diameter of a pin",
            "Diameter of an ejector pin.", "the drawing of the mould";
        optional mixer_volume = 5.0 in 0.001 to 10000.0, "V_x", "L", "Mv", "Volume of the mixer",
            "Free volume of the mixing chamber.", "the mixer's data sheet";
        number mixer_fill = 70.0 in 1.0 to 100.0, "u_x", "%", "Mf", "Fill of the mixer",
            "Share of the mixer's volume that the hot batch takes.", "65 to 80 %, common practice";
        optional mixing_temperature = 170.0 in 20.0 to 450.0, "T_x", "°C", "MT", "Mixing temperature",
            "Temperature of the batch in the mixer.", "the binder";
        number mixing_time = 60.0 in 1.0 to 6000.0, "t_x", "min", "Mt", "Mixing time",
            "Time of the batch at that temperature.", "30 to 120 min, common practice";
        number torque_change = 1.0 in 0.01 to 50.0, "Δ_M", "%", "Mc", "Change of a settled torque",
            "Mixing has ended when the torque changes by less than this share in a minute.", "your choice";
        number regrind = 0.0 in 0.0 to 99.0, "r", "%", "Mr", "Regrind",
            "Share of each shot that is ground sprues and runners.", "up to what sprues and runners give, common practice";
        optional feedstock_price = 30.0 in 0.0 to 1000000000.0, "c_f", "1/kg", "cF", "Price of the feedstock",
            "In your own currency for each kilogram.", "your own";
        optional machine_price = 40.0 in 0.0 to 1000000000.0, "c_h", "1/h", "cM", "Price of a moulding hour",
            "Machine and operator, in your own currency.", "your own";
        optional furnace_price = 500.0 in 0.0 to 1000000000.0, "c_r", "", "cR", "Price of a furnace run",
            "Debinding and sintering of one load, in your own currency.", "your own";
        optional furnace_load = 2000.0 in 1.0 to 1000000000.0, "N_L", "", "cL", "Parts in a furnace run",
            "Parts in one load of the furnace.", "your own";
        optional finishing_price = 0.2 in 0.0 to 1000000000.0, "c_e", "", "cE", "Price of finishing a part",
            "Everything after the furnace for one part, in your own currency.", "your own";
        optional mould_price = 15000.0 in 0.0 to 1000000000000.0, "C_t", "", "cT", "Price of the mould",
            "In your own currency. It is shared by the parts of a year.", "your own";
        optional good_share = 95.0 in 1.0 to 100.0, "y", "%", "cY", "Good parts",
            "Share of the moulded parts that are sold.", "your own";
        optional other_price = 2.0 in 0.0 to 1000000000.0, "c_o", "", "cO", "Price by the other route",
            "Each part by the route compared with, without its tool, in your own currency.", "your own";
        optional other_tool = 5000.0 in 0.0 to 1000000000000.0, "C_o", "", "cU", "Tool of the other route",
            "In your own currency.", "your own";
        optional hours = 4000.0 in 1.0 to 8784.0, "t_a", "h", "cH", "Moulding hours a year",
            "Hours in a year in which the machine may mould this part.", "your own";
    }
}
