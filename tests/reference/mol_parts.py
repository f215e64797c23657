"""Fluids and passages (geometry and grid) of the reference fill; plain SI."""

import math

import numpy as np
from scipy.interpolate import CubicHermiteSpline

R_GAS = 8.314462618  # J/(mol K)


# --------------------------------------------------------------------------
# Fluids: shear rate as an explicit function of stress and temperature.
# --------------------------------------------------------------------------

class CrossWlf:
    """eta = eta0/(1 + (eta0 g/tau*)^(1-n)), eta0 = D1 exp(-A1 (T-D2)/(A2+T-D2))."""

    def __init__(self, n, tau_star, d1, d2, a1, a2):
        self.n, self.tau_star, self.d1, self.d2, self.a1, self.a2 = n, tau_star, d1, d2, a1, a2
        # With x = eta0 g/tau*, L = ln x obeys ln(tau/tau*) = L - ln(1 + e^{(1-n)L}),
        # whatever the temperature: tabulate the inverse once (error below 1e-10).
        big_l = np.linspace(-60.0, 80.0, 14001)
        e = (1 - n) * big_l
        ln_tau = big_l - np.logaddexp(0.0, e)
        slope = 1 - (1 - n) / (1 + np.exp(-e))
        self._inv = CubicHermiteSpline(ln_tau, big_l, 1 / slope)
        self._d_inv = self._inv.derivative()

    def ln_mobility(self, temp):
        """The part of ln(shear rate) that depends on temperature only."""
        d = temp - self.d2
        return math.log(self.tau_star / self.d1) + self.a1 * d / (self.a2 + d)

    def ln_rate(self, ln_tau):
        """The part that depends on stress only."""
        return self._inv(ln_tau - math.log(self.tau_star))

    def d_ln_rate(self, ln_tau):
        """d ln(shear rate)/d ln(stress)."""
        return self._d_inv(ln_tau - math.log(self.tau_star))


class PowerLaw:
    """eta = K exp[(E/R)(1/T - 1/Tref)] g^(n-1)."""

    def __init__(self, n, k_ref, e_act, t_ref):
        self.n, self.k_ref, self.e_act, self.t_ref = n, k_ref, e_act, t_ref

    def ln_mobility(self, temp):
        ln_k = math.log(self.k_ref) + self.e_act / R_GAS * (1 / temp - 1 / self.t_ref)
        return -ln_k / self.n

    def ln_rate(self, ln_tau):
        return ln_tau / self.n

    def d_ln_rate(self, ln_tau):
        return np.full_like(ln_tau, 1 / self.n)


# --------------------------------------------------------------------------
# One passage and its grid.
# --------------------------------------------------------------------------

