//! One number or four side by side: the same formula for both.
//!
//! Compilers find no lanes in the line solves of WebAssembly: there they are told of them.

use std::ops::{Add, Div, Mul, Sub};

/// What a formula is worked out with.
pub trait Number:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// The same number everywhere.
    fn all(x: f64) -> Self;
    /// The greater of two, as [`crate::order::greater`].
    fn greater(self, other: Self) -> Self;
    /// The lesser of two, likewise.
    fn lesser(self, other: Self) -> Self;
    /// `inside` where it lies between two others, 1 elsewhere.
    fn inside(self, between: [f64; 2], inside: f64) -> Self;
}

impl Number for f64 {
    #[inline(always)]
    fn all(x: f64) -> Self {
        x
    }

    #[inline(always)]
    fn greater(self, other: Self) -> Self {
        crate::order::greater(self, other)
    }

    #[inline(always)]
    fn lesser(self, other: Self) -> Self {
        crate::order::lesser(self, other)
    }

    #[inline(always)]
    fn inside(self, [low, high]: [f64; 2], inside: f64) -> Self {
        if self > low && self < high { inside } else { 1.0 }
    }
}

impl Four {
    /// Four numbers of a list from place `j` on; where it ends before, its last again.
    #[inline(always)]
    pub fn of(list: &[f64], j: usize) -> Self {
        match list.get(j..j + 4) {
            Some(four) => [four[0], four[1], four[2], four[3]].into(),
            None => Self::rest(list, j),
        }
    }

    #[inline(never)]
    fn rest(list: &[f64], j: usize) -> Self {
        std::array::from_fn(|l| list[(j + l).min(list.len() - 1)]).into()
    }

    /// Whether any of them is no number.
    #[inline(always)]
    pub fn any_missing(self) -> bool {
        let [a, b, c, d] = self.into();
        ((a + b) + (c + d)).is_nan()
    }

    /// Puts them into a list from place `j` on, or as many as there is room for.
    #[inline(always)]
    pub fn put(self, list: &mut [f64], j: usize) {
        let [a, b, c, d] = self.into();
        match list.get_mut(j..j + 4) {
            Some(four) => (four[0], four[1], four[2], four[3]) = (a, b, c, d),
            None => put_rest([a, b, c, d], &mut list[j..]),
        }
    }
}

#[inline(never)]
fn put_rest(four: [f64; 4], list: &mut [f64]) {
    let count = list.len();
    list.copy_from_slice(&four[..count]);
}

/// Σ a_j b_j.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    let count = a.len();
    let b = &b[..count];
    let (mut sums, mut j) = (Four::all(0.0), 0);
    while j + 4 <= count {
        sums = sums + Four::of(a, j) * Four::of(b, j);
        j += 4;
    }
    let [k, l, m, n] = sums.into();
    let mut sum = (k + l) + (m + n);
    while j < count {
        sum += a[j] * b[j];
        j += 1;
    }
    sum
}

/// The greatest a_j b_j, or zero.
#[inline(always)]
pub fn greatest_product(a: &[f64], b: &[f64]) -> f64 {
    let count = a.len();
    let b = &b[..count];
    let (mut most, mut j) = (Four::all(0.0), 0);
    while j + 4 <= count {
        most = most.greater(Four::of(a, j) * Four::of(b, j));
        j += 4;
    }
    let [k, l, m, n] = most.into();
    let mut most = k.greater(l).greater(m.greater(n));
    while j < count {
        most = most.greater(a[j] * b[j]);
        j += 1;
    }
    most
}

#[cfg(target_arch = "wasm32")]
pub use wasm::Four;

#[cfg(not(target_arch = "wasm32"))]
pub use array::Four;

#[cfg(target_arch = "wasm32")]
mod wasm {
    use super::{Add, Div, Mul, Number, Sub};
    use core::arch::wasm32::{
        f64x2, f64x2_add, f64x2_div, f64x2_extract_lane, f64x2_gt, f64x2_lt, f64x2_mul, f64x2_pmax,
        f64x2_pmin, f64x2_splat, f64x2_sub, v128, v128_and, v128_bitselect,
    };

