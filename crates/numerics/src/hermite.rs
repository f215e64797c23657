//! Tables of cubic Hermite pieces on equal steps.

use crate::intervals;
use crate::lanes::{Four, Number};

/// Coefficients of a cubic in t from 0 to 1, the constant first.
pub type Cubic = [f64; 4];

/// The cubic from value `a` to `b` with slopes `da` and `db` per unit of t.
pub fn cubic(a: f64, da: f64, b: f64, db: f64) -> Cubic {
    let rise = b - a;
    [a, da, 3.0 * rise - 2.0 * da - db, da + db - 2.0 * rise]
}

/// The cubics of `count` intervals between nodes 0 to `count`, from their values and slopes per
/// interval.
pub fn pieces(count: usize, node: &dyn Fn(usize) -> (f64, f64)) -> Vec<Cubic> {
    let mut pieces = Vec::with_capacity(count);
    let (mut a, mut da) = node(0);
    for i in 1..=count {
        let (b, db) = node(i);
        pieces.push(cubic(a, da, b, db));
        (a, da) = (b, db);
    }
    pieces
}

/// Value at t.
#[inline(always)]
pub fn value<N: Number>([c0, c1, c2, c3]: [N; 4], t: N) -> N {
    c0 + t * (c1 + t * (c2 + t * c3))
}

/// Slope per unit of t at t.
#[inline(always)]
pub fn slope<N: Number>([_, c1, c2, c3]: [N; 4], t: N) -> N {
    c1 + t * (N::all(2.0) * c2 + t * N::all(3.0) * c3)
}

/// Values of pieces at the places (x − from)·per_step, and slopes per unit of x unless `slopes` is empty. A place
/// beyond the pieces gets NaN. Returns whether there is such a place.
///
/// Works on four places at once, because looking up takes most of the time. In WebAssembly it stays a function, to
/// save size; `#[inline]` lets the calling crate compile it for speed.
#[cfg_attr(not(target_arch = "wasm32"), inline(always))]
#[cfg_attr(target_arch = "wasm32", inline)]
pub fn fill(
    pieces: &[Cubic],
    x: &[f64],
    from: f64,
    per_step: f64,
    values: &mut [f64],
    slopes: &mut [f64],
) -> bool {
    let mut beyond = false;
    let mut next = 0;
    while next < x.len() {
        // The last four may overlap those before.
        let j = if x.len() < 4 { next } else { next.min(x.len() - 4) };
        next += 4;
        let ([k, l, m, n], t) = intervals((Four::of(x, j) - Four::all(from)) * Four::all(per_step));
        let (k, l, m, n) = (piece(pieces, k), piece(pieces, l), piece(pieces, m), piece(pieces, n));
        let cubic = [
            [k[0], l[0], m[0], n[0]].into(),
            [k[1], l[1], m[1], n[1]].into(),
            [k[2], l[2], m[2], n[2]].into(),
            [k[3], l[3], m[3], n[3]].into(),
        ];
        let value = value(cubic, t);
        value.put(values, j);
        if !slopes.is_empty() {
            (slope(cubic, t) * Four::all(per_step)).put(slopes, j);
        }
        beyond |= value.any_missing();
    }
    beyond
}

/// A piece; NaN beyond the pieces.
#[inline(always)]
fn piece(pieces: &[Cubic], index: usize) -> &Cubic {
    const NONE: Cubic = [f64::NAN; 4];
    pieces.get(index).unwrap_or(&NONE)
}
