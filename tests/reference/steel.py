"""From the coolant to the surface of the steel, to check ours against: water by IAPWS-95 and the correlations of
`chemicals`, the film by `ht`, conduction from a row of drillings to a plane by a series fitted at the bore.

    python3 -m pip install -r requirements.txt
    python3 steel.py          # writes steel.json

It shares no code with the program. Conduction: the temperature is a sum of line and multipole sources in the row of
drillings and of their mirror images in the plane, each summed over the row in closed form; the strengths follow from
least squares at points of the bore, which is to be isothermal. The residual says how well that was met.
"""

import json
import math
import pathlib

import chemicals
import ht
import numpy as np
from chemicals import iapws

MOLAR = 18.015268e-3


def water(celsius):
    """Density, heat capacity, conductivity and viscosity of water at 1 MPa."""
    kelvin = celsius + 273.15
    rho, _, _, _, _, cp, *_ = iapws.iapws95_properties(kelvin, 1e6)
    return {
        "celsius": celsius,
        "density": rho,
        "heat_capacity": cp,
        "conductivity": chemicals.thermal_conductivity.k_IAPWS(kelvin, rho),
        "viscosity": chemicals.viscosity.mu_IAPWS(kelvin, rho),
    }


def shape_factor(bore, pitch, depth, orders=8, points=64):
    """Heat per length, conductivity and kelvin from one drilling of a row to the plane at 0 K; and the residual."""
    radius = bore / 2
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    z = radius * np.exp(1j * angle) + 1j * depth
    columns = []
    cotangent = lambda w: np.pi / pitch / np.tan(np.pi * w / pitch)
    here, image = z - 1j * depth, z + 1j * depth
    log = lambda w: np.log(np.abs(np.sin(np.pi * w / pitch)))
    columns.append((log(image) - log(here)) / (2 * np.pi))
    # The cotangent and its derivatives are the dipoles and multipoles of the row; Taylor coefficients by a contour.
    # The image has the value of the mirrored place with its sign turned, so that the plane is at zero.
    nodes = np.exp(2j * np.pi * np.arange(64) / 64)
    reach = 0.3 * radius
    for order in range(orders):
        def multipole(w):
            ring = cotangent(w[:, None] + reach * nodes[None, :])
            return (ring * nodes[None, :] ** -order).mean(axis=1) * (radius / reach) ** order
        a, b = multipole(here), multipole(image)
        columns.append(np.real(a) - np.real(b))
        columns.append(np.imag(a) + np.imag(b))
    system = np.array(columns).T
    strength, *_ = np.linalg.lstsq(system, np.ones(points), rcond=None)
    return strength[0], float(np.abs(system @ strength - 1).max())


def steel(heat, length, coolant, flow, bore, pitch, depth, conductivity):
    """Temperature of the surface [°C] with a heat [W] into a length [m] of drillings in one circuit."""
    mean = coolant
    for _ in range(50):
        w = water(mean)
        rise = heat / (flow * w["density"] * w["heat_capacity"])
        mean = coolant + rise / 2
    reynolds = 4 * flow * w["density"] / (math.pi * bore * w["viscosity"])
    prandtl = w["viscosity"] * w["heat_capacity"] / w["conductivity"]
    nusselt = ht.conv_internal.turbulent_Dittus_Boelter(reynolds, prandtl, heating=True, revised=True)
    film = heat / length / (math.pi * w["conductivity"] * nusselt)
    factor, _ = shape_factor(bore, pitch, depth)
    return {
        "heat": heat, "length": length, "coolant": coolant, "flow": flow, "bore": bore, "pitch": pitch,
        "depth": depth, "conductivity": conductivity, "rise": rise, "reynolds": reynolds, "nusselt": nusselt,
        "film": film, "surface": mean + film + heat / length / (conductivity * factor),
    }


if __name__ == "__main__":
    rows = []
    for bore, pitch, depth in [(8e-3, 30e-3, 16e-3), (8e-3, 20e-3, 12e-3), (10e-3, 40e-3, 25e-3), (6e-3, 60e-3, 12e-3)]:
        factor, residual = shape_factor(bore, pitch, depth)
        rows.append({"bore": bore, "pitch": pitch, "depth": depth, "factor": factor, "residual": residual})
    alone, residual = shape_factor(8e-3, 8.0, 16e-3)
    table = {
        "made_with": f"ht {ht.__version__}, chemicals {chemicals.__version__}, numpy {np.__version__}",
        "water": [water(t) for t in (5.0, 10.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 140.0, 160.0)],
        "rows": rows,
        "one_alone": {
            "bore": 8e-3, "depth": 16e-3, "ht": ht.conduction.S_isothermal_pipe_to_plane(8e-3, 16e-3),
            "series": alone, "residual": residual,
        },
        "steel": [
            steel(400.0, 0.4, 20.0, 3e-3 / 60, 8e-3, 30e-3, 16e-3, 29.0),
            steel(1500.0, 1.2, 40.0, 10e-3 / 60, 10e-3, 40e-3, 20e-3, 29.0),
            steel(250.0, 0.5, 120.0, 5e-3 / 60, 8e-3, 30e-3, 16e-3, 29.0),
        ],
    }
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(table, indent=1) + "\n")
