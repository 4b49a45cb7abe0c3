//! Progress on a terminal, and an orderly end when the user stops the run.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::{Context, Result};
use indicatif::{ProgressBar, ProgressStyle};
use stoptally::read::{Stopped, Watch};

/// Shows how far reading is, and knows whether the user wants it to stop.
pub struct Progress {
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
}

impl Progress {
    /// Shows itself only when `shown`. From here on an interrupt ends the run between two files; a second one at once.
    pub fn new(shown: bool) -> Result<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let heard = Arc::clone(&stop);
        ctrlc::set_handler(move || {
            if heard.swap(true, Ordering::SeqCst) {
                std::process::exit(130);
            }
        })
        .context("listening for an interrupt failed")?;
        let bar = if shown { ProgressBar::new(0) } else { ProgressBar::hidden() };
        if let Ok(style) = ProgressStyle::with_template("{pos} of {len} files measured {wide_bar} {eta} left") {
            bar.set_style(style);
        }
        Ok(Self { bar, stop })
    }

    /// Takes the progress off the screen.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }

    /// Ends the run here if the user asked for it.
    pub fn check(&self) -> Result<(), Stopped> {
        if self.stop() { Err(Stopped) } else { Ok(()) }
    }
}

impl Watch for Progress {
    fn files_found(&self, count: usize) {
        self.bar.set_length(count as u64);
    }

    fn file_done(&self) {
        self.bar.inc(1);
    }

    fn stop(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}
