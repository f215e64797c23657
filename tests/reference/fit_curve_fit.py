"""Flow-law and critical-loading fits by scipy.optimize.curve_fit, to check ours against.

    python3 -m pip install numpy scipy
    python3 fit_curve_fit.py          # writes fit_curve_fit.json

The data are made here: a known law, invented, with scatter from a seeded generator. They are stored
in the table together with the values, standard errors and the sum of squares that curve_fit finds.
The laws are written anew here and share no code with the program. Fits are in ln(viscosity), with
absolute_sigma=False, so that pcov is s^2 (J^T J)^-1.
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.optimize import curve_fit

R = 8.314462618
ZERO = 273.15


def cross_wlf(x, n, tau_star, log_d1, a1, d2=-10.0, a2=51.6):
    rate, celsius = x
    dt = celsius - d2
    eta0 = np.exp(log_d1 - a1 * dt / (a2 + dt))
    return np.log(eta0 / (1 + (eta0 * rate / (tau_star * 1e3)) ** (1 - n)))


def arrhenius(celsius, energy, reference):
    return np.exp(energy * 1e3 / R * (1 / (celsius + ZERO) - 1 / (reference + ZERO)))


def power_law(x, n, log_k, energy, reference):
    rate, celsius = x
    return np.log(np.exp(log_k) * arrhenius(celsius, energy, reference) * rate ** (n - 1))


def carreau_yasuda(x, n, log_eta0, log_lambda, log_a, energy, reference):
    rate, celsius = x
    shift = arrhenius(celsius, energy, reference)
    a = np.exp(log_a)
    return np.log(shift * np.exp(log_eta0) * (1 + (shift * np.exp(log_lambda) * rate) ** a) ** ((n - 1) / a))


def herschel_bulkley(x, n, yield_kpa, log_k, energy, reference, m):
    rate, celsius = x
    g = arrhenius(celsius, energy, reference) * rate
    return np.log((yield_kpa * 1e3 * (1 - np.exp(-m * g)) + np.exp(log_k) * g**n) / rate)


def run(model, x, y, start):
    values, cov = curve_fit(model, x, y, p0=start, method="lm", maxfev=50000, xtol=1e-14, ftol=1e-14)
    errors = np.sqrt(np.diag(cov))
    squares = float(np.sum((y - model(x, *values)) ** 2))
    return values, errors, cov, squares


def entry(names, logs, values, errors, squares):
    """Values and errors in plain units where the fit was in logarithms."""
    out = {}
    for name, log, value, error in zip(names, logs, values, errors):
        out[name] = [float(np.exp(value)), float(np.exp(value) * error)] if log else [float(value), float(error)]
    return {"constants": out, "squares": squares}


def flow_cases():
    rng = np.random.default_rng(20240311)
    temperatures = np.repeat([145.0, 160.0, 175.0], 10)
    rates = np.tile(np.logspace(0.5, 4, 10), 3)
    x = np.vstack([rates, temperatures])
    reference = round(float(np.mean(temperatures)))
    m = float(np.clip(10 / rates.min(), 1e-3, 1e6))

    cases = []

    def add(kind, truth, model, start, names, logs):
        y = model(x, *truth) + rng.normal(0, 0.03, rates.size)
        values, errors, _, squares = run(model, x, y, start)
        points = [[float(t), float(g), float(v)] for t, g, v in zip(temperatures, rates, np.exp(y))]
        cases.append({"law": kind, "points": points, **entry(names, logs, values, errors, squares)})

    add("cross_wlf", [0.32, 55.0, np.log(4e11), 26.0], cross_wlf, [0.4, 40.0, np.log(1e11), 24.0],
        ["n", "tau_star", "d1", "a1"], [False, False, True, False])
    add("power_law", [0.41, np.log(9000.0), 38.0], lambda x, n, k, e: power_law(x, n, k, e, reference),
        [0.5, np.log(5000.0), 30.0], ["n", "consistency", "activation_energy"], [False, True, False])
    add("carreau_yasuda", [0.28, np.log(2500.0), np.log(0.03), np.log(0.9), 45.0],
        lambda x, n, k, l, a, e: carreau_yasuda(x, n, k, l, a, e, reference),
        [0.35, np.log(3000.0), np.log(0.05), 0.0, 40.0],
        ["n", "eta0", "relaxation_time", "transition", "activation_energy"], [False, True, True, True, False])
    add("herschel_bulkley", [0.55, 6.0, np.log(900.0), 34.0],
        lambda x, n, t, k, e: herschel_bulkley(x, n, t, k, e, reference, m),
        [0.5, 4.0, np.log(1200.0), 30.0],
        ["n", "yield_stress", "consistency", "activation_energy"], [False, False, True, False])
    return cases


def density(phi, critical, powder, binder):
    below = phi * powder + (1 - phi) * binder
    beyond = critical * powder + critical * (1 - phi) / phi * binder
    return np.where(phi <= critical, below, beyond)


def critical_cases():
    rng = np.random.default_rng(77)
    phi = np.array([0.50, 0.53, 0.56, 0.59, 0.62, 0.64, 0.66, 0.675, 0.69, 0.71])
    rho = density(phi, 0.652, 7950.0, 900.0) + rng.normal(0, 12.0, phi.size)
    out = {}
    values, errors, _, squares = run(lambda p, c: density(p, c, 7950.0, 900.0), phi, rho, [0.645])
    out["density_known"] = {
        "readings": [[float(100 * p), float(r)] for p, r in zip(phi, rho)],
        **entry(["critical"], [False], 100 * values, 100 * errors, squares),
    }
    values, errors, _, squares = run(density, phi, rho, [0.645, 8000.0, 950.0])
    scale = np.array([100, 1, 1])
    out["density_free"] = {
        "readings": out["density_known"]["readings"],
        **entry(["critical", "powder", "binder"], [False] * 3, scale * values, scale * errors, squares),
    }
    phi = np.array([0.40, 0.45, 0.50, 0.54, 0.57, 0.60, 0.62, 0.635])
    torque = np.exp(np.log(0.08) - 2 * np.log(1 - phi / 0.66) + rng.normal(0, 0.05, phi.size))
    readings = [[float(100 * p), float(t)] for p, t in zip(phi, torque)]

    def diverging(p, c, log_a, m=2.0):
        return log_a - m * np.log(np.maximum(1 - p / c, 1e-12))

    values, errors, _, squares = run(lambda p, c, a: diverging(p, c, a), phi, np.log(torque), [0.68, np.log(0.1)])
    out["torque_held"] = {
        "readings": readings,
        **entry(["critical", "factor"], [False, True], values * [100, 1], errors * [100, 1], squares),
    }
    values, errors, _, squares = run(diverging, phi, np.log(torque), [0.68, np.log(0.1), 1.8])
    out["torque_free"] = {
        "readings": readings,
        **entry(["critical", "factor", "exponent"], [False, True, False], values * [100, 1, 1], errors * [100, 1, 1], squares),
    }
    return out


if __name__ == "__main__":
    table = {
        "made_with": f"scipy {scipy.__version__}, numpy {np.__version__}",
        "flow": flow_cases(),
        "critical": critical_cases(),
    }
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(table, indent=1) + "\n")
