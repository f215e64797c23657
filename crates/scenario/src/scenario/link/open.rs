//! Opens link text. A link may hold anything: an entry that cannot be read, or that contradicts the others, is left out
//! and reported. The other entries are kept.

use super::words::{about, in_its_place, nowhere, repeated, together};
use super::{
    OPENED, Opened, PACKED_VERSION, WHOLE_KEYS, Whole, began, keys_of, names, packed, pointer_of, shape,
};
use crate::Limit;
use crate::catalogue;
use crate::document;
use crate::format::{parsed, quoted};
use crate::naming;
use crate::scenario::{Earlier, Family, Problem, Scenario, ScenarioError, VERSION, demo, version};
use crate::uncertainty::Uncertainty;
use percent_encoding::percent_decode_str;
use serde_json::Value;

/// Longest link text accepted, in bytes.
pub const MAX_LINK_BYTES: usize = 32 * 1024;
/// Greatest number of problems that are listed.
const MOST_LISTED: usize = 40;
/// Greatest number of scenarios that are tried to find the fewest entries to leave out.
const MOST_TRIED: usize = 2000;

/// An entry of a link with its place in the document.
#[derive(Clone)]
struct Entry {
    key: String,
    /// Its text.
    text: String,
    /// Dotted path of its place.
    path: String,
    value: Value,
    /// Whether it holds everything below its place.
    whole: bool,
}

/// A link that is being opened.
struct Opening {
    base: Value,
    kept: Vec<Entry>,
    problems: Vec<Problem>,
    /// The problems of entries that were left out, by index, with the path of the entry.
    lost: Vec<(usize, String)>,
    unlisted: usize,
    tried: usize,
    earlier: Option<Earlier>,
}

/// Opens link text. Never fails: the result is a valid scenario, with reports of what could not be read.
pub fn decode(text: &str) -> Opened {
    let text = text.strip_prefix('#').unwrap_or(text);
    let nothing = |predicate: &str| {
        let demo = demo::default_demo();
        let problems = vec![naming::problem("", Some("The link"), predicate)];
        Opened { problems, ..Opened::nothing(demo) }
    };
    if text.len() > MAX_LINK_BYTES {
        return nothing(&format!("has {} bytes; at most {MAX_LINK_BYTES} are accepted", text.len()));
    }
    let unpacked;
    let text = match text.split_once(';') {
        Some((PACKED_VERSION, digits)) => match packed::unpacked(digits, MAX_LINK_BYTES) {
            Some(text) => {
                unpacked = text;
                &unpacked
            }
            None => {
                return nothing(
                    "cannot be read: a packed link must be whole, and characters of it are missing, changed or added. Copy it again",
                );
            }
        },
        _ => text,
    };
    let mut parts = text.split(';').filter(|part| !part.is_empty());
    let Some(version) = parts.next() else { return Opened::nothing(demo::default_demo()) };
    let Some((_, version)) = OPENED.iter().find(|(known, _)| *known == version) else {
        let predicate =
            format!("begins with {}; accepted is its version, 1 to {PACKED_VERSION}", quoted(version));
        return nothing(&predicate);
    };
    let parts: Vec<&str> = parts.collect();
    let mut named = None;
    let mut unknown = None;
    let mut further = None;
    for text in parts.iter().filter_map(|part| part.strip_prefix("d=")) {
        match demo::find(text) {
            None => unknown = Some(text),
            found => further = std::mem::replace(&mut named, found).or(further),
        }
    }
    let base = named.unwrap_or_else(demo::default_demo);
    let family =
        parts.iter().filter_map(|part| part.strip_prefix("fa=")).filter_map(Family::named).next_back();
    let fed = parts.iter().filter_map(|part| part.strip_prefix("fd=")).next_back();
    let feed = fed.and_then(demo::find).map(|demo| demo.scenario().feedstock);
    let mut opening = Opening::new(&began(base, feed.as_ref(), family.map(Some)));
    opening.earlier = (*version < VERSION).then(|| Earlier::of(*version));
    if let Some(name) = unknown {
        let predicate = format!(
            "{} is not known here: every number that the link does not name is that of “{}”",
            quoted(name),
            base.scenario().name
        );
        opening.leave_out(naming::problem("", Some("The demo"), &predicate));
    }
    if let Some(other) = further {
        let predicate =
            format!("is given more than once: {} gives way to {}", quoted(other.name), quoted(base.name));
        opening.leave_out(naming::problem("", Some("The demo"), &predicate));
    }
    opening.read(&parts);
    let mut found = opening.settle();
    if let Some(fed) = fed.filter(|_| feed.is_none() || found.is_none()) {
        let predicate = format!(
            "is {}, which is not known here or does not go with the rest; that of the demo stands in its place",
            quoted(fed)
        );
        if feed.is_some() {
            let earlier = opening.earlier.take();
            opening = Opening { earlier, ..Opening::new(&began(base, None, family.map(Some))) };
            opening.read(&parts);
            found = opening.settle();
        }
        opening.leave_out(naming::problem(
            "",
            Some("The demo of the feedstock (fd in the link)"),
            &predicate,
        ));
    }
    let scenario = found.unwrap_or_else(|| {
        opening.kept.clear();
        base.scenario()
    });
    opening.finish(scenario, base.name, named.is_some())
}

