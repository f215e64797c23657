//! What an exercise asks of one student: the data that were drawn, what is asked for, and the answers.

use crate::draw::{Draws, StudentId};
use crate::exercises::Exercise;
use gatefrost_formula::{Expr, Line, Symbol, Unit};

/// A wrong way, and the number that it leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Mistake {
    /// The key of the sentence that names it.
    pub key: &'static str,
    /// The number, in SI.
    pub value: f64,
}

/// A number that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Lines of the solution that stand before the last one.
    pub steps: Vec<Line>,
    /// The quantity with the formula that gives it by hand.
    pub line: Line,
    /// The same in SI by a function of the core, which was written without this formula.
    pub model: f64,
    /// How far an answer may be off, as a share of it.
    pub tolerance: f64,
    /// Least and greatest number of significant figures that it should have.
    pub figures: [u32; 2],
    /// Wrong ways that are known.
    pub mistakes: Vec<Mistake>,
}

/// Share by which an answer may be off unless an exercise says otherwise.
const TOLERANCE: f64 = 0.01;
/// Significant figures of an answer: data with three or four allow no more than five.
const LEAST_FIGURES: u32 = 3;
const MOST_FIGURES: u32 = 5;

impl Asked {
    /// Asks for the quantity of a line.
    pub fn new(line: Line, model: f64) -> Self {
        let figures = [LEAST_FIGURES, MOST_FIGURES];
        Self { steps: Vec::new(), line, model, tolerance: TOLERANCE, figures, mistakes: Vec::new() }
    }

    /// The same with lines of the solution before it.
    pub fn after(mut self, steps: impl IntoIterator<Item = Line>) -> Self {
        self.steps.extend(steps);
        self
    }

    /// The same with another tolerance, as a share of the answer.
    pub fn within(mut self, tolerance: f64) -> Self {
        self.tolerance = tolerance;
        self
    }

    /// The same with other significant figures.
    pub fn figures(mut self, least: u32, most: u32) -> Self {
        self.figures = [least, most];
        self
    }

    /// The same with a wrong way that leads to the value of a formula.
    pub fn mistake(mut self, key: &'static str, formula: &Expr) -> Self {
        self.mistakes.push(Mistake { key, value: formula.value() });
        self
    }

    /// The answer by hand, in SI.
    pub fn by_hand(&self) -> f64 {
        self.line.formula.value()
    }

    /// Whether an answer in SI is within the tolerance of this one.
    pub fn is_near(&self, answer: f64, other: f64) -> bool {
        (other - answer).abs() <= self.tolerance * answer.abs()
    }

    /// Whether the answer is a number that no wrong way leads to: otherwise who went wrong would be right.
    fn is_well_posed(&self) -> bool {
        let answer = self.by_hand();
        let apart = |other: f64| (other - answer).abs() > 3.0 * self.tolerance * answer.abs();
        answer.is_finite()
            && answer != 0.0
            && self.mistakes.iter().all(|mistake| !mistake.value.is_finite() || apart(mistake.value))
    }
}

/// An exercise with the numbers of one student.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The data, in the order in which the text needs them.
    pub given: Vec<Symbol>,
    /// What is asked for.
    pub asked: Vec<Asked>,
    /// What the text names: the name to put in, and the key of its words.
    pub names: Vec<(&'static str, &'static str)>,
    /// Tables of readings among the data.
    pub readings: Option<Readings>,
    /// What the solver says of the same, to be shown beside the answers.
    pub beside: Option<Beside>,
}

/// A result of the solver to be shown beside the answers: whoever shows it runs the solver.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// Name of the demo that the scenario begins as.
    pub demo: &'static str,
    /// What is changed in its document: path, and the value as JSON.
    pub changes: Vec<(&'static str, String)>,
    /// Flow rate at which the cavity is filled \[cm³/s\], if it is not the demo's: the injection time follows from the volume.
    pub rate: Option<f64>,
    /// Path of the result in the report, as `gatefrost explain` takes it.
    pub path: &'static str,
    /// Unit of the result.
    pub unit: Unit,
    /// Key of the sentence that says why it differs.
    pub why: &'static str,
}

/// A table of readings that the student works with.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Heads of the columns: letter, key of the words, sign of the unit.
    pub columns: Vec<(&'static str, &'static str, &'static str)>,
    /// Rows of numbers, in the units of the columns.
    pub rows: Vec<Vec<f64>>,
}

impl Task {
    /// A task with these data.
    pub fn new(given: impl IntoIterator<Item = Expr>) -> Self {
        let symbol = |expr| match expr {
            Expr::Symbol(symbol) => Some(*symbol),
            _ => None,
        };
        Self {
            given: given.into_iter().filter_map(symbol).collect(),
            asked: Vec::new(),
            names: Vec::new(),
            readings: None,
            beside: None,
        }
    }

    /// The same with a number asked for.
    pub fn ask(mut self, asked: Asked) -> Self {
        self.asked.push(asked);
        self
    }

    /// The same with something that the text names.
    pub fn name(mut self, name: &'static str, key: &'static str) -> Self {
        self.names.push((name, key));
        self
    }

    /// The same with a table of readings.
    pub fn with_readings(mut self, readings: Readings) -> Self {
        self.readings = Some(readings);
        self
    }

    /// The same with what the solver says.
    pub fn beside(mut self, beside: Beside) -> Self {
        self.beside = Some(beside);
        self
    }

    fn is_well_posed(&self) -> bool {
        !self.asked.is_empty() && self.asked.iter().all(Asked::is_well_posed)
    }

    /// Whether every answer differs from that of another student by more than the tolerance.
    fn differs(&self, other: &Self) -> bool {
        self.asked.iter().zip(&other.asked).all(|(mine, theirs)| {
            let (a, b) = (mine.by_hand(), theirs.by_hand());
            !mine.is_near(a, b) && !theirs.is_near(b, a)
        })
    }
}

/// Times that numbers are drawn anew, at most. Tests look that some hundreds of ids need far fewer.
const ATTEMPTS: u32 = 400;

impl Exercise {
    /// The task of a student: the first draw that is well posed. Ids with an odd number at their end draw on until each
    /// answer differs from those of both neighbours (see `StudentId::neighbours`).
    ///
    /// Only formulas that are worked by hand decide which draw it is, never the solver: a better model changes nobody's
    /// data.
    pub fn task(&self, id: &StudentId) -> Task {
        let others = id.neighbours().map(|ids| ids.map(|id| self.first(&id, |_| true)));
        self.first(id, |task| others.iter().flatten().all(|other| task.differs(other)))
    }

    fn first(&self, id: &StudentId, accepted: impl Fn(&Task) -> bool) -> Task {
        let draw = |attempt| (self.draw)(&mut Draws::new(self.name, self.version, attempt, id));
        let mut attempts = (0..ATTEMPTS).map(draw);
        let first = attempts.find(|task| task.is_well_posed() && accepted(task));
        first.unwrap_or_else(|| draw(0))
    }
}