class Passage:
    """Geometry and grid of a strip, tube or disc; s runs from its inlet."""

    def __init__(self, shape, nx, ny):
        self.shape, self.nx, self.ny = shape, nx, ny
        kind = shape["kind"]
        tube = kind == "tube"
        self.H = shape["R"] if tube else shape["h"] / 2
        self.L = shape["L"] if kind != "disc" else shape["r_out"] - shape["r_in"]
        if kind == "strip":
            self.area = shape["w"] * shape["h"]
        elif tube:
            self.area = math.pi * shape["R"] ** 2
        if kind == "disc":
            self.volume = math.pi * shape["h"] * (shape["r_out"] ** 2 - shape["r_in"] ** 2)
        else:
            self.volume = self.area * self.L

        # Gap grid: layers narrow towards the wall (about 1:4).
        beta = 1.5
        f = np.linspace(0, 1, ny + 1)
        y = self.H * np.tanh(beta * f) / math.tanh(beta)
        yc = 0.5 * (y[1:] + y[:-1])
        lo, hi = y[:-1], y[1:]
        H = self.H
        if tube:
            self.zeta = (hi**2 - lo**2) / H**2
            self.base = (hi**3 - lo**3) / 3            # Q = W sum(base g), W = pi
            self.tri = 2 * (hi * (hi**2 - lo**2) / 2 - (hi**3 - lo**3) / 3)
            self.cell = hi**2 - lo**2                  # layer area / W
            self.lever = yc / 2                        # tau = lever * G
            face_per_volume = 2 * y / H**2
        else:
            self.zeta = (hi - lo) / H
            self.base = (hi**2 - lo**2) / 2            # Q = W sum(base g), W = 2 w
            self.tri = (hi - lo) ** 2 / 2
            self.cell = hi - lo
            self.lever = yc
            face_per_volume = np.full_like(y, 1 / H)
        self.y, self.yc, self.dy = y, yc, hi - lo
        self.ln_lever = np.log(self.lever)
        # Conduction per unit column volume: conductances between layers and to the wall.
        self.g_cond = face_per_volume[1:-1] / (yc[1:] - yc[:-1])
        self.wall_gap = H - yc[-1]
        self.wall_per_volume = face_per_volume[-1]
        self.wy = (y[1:-1] - yc[:-1]) / (yc[1:] - yc[:-1])   # linear interpolation to faces

        # Grid along the flow: finer at both ends (a factor of 5 at b = 0.8).
        x = np.linspace(0, 1, nx + 1)
        if kind == "disc":
            # Even in radius when full, mildly finer at both ends.
            b = 0.5
            x = (1 - b) * x + b * x * x * (3 - 2 * x)
            r = shape["r_in"] + x * self.L
            x = (r**2 - shape["r_in"] ** 2) / (shape["r_out"] ** 2 - shape["r_in"] ** 2)
        else:
            b = 0.8
            x = (1 - b) * x + b * x * x * (3 - 2 * x)
        self.x, self.xc, self.dx = x, 0.5 * (x[1:] + x[:-1]), np.diff(x)
        self._upwind_matrices()

    def _upwind_matrices(self):
        """P+ and P-: face values from [inlet, cells, outlet], for either sign of the flow."""
        nx, x, xc = self.nx, self.x, self.xc
        xe = np.concatenate([[0.0], xc, [1.0]])
        hl, hr = xe[1:-1] - xe[:-2], xe[2:] - xe[1:-1]
        self.hl, self.hr = hl, hr
        slope = np.zeros((nx, nx + 2))                  # derivative of the parabola
        i = np.arange(nx)
        slope[i, i] = -hr / (hl * (hl + hr))
        slope[i, i + 2] = hl / (hr * (hl + hr))
        slope[i, i + 1] = -(slope[i, i] + slope[i, i + 2])
        cell = np.zeros((nx, nx + 2))
        cell[i, i + 1] = 1
        pp, pm = np.zeros((nx + 1, nx + 2)), np.zeros((nx + 1, nx + 2))
        pp[1:] = cell + (x[1:] - xc)[:, None] * slope
        pm[:-1] = cell + (x[:-1] - xc)[:, None] * slope
        for m in (pp, pm):                              # the ends are the given values
            m[0], m[-1] = 0, 0
            m[0, 0], m[-1, -1] = 1, 1
        self.pp, self.pm = pp, pm
        self.out_w = (1 - xc[-1]) / (xc[-1] - xc[-2])   # extrapolation to xi = 1
        self.in_w = xc[0] / (xc[1] - xc[0])             # and to xi = 0
        self.fx = (x[1:-1] - xc[:-1]) / (xc[1:] - xc[:-1])

    def stations(self, filled):
        """Faces s, centres s and the width factor W at the centres (and at the inlet)."""
        kind = self.shape["kind"]
        v = self.x * filled
        if kind == "disc":
            s = np.sqrt(self.shape["r_in"] ** 2 + v / (math.pi * self.shape["h"]))
            c = 0.5 * (s[1:] + s[:-1])
            return s, c, 4 * math.pi * c, 4 * math.pi * s[0]
        s = v / self.area
        c = 0.5 * (s[1:] + s[:-1])
        w = math.pi if kind == "tube" else 2 * self.shape["w"]
        return s, c, np.full(self.nx, w), w
