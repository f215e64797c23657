//! Judging an answer: its value, its unit and its significant figures, each for itself.

use crate::task::Asked;
use crate::texts::Said;
use crate::typed::{self, Typed};
use crate::units::TypedUnit;
use gatefrost_numerics::elementary::Elementary;
use serde::Serialize;
use std::f64::consts::LN_10;

/// Points in a hundred of the value, the unit and the significant figures.
pub const WEIGHTS: [u32; 3] = [70, 20, 10];

/// A wrong value this close is likely the right way with a slip in the arithmetic.
const CLOSE: f64 = 0.05;

/// What became of an answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Whether the value is right.
    pub value: bool,
    /// Whether the unit is right.
    pub unit: bool,
    /// Whether the number of significant figures is sensible.
    pub figures: bool,
    /// Sentences for the student.
    pub feedback: Vec<Said>,
}

impl Judgement {
    /// Points, of a hundred.
    pub fn points(&self) -> u32 {
        let parts = [self.value, self.unit, self.figures];
        WEIGHTS.into_iter().zip(parts).map(|(weight, right)| if right { weight } else { 0 }).sum()
    }

    pub(crate) fn none(why: Said) -> Self {
        Self { value: false, unit: false, figures: false, feedback: vec![why] }
    }
}

/// A part of a judgement for what shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// The value.
    Value,
    /// The unit.
    Unit,
    /// The significant figures.
    Figures,
}

/// Judges what was typed against the answer, in SI.
///
/// The value is right within the tolerance. It is read in the unit that was typed; without a unit, or with one that cannot
/// be meant, in the unit that was asked for.
pub fn judge(asked: &Asked, answer: f64, text: &str) -> Judgement {
    let typed = match typed::read(text) {
        Ok(typed) => typed,
        Err(why) => return Judgement::none(why),
    };
    let wanted = asked.line.result.unit;
    let unit = TypedUnit::read(&typed.unit);
    let fits = unit.is_some_and(|unit| unit.fits(wanted));
    // A pure number may stand for a share: 0.93 for 93 %.
    let missing = typed.unit.is_empty() && !wanted.sign.is_empty();
    let si = |value: f64| match unit.filter(|_| fits && !missing) {
        Some(unit) => unit.to_si(value),
        None => wanted.to_si(value),
    };
    let is_right = |value: f64| asked.is_near(answer, value);
    let as_share = missing && fits && is_right(typed.value);
    let value = is_right(si(typed.value)) || as_share;
    let [least, most] = asked.figures;
    let figures = typed.digits[1] >= least && typed.digits[0] <= most;
    let unit_right = fits && (!missing || as_share);
    let mut feedback = Vec::new();
    if !value {
        let rounded = is_rounded(&typed, &si, answer);
        feedback.push(if rounded {
            Said::new("judge-rounded").with("least", least)
        } else {
            why_wrong(asked, answer, si(typed.value), typed.grouped.map(&si))
        });
    }
    if !unit_right {
        feedback.push(unit_feedback(&typed, unit, wanted.sign));
    }
    if !figures {
        let few = typed.digits[1] < least;
        feedback.push(if few {
            Said::new("judge-few-figures").with("least", least)
        } else {
            Said::new("judge-many-figures").with("most", most)
        });
    }
    if feedback.is_empty() {
        feedback.push(Said::new("judge-right"));
    }
    Judgement { value, unit: unit_right, figures, feedback }
}

/// Whether the answer, rounded to the figures that were typed, is what was typed.
fn is_rounded(typed: &Typed, si: &dyn Fn(f64) -> f64, answer: f64) -> bool {
    let figures = typed.digits[0];
    if typed.value == 0.0 {
        return false;
    }
    let magnitude = (typed.value.abs().logarithm() / LN_10).floor() as i32;
    let half = 0.5 * 10_f64.powi(magnitude + 1 - figures as i32) * (1.0 + 1e-9);
    let ends = [si(typed.value - half), si(typed.value + half)];
    ends[0].min(ends[1]) <= answer && answer <= ends[0].max(ends[1])
}

fn unit_feedback(typed: &Typed, unit: Option<TypedUnit>, wanted: &str) -> Said {
    let wanted_words = if wanted.is_empty() { "1" } else { wanted };
    if typed.unit.is_empty() {
        return Said::new("judge-no-unit").with("unit", wanted_words);
    }
    let key = if unit.is_some() { "judge-other-unit" } else { "judge-unknown-unit" };
    let shown = gatefrost_core::format::shortened(&typed.unit, 20);
    Said::new(key).with("typed", shown).with("unit", wanted_words)
}

/// The likely cause of a wrong value: a wrong way of this exercise, then what happens everywhere.
fn why_wrong(asked: &Asked, answer: f64, found: f64, grouped: Option<f64>) -> Said {
    let is = |expected: f64| expected.is_finite() && asked.is_near(expected, found);
    if grouped.is_some_and(|grouped| asked.is_near(answer, grouped)) {
        return Said::new("judge-grouped");
    }
    if let Some(mistake) = asked.mistakes.iter().find(|mistake| is(mistake.value)) {
        return Said::new(mistake.key);
    }
    if is(-answer) {
        return Said::new("judge-sign");
    }
    let ratio = found / answer;
    if ratio > 0.0 {
        let power = (ratio.logarithm() / LN_10).round();
        if power != 0.0 && power.abs() <= 12.0 && is(answer * 10_f64.powi(power as i32)) {
            return Said::new("judge-power").with("power", format!("{power:+.0}").replace('-', "−"));
        }
    }
    for (factor, key) in
        [(2.0, "judge-twice"), (4.0, "judge-four-times"), (60.0, "judge-sixty"), (3600.0, "judge-hour")]
    {
        if is(answer * factor) || is(answer / factor) {
            return Said::new(key);
        }
    }
    if is(1.0 / answer) {
        return Said::new("judge-inverse");
    }
    let close = (found / answer - 1.0).abs() < CLOSE;
    Said::new(if close { "judge-close" } else { "judge-wrong" })
}
