//! Margins over the plane from as few evaluations as the lines need.
//!
//! A coarse grid of nodes is interpolated with cubics. Cells that a limit crosses are evaluated in their middle.
//! If the line there is further off than allowed, the cell is divided in four, and so on. The difference
//! between a finer node and the interpolation is added as a hat function over its neighbourhood (a
//! hierarchical basis, Yserentant, Numer. Math. 49 (1986) 379, from memory), so that the surface stays
//! continuous whatever cells are divided.
//!
//! Of toleranced sizes ln S is interpolated, the logarithm of the share of their cavities that the green parts fill. The
//! margin follows from it at each node. The margin has a ridge where the mean is nominal, ln S has none.

mod of_sizes;

use crate::Detail;
use crate::lattice::Lattice;
use crate::place::{Margins, Place, Wanted, near};
use crate::sizes::SizeMargins;
use gatefrost_core::limits::{self, COUNT, Limit};
use gatefrost_core::stages::Stage;

/// How far a line may lie in the middle of a cell from where it is drawn, as a share of the axis; 0.01 is
/// promised.
const TOLERANCE: f64 = 0.004;
/// The same where another limit is clearly not met, so that the line bounds nothing. That is the case if the other margin is
/// below the first of these throughout a cell, or below the second within this many lattice steps around it.
const BURIED: f64 = 0.01;
const BROKEN: [f64; 2] = [-0.5, -0.1];
const AROUND: usize = 2;
/// The same for toleranced sizes: each test takes a hold, and Cpk is what counts on their line (`of_sizes::CPK_OFF`).
const SIZES: f64 = 0.02;
/// The same for toleranced sizes in a cell throughout which another limit is not met: the filled share may jump there.
const EXCLUDED: f64 = 0.1;
/// Factor on the error after a division: hats are of second order.
const LEFT: f64 = 0.25;
const SIZE: usize = Limit::Size as usize;

/// A cell of the grid after some divisions: its lower left corner and its size in lattice steps.
#[derive(Debug, Clone, Copy, PartialEq)]
struct GridCell {
    at: [usize; 2],
    size: usize,
}

/// A node of the lattice where margins are wanted, and how far the evaluation has to go.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Node {
    at: [usize; 2],
    stage: Stage,
}

/// A cell whose lines lie too far off: by how much, and the last stage that their limits take.
struct Off {
    cell: GridCell,
    off: f64,
    stage: Stage,
}

/// What has been asked for and not been given yet.
#[derive(Debug, Clone, PartialEq)]
enum Asked {
    /// The nodes of the coarse grid.
    Grid,
    /// The middles of these cells.
    Test(Vec<GridCell>),
    /// The middles of the edges of these cells, whose lines lie too far off; of some so far that their
    /// quarters have to be tested too.
    Divide(Vec<GridCell>),
    Done,
}

/// The surface, and what it still needs to know.
///
/// [`Self::wanted`] says where to evaluate, [`Self::give`] takes what was found there; in between, others
/// may do the work, side by side.
#[derive(Debug, Clone)]
pub struct Surface {
    /// Steps of the lattice along each side.
    pub(super) steps: usize,
    /// Lattice steps of a cell of the coarse grid.
    coarse: usize,
    /// Whether lines are tested, and mended where they lie too far off.
    tested: bool,
    /// Interpolated margins on the lattice, row by row.
    pub(super) lattice: Vec<Margins>,
    /// Where toleranced sizes bound the window: their margins, and ln S on the lattice.
    sizes: Option<(SizeMargins, Vec<f64>)>,
    asked: Asked,
    wanted: Vec<Node>,
    /// The last stage of each limit that counts.
    stages: [Option<Stage>; COUNT],
    /// Evaluations so far, of the fill at least.
    pub evaluations: usize,
    /// Evaluations among them that go on to the hold or further.
    pub holds: usize,
}

