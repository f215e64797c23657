//! Which passages make one part.

use super::Cavity;
use crate::scenario::Role;

impl Cavity {
    /// The parts that come out of one shot, each by the indices of its passages: part passages belong together
    /// where one feeds the other, where their ends meet, and where one gate feeds both. Copies are one part.
    pub fn parts(&self) -> Vec<Vec<usize>> {
        let of = |i: usize| &self.passages[i];
        let gate = |i: usize| {
            let gate = self.gates[self.gate_of(i)?];
            (of(gate).role == Role::Gate).then_some(gate)
        };
        let one = |a: usize, b: usize| {
            of(b).feeder == Some(a) || of(b).meets == Some(a) || gate(a).is_some() && gate(a) == gate(b)
        };
        let passages = 0..self.passages.len();
        let all: Vec<usize> = passages.clone().filter(|&i| of(i).role == Role::Part).collect();
        // Each passage bears the least index of those that belong to it.
        let mut first: Vec<usize> = passages.collect();
        for (k, &b) in all.iter().enumerate() {
            for &a in all[..k].iter().filter(|&&a| one(a, b)) {
                let (kept, gone) = (first[a].min(first[b]), first[a].max(first[b]));
                first.iter_mut().filter(|label| **label == gone).for_each(|label| *label = kept);
            }
        }
        let of_part = |&i: &usize| all.iter().copied().filter(|&k| first[k] == i).collect();
        all.iter().filter(|&&i| first[i] == i).map(of_part).collect()
    }
}
