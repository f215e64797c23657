//! Each answer by another way than that of the exercise: by weighing a cubic metre, by summing a series to its end, by
//! solving backwards, by integrating.

use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises::{self, ALL};
use gatefrost_classroom::task::Task;
use std::f64::consts::PI;

/// The data of a task by their letters, in their units.
struct Data(Task);

impl Data {
    fn of(exercise: &str, id: &str) -> Self {
        Self(exercises::find(exercise).unwrap().task(&StudentId::read(id).unwrap()))
    }

    fn all(&self, letter: &str) -> Vec<f64> {
        self.0.given.iter().filter(|symbol| symbol.letter == letter).map(|symbol| symbol.value).collect()
    }

    /// One number of the data.
    fn get(&self, letter: &str) -> f64 {
        *self.all(letter).first().unwrap_or_else(|| panic!("there is no {letter}"))
    }

    fn readings(&self) -> &[Vec<f64>] {
        &self.0.readings.as_ref().unwrap().rows
    }

    /// The answers by hand, in the units that are asked for.
    fn answers(&self) -> Vec<f64> {
        self.0.asked.iter().map(|asked| asked.line.value()).collect()
    }
}

/// Compares for a hundred students. The way of the test is exact, so that only rounding may differ.
fn hold(exercise: &str, tolerance: f64, anew: impl Fn(&Data) -> Vec<f64>) {
    for k in 1..=100 {
        let data = Data::of(exercise, &format!("s{k:03}"));
        let (found, expected) = (data.answers(), anew(&data));
        assert_eq!(found.len(), expected.len(), "{exercise}");
        for (a, b) in found.iter().zip(&expected) {
            assert!((a / b - 1.0).abs() < tolerance, "{exercise} of s{k:03}: {found:?} against {expected:?}");
        }
    }
}

/// A cubic metre of feedstock is weighed.
#[test]
fn loading_by_mass() {
    hold("loading-by-mass", 1e-12, |d| {
        let powder = d.get("φ") / 100.0 * d.get("ρ_p");
        let binder = (100.0 - d.get("φ")) / 100.0 * d.get("ρ_b");
        let share = powder / (powder + binder);
        vec![100.0 * share, share * d.get("m")]
    });
}

/// A compact of a litre is filled with powder, then with as much binder as the loading says or as there is room for.
#[test]
fn densest_mixture() {
    hold("densest-mixture", 1e-12, |d| {
        let weighed = |percent: f64| {
            let powder = percent.min(d.get("φ_c")) / 100.0;
            let binder = powder * (100.0 - percent) / percent;
            assert!(powder + binder <= 1.0 + 1e-12);
            (powder * d.get("ρ_p") + binder * d.get("ρ_b")) / 1000.0
        };
        ["φ_1", "φ_c", "φ_2"].map(|letter| weighed(d.get(letter))).to_vec()
    });
}

/// The critical loading is put back into the law: the ratio of the torques has to come out.
#[test]
fn runaway() {
    for k in 1..=100 {
        let d = Data::of("runaway", &format!("s{k:03}"));
        for (critical, m) in d.answers().into_iter().zip(d.all("m")) {
            let law = |phi: f64| (1.0 - phi / critical).powf(-m);
            let ratio = law(d.get("φ_2")) / law(d.get("φ_1"));
            assert!((ratio / (d.get("M_2") / d.get("M_1")) - 1.0).abs() < 1e-12, "s{k:03}");
            assert!((55.0..=80.0).contains(&critical), "{critical} is no critical loading of a feedstock");
        }
    }
}

/// Logarithms are added. The homogenised law: both dissipate the same power, η γ̇² = (1 − φ) γ̇_b², so that the binder is
/// sheared √(η/(1 − φ)) times faster; its viscosity there gives that of the mixture.
#[test]
fn thinning() {
    hold("thinning", 1e-12, |d| {
        let (n, m) = (d.get("n"), d.get("m"));
        let relative = |phi: f64| (1.0 - phi / d.get("φ_c")).powf(-m);
        let of = |phi: f64| {
            let newtonian = relative(phi);
            // Power-law binder η_b = γ̇_b^(n−1) at γ̇ = 1.
            let faster = (newtonian / (1.0 - phi / 100.0)).sqrt();
            let homogenised = newtonian * faster.powf(n - 1.0);
            // At equal stress τ: γ̇ = τ/(x η_b(τ)), so that τ grows as xⁿ.
            [newtonian, newtonian.powf(n), homogenised]
        };
        let (one, two) = (of(d.get("φ_1")), of(d.get("φ_2")));
        (0..3).map(|k| two[k] / one[k]).collect()
    });
}

/// A straight line through two dies at each rate, as slope and intercept.
#[test]
fn rheometer() {
    hold("rheometer", 1e-9, |d| {
        let rows = d.readings();
        let line = |at: usize| {
            let ([l1, _, p1], [l2, _, p2]) = (three(&rows[at]), three(&rows[at + 1]));
            let slope = (p2 - p1) / (l2 - l1);
            (slope, p1 - slope * l1)
        };
        let (slow, fast) = (line(0), line(2));
        let stress = |slope: f64| 1000.0 * slope * d.get("D") / 4.0;
        let n = (fast.0 / slow.0).ln() / (rows[2][1] / rows[0][1]).ln();
        let wall = rows[2][1] * (0.75 + 0.25 / n);
        vec![slow.1 / slow.0, stress(fast.0), n, 1000.0 * stress(fast.0) / wall]
    });
}

