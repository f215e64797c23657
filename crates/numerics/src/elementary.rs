//! Exponentials, logarithms and powers, the same to the last bit on every machine.
//!
//! The standard library takes these functions from the platform, and the platforms differ in the last
//! bit. An iteration that is near its bound, or a fill that is about to stall, can turn that bit into
//! per cents. With these functions the page and the command line do the same arithmetic and give the same
//! numbers. All other operations that the core uses are exactly rounded by IEEE 754.

/// Functions of a real number by the crate `libm`, which is a port of musl's.
pub trait Elementary {
    /// eˣ.
    fn exponential(self) -> f64;
    /// eˣ − 1, exact for small x.
    fn exponential_m1(self) -> f64;
    /// ln x.
    fn logarithm(self) -> f64;
    /// ln(1 + x), exact for small x.
    fn logarithm_1p(self) -> f64;
    /// xʸ.
    fn power(self, exponent: f64) -> f64;
    /// The cube root.
    fn cube_root(self) -> f64;
    /// The sine of an angle in radians.
    fn sine(self) -> f64;
    /// The cosine of an angle in radians.
    fn cosine(self) -> f64;
    /// √(x² + y²).
    fn hypotenuse(self, other: f64) -> f64;
    /// The complementary error function, 2/√π ∫ₓ^∞ exp(−t²) dt.
    fn error_beyond(self) -> f64;
}

impl Elementary for f64 {
    #[inline]
    fn exponential(self) -> f64 {
        libm::exp(self)
    }

    #[inline]
    fn exponential_m1(self) -> f64 {
        libm::expm1(self)
    }

    #[inline]
    fn logarithm(self) -> f64 {
        libm::log(self)
    }

    #[inline]
    fn logarithm_1p(self) -> f64 {
        libm::log1p(self)
    }

    #[inline]
    fn power(self, exponent: f64) -> f64 {
        libm::pow(self, exponent)
    }

    #[inline]
    fn cube_root(self) -> f64 {
        libm::cbrt(self)
    }

    #[inline]
    fn sine(self) -> f64 {
        libm::sin(self)
    }

    #[inline]
    fn cosine(self) -> f64 {
        libm::cos(self)
    }

    #[inline]
    fn hypotenuse(self, other: f64) -> f64 {
        libm::hypot(self, other)
    }

    #[inline]
    fn error_beyond(self) -> f64 {
        libm::erfc(self)
    }
}
