//! How densely the nester packs: `cargo bench --bench density -- FILE... --seconds S --seeds N --threads T [--json] [--svg DIR]`.
//!
//! Each file is an instance: `{ name, width, total_area, pieces: [{ quantity, rotations_deg, outline }] }`. Every result is
//! checked with a polygon library that the nester does not use before it is printed.

#![allow(clippy::print_stdout, clippy::print_stderr)] // A bench is a program that prints.
#![allow(clippy::disallowed_methods)] // It measures time.

use ellwand::geometry::{Point, Pose, Shape};
use ellwand::nest::{Band, Effort, Observer, Outcome, Problem, Settings, Way, solve};
use geo::{Area, LineString, Polygon};
use geo_clipper::Clipper;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Instant;

#[derive(serde::Deserialize)]
struct Instance {
    name: String,
    width: f64,
    total_area: f64,
    pieces: Vec<InstancePiece>,
}

#[derive(serde::Deserialize)]
struct InstancePiece {
    quantity: usize,
    rotations_deg: Vec<f64>,
    outline: Vec<[f64; 2]>,
}

struct Arguments {
    files: Vec<PathBuf>,
    seconds: Option<f64>,
    effort: Effort,
    /// The share of the effort's work.
    portion: f64,
    seeds: u64,
    threads: usize,
    json: bool,
    svg: Option<PathBuf>,
}

#[derive(serde::Serialize)]
struct Run {
    seed: u64,
    density_pct: f64,
    length: f64,
    least_possible: f64,
    stop: String,
    work: u64,
    seconds: f64,
    /// Seconds to the first layout, and to 95, 99 and 100 % of the result.
    seconds_to: [f64; 4],
}

#[derive(serde::Serialize)]
struct Line {
    name: String,
    mean_density_pct: f64,
    best_density_pct: f64,
    best_length: f64,
    runs: Vec<Run>,
}

struct Trace {
    began: Instant,
    seen: Mutex<Vec<(f64, f64)>>,
}

impl Observer for Trace {
    fn progress(&self, _share_done: f64, best_length: f64) {
        if let Ok(mut seen) = self.seen.lock()
            && seen.last().is_none_or(|last| best_length < last.1)
        {
            seen.push((self.began.elapsed().as_secs_f64(), best_length));
        }
    }

    fn cancelled(&self) -> bool {
        false
    }
}

fn main() {
    let arguments = match parse(std::env::args().skip(1)) {
        Ok(arguments) => arguments,
        Err(message) => {
            eprintln!("{message}");
            std::process::exit(2);
        }
    };
    if arguments.files.is_empty() {
        eprintln!(
            "usage: cargo bench --bench density -- FILE... [--seconds S | --effort E [--portion P]] [--seeds N] [--threads T] [--json] [--svg DIR]"
        );
        return;
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(arguments.threads).build().expect("a thread pool");
    if !arguments.json {
        println!(
            "{:<12} {:>7} {:>7} {:>12} {:>8} {:>8} {:>8} {:>8}",
            "name", "mean %", "best %", "best length", "first s", "95 % s", "99 % s", "100 % s"
        );
    }
    let mut lines = Vec::new();
    for file in &arguments.files {
        match measure(file, &arguments, &pool) {
            Ok(line) => {
                if !arguments.json {
                    print_line(&line);
                }
                lines.push(line);
            }
            Err(message) => {
                eprintln!("{}: {message}", file.display());
                std::process::exit(1);
            }
        }
    }
    if arguments.json {
        println!("{}", serde_json::to_string_pretty(&lines).expect("plain data"));
    }
}

fn parse(mut words: impl Iterator<Item = String>) -> Result<Arguments, String> {
    let mut arguments = Arguments {
        files: Vec::new(),
        seconds: None,
        effort: Effort::Steady,
        portion: 1.0,
        seeds: 1,
        threads: 2,
        json: false,
        svg: None,
    };
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("{word} needs a value"));
        let number = |text: String| text.parse::<f64>().map_err(|_| format!("{text} is no number"));
        match word.as_str() {
            "--bench" => {} // Cargo's own.
            "--seconds" => arguments.seconds = Some(number(value()?)?),
            "--seeds" => arguments.seeds = number(value()?)? as u64,
            "--threads" => arguments.threads = number(value()?)? as usize,
            "--effort" => {
                let name = value()?;
                arguments.effort = Effort::parse(&name).ok_or(format!("no effort is called {name}"))?;
            }
            "--portion" => arguments.portion = number(value()?)?,
            "--json" => arguments.json = true,
            "--svg" => arguments.svg = Some(PathBuf::from(value()?)),
            option if option.starts_with('-') => {
                return Err(format!("no option is called {option}"));
            }
            _ => arguments.files.push(PathBuf::from(word)),
        }
    }
    Ok(arguments)
}

fn measure(file: &Path, arguments: &Arguments, pool: &rayon::ThreadPool) -> Result<Line, String> {
    let text = std::fs::read_to_string(file).map_err(|e| e.to_string())?;
    let instance: Instance = serde_json::from_str(&text).map_err(|e| e.to_string())?;
    let problem = problem(&instance);
    let mut runs = Vec::new();
    for seed in 1..=arguments.seeds {
        let settings = Settings {
            seconds: arguments.seconds,
            portion: arguments.portion,
            ..Settings::new(arguments.effort, seed)
        };
        let trace = Trace { began: Instant::now(), seen: Mutex::new(Vec::new()) };
        let outcome = pool.install(|| solve(&problem, &settings, &trace)).map_err(|e| e.to_string())?;
        let seconds = trace.began.elapsed().as_secs_f64();
        check(&problem, &outcome)?;
        if let Some(folder) = &arguments.svg {
            draw(folder, &instance, &problem, &outcome, seed).map_err(|e| e.to_string())?;
        }
        let seen = trace.seen.into_inner().unwrap_or_default();
        runs.push(run(seed, &instance, &outcome, seconds, &seen));
    }
    let mean = runs.iter().map(|r| r.density_pct).sum::<f64>() / runs.len().max(1) as f64;
    let best = runs.iter().map(|r| r.density_pct).fold(0.0, f64::max);
    let length = runs.iter().map(|r| r.length).fold(f64::INFINITY, f64::min);
    Ok(Line { name: instance.name, mean_density_pct: mean, best_density_pct: best, best_length: length, runs })
}