fn three(row: &[f64]) -> [f64; 3] {
    [row[0], row[1], row[2]]
}

/// The profile of velocity of a power law is integrated over the tube; it has to carry the flow rate.
#[test]
fn runner() {
    for k in 1..=100 {
        let d = Data::of("runner", &format!("s{k:03}"));
        let [apparent, wall, drop] = three(&d.answers());
        let (radius, n) = (0.5e-3 * d.get("D"), d.get("n"));
        assert!((apparent / (4.0 * 1e-6 * d.get("Q") / (PI * radius.powi(3))) - 1.0).abs() < 1e-12);
        // Stress at r is Δp r/2L; the rate follows from the law; ∫ π r² γ̇ dr is the flow.
        let rate = |r: f64| (1e6 * drop * r / (2e-3 * d.get("L")) / d.get("K")).powf(1.0 / n);
        let cells = 4000;
        let dr = radius / f64::from(cells);
        let flow: f64 =
            (0..cells).map(|i| (f64::from(i) + 0.5) * dr).map(|r| PI * r * r * rate(r) * dr).sum();
        assert!((flow / (1e-6 * d.get("Q")) - 1.0).abs() < 1e-5, "s{k:03}: {flow}");
        assert!((rate(radius) / wall - 1.0).abs() < 1e-9, "s{k:03}");
    }
}

/// A Newtonian fluid between plates: the parabola whose flow is Q has the slope 6Q/wh² at the wall.
#[test]
fn gate() {
    hold("gate", 1e-6, |d| {
        let (q, w, h) = (1e-6 * d.get("Q"), 1e-3 * d.get("w"), 1e-3 * d.get("h"));
        let mean = q / (w * h);
        let parabola = |y: f64| 1.5 * mean * (1.0 - (2.0 * y / h).powi(2));
        let step = 1e-7 * h;
        let slope = parabola(0.5 * h - step) / step;
        vec![slope, mean]
    });
}

/// Cooling of a slab by the series of Carslaw and Jaeger with forty terms, whose roots are found here by Newton's method.
struct Slab {
    roots: Vec<f64>,
    biot: f64,
}

impl Slab {
    fn new(biot: f64) -> Self {
        let root = |k: u32| {
            let (low, high) = (f64::from(k) * PI, f64::from(k) * PI + 0.5 * PI);
            let mut x = 0.5 * (low + high);
            for _ in 0..100 {
                let f = x * x.sin() - biot * x.cos();
                let slope = x.sin() + x * x.cos() + biot * x.sin();
                x = (x - f / slope).clamp(low + 1e-9, high - 1e-12);
            }
            x
        };
        Self { roots: (0..40).map(root).collect(), biot }
    }

    /// Mean excess temperature over the first one at α t/(h/2)².
    fn mean(&self, fourier: f64) -> f64 {
        let b = self.biot;
        // 2 Bi²/(λ² (Bi² + Bi + λ²)), the form of the textbooks for the mean.
        let of = |x: &f64| 2.0 * b * b / (x * x * (b * b + b + x * x)) * (-x * x * fourier).exp();
        self.roots.iter().map(of).sum()
    }

    fn time(&self, share: f64, half: f64, diffusivity: f64) -> f64 {
        let (mut low, mut high) = (0.0, 500.0);
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if self.mean(middle) > share { low = middle } else { high = middle }
        }
        low * half * half / diffusivity
    }
}

/// Numbers of a table with four decimals, and one term in the place of forty: within 0.5 % of the time, half of what an
/// answer may be off.
#[test]
fn gate_freeze() {
    hold("gate-freeze", 5e-3, |d| {
        let (half, alpha) = (0.5 * d.get("h"), d.get("α"));
        let share = (d.get("T_n") - d.get("T_w")) / (d.get("T_m") - d.get("T_w"));
        let biot = d.get("h_c") * 1e-3 * half / d.get("k");
        // Without resistance: a wall that takes heat a million times better.
        let open = Slab::new(1e6);
        let centre = |fourier: f64| -> f64 {
            (0..40)
                .map(|k| {
                    let x = (f64::from(k) + 0.5) * PI;
                    let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                    sign * 2.0 / x * (-x * x * fourier).exp()
                })
                .sum()
        };
        let (mut low, mut high) = (0.0, 500.0);
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if centre(middle) > share { low = middle } else { high = middle }
        }
        vec![
            open.time(share, half, alpha),
            low * half * half / alpha,
            biot,
            Slab::new(biot).time(share, half, alpha),
        ]
    });
}

