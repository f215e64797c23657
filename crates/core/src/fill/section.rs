//! Flow through one section: wall stress at a flow rate, and the velocity profile that goes with it.

use crate::cavity::Layers;
use crate::feedstock::{FlowCurve, SlipFlow};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::lanes::{dot, greatest_product};
use gatefrost_numerics::order::{greater, lesser};

/// Wall stress that carries a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// Wall stress \[Pa\].
    pub wall: f64,
    /// ln of it.
    pub log: f64,
    /// d ln Q/d ln τ_w, between 1 and 1/n.
    pub slope: f64,
    /// Iterations it took.
    pub iterations: u32,
}

impl Stress {
    /// A guess.
    pub fn new(log: f64) -> Self {
        Self { wall: log.exponential(), log, slope: 1.0, iterations: 0 }
    }

    /// Adds to its logarithm; a small change needs no exponential (relative error 3e-13).
    pub fn rise(&mut self, by: f64) {
        self.log += by;
        self.wall = if by.abs() < 0.1 {
            let x = by;
            let end = 1.0 + x * (0.2 + x * (1.0 / 30.0 + x * (1.0 / 210.0)));
            self.wall * (1.0 + x * (1.0 + x * (0.5 + x * (1.0 / 6.0 + x * (1.0 / 24.0) * end))))
        } else {
            self.log.exponential()
        };
    }
}

/// ln(a/b) = 2 artanh((a − b)/(a + b)); values close to each other need no logarithm (error 1e-12).
#[inline(always)]
fn log_ratio(a: f64, b: f64) -> f64 {
    let s = (a - b) / (a + b);
    let q = s * s;
    if q < 0.0025 {
        2.0 * s * (1.0 + q * (1.0 / 3.0 + q * (0.2 + q * (1.0 / 7.0))))
    } else {
        (a / b).logarithm()
    }
}

/// ln of the greatest wall stress that is computed \[Pa\].
const GREATEST_LOG_STRESS: f64 = 80.0;

/// Solves Q/C = τ_w Σ w_j a_j M(τ_w ŷ_j/τ_r) for τ_w; with slip, its flow is added on the right.
///
/// `mobility` holds a_j on entry and the fluidities a_j M_j at the solution on return; `slopes` is scratch space for
/// three numbers a layer.
///
/// ln Q rises with ln τ_w and is convex for every law without a yield stress, so Newton's method converges from any
/// guess; from the value of the step before it takes one or two iterations. It stops at a step δ below the tolerance and
/// takes that step with the slopes it has, which leaves an error of δ² (1e-6) in ln τ_w and in M. Near a yield stress
/// ln Q rises much more steeply than with 1/n: there the step of n ln Q is compared with the tolerance, because half a
/// per cent of stress would change the flow several times over.
pub fn solve_stress(
    layers: &Layers,
    curve: &FlowCurve,
    log_reference: f64,
    mobility: &mut [f64],
    slopes: &mut [f64],
    flow: f64,
    slip: Option<SlipFlow>,
    guess: Stress,
) -> Stress {
    const TOLERANCE: f64 = 5e-3;
    const MOST_ITERATIONS: u32 = 120;
    let exponent = curve.exponent();
    let count = layers.count();
    let (weights, points) = (&layers.flow_weight[..count], &layers.log_stress_points[..count]);
    let mobility = &mut mobility[..count];
    let (shape, rises) = slopes[..3 * count].split_at_mut(count);
    let (rises, weighted) = rises.split_at_mut(count);
    for j in 0..count {
        weighted[j] = weights[j] * mobility[j];
    }
    let mut stress = guess;
    let mut step = 0.0;
    // A law with a yield stress is not convex: the bounds found so far catch a step that is too long.
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut iterations = 0;
    while iterations < MOST_ITERATIONS {
        iterations += 1;
        let log = stress.log;
        curve.along(log - log_reference, points, shape, rises);
        let (mut sum, mut rise) = (dot(weighted, shape), dot(weighted, rises));
        if let Some(slip) = slip {
            let own = slip.at(log);
            (sum, rise) = (sum + own, rise + own * (slip.slip.exponent() - 1.0));
        }
        stress.slope = 1.0 + rise / sum;
        let excess = log_ratio(sum * stress.wall, flow);
        if excess > 0.0 {
            high = log
        } else {
            low = log
        }
        // A far guess can overshoot the range of the exponential; thirty e-folds a step are enough.
        let newton = log - (excess / stress.slope).clamp(-30.0, 30.0);
        let next = if newton >= low && newton <= high { newton } else { 0.5 * (low + high) };
        step = log - next;
        stress.rise(-step);
        if step.abs() * greater(1.0, exponent * stress.slope) < TOLERANCE {
            break;
        }
    }
    stress.iterations = iterations;
    // A flow that no pressure could drive ends at a stress beyond any machine, but finite.
    if stress.log.abs() > GREATEST_LOG_STRESS {
        let log = stress.log.clamp(-GREATEST_LOG_STRESS, GREATEST_LOG_STRESS);
        stress = Stress { log, wall: log.exponential(), ..stress };
    }
    for j in 0..count {
        // Where a yield stress makes the slope steep, no step turns the flow around.
        mobility[j] *= greater(shape[j] - step * rises[j], 0.1 * shape[j]);
    }
    stress
}

