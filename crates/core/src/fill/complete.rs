//! Completes a path that is not full.

use super::march::March;

impl March<'_> {
    /// Fills all empty cells at once with melt as warm as what the fronts lay down, flowing under a nozzle pressure
    /// \[Pa\]; `q` \[m³/s\] is a guess of its rate within `range`.
    ///
    /// No such part is moulded. Where a fill only just stops short, hardly anything is missing, and this state is close
    /// to that of a fill that is just full: margins that need a full path are continuous there.
    pub(super) fn completed(&self, pressure: f64, q: f64, range: [f64; 2]) -> Self {
        let mut march = self.clone();
        let n = march.layers;
        while !march.is_full() {
            for k in 0..march.fronts.len() {
                let (i, content) = (march.fronts[k].cell, march.fronts[k].content);
                let before = march.share[i];
                for j in i * n..(i + 1) * n {
                    march.content[j] = before * march.content[j] + (1.0 - before) * content;
                    march.temperature[j] = march.material.heat.temperature(march.content[j]);
                }
                march.laid[i] = content;
                march.share[i] = 1.0;
            }
            march.pass_on();
        }
        march.flow_at_pressure(pressure, q, range);
        march
    }
}