impl Opening {
    fn new(base: &Scenario) -> Self {
        let base = super::document(base);
        Self {
            base,
            kept: Vec::new(),
            problems: Vec::new(),
            lost: Vec::new(),
            unlisted: 0,
            tried: 0,
            earlier: None,
        }
    }

    fn finish(mut self, scenario: Scenario, demo: &'static str, named: bool) -> Opened {
        let opened = super::document(&scenario);
        for (place, path) in &self.lost {
            let Some(stands) = opened.pointer(&pointer_of(path)) else { continue };
            let told = self.kept.iter().any(|entry| entry.path == *path || is_below(path, &entry.path));
            let of_demo = !told && self.base.pointer(&pointer_of(path)) == Some(stands);
            if let (Some(problem), Some(words)) =
                (self.problems.get_mut(*place), in_its_place(path, stands, of_demo))
            {
                problem.message.push_str(&words);
            }
        }
        let kept = self.kept.len();
        let (problems, unlisted, earlier) = (self.problems, self.unlisted, self.earlier);
        Opened {
            scenario,
            demo,
            kept: kept + usize::from(named),
            only_demo: named && kept == 0,
            problems,
            unlisted,
            earlier,
        }
    }

    fn leave_out(&mut self, problem: Problem) {
        if self.problems.len() < MOST_LISTED {
            self.problems.push(problem);
        } else {
            self.unlisted += 1;
        }
    }

    /// Leaves out the entry of the place at `path`.
    fn lose(&mut self, path: &str, problem: Problem) {
        self.lost.push((self.problems.len(), path.to_owned()));
        self.leave_out(problem);
    }

    /// Takes every entry that can be read by itself. Of two entries with the same key, the later is taken.
    fn read(&mut self, parts: &[&str]) {
        let mut lost = Vec::new();
        let mut tree = self.base.clone();
        let mut others = Vec::new();
        // Lists and choices come first, so that their numbers have a place.
        for part in parts.iter().filter(|part| !part.starts_with("d=") && !part.starts_with("fd=")) {
            let Some((key, text)) = part.split_once('=') else {
                let predicate = "is not of the form key=value";
                self.leave_out(naming::problem("", Some(&quoted(part)), predicate));
                continue;
            };
            let Some(whole) = WHOLE_KEYS.iter().find(|whole| whole.key == key) else {
                others.push((key, text));
                continue;
            };
            let path = whole.path();
            let have = self.base.pointer(whole.pointer).unwrap_or(&Value::Null);
            match decoded(text).and_then(|text| Ok((whole_value(whole, &text, have)?, text))) {
                Ok((mut value, text)) => {
                    if key == "ig" && !self.known_limits(&path, &mut value) {
                        continue;
                    }
                    let entry = Entry { key: key.to_owned(), text, path, value, whole: true };
                    let entry = self.named(entry);
                    put(&mut tree, &entry.path, entry.value.clone());
                    self.take(entry);
                }
                Err(predicate) => {
                    self.lose(&path, about(&path, key, &predicate));
                    lost.push(path);
                }
            }
        }
        let places = keys_of(&tree);
        let mut orphans = Vec::new();
        for (key, text) in others {
            if let Some(earlier) = &mut self.earlier
                && let Some(retired) = version::retired(key)
            {
                earlier.drop(retired);
                continue;
            }
            // Until the side walls had a key of their own, they were written under that of a scatter.
            let stated = if key == "sw" && ["true", "false"].contains(&text) { "mw" } else { key };
            let Some((_, path)) = places.iter().find(|(known, _)| known == stated) else {
                self.leave_out(nowhere(key));
                continue;
            };
            if lost.iter().any(|lost| is_below(path, lost)) {
                orphans.push(key);
                continue;
            }
            let leaf = tree.pointer(&pointer_of(path)).unwrap_or(&Value::Null);
            // Version 1 wrote no plus sign for a space.
            let spaced = self.earlier.is_none() && !leaf.is_number() && catalogue::at(path).is_none();
            let text = if spaced { text.replace('+', " ") } else { text.to_owned() };
            match decoded(&text).and_then(|text| Ok((leaf_value(path, leaf, &text)?, text))) {
                Ok((value, text)) => {
                    let entry = Entry { key: key.to_owned(), text, path: path.clone(), value, whole: false };
                    let entry = self.named(entry);
                    self.take(entry);
                }
                Err(predicate) => self.lose(path, about(path, key, &predicate)),
            }
        }
        if !orphans.is_empty() {
            self.leave_out(together(&orphans));
        }
    }

