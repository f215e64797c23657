//! The quantities of a table of readings, with their headers and units.

/// A measured quantity that a column can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "each is named by its header")]
pub enum Quantity {
    Temperature,
    DieDiameter,
    DieRadius,
    DieLength,
    DieRatio,
    FlowRate,
    PistonSpeed,
    BarrelDiameter,
    Pressure,
    ApparentRate,
    ShearRate,
    ShearStress,
    Viscosity,
    RelativeViscosity,
    Loading,
    Density,
    Torque,
    HeatFlow,
    HeatCapacity,
    Time,
    Hold,
    Ramp,
    Wall,
    Rod,
    MassLoss,
    RelativeDensity,
    Cavity,
    Green,
    Sintered,
    Along,
    Upright,
}

/// A unit: its spelling without spaces, dots and raised digits, and value in SI = factor × value + offset.
pub type Unit = (&'static str, f64, f64);

/// A unit as read: its spelling and its conversion to SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// The spelling.
    pub text: String,
    /// Factor of the conversion.
    pub factor: f64,
    /// Added after that.
    pub offset: f64,
}

const LENGTH: &[Unit] = &[("mm", 1e-3, 0.0), ("cm", 1e-2, 0.0), ("m", 1.0, 0.0), ("µm", 1e-6, 0.0)];
const PRESSURE: &[Unit] =
    &[("MPa", 1e6, 0.0), ("bar", 1e5, 0.0), ("kPa", 1e3, 0.0), ("Pa", 1.0, 0.0), ("psi", 6894.757, 0.0)];
const RATE: &[Unit] = &[("1/s", 1.0, 0.0), ("/s", 1.0, 0.0), ("s-1", 1.0, 0.0), ("1/min", 1.0 / 60.0, 0.0)];
const VISCOSITY: &[Unit] =
    &[("Pas", 1.0, 0.0), ("kPas", 1e3, 0.0), ("mPas", 1e-3, 0.0), ("P", 0.1, 0.0), ("cP", 1e-3, 0.0)];

/// A quantity that a column of a table can hold.
pub trait Measured: Copy + PartialEq + 'static {
    /// Recommended header.
    fn header(self) -> &'static str;

    /// Names accepted in a header, in lower case.
    fn names(self) -> &'static [&'static str];

    /// Units accepted, with their conversion; empty for a pure number.
    fn units(self) -> &'static [Unit];

    /// The value of a cell that holds a word, such as `yes`.
    fn word(self, _cell: &str) -> Option<f64> {
        None
    }

    /// Whether its cells are texts.
    fn is_text(self) -> bool {
        false
    }

    /// What helps with a unit that is not known, as a further sentence.
    fn hint(self, _unit: &str) -> &'static str {
        ""
    }

    /// The units accepted, in words.
    fn units_text(self) -> String {
        let names: Vec<&str> = self.units().iter().map(|unit| unit.0).collect();
        names.join(", ")
    }

    /// The scale of a unit as spelt, if this quantity can be given in it.
    fn scale(self, text: &str) -> Option<Scale> {
        let spelt = plain(text);
        let exact = self.units().iter().find(|unit| unit.0 == spelt);
        let found = exact.or_else(|| {
            // Capitals may slip, but never between milli and mega.
            let low = lowered(&spelt);
            let milli_or_mega = low.starts_with('m');
            let same = |unit: &&Unit| lowered(unit.0) == low && !milli_or_mega;
            self.units().iter().find(same)
        })?;
        Some(Scale { text: found.0.to_owned(), factor: found.1, offset: found.2 })
    }

    /// Which of `wanted` a header names, and the unit text it gives.
    fn of_header(header: &str, wanted: &[Self]) -> Option<(Self, Option<String>)> {
        let (name, unit) = split_unit(header);
        let name = lowered(name).replace(['_', '-'], " ");
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let unchanged = lowered(header.trim());
        let quantity = wanted
            .iter()
            .find(|q| q.names().contains(&name.as_str()) || q.names().contains(&unchanged.as_str()))?;
        Some((*quantity, unit))
    }
}

