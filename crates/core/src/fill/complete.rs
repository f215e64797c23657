//! A path that is not full, with the rest filled.

use super::march::March;

impl March<'_> {
    /// The path with all that is empty filled at once by melt as warm as what the fronts lay down, and flowing
    /// under a nozzle pressure \[Pa\]; `q` \[m³/s\] is a guess of its rate, which lies in
    /// `range`.
    ///
    /// No such part is moulded. Where a fill just stops short, hardly anything is missing: what is computed from
    /// this state there is what follows a fill that is just full. So margins that need a full path go on without
    /// a jump.
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