    fn take(&mut self, entry: Entry) {
        if let Some(place) = self.kept.iter().position(|other| other.key == entry.key) {
            let Entry { path, key, text, .. } = self.kept.remove(place);
            self.leave_out(repeated(&path, &key, [&text, &entry.text]));
        }
        self.kept.push(entry);
    }

    /// The entry with names that a scenario accepts. Removed characters are reported.
    fn named(&mut self, mut entry: Entry) -> Entry {
        let (key, mut found) = (&entry.key, Vec::new());
        names::mend(&entry.path, &mut entry.value, &mut |path, was, is| {
            let predicate = format!(
                "is {}, which is not accepted as a name; it is opened as {}",
                quoted(was),
                quoted(is)
            );
            found.push(about(path, key, &predicate));
        });
        found.into_iter().for_each(|problem| self.leave_out(problem));
        entry
    }

    /// Removes unknown names from the list of ignored limits, and reports them. Returns whether the list is still usable:
    /// a name is left, or none was given.
    fn known_limits(&mut self, path: &str, value: &mut Value) -> bool {
        let Value::Array(list) = value else { return true };
        let given = list.len();
        let mut place = 0;
        list.retain(|name| {
            let refused = document::read_tree::<Limit>(name.clone()).err();
            if let Some(unread) = &refused {
                self.leave_out(about(&format!("{path}.{place}"), "ig", &unread.predicate));
            }
            place += 1;
            refused.is_none()
        });
        given == 0 || !list.is_empty()
    }

    /// The document with all kept entries except one and those below it.
    fn tree_without(&self, left_out: Option<usize>) -> Value {
        let mut tree = self.base.clone();
        let gone = left_out.and_then(|k| self.kept.get(k));
        let stays = |entry: &&Entry| {
            gone.is_none_or(|gone| {
                entry.path != gone.path && !(gone.whole && is_below(&entry.path, &gone.path))
            })
        };
        for whole in [true, false] {
            for entry in self.kept.iter().filter(stays).filter(|entry| entry.whole == whole) {
                put(&mut tree, &entry.path, entry.value.clone());
            }
        }
        tree
    }

    /// The problems of that document.
    fn found_without(&mut self, left_out: Option<usize>) -> Result<Scenario, Vec<Problem>> {
        self.tried += 1;
        let read = document::read_tree::<Scenario>(self.tree_without(left_out));
        let scenario = read.map_err(|unread| ScenarioError::unreadable(&unread).problems)?;
        scenario.validate_plane().map_err(|refused| refused.problems)?;
        Ok(scenario)
    }

    /// Leaves out as few entries as it can find until the rest is a valid scenario. `None` if even the demo is invalid.
    fn settle(&mut self) -> Option<Scenario> {
        loop {
            let problems = match self.found_without(None) {
                Ok(scenario) => return Some(scenario),
                Err(problems) => problems,
            };
            if self.kept.is_empty() {
                return None;
            }
            let (worst, problem) = self.worst(&problems);
            self.drop(worst, problem);
        }
    }

    /// The entry to leave out next, with the reason: the one without which the fewest problems remain. Among equal ones,
    /// an entry named by a problem comes first, then one of the window, then the last.
    fn worst(&mut self, problems: &[Problem]) -> (usize, Problem) {
        let owners: Vec<Option<usize>> = problems.iter().map(|p| self.owner(&p.path)).collect();
        let named = |k: usize| owners.iter().position(|owner| *owner == Some(k));
        let mut best = (usize::MAX, false, false, 0);
        let mut without = Vec::new();
        for k in 0..self.kept.len() {
            if self.tried > MOST_TRIED {
                break;
            }
            let left = self.found_without(Some(k)).err().unwrap_or_default();
            let rank =
                (left.len(), named(k).is_none(), !self.kept[k].path.starts_with("window."), usize::MAX - k);
            if k == 0 || rank < best {
                (best, without) = (rank, left);
            }
        }
        let worst = match owners.iter().flatten().next() {
            Some(first) if self.tried > MOST_TRIED => *first,
            _ => (usize::MAX - best.3).min(self.kept.len() - 1),
        };
        if let Some(place) = named(worst) {
            return (worst, problems[place].clone());
        }
        let Entry { key, text, path, .. } = &self.kept[worst];
        let cured = problems.iter().find(|problem| !without.contains(problem)).unwrap_or(&problems[0]);
        (
            worst,
            about(
                path,
                key,
                &format!("is {}, which does not go with the rest: {}", quoted(text), cured.message),
            ),
        )
    }

