//! Progress of long work on standard error, where that is a terminal.

use indicatif::{ProgressBar, ProgressStyle};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// How often work without an end to tell shows that it goes on.
const TICK: Duration = Duration::from_millis(250);

/// How far a piece of work is. It is not shown where standard error is no terminal, and it goes when the work
/// is done.
pub(crate) struct Progress(ProgressBar);

impl Progress {
    /// Of a known number of parts.
    pub(crate) fn of(parts: usize, words: &'static str) -> Self {
        let style = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len}, {elapsed}");
        Self::styled(ProgressBar::new(parts as u64), style, words)
    }

    /// Of work whose end cannot be told.
    pub(crate) fn waiting(words: &'static str) -> Self {
        let progress = Self::styled(
            ProgressBar::new_spinner(),
            ProgressStyle::with_template("{spinner} {msg}, {elapsed}"),
            words,
        );
        progress.0.enable_steady_tick(TICK);
        progress
    }

    /// Of an unknown number of parts.
    pub(crate) fn counting(words: &'static str) -> Self {
        let style = ProgressStyle::with_template("{pos} {msg}, {elapsed}");
        Self::styled(ProgressBar::no_length(), style, words)
    }

    fn styled(
        bar: ProgressBar,
        style: Result<ProgressStyle, indicatif::style::TemplateError>,
        words: &'static str,
    ) -> Self {
        if let Ok(style) = style {
            bar.set_style(style);
        }
        bar.set_message(words);
        Self(bar)
    }

    /// One more part is done.
    pub(crate) fn step(&self) {
        self.0.inc(1);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}

/// What a piece of work gives for each of so many numbers, done by as many threads as there are cores, with its
/// progress in `words`.
pub(crate) fn side_by_side<T: Send + Default + Clone>(
    count: usize,
    words: &'static str,
    work: impl Fn(usize) -> T + Sync,
) -> Vec<T> {
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let progress = Progress::of(count, words);
    let next = AtomicUsize::new(0);
    let found = Mutex::new(vec![T::default(); count]);
    let take = || {
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            if index >= count {
                return;
            }
            let one = work(index);
            if let Some(place) = found.lock().unwrap_or_else(PoisonError::into_inner).get_mut(index) {
                *place = one;
            }
            progress.step();
        }
    };
    thread::scope(|scope| (0..threads).for_each(|_| drop(scope.spawn(take))));
    found.into_inner().unwrap_or_else(PoisonError::into_inner)
}
