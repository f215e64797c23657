//! The rows of the drawing: the first branch of each junction goes on in its row, the others hang below.

use gatefrost_report::PassageReport;

/// Passages drawn one behind the other.
pub(super) struct Row {
    /// Positions in the list.
    pub passages: Vec<usize>,
    /// The passage at whose end the row hangs; none for the first.
    pub from: Option<usize>,
}

impl Row {
    /// Distances from the nozzle at which the row begins and ends \[mm\].
    pub fn span(&self, passages: &[PassageReport]) -> [f64; 2] {
        let from = self.passages.first().map_or(0.0, |&i| passages[i].start_mm);
        let to = self.passages.last().map_or(0.0, |&i| passages[i].start_mm + passages[i].length_mm);
        [from, to]
    }
}

/// The rows, the first at the top. Rows that begin further on come first, so that no way down crosses a
/// row.
pub(super) fn of(passages: &[PassageReport]) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut waiting: Vec<(usize, Option<usize>)> =
        (0..passages.len()).rev().filter(|&i| passages[i].feeder.is_none()).map(|i| (i, None)).collect();
    while let Some((first, from)) = waiting.pop() {
        let mut row = Row { passages: Vec::new(), from };
        let mut next = Some(first);
        while let Some(i) = next {
            if drawable(&passages[i]) {
                row.passages.push(i);
            }
            let mut followers = (0..passages.len()).filter(|&k| passages[k].feeder == Some(i));
            next = followers.next();
            let others: Vec<usize> = followers.collect();
            waiting.extend(others.into_iter().rev().map(|k| (k, Some(i))));
        }
        if !row.passages.is_empty() {
            rows.push(row);
        }
        // A list that is no tree would go round for ever.
        if rows.len() > passages.len() {
            break;
        }
    }
    rows
}

fn drawable(p: &PassageReport) -> bool {
    let numbers = [p.start_mm, p.length_mm, p.thickness_mm[0], p.thickness_mm[1]];
    numbers.iter().all(|v| v.is_finite()) && p.length_mm > 0.0 && p.thickness_mm.iter().all(|t| *t > 0.0)
}
