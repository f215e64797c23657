//! Progress of long work on standard error, where that is a terminal.

use indicatif::{ProgressBar, ProgressStyle};
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
