//! Progress on a terminal, and Ctrl-C.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::plan::Observer;

/// Steps of the bar.
const STEPS: u64 = 1000;

/// Set by Ctrl-C, once for the whole program.
static STOP: OnceLock<AtomicBool> = OnceLock::new();

/// Shows how far the planning is, and ends it early on Ctrl-C.
pub(super) struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// A bar on the error stream; none where that is no terminal. Ctrl-C from now on asks for the best so far, a second
    /// one ends the program.
    pub(super) fn start() -> Self {
        STOP.get_or_init(|| {
            // Should the signal not be had, Ctrl-C ends the program as it always does.
            let _ = ctrlc::set_handler(|| {
                if STOP.get().is_some_and(|stop| stop.swap(true, Ordering::Relaxed)) {
                    std::process::exit(130);
                }
            });
            AtomicBool::new(false)
        });
        let bar = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::stderr());
        let style = ProgressStyle::with_template("{wide_bar} {percent:>3} %  {msg:<28}  Ctrl-C takes the best so far");
        if let Ok(style) = style {
            bar.set_style(style);
        }
        Self { bar }
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Observer for Progress {
    fn progress(&self, done: f64, doing: &str) {
        let position = (done.clamp(0.0, 1.0) * STEPS as f64) as u64;
        // Several searches report at once, in any order: what lies behind the bar is not shown.
        if position > self.bar.position() {
            self.bar.set_position(position);
        }
        self.bar.set_message(doing.to_owned());
    }

    fn cancelled(&self) -> bool {
        STOP.get().is_some_and(|stop| stop.load(Ordering::Relaxed))
    }
}