    /// Four numbers.
    #[derive(Debug, Clone, Copy)]
    pub struct Four([v128; 2]);

    impl From<[f64; 4]> for Four {
        #[inline(always)]
        fn from([a, b, c, d]: [f64; 4]) -> Self {
            Self([f64x2(a, b), f64x2(c, d)])
        }
    }

    impl From<Four> for [f64; 4] {
        #[inline(always)]
        fn from(Four([a, b]): Four) -> Self {
            let (low, high) = (f64x2_extract_lane::<0>, f64x2_extract_lane::<1>);
            [low(a), high(a), low(b), high(b)]
        }
    }

    macro_rules! operator {
        ($trait:ident, $name:ident, $of_two:ident) => {
            impl $trait for Four {
                type Output = Self;
                #[inline(always)]
                fn $name(self, other: Self) -> Self {
                    Self([$of_two(self.0[0], other.0[0]), $of_two(self.0[1], other.0[1])])
                }
            }
        };
    }
    operator!(Add, add, f64x2_add);
    operator!(Sub, sub, f64x2_sub);
    operator!(Mul, mul, f64x2_mul);
    operator!(Div, div, f64x2_div);

    impl Number for Four {
        #[inline(always)]
        fn all(x: f64) -> Self {
            Self([f64x2_splat(x); 2])
        }

        #[inline(always)]
        fn greater(self, other: Self) -> Self {
            Self([f64x2_pmax(self.0[0], other.0[0]), f64x2_pmax(self.0[1], other.0[1])])
        }

        #[inline(always)]
        fn lesser(self, other: Self) -> Self {
            Self([f64x2_pmin(self.0[0], other.0[0]), f64x2_pmin(self.0[1], other.0[1])])
        }

        #[inline(always)]
        fn inside(self, [low, high]: [f64; 2], inside: f64) -> Self {
            let (low, high) = (f64x2_splat(low), f64x2_splat(high));
            let (inside, outside) = (f64x2_splat(inside), f64x2_splat(1.0));
            let [a, b] = self.0;
            let (a, b) = (
                v128_and(f64x2_gt(a, low), f64x2_lt(a, high)),
                v128_and(f64x2_gt(b, low), f64x2_lt(b, high)),
            );
            Self([v128_bitselect(inside, outside, a), v128_bitselect(inside, outside, b)])
        }
    }
}

#[cfg(not(target_arch = "wasm32"))]
mod array {
    use super::{Add, Div, Mul, Number, Sub};

    /// Four numbers.
    #[derive(Debug, Clone, Copy)]
    pub struct Four([f64; 4]);

    impl From<[f64; 4]> for Four {
        #[inline(always)]
        fn from(x: [f64; 4]) -> Self {
            Self(x)
        }
    }

    impl From<Four> for [f64; 4] {
        #[inline(always)]
        fn from(x: Four) -> Self {
            x.0
        }
    }

    impl Four {
        #[inline(always)]
        fn with(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Self {
            let mut out = [0.0; 4];
            for l in 0..4 {
                out[l] = f(self.0[l], other.0[l]);
            }
            Self(out)
        }
    }

    macro_rules! operator {
        ($trait:ident, $name:ident) => {
            impl $trait for Four {
                type Output = Self;
                #[inline(always)]
                fn $name(self, other: Self) -> Self {
                    self.with(other, f64::$name)
                }
            }
        };
    }
    operator!(Add, add);
    operator!(Sub, sub);
    operator!(Mul, mul);
    operator!(Div, div);

    impl Number for Four {
        #[inline(always)]
        fn all(x: f64) -> Self {
            Self([x; 4])
        }

        #[inline(always)]
        fn greater(self, other: Self) -> Self {
            self.with(other, crate::order::greater)
        }

        #[inline(always)]
        fn lesser(self, other: Self) -> Self {
            self.with(other, crate::order::lesser)
        }

        #[inline(always)]
        fn inside(self, between: [f64; 2], inside: f64) -> Self {
            self.with(self, |x, _| x.inside(between, inside))
        }
    }
}
