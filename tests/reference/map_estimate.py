"""A calibration on made-up shots by scipy.optimize.least_squares, and its posterior by importance
sampling, to check ours against.

    python3 -m pip install numpy scipy
    python3 map_estimate.py           # writes map_estimate.json

The model is a closed form, invented: a power law through one passage with an Arrhenius shift, and a
pressure lost before it. The unknowns z are standard normal before the readings. Readings have
Student's t with 5 degrees of freedom, one is wrong; two shots say whether flash was seen (probit of a
margin). What is minimised is written anew here and shares no code with the program.
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.optimize import least_squares
from scipy.stats import norm

NU = 5.0
SIGMA = 0.03
SPREAD = 0.15
SHOTS = [  # injection time [s], melt [degC]
    (0.3, 160), (0.6, 160), (1.2, 160), (2.4, 160), (0.3, 180), (0.6, 180), (1.2, 180), (2.4, 180),
    (0.45, 150), (1.8, 150), (0.8, 170), (3.0, 170), (0.25, 190), (1.0, 190),
]
WRONG = 6
SEEN = [((0.2, 150), True), ((2.0, 185), False)]


def log_pressure(z, time, melt):
    n = 0.4 + 0.1 * z[2]
    shift = 4000.0 * (1 + 0.3 * z[1]) * (1 / (melt + 273.15) - 1 / (170 + 273.15))
    p = 30.0 * np.exp(0.5 * z[0] + shift) * (1.0 / time) ** n
    return np.log(p + 2.0 * z[3] + 3.0)


def margin(z, time, melt):
    return np.log(60.0) - log_pressure(z, time, melt)


def main():
    rng = np.random.default_rng(20)
    truth = np.array([0.8, -0.6, 0.5, 0.7])
    times, melts = np.array(SHOTS).T
    y = log_pressure(truth, times, melts) + SIGMA * rng.standard_normal(len(times))
    y[WRONG] += 0.35

    def parts(z):
        """Square roots of twice the parts of the negative logarithm of the posterior."""
        u = (y - log_pressure(z, times, melts)) / SIGMA
        t = np.sign(u) * np.sqrt((NU + 1) * np.log1p(u**2 / NU))
        seen = []
        for (time, melt), yes in SEEN:
            x = (-1 if yes else 1) * margin(z, time, melt) / SPREAD
            seen.append(np.sqrt(-2 * norm.logcdf(x)))
        return np.concatenate([t, seen, z])

    fit = least_squares(parts, np.zeros(4), xtol=1e-14, ftol=1e-14, gtol=1e-14)

    def cost(z):
        return 0.5 * np.sum(parts(z) ** 2)

    # Importance sampling from a wider multivariate t about the minimum.
    jac = fit.jac
    c = np.linalg.inv(jac.T @ jac)
    root = np.linalg.cholesky(1.5 * c)
    count = 200_000
    chi = rng.chisquare(8, count) / 8
    draws = fit.x + (rng.standard_normal((count, 4)) @ root.T) / np.sqrt(chi)[:, None]
    d = np.linalg.solve(root, (draws - fit.x).T)
    log_q = -0.5 * (8 + 4) * np.log1p(np.sum(d**2, axis=0) / 8)
    # In chunks, as `parts` takes one z.
    log_p = np.array([-cost(z) for z in draws])
    w = np.exp(log_p - log_q - np.max(log_p - log_q))
    w /= w.sum()
    mean = w @ draws
    centred = draws - mean
    covariance = (w[:, None] * centred).T @ centred
    out = {
        "about": "made by map_estimate.py, scipy " + scipy.__version__,
        "degrees": NU, "sigma": SIGMA, "spread": SPREAD, "shots": SHOTS, "wrong": WRONG,
        "seen": [[*shot, yes] for shot, yes in SEEN],
        "readings": y.tolist(), "truth": truth.tolist(),
        "minimum": fit.x.tolist(), "cost": float(fit.cost),
        "mean": mean.tolist(), "covariance": covariance.tolist(),
        "effective": float(1 / np.sum(w**2)),
    }
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(out, indent=1) + "\n")
    print(out["minimum"], out["cost"], np.sqrt(np.diag(covariance)), np.sqrt(np.diag(c)), out["effective"])


if __name__ == "__main__":
    main()