    /// The entry that a problem at `path` comes from.
    fn owner(&self, path: &str) -> Option<usize> {
        let exact = self.kept.iter().position(|entry| entry.path == path);
        exact.or_else(|| self.kept.iter().position(|entry| entry.whole && is_below(path, &entry.path)))
    }

    /// Leaves out an entry and those below it.
    fn drop(&mut self, place: usize, problem: Problem) {
        let gone = self.kept.remove(place);
        self.lose(&gone.path, problem);
        if gone.whole {
            let below = |entry: &Entry| is_below(&entry.path, &gone.path);
            let orphans: Vec<&str> =
                self.kept.iter().filter(|entry| below(entry)).map(|entry| entry.key.as_str()).collect();
            let told = (!orphans.is_empty()).then(|| together(&orphans));
            self.kept.retain(|entry| !below(entry));
            told.into_iter().for_each(|told| self.leave_out(told));
        }
    }
}

/// Decodes percent-encoding.
fn decoded(text: &str) -> Result<String, String> {
    let text = percent_decode_str(text).decode_utf8();
    text.map(String::from).map_err(|_| "is not readable text; accepted is UTF-8, percent-encoded".to_owned())
}

/// The value of an entry that holds everything below its place, written by its shape or as JSON.
fn whole_value(whole: &Whole, text: &str, have: &Value) -> Result<Value, String> {
    let refuse = || format!("is {}; accepted is {}", quoted(text), whole.accepted);
    let value = match shape::made(whole.key, text, have) {
        Some(made) => made,
        None if text.starts_with(['[', '{', '"']) => document::values(text).map_err(|_| refuse())?,
        None => return Err(refuse()),
    };
    if whole.pointer == super::UNCERTAINTY {
        let said: Uncertainty =
            document::read_tree(value.clone()).map_err(|unread| match unread.path.as_str() {
                "" => unread.predicate,
                path => format!("cannot be read: {path} {}", unread.predicate),
            })?;
        let first = said.validate().err().and_then(|refused| refused.problems.into_iter().next());
        if let Some(Problem { message, .. }) = first {
            return Err(format!("cannot be used: {message}"));
        }
    }
    Ok(value)
}

/// The value of a single entry, of the same kind as the value at its place.
fn leaf_value(path: &str, stands: &Value, text: &str) -> Result<Value, String> {
    let parameter = catalogue::at(path);
    if parameter.is_some() || stands.is_number() {
        return number(text, parameter);
    }
    if stands.is_boolean() {
        return match text {
            "true" => Ok(Value::Bool(true)),
            "false" => Ok(Value::Bool(false)),
            _ => Err(format!("is {}; accepted is true or false", quoted(text))),
        };
    }
    let may_be_absent =
        [".lies", ".after", ".meets", ".family", ".reached"].iter().any(|field| path.ends_with(field));
    // The value follows from the role or from the order.
    Ok(if text.is_empty() && may_be_absent { Value::Null } else { Value::from(text) })
}

fn number(text: &str, parameter: Option<&'static catalogue::Parameter>) -> Result<Value, String> {
    if text.is_empty() && parameter.is_some_and(|p| p.default.is_none()) {
        return Ok(Value::Null);
    }
    let accepted = parameter.map_or_else(|| "a number".to_owned(), catalogue::Parameter::accepted);
    let refuse = || format!("is {}; accepted is {accepted}", quoted(text));
    let value = parsed(text).ok_or_else(refuse)?;
    if parameter.is_some_and(|p| !p.accepts(value)) {
        return Err(refuse());
    }
    let whole = parameter.is_some_and(|p| p.whole);
    Ok(if whole { Value::from(value as u64) } else { Value::from(value) })
}

fn is_below(path: &str, above: &str) -> bool {
    path.strip_prefix(above).is_some_and(|rest| rest.starts_with('.'))
}

/// Puts a value in its place. The last object on the way need not hold the key yet.
fn put(tree: &mut Value, path: &str, value: Value) {
    let (above, field) = path.rsplit_once('.').unwrap_or(("", path));
    let above = if above.is_empty() { Some(tree) } else { tree.pointer_mut(&pointer_of(above)) };
    match above {
        Some(Value::Object(fields)) => {
            fields.insert(field.to_owned(), value);
        }
        Some(Value::Array(list)) => {
            if let Some(place) = field.parse::<usize>().ok().and_then(|place| list.get_mut(place)) {
                *place = value;
            }
        }
        _ => {}
    }
}
