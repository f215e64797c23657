//! Cubic Hermite pieces: what the tables of this module are made of.

/// Coefficients of a cubic in t from 0 to 1, constant first.
pub(super) type Cubic = [f64; 4];

/// The cubic from value `a` to `b` with slopes `da` and `db` per unit of t.
pub(super) fn cubic(a: f64, da: f64, b: f64, db: f64) -> Cubic {
    let rise = b - a;
    [a, da, 3.0 * rise - 2.0 * da - db, da + db - 2.0 * rise]
}

/// The cubics of `count` intervals between nodes 0 to `count`, from their values and slopes per
/// interval.
pub(super) fn pieces(count: usize, node: &dyn Fn(usize) -> (f64, f64)) -> Vec<Cubic> {
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
pub(super) fn value([c0, c1, c2, c3]: &Cubic, t: f64) -> f64 {
    c0 + t * (c1 + t * (c2 + t * c3))
}

/// Slope per unit of t at t.
#[inline(always)]
pub(super) fn slope([_, c1, c2, c3]: &Cubic, t: f64) -> f64 {
    c1 + t * (2.0 * c2 + t * 3.0 * c3)
}
