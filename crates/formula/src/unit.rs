//! Units of the trade, with their factors to SI and their dimensions.

/// Exponents of metre, kilogram, second, kelvin and mole. They need not be whole: a consistency is in Pa·sⁿ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimension(pub [f64; 5]);

/// Exponents closer than this are equal.
const SAME: f64 = 1e-9;

impl Dimension {
    /// The dimension of a pure number.
    pub const NONE: Self = Self([0.0; 5]);

    /// The dimension of a product with a power of another.
    pub fn times(self, other: Self, power: f64) -> Self {
        Self(std::array::from_fn(|i| self.0[i] + power * other.0[i]))
    }

    /// Whether two dimensions are the same.
    pub fn is(self, other: Self) -> bool {
        (0..5).all(|i| (self.0[i] - other.0[i]).abs() < SAME)
    }
}

/// A unit: its sign, its factor and offset to SI, value(SI) = (value + offset)·factor, and its dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// How it is written; empty for a pure number.
    pub sign: &'static str,
    factor: f64,
    offset: f64,
    /// Its dimension.
    pub dimension: Dimension,
}

impl Unit {
    /// A unit of so many SI units.
    pub const fn new(sign: &'static str, factor: f64, dimension: [f64; 5]) -> Self {
        Self { sign, factor, offset: 0.0, dimension: Dimension(dimension) }
    }

    /// The SI value of a value in this unit.
    pub fn to_si(self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// The value in this unit of a value in SI.
    pub fn of_si(self, value: f64) -> f64 {
        value / self.factor - self.offset
    }
}

macro_rules! units {
    ($($name:ident $sign:literal $factor:literal $dimension:expr;)*) => {
        $(#[doc = concat!("The unit “", $sign, "”.")] pub const $name: Unit = Unit::new($sign, $factor, $dimension);)*

        /// Every unit by its sign; that of a pure number is empty. Units whose dimension depends on a number are not in it.
        pub const ALL: &[Unit] = &[$($name,)* CELSIUS];
    };
}

const M: [f64; 5] = [1.0, 0.0, 0.0, 0.0, 0.0];
const PRESSURE: [f64; 5] = [-1.0, 1.0, -2.0, 0.0, 0.0];

units! {
    PURE "" 1.0 [0.0; 5];
    PERCENT "%" 0.01 [0.0; 5];
    VOLUME_PERCENT "vol%" 0.01 [0.0; 5];
    METRE "m" 1.0 M;
    MM "mm" 1e-3 M;
    MICROMETRE "µm" 1e-6 M;
    CM2 "cm²" 1e-4 [2.0, 0.0, 0.0, 0.0, 0.0];
    MM2 "mm²" 1e-6 [2.0, 0.0, 0.0, 0.0, 0.0];
    CM3 "cm³" 1e-6 [3.0, 0.0, 0.0, 0.0, 0.0];
    UM2 "µm²" 1e-12 [2.0, 0.0, 0.0, 0.0, 0.0];
    HOUR "h" 3600.0 [0.0, 0.0, 1.0, 0.0, 0.0];
    SECOND "s" 1.0 [0.0, 0.0, 1.0, 0.0, 0.0];
    PER_SECOND "1/s" 1.0 [0.0, 0.0, -1.0, 0.0, 0.0];
    M_S "m/s" 1.0 [1.0, 0.0, -1.0, 0.0, 0.0];
    CM3_S "cm³/s" 1e-6 [3.0, 0.0, -1.0, 0.0, 0.0];
    L_MIN "L/min" 1.666_666_666_666_666_7e-5 [3.0, 0.0, -1.0, 0.0, 0.0];
    UM2_S "µm²/s" 1e-12 [2.0, 0.0, -1.0, 0.0, 0.0];
    MM_H "mm/h" 2.777_777_777_777_777_8e-7 [1.0, 0.0, -1.0, 0.0, 0.0];
    MM2_S "mm²/s" 1e-6 [2.0, 0.0, -1.0, 0.0, 0.0];
    GRAM "g" 1e-3 [0.0, 1.0, 0.0, 0.0, 0.0];
    KG_M3 "kg/m³" 1.0 [-3.0, 1.0, 0.0, 0.0, 0.0];
    KG_M3S "kg/m³s" 1.0 [-3.0, 1.0, -1.0, 0.0, 0.0];
    G_MOL "g/mol" 1e-3 [0.0, 1.0, 0.0, 0.0, -1.0];
    PASCAL "Pa" 1.0 PRESSURE;
    KPA "kPa" 1e3 PRESSURE;
    MPA "MPa" 1e6 PRESSURE;
    PER_GPA "1/GPa" 1e-9 [1.0, -1.0, 2.0, 0.0, 0.0];
    UPA_S "µPa·s" 1e-6 [-1.0, 1.0, -1.0, 0.0, 0.0];
    PA_S "Pa·s" 1.0 [-1.0, 1.0, -1.0, 0.0, 0.0];
    KN "kN" 1e3 [1.0, 1.0, -2.0, 0.0, 0.0];
    KELVIN "K" 1.0 [0.0, 0.0, 0.0, 1.0, 0.0];
    K_MIN "K/min" 0.016_666_666_666_666_666 [0.0, 0.0, -1.0, 1.0, 0.0];
    S_K "s/K" 1.0 [0.0, 0.0, 1.0, -1.0, 0.0];
    EXPANSION "1e-4/K" 1e-4 [0.0, 0.0, 0.0, -1.0, 0.0];
    WATT "W" 1.0 [2.0, 1.0, -3.0, 0.0, 0.0];
    JOULE "J" 1.0 [2.0, 1.0, -2.0, 0.0, 0.0];
    W_MK "W/mK" 1.0 [1.0, 1.0, -3.0, -1.0, 0.0];
    W_M2K "W/m²K" 1.0 [0.0, 1.0, -3.0, -1.0, 0.0];
    J_KGK "J/kgK" 1.0 [2.0, 0.0, -2.0, -1.0, 0.0];
    KJ_KG "kJ/kg" 1e3 [2.0, 0.0, -2.0, 0.0, 0.0];
    MJ_M3K "MJ/m³K" 1e6 [-1.0, 1.0, -2.0, -1.0, 0.0];
    KJ_MOL "kJ/mol" 1e3 [2.0, 1.0, -2.0, 0.0, -1.0];
    J_MOLK "J/molK" 1.0 [2.0, 1.0, -2.0, -1.0, -1.0];
}

/// The unit “°C”, a temperature. The difference of two is in kelvin.
pub const CELSIUS: Unit = Unit { offset: 273.15, ..Unit { sign: "°C", ..KELVIN } };

/// The unit of a consistency, Pa·sⁿ, with the exponent n.
pub const fn consistency(n: f64) -> Unit {
    Unit::new("Pa·sⁿ", 1.0, [-1.0, 1.0, -2.0 + n, 0.0, 0.0])
}

/// The unit of a sign.
pub fn named(sign: &str) -> Option<Unit> {
    ALL.iter().copied().find(|unit| unit.sign == sign)
}
