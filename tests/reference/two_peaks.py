"""A slab of melt with two melting peaks that cools from its wall: method of lines with SciPy.

Writes two_peaks.json: temperatures over the half gap at a few times. The heat content is the integral of the apparent
heat capacity 1 + sum L/(Tl - Ts), tabulated and inverted by interpolation; layers are equal, and the wall is perfect. The code under
test has layers that narrow towards the wall, closed forms of the inverse, and another time integration.
"""

import json
import numpy as np
from scipy.integrate import solve_ivp

H, ALPHA = 1e-3, 0.6e-6                    # half gap [m], diffusivity [m2/s]
MELT, WALL = 160.0, 35.0                   # degrees C
PEAKS = [(45.0, 70.0, 28.0), (100.0, 118.0, 12.0)]   # solidus, liquidus [degrees C], L/cp [K]
TIMES = [0.2, 0.5, 1.0, 1.5]
N = 400

grid = np.linspace(0.0, 220.0, 220001)
capacity = np.ones_like(grid)
for solidus, liquidus, latent in PEAKS:
    capacity += np.where((grid > solidus) & (grid < liquidus), latent / (liquidus - solidus), 0.0)
content = np.concatenate([[0.0], np.cumsum(0.5 * (capacity[1:] + capacity[:-1]) * np.diff(grid))])


def temperature(theta):
    return np.interp(theta, content, grid)


def rate(_, theta):
    t = temperature(theta)
    dy = H / N
    flux = np.empty(N + 1)
    flux[0] = 0.0
    flux[1:-1] = ALPHA * (t[:-1] - t[1:]) / dy
    flux[-1] = ALPHA * (t[-1] - WALL) / (0.5 * dy)
    return (flux[:-1] - flux[1:]) / dy


start = np.full(N, np.interp(MELT, grid, content))
band = dict(lband=1, uband=1)
found = solve_ivp(rate, (0.0, TIMES[-1]), start, method="LSODA", t_eval=TIMES, rtol=1e-8, atol=1e-6, **band)
middles = (np.arange(N) + 0.5) / N
places = [0.1, 0.3, 0.5, 0.7, 0.9]
out = {
    "half_gap": H, "diffusivity": ALPHA, "melt": MELT, "wall": WALL, "peaks": PEAKS, "times": TIMES, "places": places,
    "temperatures": [[round(float(np.interp(p, middles, temperature(found.y[:, k]))), 4) for p in places] for k in range(len(TIMES))],
    "mean_content": [round(float(np.mean(found.y[:, k])) - float(np.interp(WALL, grid, content)), 4) for k in range(len(TIMES))],
}
with open("two_peaks.json", "w") as file:
    json.dump(out, file, indent=1)
    file.write("\n")
print(out["temperatures"], out["mean_content"])