/// How the flow is shared over the gap.
pub struct Profile<'a> {
    /// Cumulative share of the flow at the layer faces, 0 in the middle to 1 at the wall.
    pub psi: &'a mut [f64],
    /// Share of the dissipated heat in each layer.
    pub heat: &'a mut [f64],
}

impl Profile<'_> {
    /// Adds a plug that slips along the wall with a share of the whole flow: its friction heats the outermost layer.
    pub fn add_slip(&mut self, layers: &Layers, share: f64) {
        let count = layers.count();
        let mut passed = 0.0;
        for j in 0..count {
            self.psi[j] = (1.0 - share) * self.psi[j] + share * passed;
            passed += layers.area[j];
            self.heat[j] *= 1.0 - share;
        }
        self.heat[count - 1] += share;
    }
}

/// Fills in the profile of the layers' fluidities; returns the greatest shear rate over the gap
/// relative to the wall stress \[1/(Pa s)\].
pub fn profile(layers: &Layers, fluidity: &[f64], out: &mut Profile<'_>) -> f64 {
    let count = layers.count();
    // Slices of one known length, so that the loops need no further checks.
    let (area, inner, points) =
        (&layers.area[..count], &layers.inner_weight[..count], &layers.stress_points[..count]);
    let (shear, weight) = (&layers.shear_weight[..count], &layers.flow_weight[..count]);
    let (psi, fluidity) = (&mut out.psi[..count + 1], &fluidity[..count]);
    let heats = &mut out.heat[..count];
    // From the wall inwards: each layer adds its shear to the velocity of its outer face, and its flow to that between
    // its inner face and the wall.
    let (mut outer, mut total, mut heat) = (0.0, 0.0, 0.0);
    for j in (0..count).rev() {
        let fluidity = fluidity[j];
        total += outer * area[j] + fluidity * inner[j];
        psi[j] = total;
        outer += fluidity * shear[j];
        let own = fluidity * weight[j];
        heats[j] = own;
        heat += own;
    }
    let (per_flow, per_heat) = (1.0 / total, 1.0 / heat);
    for j in 0..count {
        psi[j] = 1.0 - psi[j] * per_flow;
        heats[j] *= per_heat;
    }
    (psi[0], psi[count]) = (0.0, 1.0);
    greatest_product(fluidity, points)
}

/// A layer with less than this share of the flow does not move.
const STILL: f64 = 1e-15;

/// Carries temperatures from one section to the next by the cumulative share of the flow: what flows between two values
/// of ψ arrives between the same two. The enthalpy that flows is conserved.
pub fn carry(from_psi: &[f64], from: &[f64], to_psi: &[f64], to: &mut [f64]) {
    let count = to.len();
    let (from_psi, from, to_psi) = (&from_psi[..count + 1], &from[..count], &to_psi[..count + 1]);
    // Most profiles are so similar that a layer receives only from the same layer and one neighbour: these need no search.
    for j in 1..count - 1 {
        let (start, end) = (to_psi[j], to_psi[j + 1]);
        let before = common(start, end, from_psi[j - 1], from_psi[j]);
        let own = common(start, end, from_psi[j], from_psi[j + 1]);
        let after = common(start, end, from_psi[j + 1], from_psi[j + 2]);
        let found = before + own + after;
        let sum = before * from[j - 1] + own * from[j] + after * from[j + 1];
        to[j] = if found >= least(start, end) { sum / found } else { f64::NAN };
    }
    let last = count - 1;
    to[0] = at_end(from_psi, from, to_psi, 0, 1);
    to[last] = at_end(from_psi, from, to_psi, last, last - 1);
    let mut missing = 0_u64;
    for j in 0..count {
        missing += u64::from(to[j].is_nan());
    }
    if missing > 0 {
        walk(from_psi, from, to_psi, to);
    }
}

/// A moving layer that receives this share of its flow receives all of it, to rounding.
#[inline(always)]
fn least(start: f64, end: f64) -> f64 {
    greater(end - start, STILL) * (1.0 - 1e-9)
}

/// What arrives in layer `j`, in the middle or at the wall, from the same layer and its neighbour.
fn at_end(from_psi: &[f64], from: &[f64], to_psi: &[f64], j: usize, beside: usize) -> f64 {
    let (start, end) = (to_psi[j], to_psi[j + 1]);
    let own = common(start, end, from_psi[j], from_psi[j + 1]);
    let other = common(start, end, from_psi[beside], from_psi[beside + 1]);
    let found = own + other;
    if found >= least(start, end) { (own * from[j] + other * from[beside]) / found } else { f64::NAN }
}

