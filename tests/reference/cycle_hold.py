"""Packing and cooling of the reference cycle (see cycle_mol.py, README.md).

Packing is one system of ordinary differential equations in time.  State: heat
content of every cell less that at the wall, mass of every column relative to
its volume, and integrals that are only read out.

* Pressure of a column: the p at which the mean over its layers of r(T, p) is
  the mass it holds; where there is too little for p = 0, a void of modulus VOID.
* Flow between two columns: two half columns in series, each with its own flow
  law, G_a and G_b found together by Newton so that both carry the same flow and
  the pressure falls by what it does fall.
* Heat: finite volumes with second-order upwind values along the flow, by the
  sign of the flow; what flows between layers follows from continuity, the mass
  that stays in a column being shared out by area.
* Time: SciPy's BDF; its Jacobian leaves the profiles' answers and the work's out
  (that changes the effort, not the answer).

All quantities are plain SI, but for the scaled mass (see MPA).
"""

import math

import numpy as np
import scipy.sparse as sp
from scipy.integrate import solve_ivp

from cycle_parts import places
from mol_model import rebin

VOID = 1e6         # Pa, pressure deficit at which a column would be empty: a missing per cent is 10 kPa
RAMP = 1e-3        # s, in which the nozzle pressure changes
MOST = 4e8         # Pa, greatest pressure told apart
MPA = 3000.0       # scales m/V - 1 to about the pressure in MPa, for the tolerances
FROZEN = 1e-3      # a gate counts as frozen at this share of its fluidity


