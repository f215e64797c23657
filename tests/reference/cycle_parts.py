"""Material, grid of places and fill with latent heat of the reference cycle (see cycle_mol.py, README.md); plain SI."""

import math

import numpy as np
import scipy.sparse as sp

from mol_model import Fill
from mol_parts import CrossWlf, PowerLaw

ZERO = 273.15
ROOM = 296.15
FLOOR = 1e-12      # least fluidity, relative to that at the no-flow temperature


# --------------------------------------------------------------------------
# Material, from the parts of a scenario document (edge units there, SI here).
# --------------------------------------------------------------------------

class Clamped:
    """A fluid whose mobility stays what it is at the no-flow temperature below it."""

    def __init__(self, fluid, t_noflow):
        self.fluid, self.t_noflow = fluid, t_noflow
        self.ln_rate, self.d_ln_rate = fluid.ln_rate, fluid.d_ln_rate

    def ln_mobility(self, temp):
        return self.fluid.ln_mobility(np.maximum(temp, self.t_noflow))


class Material:
    """Mixture properties, heat content and pvT of a feedstock document."""

    def __init__(self, f):
        phi = self.phi = f["solids_loading"] / 100
        solid, liquid = phi * f["powder_density"], (1 - phi) * f["binder_density"]
        self.rho = solid + liquid
        share = liquid / self.rho                               # of binder, by mass
        self.cp = (1 - share) * f["powder_heat_capacity"] + share * f["binder_heat_capacity"]
        kp, kb = f["powder_conductivity"], f["binder_conductivity"]
        # Maxwell and Eucken in the form of a contrast.
        contrast = (kp - kb) / (kp + 2 * kb)
        self.k = kb * (1 + 2 * phi * contrast) / (1 - phi * contrast)
        self.latent = share * f["latent_heat"] * 1e3 / self.cp  # K
        self.t_s, self.t_l = f["solidus"] + ZERO, f["liquidus"] + ZERO
        self.t_noflow = f["no_flow_temperature"] + ZERO
        self.t_eject = f["ejection_temperature"] + ZERO
        kind, c = next(iter(f["flow_law"].items()))
        if kind == "cross_wlf":
            fluid = CrossWlf(c["n"], c["tau_star"] * 1e3, c["d1"], c["d2"] + ZERO, c["a1"], c["a2"])
        else:
            fluid = PowerLaw(c["n"], c["consistency"], c["activation_energy"] * 1e3,
                             c["reference_temperature"] + ZERO)
        self.fluid = Clamped(fluid, self.t_noflow)
        # Heat content and temperature as polylines, straight beyond their ends.
        self._t = np.array([self.t_s - 500, self.t_s, self.t_l, self.t_l + 1000])
        self._c = self._t + self.latent * np.array([0, 0, 1, 1])
        if f["pvt"] == "linear":
            self.volume = Linear(f["binder_expansion"] * 1e-4, f["binder_compressibility"] * 1e-9)
        else:
            self.volume = Tait(f["pvt"]["tait"])

    def content(self, temp):
        return np.interp(temp, self._t, self._c)

    def temperature(self, content):
        return np.interp(content, self._c, self._t)

    def ln_mobility(self, temp):
        """ln of the mobility with the no-flow cut-off (1 K) and its floor."""
        below = np.minimum(temp - self.t_noflow, 0.0)
        return self.fluid.ln_mobility(temp) + np.maximum(-below**2, math.log(FLOOR))

    def densities(self, temp, share, layers=False):
        """r(p) = mean of the density relative to the cold part, and dr/dp, as a function.

        With `layers`, what each place adds to the mean instead of r itself."""
        at = self.volume.isobars(temp)

        def r(p):
            v, dv = at(p[:, None])
            dense = 1 / (self.phi + (1 - self.phi) * v)
            own = share * dense
            return own if layers else own.sum(axis=1), -(1 - self.phi) * (own * dense * dv).sum(axis=1)
        return r


def places(part, per_layer):
    """Places inside the layers: their shares of the area, and the matrix that gives their temperatures.

    The binder's volume may change within a kelvin, over a part of a layer: its mean is taken over the line
    through the layers' temperatures, not over the layers.
    """
    edges = np.concatenate([np.linspace(a, b, per_layer + 1)[:-1] for a, b in zip(part.y[:-1], part.y[1:])] + [[part.H]])
    power = 2 if part.shape["kind"] == "tube" else 1
    share = np.diff((edges / part.H) ** power)
    y, yc = 0.5 * (edges[1:] + edges[:-1]), part.yc
    k = np.clip(np.searchsorted(yc, y) - 1, 0, part.ny - 2)
    w = np.maximum((y - yc[k]) / (yc[k + 1] - yc[k]), 0.0)   # flat inside the first, straight on to the wall
    matrix = np.zeros((y.size, part.ny))
    rows = np.arange(y.size)
    matrix[rows, k], matrix[rows, k + 1] = 1 - w, w
    return share, matrix