impl Measured for Quantity {
    fn header(self) -> &'static str {
        match self {
            Self::Temperature => "temperature [°C]",
            Self::DieDiameter => "die diameter [mm]",
            Self::DieRadius => "die radius [mm]",
            Self::DieLength => "die length [mm]",
            Self::DieRatio => "L/D",
            Self::FlowRate => "flow rate [mm³/s]",
            Self::PistonSpeed => "piston speed [mm/s]",
            Self::BarrelDiameter => "barrel diameter [mm]",
            Self::Pressure => "pressure [MPa]",
            Self::ApparentRate => "apparent shear rate [1/s]",
            Self::ShearRate => "shear rate [1/s]",
            Self::ShearStress => "shear stress [kPa]",
            Self::Viscosity => "viscosity [Pa·s]",
            Self::RelativeViscosity => "relative viscosity",
            Self::Loading => "loading [vol%]",
            Self::Density => "density [g/cm³]",
            Self::Torque => "torque [N·m]",
            Self::HeatFlow => "heat flow [W/g]",
            Self::HeatCapacity => "heat capacity [J/gK]",
            Self::Time => "time [h]",
            Self::Hold => "hold [min]",
            Self::Ramp => "ramp [K/min]",
            Self::Wall => "wall [mm]",
            Self::Rod => "rod [mm]",
            Self::MassLoss => "mass loss [%]",
            Self::RelativeDensity => "density [%]",
            Self::Cavity => "cavity [mm]",
            Self::Green => "green [mm]",
            Self::Sintered => "sintered [mm]",
            Self::Along => "along",
            Self::Upright => "upright",
        }
    }

    fn names(self) -> &'static [&'static str] {
        match self {
            Self::Temperature => &["temperature", "temp", "temp.", "melt temperature", "t"],
            Self::DieDiameter => &["die diameter", "capillary diameter", "diameter", "d"],
            Self::DieRadius => &["die radius", "capillary radius", "radius", "r"],
            Self::DieLength => &["die length", "capillary length", "length", "l"],
            Self::DieRatio => &["l/d", "l/d ratio", "length/diameter"],
            Self::FlowRate => {
                &["flow rate", "flow", "volume flow", "volume flow rate", "volumetric flow rate", "q"]
            }
            Self::PistonSpeed => {
                &["piston speed", "ram speed", "plunger speed", "piston velocity", "ram velocity"]
            }
            Self::BarrelDiameter => &["barrel diameter", "piston diameter", "bore", "barrel bore"],
            Self::Pressure => &["pressure", "pressure drop", "entry pressure", "p", "δp", "dp"],
            Self::ApparentRate => &["apparent shear rate", "apparent rate"],
            Self::ShearRate => &["shear rate", "true shear rate", "wall shear rate", "rate"],
            Self::ShearStress => &["shear stress", "wall shear stress", "stress", "tau", "τ"],
            Self::Viscosity => {
                &["viscosity", "true viscosity", "shear viscosity", "apparent viscosity", "eta", "η"]
            }
            Self::RelativeViscosity => &["relative viscosity", "eta_r", "ηr"],
            Self::Loading => &["loading", "solids loading", "powder loading", "solid loading", "phi", "φ"],
            Self::Density => &["density", "mixture density", "rho", "ρ"],
            Self::Torque => &["torque", "mixing torque", "m"],
            Self::HeatFlow => &["heat flow", "heatflow", "dsc", "dsc signal", "signal"],
            Self::HeatCapacity => &["heat capacity", "apparent heat capacity", "specific heat", "cp"],
            Self::Time => &["time", "t"],
            Self::Hold => &["hold", "hold time", "holding time", "dwell"],
            Self::Ramp => &["ramp", "heating rate", "rate"],
            Self::Wall => &["wall", "wall thickness", "thickness"],
            Self::Rod => &["rod", "rod diameter", "diameter"],
            Self::MassLoss => &["mass loss", "loss", "weight loss"],
            Self::RelativeDensity => &["density", "relative density", "sintered density"],
            Self::Cavity => &["cavity", "cavity size", "mould"],
            Self::Green => &["green", "green size"],
            Self::Sintered => &["sintered", "sintered size", "final"],
            Self::Along => &["along", "along the flow"],
            Self::Upright => &["upright", "vertical"],
        }
    }

    /// Units accepted, with their conversion to SI; empty for a pure number. A heat flow is in W/kg, or in W of the whole
    /// sample.
    fn units(self) -> &'static [Unit] {
        match self {
            Self::Temperature => &[("°C", 1.0, 273.15), ("K", 1.0, 0.0), ("C", 1.0, 273.15)],
            Self::DieDiameter | Self::DieRadius | Self::DieLength | Self::BarrelDiameter => LENGTH,
            Self::FlowRate => &[
                ("mm3/s", 1e-9, 0.0),
                ("cm3/s", 1e-6, 0.0),
                ("m3/s", 1.0, 0.0),
                ("ml/s", 1e-6, 0.0),
                ("mm3/min", 1e-9 / 60.0, 0.0),
                ("cm3/min", 1e-6 / 60.0, 0.0),
                ("ml/min", 1e-6 / 60.0, 0.0),
            ],
            Self::PistonSpeed => {
                &[("mm/s", 1e-3, 0.0), ("mm/min", 1e-3 / 60.0, 0.0), ("m/s", 1.0, 0.0), ("cm/s", 1e-2, 0.0)]
            }
            Self::Pressure | Self::ShearStress => PRESSURE,
            Self::ApparentRate | Self::ShearRate => RATE,
            Self::Viscosity => VISCOSITY,
            Self::Loading => &[("vol%", 1e-2, 0.0), ("%", 1e-2, 0.0), ("-", 1.0, 0.0), ("1", 1.0, 0.0)],
            Self::Density => &[("kg/m3", 1.0, 0.0), ("g/cm3", 1e3, 0.0), ("g/ml", 1e3, 0.0)],
            Self::Torque => &[("Nm", 1.0, 0.0), ("mNm", 1e-3, 0.0), ("Ncm", 1e-2, 0.0)],
            Self::HeatFlow => &[
                ("W/g", 1e3, 0.0),
                ("mW/mg", 1e3, 0.0),
                ("mW/g", 1.0, 0.0),
                ("W/kg", 1.0, 0.0),
                ("mW", 1e-3, 0.0),
            ],
            Self::HeatCapacity => {
                &[("J/gK", 1e3, 0.0), ("J/(gK)", 1e3, 0.0), ("kJ/kgK", 1e3, 0.0), ("J/kgK", 1.0, 0.0)]
            }
            Self::Time | Self::Hold => &[("h", 3600.0, 0.0), ("min", 60.0, 0.0), ("s", 1.0, 0.0)],
            Self::Ramp => &[
                ("K/min", 1.0 / 60.0, 0.0),
                ("°C/min", 1.0 / 60.0, 0.0),
                ("K/h", 1.0 / 3600.0, 0.0),
                ("K/s", 1.0, 0.0),
            ],
            Self::Wall | Self::Rod | Self::Cavity | Self::Green | Self::Sintered => LENGTH,
            Self::MassLoss | Self::RelativeDensity => &[("%", 1e-2, 0.0), ("-", 1.0, 0.0), ("1", 1.0, 0.0)],
            Self::DieRatio | Self::RelativeViscosity | Self::Along | Self::Upright => &[],
        }
    }

    fn hint(self, unit: &str) -> &'static str {
        let by_weight = self == Self::Loading && unit.to_ascii_lowercase().contains('w');
        if by_weight { " A share by weight has to be converted first." } else { "" }
    }
}

