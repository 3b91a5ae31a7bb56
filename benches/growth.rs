//! How the cost of nesting grows: `cargo bench --bench growth -- [PROJECT] [--density D] [--seeds N] [--threads T] [--limit S]`.
//!
//! 10, 30, 100 and 300 pieces, copies of a garment's cuts laid open with the grain, are nested until a density is reached. Printed
//! are the mean seconds and work until then, and the exponents of a power law through them (least squares of the logarithms).

#![allow(clippy::print_stdout, clippy::print_stderr)] // A bench is a program that prints.
#![allow(clippy::disallowed_methods)] // It measures time.

use ellwand::cut_list;
use ellwand::geometry::{Pose, Shape};
use ellwand::nest::{Band, Effort, Problem, Settings, Silent, StopReason, Way, solve};
use ellwand::project;
use std::path::PathBuf;
use std::time::Instant;

const COUNTS: [usize; 4] = [10, 30, 100, 300];
/// A common width of cloth, in millimetres.
const WIDTH: f64 = 1400.0;

struct Arguments {
    project: PathBuf,
    density: f64,
    seeds: u64,
    threads: usize,
    limit: f64,
}

fn main() {
    if let Err(message) = parse(std::env::args().skip(1)).and_then(|arguments| run(&arguments)) {
        eprintln!("{message}");
        std::process::exit(2);
    }
}

fn parse(mut words: impl Iterator<Item = String>) -> Result<Arguments, String> {
    let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/pinafore/project.json");
    let mut arguments = Arguments { project: demo, density: 80.0, seeds: 3, threads: 2, limit: 300.0 };
    while let Some(word) = words.next() {
        let mut number = || {
            let text = words.next().ok_or(format!("{word} needs a value"))?;
            text.parse::<f64>().map_err(|_| format!("{text} is no number"))
        };
        match word.as_str() {
            "--bench" => {} // Cargo's own.
            "--density" => arguments.density = number()?,
            "--seeds" => arguments.seeds = number()? as u64,
            "--threads" => arguments.threads = number()? as usize,
            "--limit" => arguments.limit = number()?,
            option if option.starts_with('-') => return Err(format!("no option is called {option}")),
            file => arguments.project = PathBuf::from(file),
        }
    }
    Ok(arguments)
}

fn run(arguments: &Arguments) -> Result<(), String> {
    let (shapes, plies) = plies(arguments)?;
    let pool = rayon::ThreadPoolBuilder::new().num_threads(arguments.threads).build().map_err(|e| e.to_string())?;
    println!("to {} % of the strip, {} plies a garment", arguments.density, plies.len());
    println!("{:>6} {:>10} {:>14} {:>9}", "pieces", "seconds", "work", "reached");
    let mut points = Vec::new();
    for count in COUNTS {
        let problem = problem(&shapes, &plies, count);
        let area: f64 = problem.items.iter().map(|item| shapes[item.ways[0].shape].area()).sum();
        let (mut seconds, mut work, mut reached) = (0.0, 0.0, 0);
        for seed in 1..=arguments.seeds {
            let enough = Some(area / (WIDTH * arguments.density / 100.0));
            let settings = Settings { seconds: Some(arguments.limit), enough, ..Settings::new(Effort::Thorough, seed) };
            let began = Instant::now();
            let outcome = pool.install(|| solve(&problem, &settings, &Silent)).map_err(|e| e.to_string())?;
            seconds += began.elapsed().as_secs_f64() / arguments.seeds as f64;
            work += outcome.work as f64 / arguments.seeds as f64;
            reached += usize::from(matches!(outcome.stop, StopReason::Enough | StopReason::BoundMet));
        }
        println!("{count:>6} {seconds:>10.2} {work:>14.0} {reached:>4} of {}", arguments.seeds);
        points.push((count as f64, seconds, work));
    }
    let exponent = |value: fn(&(f64, f64, f64)) -> f64| {
        slope(&points.iter().map(|p| (p.0.ln(), value(p).ln())).collect::<Vec<_>>())
    };
    println!("exponent of seconds {:.2}, of work {:.2}", exponent(|p| p.1), exponent(|p| p.2));
    Ok(())
}

/// A shape, and whether it is mirrored.
type Ply = (usize, bool);

/// The shapes of a project, and for every ply of one garment its shape and whether it is mirrored.
fn plies(arguments: &Arguments) -> Result<(Vec<Shape>, Vec<Ply>), String> {
    let bytes = std::fs::read(&arguments.project).map_err(|e| format!("{}: {e}", arguments.project.display()))?;
    let name = arguments.project.display().to_string();
    let project = project::load(&bytes, &name, &[]).map_err(|e| format!("{e:?}"))?;
    let list = cut_list::resolve(&project).map_err(|e| format!("{e:?}"))?;
    let (mut shapes, mut plies) = (Vec::new(), Vec::new());
    for entry in list.cloths.values().flatten() {
        let piece = &project.pieces[&entry.piece];
        shapes.push(if entry.on_fold { piece.whole() } else { None }.unwrap_or_else(|| piece.shape.clone()));
        let mirrored = (0..entry.plies()).map(|number| number >= entry.plain);
        plies.extend(mirrored.map(|mirrored| (shapes.len() - 1, mirrored)));
    }
    if plies.is_empty() { Err("nothing is cut".into()) } else { Ok((shapes, plies)) }
}

fn problem(shapes: &[Shape], plies: &[Ply], count: usize) -> Problem {
    let pose = |mirrored| [0.0, 180.0].map(|turn| Pose { mirrored, turn }).to_vec();
    let items =
        plies.iter().cycle().take(count).map(|&(shape, mirrored)| Way::new(shape, pose(mirrored), Band::Free).into());
    Problem { width: WIDTH, gap: 3.0, shapes: shapes.to_vec(), items: items.collect(), keep_out: vec![] }
}

/// Of the line through points that lies nearest to them.
fn slope(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0 / n, sum.1 + p.1 / n));
    let (top, under) = points.iter().fold((0.0, 0.0), |sum, p| {
        let (u, v) = (p.0 - x, p.1 - y);
        (sum.0 + u * v, sum.1 + u * u)
    });
    top / under
}
