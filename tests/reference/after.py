"""What follows the mould, with SciPy: diffusion out of a wall, decomposition under its own gas, sintering.

    python3 after.py            # writes after.json, about a minute

It shares no code with the project. The series of the rod takes its zeros from scipy.special, the schedule is
integrated by scipy.integrate.solve_ivp in phases (ramp, held at the allowed pressure, ramp), the work of a furnace run
by scipy.integrate.quad, the diffusivity is fitted by scipy.optimize.curve_fit and sintering curves by
scipy.optimize.least_squares. All inputs stand in the JSON, in SI; the runs of the curves as temperature of the hold [°C],
its length [min] and density, all heated at 5 K/min.
"""

import json
from pathlib import Path

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, curve_fit, least_squares
from scipy.special import jn_zeros

R = 8.314462618


def slab(fourier):
    n = np.arange(20000)
    odd = (2 * n + 1) * np.pi / 2
    return float(np.sum(2 / odd**2 * np.exp(-(odd**2) * fourier)))


def rod(fourier):
    beta = jn_zeros(0, 2000)
    return float(np.sum(4 / beta**2 * np.exp(-(beta**2) * fourier)))


def reaction(half, energy):
    """ln A of the reaction that has taken half of the mass at `half` K, heated at 10 K/min."""
    whole, _ = quad(lambda t: np.exp(-energy / R * (1 / t - 1 / half)), 200.0, half, limit=500)
    return np.log(np.log(2) * (10 / 60) / whole) + energy / (R * half)


def schedule(case):
    """Time of the fastest schedule that keeps the gas below the allowed pressure."""
    parts = [(p["mass"], p["volume"], reaction(p["half"], p["energy"]), p["energy"]) for p in case["parts"]]
    mass = np.array([p[0] for p in parts])
    volume = np.array([p[1] for p in parts])
    log_a = np.array([p[2] for p in parts])
    energy = np.array([p[3] for p in parts])
    a, d, ramp = case["half_thickness"], case["grain"], case["ramp"]
    p0, mu, m = case["outside"], case["viscosity"], case["molar_mass"]

    def rates(temperature):
        return np.exp(log_a - energy / (R * temperature))

    def excess(temperature, left):
        source = float(np.sum(mass * left * rates(temperature)))
        pores = case["pores"] + float(np.sum(volume * (1 - left)))
        k = pores**3 * d**2 / (180 * (1 - pores) ** 2)
        return np.sqrt(p0**2 + mu * R * temperature * source * a**2 / (k * m)) - p0

    def held(left):
        """Temperature at which the pressure is just the allowed one."""
        gap = lambda t: excess(t, left) - case["allowed"]
        return case["to"] if gap(case["to"]) < 0 else brentq(gap, case["from"], case["to"], xtol=1e-9)

    time, temperature, left = 0.0, case["from"], np.ones(len(parts))
    options = dict(method="LSODA", rtol=1e-9, atol=1e-12)
    for _ in range(20):
        # Ramp until the pressure is the allowed one, or the end is reached.
        hits = lambda t, y: excess(y[-1], y[:-1]) - case["allowed"]
        ends = lambda t, y: y[-1] - case["to"]
        hits.terminal, ends.terminal = True, True
        hits.direction, ends.direction = 1, 1
        slope = lambda t, y: np.append(-y[:-1] * rates(y[-1]), ramp)
        run = solve_ivp(slope, [time, time + 1e7], np.append(left, temperature), events=[hits, ends], **options)
        time, left, temperature = run.t[-1], run.y[:-1, -1], run.y[-1, -1]
        if run.t_events[1].size:
            break
        # Held at the allowed pressure until the temperature would have to rise faster than the ramp.
        burn = lambda t, y: -y * rates(held(y))

        def too_fast(t, y):
            step = 1e-3
            return (held(y + step * burn(t, y)) - held(y)) / step - ramp

        too_fast.terminal, too_fast.direction = True, 1
        at_end = lambda t, y: held(y) - case["to"] + 1e-6
        at_end.terminal = True
        run = solve_ivp(burn, [time, time + 1e8], left, events=[too_fast, at_end], max_step=200.0, **options)
        time, left = run.t[-1], run.y[:, -1]
        temperature = held(left)
        if run.t_events[1].size:
            break
    # What is left at the end goes at the temperature of the end.
    remaining = lambda y: float(np.sum(mass * y) / np.sum(mass))
    if remaining(left) > 1e-3:
        clean = lambda t, y: remaining(y) - 1e-3
        clean.terminal = True
        run = solve_ivp(lambda t, y: -y * rates(case["to"]), [time, time + 1e8], left, events=[clean], **options)
        time = run.t[-1]
    return time


def log_work(case):
    """ln of the integral of exp(-Q/RT)/T over a furnace run."""
    q, at = case["energy"], case["from"]
    hottest = max(s["temperature"] for s in case["stretches"])
    rate = lambda t: np.exp(q / R * (1 / hottest - 1 / t)) / t
    work = 0.0
    for s in case["stretches"]:
        if s["temperature"] > at:
            work += quad(rate, at, s["temperature"], limit=1000, epsabs=0, epsrel=1e-11)[0] / s["ramp"]
        at = s["temperature"]
        work += s["hold"] * rate(at)
    return float(np.log(work) - q / (R * hottest))


