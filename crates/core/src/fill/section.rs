//! Flow through one section: wall stress at a flow rate, and the velocity profile that goes with it.

use crate::cavity::Layers;
use crate::feedstock::FlowCurve;
use crate::order::{greater, lesser};

/// Wall stress that carries a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// ln of the wall stress in Pa.
    pub log: f64,
    /// d ln Q/d ln τ_w, between 1 and 1/n.
    pub slope: f64,
    /// Iterations it took.
    pub iterations: u32,
}

/// ln of the greatest wall stress in Pa that is told apart.
const GREATEST_LOG_STRESS: f64 = 80.0;

/// Solves Q/C = τ_w Σ w_j a_j M(τ_w ŷ_j/τ_r) for τ_w.
///
/// `mobility` holds a_j on entry and the fluidities a_j M_j at the solution on return; `slopes` is
/// room for as many numbers.
///
/// ln Q increases with ln τ_w and is convex for every law without a yield stress, so Newton converges
/// from any guess; near the previous step's value it takes one or two iterations. It stops at a step δ below the tolerance, takes that
/// step with the slopes at hand, and leaves an error of the order δ² (1e-6) in ln τ_w and in M.
pub fn solve_stress(
    layers: &Layers,
    curve: &FlowCurve,
    log_reference: f64,
    mobility: &mut [f64],
    slopes: &mut [(f64, f64)],
    flow: f64,
    guess: f64,
) -> Stress {
    const TOLERANCE: f64 = 5e-3;
    const MOST_ITERATIONS: u32 = 120;
    let count = layers.count();
    let (weights, points) = (&layers.flow_weight[..count], &layers.log_stress_points[..count]);
    let (mobility, slopes) = (&mut mobility[..count], &mut slopes[..count]);
    let mut log = guess;
    let mut slope = 1.0;
    let mut step = 0.0;
    // Where a law is not convex (a yield stress), the bounds found on the way catch a wild step.
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut iterations = 0;
    while iterations < MOST_ITERATIONS {
        iterations += 1;
        let (mut sum, mut rise) = (0.0, 0.0);
        let x = log - log_reference;
        for j in 0..count {
            let (m, dm) = curve.at(x + points[j]);
            slopes[j] = (m, dm);
            let weight = weights[j] * mobility[j];
            sum += weight * m;
            rise += weight * dm;
        }
        slope = 1.0 + rise / sum;
        let excess = log + (sum / flow).ln();
        if excess > 0.0 {
            high = log
        } else {
            low = log
        }
        // A far guess can overshoot the range of the exponential; thirty e-folds a step are enough.
        let newton = log - (excess / slope).clamp(-30.0, 30.0);
        let next = if newton >= low && newton <= high { newton } else { 0.5 * (low + high) };
        step = log - next;
        log = next;
        if step.abs() < TOLERANCE {
            break;
        }
    }
    // A flow that nothing could drive ends at a stress beyond any machine, not beyond numbers.
    log = log.clamp(-GREATEST_LOG_STRESS, GREATEST_LOG_STRESS);
    for (a, (m, dm)) in mobility.iter_mut().zip(slopes) {
        // Where a yield stress makes the slope steep, no step turns the flow around.
        *a *= greater(*m - step * *dm, 0.1 * *m);
    }
    Stress { log, slope, iterations }
}

/// How the flow is shared over the gap.
pub struct Profile<'a> {
    /// Cumulative share of the flow at the layer faces, 0 in the middle to 1 at the wall.
    pub psi: &'a mut [f64],
    /// Share of the dissipated heat in each layer.
    pub heat: &'a mut [f64],
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
    // From the wall inwards: each layer adds its own shear to the velocity of its outer face.
    let (mut outer, mut total, mut heat, mut greatest) = (0.0, 0.0, 0.0, 0.0);
    for j in (0..count).rev() {
        let fluidity = fluidity[j];
        let flow = outer * area[j] + fluidity * inner[j];
        outer += fluidity * shear[j];
        total += flow;
        psi[j + 1] = flow;
        heats[j] = fluidity * weight[j];
        heat += heats[j];
        let rate = fluidity * points[j];
        greatest = if rate > greatest { rate } else { greatest };
    }
    psi[0] = 0.0;
    let (per_flow, per_heat) = (1.0 / total, 1.0 / heat);
    let mut reached = 0.0;
    for j in 0..count {
        reached += psi[j + 1] * per_flow;
        psi[j + 1] = reached;
        heats[j] *= per_heat;
    }
    psi[count] = 1.0;
    greatest
}

/// Carries temperatures from one section to the next on the cumulative flow share: what flows
/// between two values of ψ arrives between the same two. Conserves the enthalpy that flows.
pub fn carry(from_psi: &[f64], from: &[f64], to_psi: &[f64], to: &mut [f64]) {
    let mut k = 0;
    for (j, arriving) in to.iter_mut().enumerate() {
        let (start, end) = (to_psi[j], to_psi[j + 1]);
        let width = end - start;
        if width <= 1e-15 {
            // A layer that does not move takes what stands at its place in the flow.
            while k + 1 < from.len() && from_psi[k + 1] < start {
                k += 1;
            }
            *arriving = from[k];
            continue;
        }
        let (mut place, mut sum) = (start, 0.0);
        loop {
            let reach = if k + 1 == from.len() { end } else { lesser(end, from_psi[k + 1]) };
            if reach > place {
                sum += (reach - place) * from[k];
                place = reach;
            }
            if place >= end || k + 1 == from.len() {
                break;
            }
            k += 1;
        }
        *arriving = sum / width;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cavity::Kind;
    use crate::feedstock::Viscosity;
    use crate::scenario::{FlowLaw, PowerLawConstants};

    #[test]
    fn carrying_conserves_the_flowing_enthalpy() {
        let from_psi = [0.0, 0.2, 0.7, 0.95, 1.0];
        let from = [430.0, 425.0, 400.0, 320.0];
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
            let law = Viscosity::resolve(&FlowLaw::PowerLaw(constants), 1.0);
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
                let mut slopes = vec![(0.0, 0.0); count];
                solve_stress(&layers, &curve, reference, &mut fluidity, &mut slopes, 1.0, reference);
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