/// Overlap of two intervals of ψ.
#[inline(always)]
fn common(start: f64, end: f64, from: f64, to: f64) -> f64 {
    greater(lesser(end, to) - greater(start, from), 0.0)
}

/// What arrives in the layers that are still NaN.
fn walk(from_psi: &[f64], from: &[f64], to_psi: &[f64], to: &mut [f64]) {
    let last = from.len() - 1;
    let mut k = 0;
    for j in 0..=last {
        if !to[j].is_nan() {
            continue;
        }
        let (start, end) = (to_psi[j], to_psi[j + 1]);
        // Search from the same layer, onwards or backwards.
        k = k.max(j);
        while k > 0 && from_psi[k] > start {
            k -= 1;
        }
        while k < last && from_psi[k + 1] < start {
            k += 1;
        }
        let width = end - start;
        if width <= STILL {
            // A layer that does not move takes the temperature at its place in the flow.
            to[j] = from[k];
            continue;
        }
        let (mut place, mut sum) = (start, 0.0);
        loop {
            let reach = if k == last { end } else { lesser(end, from_psi[k + 1]) };
            if reach > place {
                sum += (reach - place) * from[k];
                place = reach;
            }
            if place >= end || k == last {
                break;
            }
            k += 1;
        }
        to[j] = sum / width;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cavity::Kind;
    use crate::feedstock::Viscosity;
    use crate::scenario::{FlowLaw, PowerLawConstants};

    #[test]
    fn the_short_ways_keep_their_stated_errors() {
        for i in -40..=40 {
            let by = 0.0049 * f64::from(i);
            let mut stress = Stress::new(11.0);
            stress.rise(by);
            assert!((stress.wall / (11.0 + by).exp() - 1.0).abs() < 1e-12, "{by}");
            assert!((log_ratio(3.0 * by.exp(), 3.0) - by).abs() < 1e-12, "{by}");
        }
    }

    #[test]
    fn carrying_conserves_the_flowing_enthalpy() {
        let from_psi = [0.0, 0.2, 0.7, 0.95, 0.95, 1.0];
        let from = [430.0, 425.0, 400.0, 360.0, 320.0];
        let to_psi = [0.0, 0.5, 0.5, 0.6, 0.99, 1.0];
        let mut to = [0.0; 5];
        carry(&from_psi, &from, &to_psi, &mut to);
        let flow =
            |psi: &[f64], t: &[f64]| -> f64 { psi.windows(2).zip(t).map(|(p, t)| (p[1] - p[0]) * t).sum() };
        assert!((flow(&from_psi, &from) - flow(&to_psi, &to)).abs() < 1e-12 * 430.0);
        assert!((to[0] - (0.2 * 430.0 + 0.3 * 425.0) / 0.5).abs() < 1e-12);
    }

    /// Power-law velocity in a slit and a tube (Bird, Armstrong and Hassager, Dynamics of Polymeric
    /// Liquids 1, from memory): u/U = (c+1)/(...)·(1 − ŷ^(1/n+1)); ψ follows by integration.
    #[test]
    fn the_profile_of_a_power_law_follows_its_closed_form() {
        for (kind, n) in [(Kind::Flat, 0.4), (Kind::Round, 0.4), (Kind::Flat, 1.0), (Kind::Round, 1.0)] {
            let constants = PowerLawConstants { n, ..PowerLawConstants::default() };
            let law = Viscosity::measured(&FlowLaw::PowerLaw(constants));
            let curve = FlowCurve::new(law);
            let e = 1.0 / n + 1.0;
            let exact = |y: f64| match kind {
                Kind::Flat => (y - y.powf(e + 1.0) / (e + 1.0)) / (1.0 - 1.0 / (e + 1.0)),
                Kind::Round => (y * y / 2.0 - y.powf(e + 2.0) / (e + 2.0)) / (0.5 - 1.0 / (e + 2.0)),
            };
            let mut errors = Vec::new();
            for count in [20, 40] {
                let layers = Layers::new(kind, count);
                let mut fluidity = vec![law.mobility(433.15, 0.0); count];
                let reference = law.reference_stress().ln();
                let mut slopes = vec![0.0; 3 * count];
                let guess = Stress::new(reference);
                solve_stress(&layers, &curve, reference, &mut fluidity, &mut slopes, 1.0, None, guess);
                let (mut psi, mut heat) = (vec![0.0; count + 1], vec![0.0; count]);
                let mut out = Profile { psi: &mut psi, heat: &mut heat };
                profile(&layers, &fluidity, &mut out);
                let worst =
                    layers.faces.iter().zip(&psi).map(|(&y, &p)| (p - exact(y)).abs()).fold(0.0, f64::max);
                errors.push(worst);
            }
            assert!(errors[0] < 1e-3, "{kind:?} {n}: {errors:?}");
            assert!(errors[1] < errors[0] / 3.0 || errors[1] < 1e-12, "second order: {errors:?}");
        }
    }
}