def fit(readings):
    """ln D at the middle temperature and E with their standard errors, by curve_fit."""
    t = np.array([r["temperature"] for r in readings])
    time = np.array([r["time"] for r in readings])
    half = np.array([r["half"] for r in readings])
    left = np.array([r["left"] for r in readings])
    middle = 1 / np.mean(1 / t)

    def model(_, log_d, e):
        d = np.exp(log_d - e * 1e3 / R * (1 / t - 1 / middle))
        return np.array([slab(x) for x in d * time / half**2])

    found, spread = curve_fit(model, np.zeros_like(t), left, p0=[np.log(1e-10), 40.0])
    errors = np.sqrt(np.diag(spread))
    return {
        "reference": middle,
        "log_at": found[0],
        "energy": found[1] * 1e3,
        "log_error": errors[0],
        "energy_error": errors[1] * 1e3,
    }


def curve(runs, full=0.995, green=0.6):
    """Q, w and the least squares of the densities, by least_squares from many starts within the same bounds."""
    celsius, hold, density = (np.array([run[i] for run in runs]) for i in (0, 1, 2))
    end, ramp, start = celsius + 273.15, 5 / 60, 296.15
    # ln of the work by the substitution u = 1/T on 4000 intervals of Simpson, relative to the rate at the end.
    grid = start + (end[:, None] - start) * np.linspace(0, 1, 4001)
    weights = np.ones(4001)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    step = (end - start) / 4000

    def work(q):
        rate = np.exp(-q / R * (1 / grid - 1 / end[:, None])) / grid
        return np.log(rate @ weights * step / 3 / ramp + hold * 60 / end) - q / (R * end)

    middle = np.mean(end)

    def off(x):
        q, w, half = x
        return green + (full - green) / (1 + np.exp(-(work(q * 1e3) + q * 1e3 / (R * middle) - half) / w)) - density

    best = None
    for q in (60, 150, 300, 600, 1200):
        for w in (0.2, 0.6, 1.2, 3):
            for half in (1, 4, 7):
                found = least_squares(
                    off, [q, w, half], bounds=([20, 0.05, -500], [2000, 20, 500]), x_scale=[100, 1, 2],
                    xtol=1e-13, ftol=1e-13, gtol=1e-13,
                )
                if best is None or found.cost < best.cost:
                    best = found
    return {"energy": best.x[0] * 1e3, "width": best.x[1], "squares": 2 * best.cost}


def simulated(count):
    """Five runs of a known curve with a scatter of 0.3 %, again and again."""
    rng = np.random.default_rng(3)
    places = [(1200, 60), (1250, 60), (1300, 60), (1340, 60), (1360, 120)]
    stretch = lambda c, h: [{"ramp": 5 / 60, "temperature": c + 273.15, "hold": h * 60.0}]
    works = [log_work({"energy": 280e3, "from": 296.15, "stretches": stretch(c, h)}) for c, h in places]
    half = works[2] - 1.1 * np.log((0.94 - 0.6) / (0.995 - 0.94))
    for _ in range(count):
        densities = [0.6 + 0.395 / (1 + np.exp(-(x - half) / 1.1)) + 0.003 * rng.normal() for x in works]
        yield [[c, h, round(float(d), 5)] for (c, h), d in zip(places, densities) if d < 0.995]


def main():
    places = [1e-4, 1e-3, 0.01, 0.03, 0.1, 0.3, 1.0]
    base = {
        "half_thickness": 2e-3,
        "grain": 4e-6,
        "pores": 0.02,
        "from": 296.15,
        "to": 820.0,
        "ramp": 0.05,
        "allowed": 50e3,
        "outside": 101_325.0,
        "viscosity": 2.5e-5,
        "molar_mass": 0.05,
        "parts": [{"mass": 140.0, "volume": 0.155, "half": 710.0, "energy": 230e3}],
    }
    two = [
        {"mass": 210.0, "volume": 0.235, "half": 553.0, "energy": 85e3},
        {"mass": 130.0, "volume": 0.145, "half": 713.0, "energy": 230e3},
    ]
    cases = [
        base,
        {**base, "half_thickness": 6e-3},
        {**base, "half_thickness": 4e-3, "parts": two},
        {**base, "half_thickness": 4e-3, "pores": 0.25},
    ]
    runs = [
        {"energy": 280e3, "from": 296.15, "stretches": [{"ramp": 5 / 60, "temperature": 1633.15, "hold": 7200.0}]},
        {
            "energy": 440e3,
            "from": 296.15,
            "stretches": [
                {"ramp": 10 / 60, "temperature": 1273.15, "hold": 1800.0},
                {"ramp": 3 / 60, "temperature": 1873.15, "hold": 5400.0},
            ],
        },
    ]
    rng = np.random.default_rng(7)
    readings = []
    for celsius in [30, 40, 50]:
        for hours in [0.5, 1, 2, 4]:
            t, time, half = celsius + 273.15, hours * 3600.0, 2e-3
            d = 45.34e-4 * np.exp(-5437.2 / t)
            left = slab(d * time / half**2) + 0.02 * rng.standard_normal()
            readings.append({"temperature": t, "time": time, "half": half, "left": float(left)})
    sets = [
        [[1300, 30, 0.91], [1300, 60, 0.931], [1360, 120, 0.979]],
        [[1250, 60, 0.882], [1300, 60, 0.931], [1340, 60, 0.961], [1360, 120, 0.984]],
        *simulated(30),
    ]
    out = {
        "slab": [[x, slab(x)] for x in places],
        "rod": [[x, rod(x)] for x in places],
        "schedules": [{**case, "time": schedule(case)} for case in cases],
        "works": [{**run, "log_work": log_work(run)} for run in runs],
        "fit": {"readings": readings, **fit(readings)},
        "curves": [{"runs": runs, **curve(runs)} for runs in sets],
    }
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n")


if __name__ == "__main__":
    main()