class Linear:
    def __init__(self, beta, kappa):
        self.beta, self.kappa = beta, kappa

    def isobars(self, temp):
        warm = 1 + self.beta * (temp - ROOM)
        return lambda p: (warm * (1 - self.kappa * p), -self.kappa * warm)


class Tait:
    """v = v0(T)(1 - C ln(1 + p/B(T))) + vt in two domains, blended over 1 K either side of b5 + b6 p."""

    def __init__(self, c):
        self.t5 = c["b5"] + ZERO
        self.b6, self.b7, self.b8, self.b9 = c["b6"] * 1e-6, c["b7"], c["b8"], c["b9"] * 1e-6
        self.domain = [(c["b1" + d], c["b2" + d] * 1e-4, c["b3" + d] * 1e6, c["b4" + d] * 1e-3) for d in "sm"]
        self.v_room = 1.0
        self.v_room = float(self.isobars(np.array([ROOM]))(np.zeros(1))[0][0])

    def isobars(self, temp):
        dt = temp - self.t5
        (s0, sb), (m0, mb) = (((b1 + b2 * dt) / self.v_room, b3 * np.exp(-b4 * dt))
                              for b1, b2, b3, b4 in self.domain)
        melting = self.b7 / self.v_room * np.exp(np.minimum(self.b8 * dt, 1.0))

        def at(p):
            c = 0.0894
            vm, dm = m0 * (1 - c * np.log1p(p / mb)), -m0 * c / (mb + p)
            more = melting * np.exp(-self.b9 * p)
            vs = s0 * (1 - c * np.log1p(p / sb)) + more
            ds = -s0 * c / (sb + p) - self.b9 * more
            z = np.clip(0.5 * (dt - self.b6 * p + 1.0), 0, 1)
            w, dw = z * z * (3 - 2 * z), -3 * self.b6 * z * (1 - z)
            return vs + w * (vm - vs), ds + w * (dm - ds) + dw * (vm - vs)
        return at


# --------------------------------------------------------------------------
# The fill: that of mol_model.py with latent heat added.
# --------------------------------------------------------------------------

class LatentFill(Fill):
    """The state is heat content; conduction alone feels that it is not temperature."""

    def __init__(self, case, nx, ny, **kw):
        self.m = case["material"]
        super().__init__(case, nx, ny, **kw)

    def profile(self, part, temp, width, key):
        least = self.m.t_noflow - math.sqrt(-math.log(FLOOR))
        return super().profile(part, np.maximum(self.m.temperature(temp), least), width, key)

    def shift(self, part, block):
        """Cells times (conduction of what temperature falls short of heat content), K/s, and the wall's."""
        c = self.c
        heat = c["k"] * part.g_cond * (block[:, 1:] - block[:, :-1])
        out = np.zeros_like(block)
        out[:, :-1] += heat
        out[:, 1:] -= heat
        wall = self.wall_conductance(part) * block[:, -1]
        out[:, -1] -= wall
        return out / (self.rho_cp * part.zeta), wall

    def rhs(self, t, state, split):
        out = super().rhs(t, state, split)
        k, lost = 0, 0.0
        for part, v in zip(self.parts, split(t)):
            n = part.nx * part.ny
            th = state[k:k + n].reshape(part.nx, part.ny) + self.c["t_wall"]
            rate, wall = self.shift(part, self.m.temperature(th) - th)
            out[k:k + n] += rate.ravel()
            lost += wall @ (v * part.dx)
            k += n
        out[-2] += lost / (self.rho_cp * self.v_total)
        return out

    def jacobian(self, t, state, split):
        base = super().jacobian(t, state, split)
        if self.m.latent == 0:
            return base
        k, blocks = 0, []
        for part, _ in zip(self.parts, split(t)):
            n = part.nx * part.ny
            th = state[k:k + n] + self.c["t_wall"]
            slope = (self.m.temperature(th + 1e-4) - self.m.temperature(th)) / 1e-4 - 1
            eye = np.eye(part.ny)
            column = self.shift(part, eye)[0].T                 # response of a column to each layer
            blocks.append(sp.kron(sp.eye_array(part.nx), column) @ sp.diags_array(slope))
            k += n
        return base + sp.block_diag(blocks + [sp.csr_array((2, 2))], format="csc")

    def outputs(self, rows, state, filled):
        self.final = state[:-2], filled
        return dict(p_inlet=rows[-1]["p"], wall_heat=state[-2] * self.rho_cp * self.v_total)