class Hold:
    """Packing and cooling of the chain, from the end of a fill."""

    def __init__(self, fill, roles, void=VOID, storage="area", heating=True, per_layer=16, pause=RAMP):
        self.m, self.c, self.fill = fill.m, fill.c, fill
        self.parts, self.ny = fill.parts, fill.ny
        self.void, self.storage, self.heating, self.pause = void, storage, heating, pause
        per = lambda f: np.concatenate([np.broadcast_to(f(p), (p.nx, f(p).size)) for p in self.parts])
        self.n = sum(p.nx for p in self.parts)
        self.zeta, self.base, self.tri = per(lambda p: p.zeta), per(lambda p: p.base), per(lambda p: p.tri)
        self.area, self.ln_lever, self.dy = per(lambda p: p.cell), per(lambda p: p.ln_lever), per(lambda p: p.dy)
        self.g_cond, self.wy = per(lambda p: p.g_cond), per(lambda p: p.wy)
        self.wall = np.concatenate([np.full(p.nx, fill.wall_conductance(p)) for p in self.parts])
        self.vol = np.concatenate([p.volume * p.dx for p in self.parts])
        self.half = np.concatenate([0.5 * p.L * p.dx for p in self.parts])
        width = np.concatenate([p.stations(p.volume)[2] for p in self.parts])
        self.ln_weight = np.log(width)[:, None] + np.log(self.base)
        inside = [places(p, per_layer) for p in self.parts]
        self.share = np.concatenate([np.broadcast_to(a, (p.nx, a.size)) for p, (a, _) in zip(self.parts, inside)])
        self.inside = [m for _, m in inside]
        self.first = np.cumsum([0] + [p.nx for p in self.parts])
        self.role = np.repeat(roles, [p.nx for p in self.parts])
        self.wall_content = self.c["t_wall"]                    # below the solidus
        self.shut = False
        self._conduction = None
        self.guess_p = np.full(self.n, 1e7)
        self.guess_g = np.full((2, self.n), math.log(1e8))
        self.evaluations = self.jacobians = 0
        # Weights of the columns in the last tenth of the volume.
        behind = np.cumsum(self.vol[::-1])[::-1]
        tenth = 0.1 * behind[0]
        self.last = np.clip(self.vol - np.maximum(behind - tenth, 0), 0, None) / tenth
        self.begin()

    def begin(self):
        """State at the end of filling; the gate's stress and resistance then."""
        content, filled = self.fill.final
        fs = self.fill.fields(content, filled)
        g = np.concatenate([f["g"] for f in fs])
        drop = 2 * self.half * g
        p = np.cumsum(drop[::-1])[::-1] - 0.5 * drop
        self.p_first = float(drop.sum())
        theta = content.reshape(self.n, self.ny)
        temp = self.temperature(theta)
        dense, _ = self.densities(temp)(p)
        self.mass_first = float(self.vol @ dense)
        self.guess_p, self.guess_g = p, np.log(np.vstack([g, g]))
        self.gate = np.flatnonzero(self.role == "gate")
        self.gate_ln_g = np.log(g[self.gate])
        self.gate_resistance = self.resistance(temp)
        self.state = np.concatenate([theta.ravel(), (dense - 1) * MPA, np.zeros(3)])

    def temperature(self, theta):
        return self.m.temperature(theta + self.wall_content)

    def within(self, temp):
        """Temperatures at the places inside the layers."""
        return np.concatenate([temp[i:j] @ m.T for i, j, m in zip(self.first, self.first[1:], self.inside)])

    def densities(self, temp, **kw):
        return self.m.densities(self.within(temp), self.share, **kw)

    def resistance(self, temp):
        """Of the gate, at the stress it had at the end of filling."""
        i = self.gate
        ln_q, _ = self.flow_law(self.ln_weight[i] + self.m.ln_mobility(temp[i]), self.ln_lever[i], self.gate_ln_g)
        return float((2 * self.half[i] * np.exp(self.gate_ln_g - ln_q)).sum())

    # ---- pressure -------------------------------------------------------------

    def pressure(self, mass, temp):
        r = self.densities(temp)
        least, _ = r(np.zeros(self.n))
        void = mass < least
        # Trials of the time integrator can be wild; the next one must not start from where they led.
        p = np.where(void, 0.0, np.where(self.guess_p < MOST, self.guess_p, 5e7))
        for _ in range(30):
            dense, rise = r(p)
            step = np.where(void, 0.0, np.clip((mass - dense) / rise, -1e8, 1e8))
            p = np.clip(p + step, 0.0, MOST)
            if np.abs(np.where(p < MOST, step, 0)).max() < 1.0:  # quadratic: what is left is 1e-6 Pa
                break
        self.guess_p = p
        return np.where(void, -self.void * (1 - mass / least), p)

    # ---- flow -----------------------------------------------------------------

    def flow_law(self, ln_weight, ln_lever, ln_g, weights=False):
        """ln Q and its slope at a pressure gradient; with `weights`, what each layer's mobility counts for."""
        ln_tau = ln_g[:, None] + ln_lever
        ln_part = ln_weight + self.m.fluid.ln_rate(ln_tau)
        top = ln_part.max(axis=1, keepdims=True)
        part = np.exp(ln_part - top)
        total = part.sum(axis=1)
        slope = (part * self.m.fluid.d_ln_rate(ln_tau)).sum(axis=1) / total
        out = top[:, 0] + np.log(total), slope
        return (*out, part / total[:, None]) if weights else out

    def gradients(self, ln_weight, drop):
        """ln of the gradient in the first and the second half of every column, and ln Q at every face but the last."""
        n = self.n
        ln_drop = np.log(np.maximum(np.abs(drop), 1e-9))
        ahead = self.guess_g[0].copy()                          # first half, behind face i
        rest = self.guess_g[1].copy()                           # second half, before face i + 1
        ahead[0] = ln_drop[0] - math.log(self.half[0])
        a, b = slice(0, n - 1), slice(1, n)
        both = np.concatenate([np.arange(n - 1), np.arange(1, n)])
        w, lever = ln_weight[both], self.ln_lever[both]
        ha, hb = np.log(self.half[a]), np.log(self.half[b])
        xa, xb = rest[a], ahead[b]
        for _ in range(80):
            ln_q, slope = self.flow_law(w, lever, np.concatenate([xa, xb]))
            qa, qb, sa, sb = ln_q[:n - 1], ln_q[n - 1:], slope[:n - 1], slope[n - 1:]
            total = np.logaddexp(xa + ha, xb + hb)
            wa = np.exp(xa + ha - total)
            e1, e2 = qa - qb, total - ln_drop[1:]
            # sa da - sb db = -e1;  wa da + (1 - wa) db = -e2
            det = sa * (1 - wa) + sb * wa
            da = (-e1 * (1 - wa) - e2 * sb) / det
            db = (-e2 * sa + e1 * wa) / det
            da, db = np.clip(da, -4, 4), np.clip(db, -4, 4)
            xa, xb = xa + da, xb + db
            if max(np.abs(da).max(), np.abs(db).max()) < 1e-6:
                break
        else:
            raise RuntimeError("no flow found")
        rest[a], ahead[b] = xa, xb
        rest[-1] = -50.0                                        # the closed end
        self.guess_g = np.vstack([ahead, rest])
        first, _ = self.flow_law(ln_weight[:1], self.ln_lever[:1], ahead[:1])
        qa = qa + sa * da
        return ahead, rest, np.concatenate([first, qa])

    def shares(self, ln_mob, ln_g):
        """Layer shares of the flow and of the dissipated heat."""
        ln_rate = ln_mob + self.m.fluid.ln_rate(ln_g[:, None] + self.ln_lever)
        rate = np.exp(ln_rate - ln_rate.max(axis=1, keepdims=True))
        du = rate * self.dy
        outer = np.cumsum(du[:, ::-1], axis=1)[:, ::-1] - du
        phi = outer * self.area + rate * self.tri
        heat = rate * self.base
        return phi / phi.sum(axis=1, keepdims=True), heat / heat.sum(axis=1, keepdims=True)

    # ---- the equations ----------------------------------------------------------

    def fields(self, t, y):
        n, ny = self.n, self.ny
        theta = y[:n * ny].reshape(n, ny)
        temp = self.temperature(theta)
        dense = 1 + y[n * ny:n * ny + n] / MPA
        p = self.pressure(dense, temp)
        ln_mob = self.m.ln_mobility(temp)
        drop = np.concatenate([[self.nozzle(t)], p[:-1]]) - p
        ahead, rest, ln_q = self.gradients(self.ln_weight + ln_mob, drop)
        q = np.append(np.sign(drop) * np.exp(ln_q), 0.0)        # volume flow at the faces
        if self.shut:
            q[self.gate[0]:self.gate[-1] + 2] = 0.0
        source = np.where(q[:-1] > 0, np.concatenate([dense[:1], dense[:-1]]), dense)
        return theta, temp, p, ln_mob, ahead, rest, q, np.append(q[:-1] * source, 0.0)

    def convection(self, theta, flow, phi_a, phi_b, matrix=True):
        """Rate of heat content by what flows along and across; or its matrix, and its answers to the flow.

        Everything is linear in the heat contents, so matrices carry it; `melt` is what comes from the nozzle.
        """
        n, ny = self.n, self.ny
        net, blocks, answers = np.empty((n, ny)), [], ([], [])
        last = len(self.parts) - 1
        for k, part in enumerate(self.parts):
            i, j = self.first[k], self.first[k + 1]
            inlet, outlet = self.end(k, 0, theta), self.end(k, 1, theta)
            if flow[i] > 0:
                inlet = [] if k == 0 else self.end(k - 1, 1, theta, rebin(phi_b[i - 1], phi_a[i]))
            if flow[j] < 0 and k < last:
                outlet = self.end(k + 1, 0, theta, rebin(phi_a[j], phi_b[j - 1]))
            value = lambda terms: sum((m @ theta[c] for c, m in terms), np.zeros(ny))
            start = np.full(ny, self.melt) if not inlet else value(inlet)
            ext = np.vstack([start, theta[i:j], value(outlet)])
            face = np.empty((part.nx + 1, ny))
            before, after = phi_b[i:j - 1], phi_a[i + 1:j]
            face[0], face[-1] = phi_a[i], phi_b[j - 1]
            face[1:-1] = before + part.fx[:, None] * (after - before)
            layer = flow[i:j + 1, None] * face
            right = layer > 0
            carried = layer * np.where(right, part.pp @ ext, part.pm @ ext)
            stays = (flow[i:j] - flow[i + 1:j + 1])[:, None]
            stays = stays * (part.zeta if self.storage == "area" else 0.5 * (face[1:] + face[:-1]))
            # Between layers flows what continuity leaves.
            across = np.cumsum(layer[:-1] - layer[1:] - stays, axis=1)[:, :-1]
            th = theta[i:j]
            between = across * (th[:, :-1] + part.wy * (th[:, 1:] - th[:, :-1]))
            block = carried[:-1] - carried[1:] - stays * th
            block[:, :-1] -= between
            block[:, 1:] += between
            per = self.vol[i:j, None] * part.zeta
            net[i:j] = block / per
            if not matrix:
                continue
            # What more flow at the face before a cell, and at the one behind it, would do.
            value = np.where(right, part.pp @ ext, part.pm @ ext)
            mid = th[:, :-1] + part.wy * (th[:, 1:] - th[:, :-1])
            for side, sign in ((slice(0, -1), 1.0), (slice(1, None), -1.0)):
                moved = face[side] - part.zeta
                more = face[side] * value[side] - part.zeta * th
                across = np.cumsum(moved, axis=1)[:, :-1] * mid
                more[:, :-1] -= across
                more[:, 1:] += across
                answers[0 if sign > 0 else 1].append(sign * more / per)
            eye, total = sp.eye_array(ny), n * ny
            pick = sp.eye_array(part.nx * ny, total, k=i * ny, format="csr")

            def row(terms):
                out = sp.csr_array((ny, total))
                for c, m in terms:
                    out = out + sp.csr_array(m) @ sp.eye_array(ny, total, k=c * ny, format="csr")
                return out
            ext = sp.vstack([row(inlet), pick, row(outlet)], format="csr")
            faces = sum(sp.diags_array((layer * s).ravel()) @ (sp.kron(sp.csr_array(m), eye) @ ext)
                        for s, m in ((right, part.pp), (~right, part.pm)))
            across = np.cumsum(layer[:-1] - layer[1:] - stays, axis=1)[:, :-1]
            low, up, diag = np.zeros_like(th), np.zeros_like(th), -stays.copy() * np.ones_like(th)
            diag[:, :-1] -= across * (1 - part.wy)
            up[:, :-1] = -across * part.wy
            diag[:, 1:] += across * part.wy
            low[:, 1:] = across * (1 - part.wy)
            tri = sp.diags_array([low.ravel()[1:], diag.ravel(), up.ravel()[:-1]], offsets=[-1, 0, 1], format="csr")
            blocks.append(sp.diags_array(1 / per.ravel()) @ (faces[:-ny] - faces[ny:] + tri @ pick))
        if not matrix:
            return net, None
        return sp.vstack(blocks, format="csr"), [np.concatenate(a) for a in answers]

    def end(self, k, side, theta, carry=None):
        """Heat contents at an end of a passage, extrapolated, and carried on: (column, matrix) to be summed."""
        part, i, j = self.parts[k], self.first[k], self.first[k + 1]
        m = np.eye(self.ny) if carry is None else carry
        if side == 0:
            return [(i, m * (1 + part.in_w)), (i + 1, -m * part.in_w)]
        return [(j - 1, m * (1 + part.out_w)), (j - 2, -m * part.out_w)]

    def rhs(self, t, y):
        self.evaluations += 1
        n, ny = self.n, self.ny
        theta, temp, p, ln_mob, ahead, rest, q, flow = self.fields(t, y)
        (phi_a, heat_a), (phi_b, heat_b) = self.shares(ln_mob, ahead), self.shares(ln_mob, rest)
        net, _ = self.convection(theta, flow, phi_a, phi_b, matrix=False)
        heat = self.c["k"] * self.g_cond * (temp[:, 1:] - temp[:, :-1])
        src = np.zeros((n, ny))
        src[:, :-1] += heat
        src[:, 1:] -= heat
        wall = self.wall * (temp[:, -1] - self.c["t_wall"])
        src[:, -1] -= wall
        src *= self.vol[:, None]
        work = 0.0
        if self.heating:
            # Each half column turns its own drop into heat.
            pa = np.abs(q[:-1]) * np.exp(ahead) * self.half
            pb = np.abs(q[1:]) * np.exp(rest) * self.half
            src += pa[:, None] * heat_a + pb[:, None] * heat_b
            work = (pa + pb).sum()
        rate = net + src / self.fill.rho_cp / (self.vol[:, None] * self.zeta)
        mass = (flow[:-1] - flow[1:]) / self.vol * MPA
        scale = self.fill.rho_cp * self.fill.v_total
        tail = [wall @ self.vol / scale, work / scale, flow[0] / self.fill.v_total * MPA]
        return np.concatenate([rate.ravel(), mass, tail])

    def jacobian(self, t, y):
        """Exact but for how profiles and dissipation answer."""
        self.jacobians += 1
        n, ny, size = self.n, self.ny, self.n * self.ny
        theta, temp, p, ln_mob, ahead, rest, q, flow = self.fields(t, y)
        phi_a, phi_b = self.shares(ln_mob, ahead)[0], self.shares(ln_mob, rest)[0]
        slope = (self.m.temperature(theta + self.wall_content + 1e-4) - temp) / 1e-4
        carried, answers = self.convection(theta, flow, phi_a, phi_b)
        heat = carried + self.conduction_matrix() @ sp.diags_array(slope.ravel())
        # Pressure against mass and heat content.
        dense = 1 + y[size:size + n] / MPA
        void = p < 0
        at = np.maximum(p, 0.0)
        layers, rise = self.densities(temp, layers=True)(at)
        warmer, _ = self.densities(temp + 1e-3, layers=True)(at)
        least = layers.sum(axis=1)
        answer = np.where(void, self.void / least, 1 / rise)
        warming = (warmer - layers) / 1e-3
        warming = np.concatenate([warming[i:j] @ m for i, j, m in zip(self.first, self.first[1:], self.inside)])
        per_heat = -(np.where(void, dense / least, 1.0) * answer)[:, None] * warming * slope
        pressure = sp.hstack([sp.csr_array((per_heat.ravel(), np.arange(size), np.arange(n + 1) * ny), shape=(n, size)),
                              sp.diags_array(answer / MPA), sp.csr_array((n, 3))], format="csr")
        # Flow against pressure and against mobility: half columns in series.
        easier = (self.m.ln_mobility(temp + 1e-4) - ln_mob) / 1e-4 * slope
        softs, eases = [], []
        for g in (ahead, rest):
            _, s, weight = self.flow_law(self.ln_weight + ln_mob, self.ln_lever, g, weights=True)
            softs.append(np.exp(g) * self.half / s)
            eases.append(softs[-1][:, None] * weight * easier)
        soft = softs[0].copy()
        soft[1:] += softs[1][:-1]
        yields = np.abs(flow[:-1]) / soft
        step = sp.diags_array([-np.ones(n), np.ones(n - 1)], offsets=[0, -1], format="csr")
        flows = sp.diags_array(yields) @ step @ pressure        # faces 0 to n - 1; the last is closed
        signed = (flow[:-1] / soft)[:, None]
        behind = np.vstack([np.zeros((1, ny)), signed[1:] * eases[1][:-1]])
        pattern = np.arange(n + 1) * ny
        ease = (sp.csr_array(((signed * eases[0]).ravel(), np.arange(size), pattern), shape=(n, size))
                + sp.csr_array((behind.ravel(), np.maximum(np.arange(size) - ny, 0), pattern), shape=(n, size)))
        flows = flows + sp.hstack([ease, sp.csr_array((n, n + 3))], format="csr")
        balance = sp.diags_array([np.ones(n), -np.ones(n - 1)], offsets=[0, 1], format="csr")
        mass = sp.diags_array(MPA / self.vol) @ balance @ flows
        lost = np.zeros((n, ny))
        lost[:, -1] = self.wall * self.vol * slope[:, -1] / (self.fill.rho_cp * self.fill.v_total)
        tail = sp.vstack([sp.hstack([sp.csr_array(lost.reshape(1, -1)), sp.csr_array((1, n + 3))]),
                          sp.csr_array((1, y.size)), flows[:1] * (MPA / self.fill.v_total)])
        own = np.arange(size), np.repeat(np.arange(n), ny)
        heat = sp.hstack([heat, sp.csr_array((size, n + 3))], format="csr")
        heat = heat + sp.csr_array((answers[0].ravel(), own), shape=(size, n)) @ flows
        behind = sp.vstack([flows[1:], sp.csr_array((1, y.size))], format="csr")
        heat = heat + sp.csr_array((answers[1].ravel(), own), shape=(size, n)) @ behind
        return sp.vstack([heat, mass, tail], format="csc")

    def conduction_matrix(self):
        """Rate of heat content per temperature; the same throughout."""
        if self._conduction is None:
            n, ny = self.n, self.ny
            scale = 1 / (self.fill.rho_cp * self.zeta)
            g = self.c["k"] * self.g_cond
            diag = np.zeros((n, ny))
            diag[:, :-1] -= g
            diag[:, 1:] -= g
            diag[:, -1] -= self.wall
            low, up = np.zeros((n, ny)), np.zeros((n, ny))
            low[:, 1:], up[:, :-1] = g, g
            bands = [(scale * low).ravel()[1:], (scale * diag).ravel(), (scale * up).ravel()[:-1]]
            self._conduction = sp.diags_array(bands, offsets=[-1, 0, 1], format="csr")
        return self._conduction

    # ---- running ------------------------------------------------------------------

    def ln_openness(self, t, y):
        temp = self.temperature(y[:self.n * self.ny].reshape(self.n, self.ny))
        return math.log(self.gate_resistance / self.resistance(temp))

    def centre(self, t, y):
        """Coldest middle along the gate, above the no-flow temperature."""
        temp = self.temperature(y[:self.n * self.ny].reshape(self.n, self.ny))[self.gate]
        yc = self.parts[self.first.searchsorted(self.gate[0], side="right") - 1].yc
        mid = temp[:, 0] - (temp[:, 1] - temp[:, 0]) * yc[0] ** 2 / (yc[1] ** 2 - yc[0] ** 2)
        return mid.min() - self.m.t_noflow

    def hottest(self, role):
        i = np.flatnonzero(self.role == role)

        def above(t, y):
            temp = self.temperature(y[:self.n * self.ny].reshape(self.n, self.ny))[i]
            return (temp * self.zeta[i]).sum(axis=1).max() - self.m.t_eject
        return above

    def observe(self, t, y):
        n, ny = self.n, self.ny
        theta, temp, p, _, ahead, _, q, _ = self.fields(t, y)
        part = np.flatnonzero(self.role == "part")
        i = part[0]
        behind = p[i] + np.sign(q[i]) * np.exp(ahead[i]) * self.half[i] if q[i] != 0 else p[i]
        dense = 1 + y[n * ny:n * ny + n] / MPA
        mean = (temp * self.zeta).sum(axis=1)
        return dict(
            t=t, p_nozzle=self.nozzle(t), p_behind=max(behind, 0.0), p_end=max(float(self.last @ p), 0.0),
            t_end=float(self.last @ mean), openness=math.exp(self.ln_openness(t, y)),
            part_mass=float(self.vol[part] @ dense[part]) * self.m.rho, shrinkage=1 - float(self.last @ dense),
            lost=y[-3] * self.fill.rho_cp * self.fill.v_total, work=y[-2] * self.fill.rho_cp * self.fill.v_total,
            delivered=y[-1] / MPA * self.fill.v_total,
            gained=float(self.vol @ dense) - self.mass_first, hottest=float(mean[part].max()))

    def run(self, times, rtol, atol):
        """Integrate over `times` (the last is the end); observations there and the events."""
        self.melt = self.m.content(self.c["t_inlet"]) - self.wall_content
        released = self.c["hold_time"]
        freeze = lambda t, y: self.ln_openness(t, y) - math.log(FROZEN)
        freeze.terminal, freeze.direction = True, -1
        watch = [freeze, self.centre, self.hottest("part"), self.hottest("sprue")]
        names = ["gate_freeze", "centre_freeze", "part_cooled", "sprue_cooled"]
        events, rows, t, y = {}, [], 0.0, self.state
        times = np.asarray(times)
        while t < times[-1]:
            if t in (0.0, released):
                levels = (self.p_first, self.c["hold_pressure"]) if t == 0.0 else (self.c["hold_pressure"], 0.0)
                self.nozzle = ramp(t, self.pause, *levels)
            stop = min([b for b in (released, times[-1]) if b > t * (1 + 1e-12)])
            inside = times[(times > t) & (times <= stop)]
            marks = inside if inside.size and inside[-1] == stop else np.append(inside, stop)
            active = watch[1:] if self.shut else watch
            sol = solve_ivp(self.rhs, (t, stop), y, method="BDF", jac=self.jacobian, t_eval=marks, rtol=rtol,
                            atol=atol, first_step=1e-2 * self.pause, events=active)
            if not sol.success and sol.status != 1:
                raise RuntimeError(sol.message)
            for name, when in zip(names[-len(active):], sol.t_events):
                if len(when):
                    events.setdefault(name, float(when[0]))
            wanted = np.isin(sol.t, times)
            rows += [self.observe(s, z) for s, z, w in zip(sol.t, sol.y.T, wanted) if w]
            if sol.status == 1:
                t, y = float(sol.t_events[0][0]), sol.y_events[0][0]
                self.sealed = self.observe(t, y)
                self.shut = True
            else:
                t, y = stop, sol.y[:, -1]
        self.last_state = y
        return rows, events


def ramp(start, pause, before, after):
    """From one pressure to another within a pause, smoothly."""
    def level(t):
        x = min(max((t - start) / pause, 0.0), 1.0)
        return before + (after - before) * x * x * (3 - 2 * x)
    return level