#[test]
fn cooling() {
    hold("cooling", 2.5e-3, |d| {
        let alpha = d.get("α");
        let share = (d.get("T_e") - d.get("T_w")) / (d.get("T_m") - d.get("T_w"));
        let time = |h: &str, biot: f64| Slab::new(biot).time(share, 0.5 * d.get(h), alpha);
        let thin = time("h_1", d.get("Bi_1"));
        vec![time("h_1", 1e6), thin, time("h_2", d.get("Bi_2")) / thin]
    });
}

/// Rings of the disc, each with its pressure.
#[test]
fn clamp() {
    hold("clamp", 1e-3, |d| {
        let (radius, n, rings) = (0.5 * d.get("D"), d.get("n"), 100_000);
        let dr = radius / f64::from(rings);
        let force: f64 = (0..rings)
            .map(|i| (f64::from(i) + 0.5) * dr)
            .map(|r| d.get("p") * (1.0 - (r / radius).powf(1.0 - n)) * 2.0 * PI * r * dr)
            .sum();
        // N/mm² times mm² are newtons.
        vec![force / 1000.0, force / 1000.0 / (d.get("u") / 100.0)]
    });
}

/// Powder is weighed in the cavity and in the part.
#[test]
fn cavity_size() {
    for k in 1..=100 {
        let d = Data::of("cavity-size", &format!("s{k:03}"));
        let [shrinkage, simple, size] = three(&d.answers());
        let in_part = d.get("ρ_r") / 100.0 * d.get("L").powi(3);
        let in_cavity = |l: f64, filled: f64| d.get("φ") / 100.0 * filled * l.powi(3);
        assert!((in_cavity(simple, 1.0) / in_part - 1.0).abs() < 1e-12);
        assert!((in_cavity(size, d.get("S") / 100.0) / in_part - 1.0).abs() < 1e-12);
        assert!((simple * (1.0 - shrinkage / 100.0) / d.get("L") - 1.0).abs() < 1e-12);
    }
}

/// From the loading's scatter back to Cpk.
#[test]
fn tolerance() {
    for k in 1..=100 {
        let d = Data::of("tolerance", &format!("s{k:03}"));
        let answers = d.answers();
        let by_loading = answers[1] / (3.0 * d.get("φ"));
        let others = answers[0] / 100.0 * (1.0 - d.get("s") / 100.0).sqrt();
        let all = by_loading.hypot(others);
        assert!((d.get("t") / 100.0 / (3.0 * all) / d.get("C_pk") - 1.0).abs() < 1e-12, "s{k:03}");
    }
}

/// The series with forty terms, at the times found: the first term alone is within 0.1 % of the share where F ≤ 0.3.
#[test]
fn solvent() {
    for k in 1..=100 {
        let d = Data::of("solvent", &format!("s{k:03}"));
        for (hours, h) in d.answers().into_iter().zip(["h_1", "h_2"]) {
            let fourier = 3600.0 * hours * 1e-12 * d.get("D") / (1e-3 * d.get(h)).powi(2);
            let left: f64 = (0..40)
                .map(|i| f64::from(2 * i + 1))
                .map(|odd| 8.0 / (PI * odd).powi(2) * (-(PI * odd).powi(2) * fourier).exp())
                .sum();
            assert!((100.0 * left / d.get("F") - 1.0).abs() < 1e-3, "s{k:03}: {left}");
        }
    }
}

/// Darcy's law p dp/dx = −μ R T Γ x/(K M), integrated from the surface to the middle.
#[test]
fn gas() {
    hold("gas", 1e-3, |d| {
        let permeability = |pores: f64| {
            let e = pores / 100.0;
            (1e-6 * d.get("d")).powi(2) * e.powi(3) / (180.0 * (1.0 - e).powi(2))
        };
        let excess = |k: f64| {
            let (half, cells) = (0.5e-3 * d.get("h"), 20_000);
            let dx = half / f64::from(cells);
            let outside = 1e3 * d.get("p_0");
            let mut p = outside;
            for i in (0..cells).rev() {
                let x = (f64::from(i) + 0.5) * dx;
                let slope =
                    1e-6 * d.get("μ") * 8.314_462_618 * d.get("T") * d.get("Γ") * x / (k * 1e-3 * d.get("M"));
                p = (p * p + 2.0 * slope * dx).sqrt();
            }
            p - outside
        };
        let (open, shut) = (permeability(d.get("ε_1")), permeability(d.get("ε_2")));
        vec![1e12 * open, 1e-3 * excess(open), 1e-6 * excess(shut)]
    });
}

/// Slices of the compact, each in balance.
#[test]
fn pressing() {
    hold("pressing", 1e-3, |d| {
        let left = |depth: f64| {
            let slices = 10_000;
            (0..slices).fold(100.0, |p, _| p - 4.0 * d.get("μk") * p * depth / f64::from(slices) / d.get("D"))
        };
        vec![left(d.get("H")), left(0.5 * d.get("H"))]
    });
}

/// Fifteen exercises have numbers for answers, and each is looked at above.
#[test]
fn no_exercise_is_left_out() {
    let source = include_str!("answers.rs");
    for exercise in ALL {
        let test = format!("fn {}()", exercise.name.replace('-', "_"));
        assert!(source.contains(&test), "{}", exercise.name);
    }
}
