//! The fronts of the melt: how they enter cells, pass on from cell to cell and meet.

use super::march::{Front, March, Weld};

impl March<'_> {
    /// The next cell of a front that leaves cell `i` and came from `before`. `None` unless exactly one plain
    /// continuation exists: the next cell of the same passage, with no other front in that passage.
    pub(super) fn onward(&self, before: Option<usize>, i: usize) -> Option<usize> {
        let passage = self.cavity.cells[i].passage;
        let mut beyond = self.cavity.neighbours[i].iter().copied().filter(|&c| Some(c) != before);
        let (next, None) = (beyond.next()?, beyond.next()) else { return None };
        let within = |f: &&Front| self.cavity.cells[f.cell].passage == passage;
        let simple = self.cavity.cells[next].passage == passage
            && self.times[next][0].is_infinite()
            && !self.cavity.welds.iter().flatten().any(|&end| end == next)
            && self.joining(i).next().is_none()
            && self.fronts.iter().filter(within).count() == 1;
        simple.then_some(next)
    }

    /// Welds under way in a cell: other fronts that fill it from its far side.
    pub(super) fn joining(&self, cell: usize) -> impl Iterator<Item = usize> {
        let open = self.share[cell] < 1.0;
        (0..self.welds.len()).filter(move |&k| open && self.welds[k].cells[1] == cell)
    }

    /// Puts a front at the entry of a cell, `late` seconds after the start of the step.
    pub(super) fn enter(&mut self, cell: usize, from: Option<usize>, content: f64, late: f64) {
        let n = self.layers;
        let temperature = self.material.heat.temperature(content);
        self.reached.push(cell);
        self.feeder[cell] = from;
        self.times[cell][0] = self.time;
        self.content[cell * n..(cell + 1) * n].fill(content);
        self.temperature[cell * n..(cell + 1) * n].fill(temperature);
        if let Some(from) = from
            && self.cavity.cells[cell].passage == self.cavity.cells[from].passage
        {
            self.stress[cell] = self.stress[from];
            self.stress_before[cell] = self.stress[from].log;
        }
        self.fronts.push(Front { cell, content, temperature, late });
    }

    /// Moves a front into the next cell, `late` seconds after the start of the step. The flow is solved in that cell
    /// alone.
    pub(super) fn go_on(&mut self, front: usize, next: usize, start: f64, late: f64) {
        let Front { cell: i, content, .. } = self.fronts.swap_remove(front);
        self.time = start + late;
        self.share[i] = 1.0;
        self.times[i][1] = self.time;
        self.enter(next, Some(i), content, late);
        self.rate[next] = self.rate[i];
        self.solve_cell(next, 0.0);
        self.keep_greatest_of(next);
    }

    /// Adds the melt that arrives from the far side of a front's cell, and mixes it with the melt in the cell.
    pub(super) fn join(&mut self, cell: usize, dt: f64) {
        let n = self.layers;
        let welds: Vec<usize> = self.joining(cell).collect();
        for k in welds {
            let from = self.welds[k].cells[0];
            let room = 1.0 - self.share[cell];
            let added = (self.rate[from] * dt / self.cavity.cells[cell].whole_volume()).min(room);
            let psi = &self.psi[from * (n + 1)..(from + 1) * (n + 1)];
            let leaving = &self.leaving[from * n..(from + 1) * n];
            let arriving: f64 = psi.windows(2).zip(leaving).map(|(p, c)| (p[1] - p[0]) * c).sum();
            let before = self.share[cell];
            self.share[cell] += added;
            self.welds[k].share -= added;
            for j in cell * n..(cell + 1) * n {
                let content = (before * self.content[j] + added * arriving) / self.share[cell];
                self.content[j] = content;
                self.temperature[j] = self.material.heat.temperature(content);
            }
        }
    }

    /// Moves fronts whose cells are full into the cells beyond. If another front is in the cell beyond, both fill the
    /// rest of it.
    pub(super) fn pass_on(&mut self) {
        let mut ended = Vec::new();
        for front in std::mem::take(&mut self.fronts) {
            let i = front.cell;
            // The last step fills the cell up to rounding.
            if self.share[i] < 1.0 - 1e-9 {
                self.fronts.push(Front { late: 0.0, ..front });
                continue;
            }
            for weld in self.welds.iter_mut().filter(|w| w.cells[1] == i) {
                weld.time = self.time;
                if !ended.contains(&weld.cells[0]) {
                    ended.push(weld.cells[0]);
                }
            }
            self.share[i] = 1.0;
            self.times[i][1] = self.time;
            if !ended.contains(&i) {
                ended.push(i);
            }
            self.go_beyond(front);
        }
        let joining = self.welds.iter().filter(|w| self.share[w.cells[1]] < 1.0).map(|w| w.cells[0]);
        let joining: Vec<usize> = joining.collect();
        // A flow that ends in the cell of another front ends at zero pressure. So no pressure acts on the branches
        // behind it until that cell is full.
        let waits = |&cell: &usize| {
            std::iter::successors(self.feeder[cell], |&i| self.feeder[i]).any(|i| joining.contains(&i))
        };
        self.outlets = if self.fronts.is_empty() {
            ended
        } else {
            self.fronts.iter().map(|f| f.cell).chain(joining.iter().copied()).filter(|i| !waits(i)).collect()
        };
    }

    /// Continues a front that has filled its cell: it enters empty cells beyond, or forms a weld with another front.
    fn go_beyond(&mut self, front: Front) {
        let i = front.cell;
        let beyond = &self.cavity.neighbours[i];
        // The first guess splits the flow by the flow constants of the branches.
        let size = |&c: &usize| self.cavity.cells[c].flow_constant * self.cavity.cells[c].copies;
        let open = beyond.iter().filter(|&&c| self.times[c][0].is_infinite());
        let per_size = self.rate[i] / open.map(size).sum::<f64>();
        for &beyond in beyond {
            if self.times[beyond][0].is_infinite() {
                self.enter(beyond, Some(i), front.content, 0.0);
                self.rate[beyond] = per_size * size(&beyond);
            } else if self.feeder[i] != Some(beyond)
                && self.feeder[beyond] != Some(i)
                && !self.welds.iter().any(|w| w.cells == [beyond, i])
            {
                let temperature = [i, beyond].map(|c| self.material.heat.temperature(self.laid[c]));
                self.welds.push(Weld { cells: [i, beyond], share: 1.0, time: self.time, temperature });
            }
        }
    }
}
