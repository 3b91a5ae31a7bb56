//! The nester's inner parts: building a no-fit polygon, and how deep a point lies in it.

use criterion::{Criterion, criterion_group, criterion_main};
use ellwand::geometry::Point;
use ellwand::nest::nofit::NoFit;
use std::hint::black_box;

/// A star-like outline with so many corners, every third one hollow.
fn outline(corners: usize, size: f64) -> Vec<Point> {
    (0..corners)
        .map(|k| {
            let (sine, cosine) = libm::sincos(std::f64::consts::TAU * k as f64 / corners as f64);
            let radius = if k % 3 == 1 { 0.7 * size } else { size };
            Point { x: radius * cosine, y: radius * sine }
        })
        .collect()
}

fn inner(c: &mut Criterion) {
    // Those of three corners are convex.
    for corners in [3, 12, 30, 60] {
        let a = outline(corners, 100.0);
        let b = outline(corners, 70.0);
        c.bench_function(&format!("no-fit polygon of two outlines of {corners} corners"), |bencher| {
            bencher.iter(|| NoFit::new(black_box(&a), black_box(&b)));
        });
        let nofit = NoFit::new(&a, &b).expect("simple outlines");
        let bounds = nofit.bounds();
        let points: Vec<Point> = (0..1000)
            .map(|k| Point {
                x: bounds.min.x + bounds.length() * f64::from(k * 37 % 1000) / 1000.0,
                y: bounds.min.y + bounds.width() * f64::from(k * 91 % 1000) / 1000.0,
            })
            .collect();
        c.bench_function(&format!("1000 depths, outlines of {corners} corners"), |bencher| {
            bencher.iter(|| points.iter().map(|&p| nofit.depth(black_box(p))).sum::<f64>());
        });
    }
}

criterion_group!(benches, inner);
criterion_main!(benches);