impl Surface {
    /// A surface of which nothing is known yet. Limits that are ignored need not be known.
    pub fn new(detail: Detail, ignored: &[Limit]) -> Self {
        let (cells, divisions) = detail.grid();
        let coarse = 1 << divisions;
        let steps = cells * coarse;
        let nodes = (steps + 1) * (steps + 1);
        let stages = Limit::ALL.map(|l| (!ignored.contains(&l)).then(|| limits::stage(l)));
        let stage = stages.iter().copied().flatten().max().unwrap_or(Stage::Setting);
        let wanted = (0..=cells).flat_map(|j| (0..=cells).map(move |i| [i * coarse, j * coarse]));
        Self {
            steps,
            coarse,
            tested: detail.tested(),
            lattice: vec![[0.0; COUNT]; nodes],
            sizes: None,
            asked: Asked::Grid,
            wanted: wanted.map(|at| Node { at, stage }).collect(),
            stages,
            evaluations: 0,
            holds: 0,
        }
    }

    /// A surface that is good enough, by whatever evaluates all the places of a stage.
    pub fn by(detail: Detail, ignored: &[Limit], evaluate: impl FnMut(&[Wanted]) -> Vec<Margins>) -> Self {
        Self::new(detail, ignored).filled_in(evaluate)
    }

    /// This surface, once it is good enough.
    pub(super) fn filled_in(mut self, mut evaluate: impl FnMut(&[Wanted]) -> Vec<Margins>) -> Self {
        loop {
            let wanted = self.wanted();
            if wanted.is_empty() {
                return self;
            }
            self.give(&evaluate(&wanted));
        }
    }

    /// Where to evaluate next and how far; nowhere once the surface is good enough.
    pub fn wanted(&self) -> Vec<Wanted> {
        self.wanted.iter().map(|node| Wanted { place: self.place(node.at), stage: node.stage }).collect()
    }

    fn place(&self, at: [usize; 2]) -> Place {
        at.map(|k| k as f64 / self.steps as f64)
    }

    /// Takes what was found where it was wanted, in that order: margins, with toleranced sizes as
    /// [`found_at`](crate::found_at) has them. Those of later stages than wanted are not looked at where they are no numbers.
    pub fn give(&mut self, found: &[Margins]) {
        let wanted = std::mem::take(&mut self.wanted);
        self.evaluations += wanted.iter().filter(|node| node.stage >= Stage::Fill).count();
        self.holds += wanted.iter().filter(|node| node.stage >= Stage::Hold).count();
        let mut found = found.to_vec();
        let of_sizes = self.sizes.is_some();
        for margins in &mut found {
            let limits = margins.iter_mut().enumerate().filter(|(limit, _)| !of_sizes || *limit != SIZE);
            limits.for_each(|(_, g)| *g = near(*g));
        }
        match std::mem::replace(&mut self.asked, Asked::Done) {
            Asked::Grid => {
                self.make_smooth();
                self.interpolate(&wanted, &found);
                self.make_margins();
                if self.tested {
                    self.test(self.coarse_cells());
                }
            }
            Asked::Test(cells) => {
                let there = cells.iter().zip(wanted.iter().zip(&found));
                let off: Vec<Off> =
                    there.filter_map(|(&cell, (node, g))| self.off(cell, &self.told(*node, g))).collect();
                self.mend(&wanted, &found);
                self.divide(&off);
            }
            Asked::Divide(cells) => {
                self.mend(&wanted, &found);
                self.test(cells.into_iter().flat_map(quarters).collect());
            }
            Asked::Done => {}
        }
    }

    fn mend(&mut self, nodes: &[Node], found: &[Margins]) {
        self.make_smooth();
        self.spread(nodes, found);
        self.make_margins();
    }

    /// Margins found on the initial grid, interpolated on its lattice.
    pub(super) fn spread_out(detail: Detail, found: &[Margins]) -> Vec<Margins> {
        let mut surface = Self::new(detail, &[]);
        let wanted = std::mem::take(&mut surface.wanted);
        surface.interpolate(&wanted, found);
        surface.lattice
    }