fn run(seed: u64, instance: &Instance, outcome: &Outcome, seconds: f64, seen: &[(f64, f64)]) -> Run {
    let length = outcome.solution.length;
    let to = |share: f64| seen.iter().find(|s| length / s.1 >= share * (1.0 - 1e-12)).map_or(seconds, |s| s.0);
    Run {
        seed,
        density_pct: 100.0 * instance.total_area / (instance.width * length),
        length,
        least_possible: outcome.least_possible,
        stop: format!("{:?}", outcome.stop),
        work: outcome.work,
        seconds,
        seconds_to: [seen.first().map_or(seconds, |s| s.0), to(0.95), to(0.99), to(1.0)],
    }
}

fn print_line(line: &Line) {
    let mean = |k: usize| line.runs.iter().map(|r| r.seconds_to[k]).sum::<f64>() / line.runs.len().max(1) as f64;
    println!(
        "{:<12} {:>7.2} {:>7.2} {:>12.3} {:>8.2} {:>8.2} {:>8.2} {:>8.2}",
        line.name,
        line.mean_density_pct,
        line.best_density_pct,
        line.best_length,
        mean(0),
        mean(1),
        mean(2),
        mean(3)
    );
}

fn problem(instance: &Instance) -> Problem {
    let mut items = Vec::new();
    for (shape, piece) in instance.pieces.iter().enumerate() {
        for _ in 0..piece.quantity {
            let poses = piece.rotations_deg.iter().map(|&turn| Pose { mirrored: false, turn }).collect();
            items.push(Way::new(shape, poses, Band::Free).into());
        }
    }
    Problem {
        width: instance.width,
        gap: 0.0,
        shapes: instance
            .pieces
            .iter()
            .map(|piece| Shape::new(piece.outline.iter().map(|&[x, y]| Point { x, y }).collect(), vec![]))
            .collect(),
        items,
        keep_out: vec![],
    }
}

fn placed(problem: &Problem, outcome: &Outcome) -> Vec<Shape> {
    problem
        .items
        .iter()
        .zip(&outcome.solution.placements)
        .map(|(item, placement)| problem.shapes[item.ways[placement.way].shape].placed(placement.pose, placement.at))
        .collect()
}

/// Every item once, in a pose it may take, on the strip, and no two of them overlapping.
fn check(problem: &Problem, outcome: &Outcome) -> Result<(), String> {
    let shapes = placed(problem, outcome);
    if shapes.len() != problem.items.len() {
        return Err("not every item is placed".into());
    }
    let size = problem.width.max(outcome.solution.length);
    for (i, shape) in shapes.iter().enumerate() {
        let b = shape.bounds();
        if !shape.outline.iter().all(|p| p.x.is_finite() && p.y.is_finite()) {
            return Err(format!("item {i} lies nowhere"));
        }
        let off = (-b.min.x).max(-b.min.y).max(b.max.y - problem.width).max(b.max.x - outcome.solution.length);
        if off > 1e-9 * size {
            return Err(format!("item {i} is off the strip by {off}"));
        }
        if !problem.items[i].ways[0].poses.contains(&outcome.solution.placements[i].pose) {
            return Err(format!("item {i} lies in a pose it may not take"));
        }
    }
    let factor = 2_f64.powf((1e9 / size).log2().floor());
    let polygons: Vec<Polygon> = shapes.iter().map(|s| Polygon::new(LineString(s.outline.clone()), vec![])).collect();
    for (i, a) in polygons.iter().enumerate() {
        for (j, b) in polygons.iter().enumerate().skip(i + 1) {
            let (p, q) = (shapes[i].bounds(), shapes[j].bounds());
            if p.min.x > q.max.x || q.min.x > p.max.x || p.min.y > q.max.y || q.min.y > p.max.y {
                continue;
            }
            let overlap = a.intersection(b, factor).unsigned_area();
            // Length of the contact times the rounding of both libraries.
            let perimeter = p.length() + p.width();
            if overlap > perimeter * (1e-6 + 4.0 / factor) {
                return Err(format!("items {i} and {j} overlap by {overlap}"));
            }
        }
    }
    Ok(())
}

fn draw(folder: &Path, instance: &Instance, problem: &Problem, outcome: &Outcome, seed: u64) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let (length, width) = (outcome.solution.length, instance.width);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {length} {width}\"><rect width=\"{length}\" height=\"{width}\" fill=\"#eee\"/>\n"
    );
    for (shape, item) in placed(problem, outcome).iter().zip(&problem.items) {
        let points: Vec<String> = shape.outline.iter().map(|p| format!("{},{}", p.x, width - p.y)).collect();
        let _ = writeln!(
            text,
            "<polygon points=\"{}\" fill=\"hsl({},50%,65%)\" stroke=\"#000\" stroke-width=\"{}\"/>",
            points.join(" "),
            item.ways[0].shape * 47 % 360,
            width / 800.0
        );
    }
    text.push_str("</svg>\n");
    std::fs::write(folder.join(format!("{}-{seed}.svg", instance.name)), text)
}
