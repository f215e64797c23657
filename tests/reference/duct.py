"""Power-law flow in a rectangular duct, solved in two dimensions.

Writes duct.json: the pressure gradient relative to that of a wide slit of the same
thickness at the same mean velocity. Minimises the functional of power-law flow,
sum |grad u|^(n+1)/(n+1) - u, on a quarter of the section with bilinear elements and
one Gauss point each, by Picard's iteration; two grids and Richardson extrapolation.

    python3 duct.py      # needs numpy and scipy, a minute
"""

import json

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve


def mean_velocity(ratio, n, cells):
    """Mean velocity for unit gradient and consistency; thickness 2, width 2/ratio."""
    half = [1.0, 1.0 / ratio]
    # Finer towards the walls, where power-law fluids shear most.
    grid = [h * (1.0 - (1.0 - np.linspace(0, 1, cells + 1)) ** 1.5) for h in half]
    y, z = np.meshgrid(*grid, indexing="ij")
    number = np.arange(y.size).reshape(y.shape)
    corner = np.stack([number[:-1, :-1], number[1:, :-1], number[:-1, 1:], number[1:, 1:]])
    corner = corner.reshape(4, -1)
    dy = np.repeat(np.diff(grid[0])[:, None], cells, 1).ravel()
    dz = np.repeat(np.diff(grid[1])[None, :], cells, 0).ravel()
    area = dy * dz
    points = [(-1 / 3**0.5, -1 / 3**0.5), (1 / 3**0.5, -1 / 3**0.5), (-1 / 3**0.5, 1 / 3**0.5), (1 / 3**0.5, 1 / 3**0.5)]
    sign = [(-1, -1), (1, -1), (-1, 1), (1, 1)]
    slopes = []
    for a, b in points:
        gy = np.stack([s * (1 + t * b) / 4 * 2 / dy for s, t in sign])
        gz = np.stack([t * (1 + s * a) / 4 * 2 / dz for s, t in sign])
        slopes.append((gy, gz))
    load = np.zeros(y.size)
    for c in corner:
        np.add.at(load, c, area / 4)
    free = np.flatnonzero(~((y == half[0]) | (z == half[1])).ravel())
    u = np.zeros(y.size)
    viscosity = [np.ones(area.size)] * 4
    for _ in range(400):
        rows, cols, values = [], [], []
        for (gy, gz), eta in zip(slopes, viscosity):
            for a in range(4):
                for b in range(4):
                    rows.append(corner[a])
                    cols.append(corner[b])
                    values.append(eta * area / 4 * (gy[a] * gy[b] + gz[a] * gz[b]))
        matrix = coo_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(cols)))).tocsr()
        new = np.zeros(y.size)
        new[free] = spsolve(matrix[free][:, free], load[free])
        change = np.abs(new - u).max() / np.abs(new).max()
        u = new if _ == 0 else u + (new - u) * (2 / (1 + 1 / n) if n < 1 else 1.0)
        viscosity = []
        for gy, gz in slopes:
            rate = np.hypot((gy * u[corner]).sum(0), (gz * u[corner]).sum(0))
            viscosity.append(np.maximum(rate, 1e-7 * rate.max()) ** (n - 1))
        if change < 1e-8:
            break
    else:
        raise RuntimeError("no convergence")
    return float(load @ u) / (half[0] * half[1])


def factor(ratio, n):
    slit = n / (2 * n + 1)
    coarse, fine = ((slit / mean_velocity(ratio, n, cells)) ** n for cells in (40, 80))
    return {"thickness_over_width": ratio, "n": n, "factor": fine + (fine - coarse) / 3, "grid_change": fine - coarse}


def main():
    cases = [factor(ratio, n) for ratio in (0.1, 0.27, 0.5, 1.0) for n in (0.25, 0.5, 0.75, 1.0)]
    with open("duct.json", "w") as out:
        json.dump({"source": "duct.py", "cases": cases}, out, indent=1)
        out.write("\n")
    for case in cases:
        print(case)


if __name__ == "__main__":
    main()