    /// Margins at the nodes of this surface's lattice, to be joined.
    pub(super) fn lattice_of<'a>(&self, nodes: &'a [Margins]) -> Lattice<'a> {
        Lattice { cells: self.steps, limits: COUNT, nodes: nodes.as_flattened() }
    }

    fn index(&self, [i, j]: [usize; 2]) -> usize {
        j * (self.steps + 1) + i
    }

    fn coarse_cells(&self) -> Vec<GridCell> {
        let n = self.steps / self.coarse;
        let size = self.coarse;
        (0..n * n).map(|c| GridCell { at: [c % n * size, c / n * size], size }).collect()
    }

    /// Asks for the middles of the cells that a limit crosses.
    fn test(&mut self, cells: Vec<GridCell>) {
        let wanted = |cell: &GridCell| {
            let crossing = (0..COUNT)
                .filter(|&limit| self.crosses(*cell, limit) && !(limit == SIZE && self.sure(*cell)));
            let stage = crossing.filter_map(|limit| self.stages[limit]).max()?;
            Some(Node { at: cell.at.map(|k| k + cell.size / 2), stage })
        };
        let crossed = cells.into_iter().filter(|cell| cell.size > 1);
        let (cells, wanted): (Vec<GridCell>, _) =
            crossed.filter_map(|cell| Some((cell, wanted(&cell)?))).unzip();
        self.wanted = wanted;
        self.asked = if cells.is_empty() { Asked::Done } else { Asked::Test(cells) };
    }

    /// Asks for the middles of the edges of cells that have to be divided, each as far as the limits that
    /// are off there take it.
    fn divide(&mut self, cells: &[Off]) {
        for &Off { cell: GridCell { at: [i, j], size }, stage, .. } in cells {
            let half = size / 2;
            for at in [[i + half, j], [i + size, j + half], [i + half, j + size], [i, j + half]] {
                match self.wanted.iter_mut().find(|node| node.at == at) {
                    Some(node) => node.stage = node.stage.max(stage),
                    None => self.wanted.push(Node { at, stage }),
                }
            }
        }
        if !cells.is_empty() {
            let doubtful = cells.iter().filter(|off| off.off * LEFT > 1.0);
            self.asked = Asked::Divide(doubtful.map(|off| off.cell).collect());
        }
    }

    /// Least and greatest margin on the lattice of a cell and so many steps around.
    fn range(&self, GridCell { at, size }: GridCell, around: usize, limit: usize) -> [f64; 2] {
        let mut range = [f64::INFINITY, f64::NEG_INFINITY];
        let [columns, rows] = at.map(|k| k.saturating_sub(around)..=(k + size + around).min(self.steps));
        for row in rows {
            for column in columns.clone() {
                let g = self.lattice[self.index([column, row])][limit];
                range = [range[0].min(g), range[1].max(g)];
            }
        }
        range
    }

    /// Whether a limit's line goes through a cell, or so near to one of its corners that it might.
    fn crosses(&self, cell: GridCell, limit: usize) -> bool {
        let [least, most] = self.range(cell, 0, limit);
        let slack = 0.05 * (most - least);
        least < slack && most >= -slack && most > least
    }

    /// How far a limit's line may lie off in a cell, as a share of the axis.
    fn tolerance(&self, cell: GridCell, limit: usize) -> f64 {
        let buries = |other: usize| {
            let most = |around| self.range(cell, around, other)[1];
            other != limit
                && self.stages[other].is_some()
                && (most(0) < BROKEN[0] || most(AROUND) < BROKEN[1])
        };
        let excludes = |other: usize| {
            other != SIZE && self.stages[other].is_some() && self.range(cell, 0, other)[1] < 0.0
        };
        match limit {
            SIZE if (0..COUNT).any(excludes) => EXCLUDED,
            SIZE => SIZES,
            _ if (0..COUNT).any(buries) => BURIED,
            _ => TOLERANCE,
        }
    }

    /// How far the lines through a cell lie from where the margins found in its middle have them, as a
    /// share of the axis, where that is too far.
    fn off(&self, cell: GridCell, found: &Margins) -> Option<Off> {
        let middle = self.index(cell.at.map(|k| k + cell.size / 2));
        let of = |limit: usize| {
            let missed = (found[limit] - self.lattice[middle][limit]).abs();
            if limit == SIZE && self.sizes.is_some() && missed < of_sizes::CPK_OFF {
                return None;
            }
            let off = self.share(cell, limit, missed) / self.tolerance(cell, limit);
            Some(Off { cell, off, stage: self.stages[limit].filter(|_| off > 1.0)? })
        };
        let far = (0..COUNT).filter(|&limit| self.crosses(cell, limit)).filter_map(of);
        far.reduce(|a, b| Off { cell, off: a.off.max(b.off), stage: a.stage.max(b.stage) })
    }

    /// How far a line lies off in a cell where its margin is missed by so much, as a share of the axis.
    fn share(&self, cell: GridCell, limit: usize, missed: f64) -> f64 {
        let [least, most] = self.range(cell, 0, limit);
        cell.size as f64 / self.steps as f64 * missed / (most - least).max(missed)
    }

    /// Spreads what nodes found beyond what was foreseen, each over its neighbourhood.
    fn spread(&mut self, nodes: &[Node], found: &[Margins]) {
        let foreseen: Vec<Margins> = nodes.iter().map(|n| self.lattice[self.index(n.at)]).collect();
        for ((&Node { at: [i, j], .. }, found), foreseen) in nodes.iter().zip(found).zip(&foreseen) {
            // A node in the middle of a division lies at odd multiples of its reach.
            let reach = 1 << i.trailing_zeros().min(j.trailing_zeros());
            let mut beyond = *found;
            beyond.iter_mut().zip(foreseen).for_each(|(g, foreseen)| *g -= foreseen);
            // Margins that were not computed keep their interpolated value.
            beyond.iter_mut().filter(|g| g.is_nan()).for_each(|g| *g = 0.0);
            let near = |k: usize| k.saturating_sub(reach)..=(k + reach).min(self.steps);
            for row in near(j) {
                for column in near(i) {
                    let hat = |a: usize, b: usize| 1.0 - a.abs_diff(b) as f64 / reach as f64;
                    let share = hat(column, i) * hat(row, j);
                    let index = self.index([column, row]);
                    for (g, beyond) in self.lattice[index].iter_mut().zip(beyond) {
                        *g += share * beyond;
                    }
                }
            }
        }
    }

    /// Cubics through the coarse grid: first along its rows, then along all columns of the lattice.
    fn interpolate(&mut self, nodes: &[Node], found: &[Margins]) {
        for (node, found) in nodes.iter().zip(found) {
            let index = self.index(node.at);
            self.lattice[index] = *found;
        }
        let stride = self.steps + 1;
        for j in (0..=self.steps).step_by(self.coarse) {
            self.interpolate_line(j * stride, 1);
        }
        for i in 0..=self.steps {
            self.interpolate_line(i, stride);
        }
    }

    /// Catmull and Rom's cubics along a line of the lattice; at its ends parabolas give the slope.
    fn interpolate_line(&mut self, first: usize, stride: usize) {
        let cells = self.steps / self.coarse;
        let at = |k: usize| first + k * self.coarse * stride;
        for limit in 0..COUNT {
            let v: Vec<f64> = (0..=cells).map(|k| self.lattice[at(k)][limit]).collect();
            let slope = |k: usize| match k {
                0 => -1.5 * v[0] + 2.0 * v[1] - 0.5 * v[2],
                k if k == cells => 1.5 * v[k] - 2.0 * v[k - 1] + 0.5 * v[k - 2],
                k => 0.5 * (v[k + 1] - v[k - 1]),
            };
            for k in 0..cells {
                let (da, db, rise) = (slope(k), slope(k + 1), v[k + 1] - v[k]);
                let (bend, twist) = (3.0 * rise - 2.0 * da - db, da + db - 2.0 * rise);
                for step in 1..self.coarse {
                    let t = step as f64 / self.coarse as f64;
                    self.lattice[at(k) + step * stride][limit] = v[k] + t * (da + t * (bend + t * twist));
                }
            }
        }
    }
}

/// The four quarters of a cell.
fn quarters(cell: GridCell) -> [GridCell; 4] {
    let size = cell.size / 2;
    let [i, j] = cell.at;
    [[i, j], [i + size, j], [i, j + size], [i + size, j + size]].map(|at| GridCell { at, size })
}
