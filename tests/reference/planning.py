"""What surrounds the mould, with ht, CoolProp and SciPy: pressure along a compact, film of a drilling, the pressure of a
ring that shrinks on a core.

    python3 planning.py         # writes planning.json, a few seconds

It shares no code with the project. The balance of a slice of the compact is integrated by scipy.integrate.solve_ivp. The
film is ht.conv_internal.turbulent_Dittus_Boelter; steel.py has the row of drillings. The ring is solved as a boundary value problem for the radial displacement by scipy.integrate.solve_bvp, without Lamé's closed
form. Water is CoolProp's (IAPWS-95 and the IAPWS correlations) at 1 MPa. All inputs stand in the JSON, in SI.
"""

import json
from pathlib import Path

import numpy as np
from CoolProp.CoolProp import PropsSI
from ht.conv_internal import turbulent_Dittus_Boelter
from scipy.integrate import solve_bvp, solve_ivp


def compact(height, width, friction):
    """Pressure left over that of the punch, by the balance of a slice: dσ/dz = −4 µk σ/D."""
    whole = solve_ivp(lambda z, p: -4 * friction / width * p, (0, height), [1.0], rtol=1e-11, atol=1e-14)
    half = solve_ivp(lambda z, p: -4 * friction / width * p, (0, height / 2), [1.0], rtol=1e-11, atol=1e-14)
    return [float(whole.y[0, -1]), float(half.y[0, -1])]


def ring(radius, wall, modulus, poisson, contraction, held):
    """Pressure on a rigid core. u is the displacement beyond the free contraction: u(r) = ε r at the bore, σ_r = 0 outside.

    Lengthwise the stress is zero (free), or the strain beyond the free contraction is ε (held)."""
    lame = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    shear = modulus / (2 * (1 + poisson))

    def axial(u, slope, r):
        if held:
            return contraction
        # σ_z = 0: λ (u' + u/r + e) + 2 G e = 0
        return -lame * (slope + u / r) / (lame + 2 * shear)

    def radial(u, slope, r):
        return lame * (slope + u / r + axial(u, slope, r)) + 2 * shear * slope

    def right(r, y):
        # u'' + u'/r − u/r² = 0 for a uniform axial strain.
        return np.vstack([y[1], y[0] / r**2 - y[1] / r])

    def ends(a, b):
        return np.array([a[0] / (contraction * radius) - 1, radial(b[0], b[1], radius + wall) / modulus])

    r = np.linspace(radius, radius + wall, 200)
    guess = np.vstack([np.full_like(r, contraction * radius), np.zeros_like(r)])
    found = solve_bvp(right, ends, r, guess, tol=1e-9, max_nodes=100000)
    assert found.success, found.message
    u, slope = found.sol(radius)
    return float(-radial(u, slope, radius))


def water(celsius):
    t, p = celsius + 273.15, 1e6
    of = lambda name: float(PropsSI(name, "T", t, "P", p, "Water"))
    return {
        "celsius": celsius,
        "density": of("D"),
        "heat": of("C"),
        "conductivity": of("L"),
        "viscosity": of("V"),
    }


def film(celsius, flow, bore):
    """Reynolds and Nusselt number of water in a drilling: ht's Dittus and Boelter for a fluid that is heated."""
    w = water(celsius)
    reynolds = 4 * flow * w["density"] / (np.pi * bore * w["viscosity"])
    prandtl = w["viscosity"] * w["heat"] / w["conductivity"]
    return {
        "celsius": celsius,
        "flow": flow,
        "bore": bore,
        "reynolds": float(reynolds),
        "nusselt": float(turbulent_Dittus_Boelter(Re=reynolds, Pr=prandtl, heating=True, revised=True)),
    }


def main():
    compacts = [(10e-3, 10e-3, 0.15), (20e-3, 10e-3, 0.15), (30e-3, 10e-3, 0.15), (12e-3, 17e-3, 0.22)]
    rings = [
        (5e-3, 1e-3, 4e9, 0.3, 0.004),
        (2e-3, 3e-3, 6e9, 0.25, 0.003),
        (15e-3, 0.5e-3, 3e9, 0.4, 0.006),
    ]
    out = {
        "compacts": [
            {"height": h, "width": d, "friction": f, "left": compact(h, d, f)} for h, d, f in compacts
        ],
        "rings": [
            {
                "radius": r, "wall": t, "modulus": e, "poisson": nu, "contraction": eps,
                "free": ring(r, t, e, nu, eps, False), "held": ring(r, t, e, nu, eps, True),
            }
            for r, t, e, nu, eps in rings
        ],
        "films": [
            film(20.0, 1.5e-4, 8e-3), film(60.0, 1e-4, 8e-3), film(90.0, 5e-5, 6e-3), film(140.0, 2e-4, 10e-3),
        ],
    }
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n")


if __name__ == "__main__":
    main()
