//! Balances and work of a fill.

/// Running balances of volume, and of heat above the wall temperature \[J\].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Volume delivered \[m³\].
    pub delivered: f64,
    /// Heat brought by the melt.
    pub inflow: f64,
    /// Heat of dissipation.
    pub dissipated: f64,
    /// Heat lost to the wall.
    pub lost: f64,
}

/// Work of the solver for one fill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Steps in time.
    pub steps: u32,
    /// Sections in which the wall stress was solved for.
    pub sections: u32,
    /// Iterations of those solutions.
    pub iterations: u32,
}

impl Effort {
    /// Adds the work of another fill.
    pub(super) fn add(&mut self, other: Self) {
        self.steps += other.steps;
        self.sections += other.sections;
        self.iterations += other.iterations;
    }

    /// Work since an earlier moment of the same fill.
    pub(super) fn beyond(self, before: Self) -> Self {
        Self {
            steps: self.steps - before.steps,
            sections: self.sections - before.sections,
            iterations: self.iterations - before.iterations,
        }
    }

    /// Iterations after which the flow of a path with this many cells is solved roughly. A fill of one branch takes
    /// about `cells` iterations for each cell. One in a thousand random scenarios exceeds this bound.
    pub(super) fn bound(cells: usize) -> u32 {
        (cells * (50 * cells + 3000)).try_into().unwrap_or(u32::MAX)
    }
}