/// Splits `pressure \[MPa\]`, `pressure (MPa)` or `p / MPa` into name and unit.
fn split_unit(header: &str) -> (&str, Option<String>) {
    let header = header.trim();
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let (Some(start), Some(end)) = (header.find(open), header.rfind(close))
            && start < end
        {
            return (header[..start].trim(), Some(header[start + 1..end].trim().to_owned()));
        }
    }
    match header.split_once(" / ") {
        Some((name, unit)) => (name.trim(), Some(unit.trim().to_owned())),
        None => (header, None),
    }
}

/// Latin and Greek letters in lower case, which names and units use. The standard library covers every script, with
/// tables that would make the page heavier.
fn lowered(text: &str) -> String {
    let greek = |c: char| char::from_u32(u32::from(c) + 0x20).unwrap_or(c);
    text.chars().map(|c| if ('Α'..='Ω').contains(&c) { greek(c) } else { c.to_ascii_lowercase() }).collect()
}

/// A unit in one spelling: no spaces, dots, carets or raised digits.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.trim().chars() {
        match c {
            ' ' | '\u{a0}' | '\u{202f}' | '·' | '⋅' | '.' | '*' | '^' => {}
            '³' => out.push('3'),
            '⁻' | '−' => out.push('-'),
            '¹' => out.push('1'),
            // A degree sign of an older encoding, read as UTF-8.
            'º' | '˚' | '\u{fffd}' => out.push('°'),
            'μ' => out.push('µ'),
            c => out.push(c),
        }
    }
    match out.as_str() {
        "degC" | "℃" | "Celsius" | "celsius" => "°C".to_owned(),
        "%vol" | "vol-%" | "Vol%" | "Vol-%" | "v%" => "vol%".to_owned(),
        "um" => "µm".to_owned(),
        _ => out,
    }
}
