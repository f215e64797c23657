//! Checks of the passages: sizes that fit each other, a tree, gates with parts behind them.

use super::validate::{Problem, problem};
use super::{Form, Role, Scenario};
use crate::format::quoted;

impl Scenario {
    pub(super) fn check_cavity(&self, problems: &mut Vec<Problem>) {
        for (i, passage) in self.cavity.passages.iter().enumerate() {
            if let Form::Disc(d) = &passage.form
                && d.outer_radius <= d.inner_radius
            {
                problems.push(problem(
                    &format!("cavity.passages.{i}.form.disc.outer_radius"),
                    format!(
                        "is {} mm; it must exceed the inner radius, {} mm",
                        d.outer_radius, d.inner_radius
                    ),
                ));
            }
        }
        for (i, passage) in self.cavity.passages.iter().enumerate() {
            if let (Some(area), Some(angle)) = (passage.projected_area, passage.wall_angle) {
                problems.push(problem(
                    &format!("cavity.passages.{i}.projected_area"),
                    format!("is {area} cm², and the angle of the wall to the opening direction (wall_angle) is {angle}°; state only one of the two"),
                ));
            }
        }
        let before = problems.len();
        for i in 0..self.cavity.passages.len() {
            self.check_place(i, problems);
        }
        if problems.len() == before {
            self.check_roles(problems);
        }
    }

    /// Checks the place of a passage in the tree.
    fn check_place(&self, i: usize, problems: &mut Vec<Problem>) {
        let passages = &self.cavity.passages;
        let path = |field: &str| format!("cavity.passages.{i}.{field}");
        if let Err(name) = self.cavity.feeder(i) {
            let message =
                format!("is {}; it must be the name of a passage that stands before this one", quoted(name));
            problems.push(problem(&path("after"), message));
        }
        let Some(name) = &passages[i].meets else { return };
        let shown = quoted(name);
        let is_end = |k: usize| (0..passages.len()).all(|c| self.cavity.feeder(c).ok().flatten() != Some(k));
        let met = passages.iter().position(|p| p.name == *name).filter(|&k| k != i);
        let message = match met {
            None => format!("is {shown}; it must be the name of another passage"),
            Some(k) if !is_end(i) || !is_end(k) => {
                format!("is {shown}; only ends of flow can meet, passages that no other follows")
            }
            Some(k)
                if passages.iter().enumerate().any(|(o, p)| {
                    o != i && o != k && p.meets.as_ref().is_some_and(|m| *m == passages[i].name || m == name)
                }) =>
            {
                format!("is {shown}; an end can meet one other end only")
            }
            Some(k) if passages[i].copies != passages[k].copies => {
                format!("is {shown}; passages that meet must have the same number of copies")
            }
            Some(_) => return,
        };
        problems.push(problem(&path("meets"), message));
    }

    fn check_roles(&self, problems: &mut Vec<Problem>) {
        let passages = &self.cavity.passages;
        let parts: Vec<usize> = (0..passages.len()).filter(|&i| passages[i].role == Role::Part).collect();
        let upstream = |mut i: usize| {
            let mut above = Vec::new();
            while let Ok(Some(feeder)) = self.cavity.feeder(i) {
                above.push(feeder);
                i = feeder;
            }
            above
        };
        for gate in (0..passages.len()).filter(|&i| passages[i].role == Role::Gate) {
            if !parts.is_empty() && !parts.iter().any(|&part| upstream(part).contains(&gate)) {
                problems.push(problem(
                    &format!("cavity.passages.{gate}.role"),
                    "is a gate with no part behind it: passages stand in the order in which they fill",
                ));
            }
        }
        if parts.is_empty() {
            problems.push(problem(
                "cavity.passages",
                "has no passage with the role \"part\"; at least one is needed",
            ));
        }
    }
}
