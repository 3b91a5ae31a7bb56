//! How hard to search: the options of every command that plans.

use clap::ValueEnum;

use super::one_problem;
use crate::error::Problems;
use crate::nest;
use crate::plan::Options;

/// The options of a search.
#[derive(Debug, clap::Args)]
pub(super) struct SearchArguments {
    /// How hard to search, counted in work: the same effort gives the same plan on any machine
    #[arg(long, value_enum, default_value_t = Effort::Steady)]
    effort: Effort,
    /// Stop after so many seconds with the best so far; the answer may then differ from run to run
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    seconds: Option<f64>,
    /// Where the search begins: another seed may find another layout
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// How many threads to use; the answer is the same for any number [default: one per core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Effort {
    /// A few seconds for a garment
    Quick,
    /// About ten seconds
    Steady,
    /// A couple of minutes
    Thorough,
}

impl From<Effort> for nest::Effort {
    fn from(effort: Effort) -> Self {
        match effort {
            Effort::Quick => Self::Quick,
            Effort::Steady => Self::Steady,
            Effort::Thorough => Self::Thorough,
        }
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value > 0.0 && value <= 1e6 => Ok(value),
        _ => Err("give a number of seconds above zero".to_owned()),
    }
}

impl SearchArguments {
    /// The options as the planner wants them.
    pub(super) fn options(&self) -> Options {
        Options { effort: self.effort.into(), seconds: self.seconds, seed: self.seed }
    }

    /// Does the work on as many threads as were asked for.
    pub(super) fn in_pool<T: Send>(&self, work: impl FnOnce() -> T + Send) -> Result<T, Problems> {
        let mut builder = rayon::ThreadPoolBuilder::new();
        if let Some(threads) = self.threads {
            builder = builder.num_threads(usize::from(threads));
        }
        let pool = builder
            .build()
            .map_err(|error| one_problem(format!("No threads can be had: {error}."), "try --threads 1"))?;
        Ok(pool.install(work))
    }
}
