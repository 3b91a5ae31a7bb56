//! A layout under search: items may overlap, and every pair has a weight.

use super::model::{Model, Relation};
use super::movable::Choice;
use super::nearby::Nearby;
use super::nofit::NoFit;
use crate::geometry::{Bounds, Point};

/// Where every item lies.
#[derive(Debug, PartialEq)]
pub(super) struct Layout {
    /// Which of its options each item takes.
    pub(super) option: Vec<usize>,
    pub(super) at: Vec<Point>,
}

impl Clone for Layout {
    fn clone(&self) -> Self {
        Self { option: self.option.clone(), at: self.at.clone() }
    }

    /// Without new memory, which a derived one would take.
    fn clone_from(&mut self, other: &Self) {
        self.option.clone_from(&other.option);
        self.at.clone_from(&other.at);
    }
}

/// A layout on a strip of a given length, with the weights and depths of all pairs.
pub(super) struct Board<'a> {
    pub(super) model: &'a Model,
    pub(super) length: f64,
    pub(super) layout: Layout,
    /// Evaluations of pairs so far.
    pub(super) work: u64,
    /// Per item and keep-out: form and place.
    forms: Vec<usize>,
    places: Vec<Point>,
    nearby: Nearby,
    weights: Vec<f64>,
    depths: Vec<f64>,
    /// Kept so that measuring needs no new memory.
    measured: Vec<(usize, f64)>,
    looks: Vec<Look<'a>>,
}

/// A pair that overlaps at least by its floor, to be looked at closely.
#[derive(Debug, Clone, Copy)]
struct Look<'a> {
    nofit: &'a NoFit,
    r: Point,
    weight: f64,
    floor: f64,
    cell: usize,
}

/// Further away than anything: where items wait that are not placed yet.
const AWAY: f64 = 1e15;

impl<'a> Board<'a> {
    /// A board with a layout on it.
    pub(super) fn new(model: &'a Model, layout: Layout, length: f64) -> Self {
        let total = model.items.len() + model.fixed.len();
        let mut board = Self {
            model,
            length,
            layout,
            work: 0,
            forms: vec![0; total],
            places: vec![Point { x: 0.0, y: 0.0 }; total],
            nearby: Nearby::new(total, extent(model, length), model.width),
            weights: model.floors.clone(),
            depths: vec![0.0; total * total],
            measured: Vec::new(),
            looks: Vec::new(),
        };
        for (k, &form) in model.fixed.iter().enumerate() {
            board.set(model.items.len() + k, form, Point { x: 0.0, y: 0.0 });
        }
        board.reset();
        board
    }

    /// A board on which no item is placed yet.
    pub(super) fn empty(model: &'a Model) -> Self {
        let layout =
            Layout { option: vec![0; model.items.len()], at: vec![Point { x: AWAY, y: AWAY }; model.items.len()] };
        Self::new(model, layout, f64::INFINITY)
    }

    /// How many items there are, keep-outs not counted.
    pub(super) fn items(&self) -> usize {
        self.model.items.len()
    }

    /// Items and keep-outs.
    pub(super) fn total(&self) -> usize {
        self.forms.len()
    }

    pub(super) fn form(&self, j: usize) -> usize {
        self.forms[j]
    }

    pub(super) fn place_of(&self, j: usize) -> Point {
        self.places[j]
    }

    /// The box about the reach of an item or keep-out where it lies.
    pub(super) fn box_of(&self, j: usize) -> Bounds {
        self.box_at(self.forms[j], self.places[j])
    }

    /// The box about the reach of a form at a place.
    #[inline]
    fn box_at(&self, form: usize, p: Point) -> Bounds {
        let reach = &self.model.forms[form].reach;
        Bounds { min: reach.min + p, max: reach.max + p }
    }

    /// Puts another layout on the board, its strip of such a length.
    pub(super) fn load(&mut self, layout: &Layout, length: f64) {
        self.length = length;
        self.layout.clone_from(layout);
        self.reset();
    }

    /// The least and greatest x the origin of an item may have.
    pub(super) fn x_range(&self, choice: &Choice) -> (f64, f64) {
        let bounds = &self.model.forms[choice.form].bounds;
        let low = choice.along.map_or(-bounds.min.x, |steps| steps.not_before(-bounds.min.x));
        let high = self.length - bounds.max.x;
        (low, choice.along.map_or(high, |steps| steps.not_after(high)).max(low))
    }

    /// A place brought inside the strip and onto the lines that it must be on.
    pub(super) fn inside(&self, choice: &Choice, p: Point) -> Point {
        let (low, high) = self.x_range(choice);
        let x = choice.along.map_or(p.x.clamp(low, high), |steps| steps.nearest(p.x, low, high));
        let y = choice.across.map_or(p.y.clamp(choice.low, choice.high), |s| s.nearest(p.y, choice.low, choice.high));
        Point { x, y }
    }

    /// Weighted overlap of item `i` were it to lie so; infinity as soon as it exceeds `limit`.
    #[inline]
    pub(super) fn overlap(&mut self, i: usize, form: usize, p: Point, limit: f64) -> f64 {
        let total = self.forms.len();
        let model = self.model;
        // Rounding may make the least a little more than the whole.
        let beyond = limit * (1.0 + 1e-9);
        let (mut sum, mut work) = (0.0, 0);
        let mut looks = std::mem::take(&mut self.looks);
        looks.clear();
        self.each_near(i, form, p, |relation, j, r| {
            work += 1;
            let nofit = model.nofit(relation);
            let weight = self.weights[i * total + j];
            let rough = nofit.rough(r);
            sum += weight * rough.depth;
            if let Some(cell) = rough.cell {
                looks.push(Look { nofit, r, weight, floor: rough.depth, cell });
            }
            sum <= beyond
        });
        self.work += work;
        if sum <= beyond {
            sum = looked_closer(&looks, sum, beyond);
        }
        self.looks = looks;
        if sum <= limit { sum } else { f64::INFINITY }
    }

    /// The same, with every pair that overlaps: its weighted depth and the move of item `i` that would end it.
    pub(super) fn overlaps(&mut self, i: usize, form: usize, p: Point, found: &mut Vec<(f64, Point)>) -> f64 {
        found.clear();
        let total = self.forms.len();
        let mut sum = 0.0;
        let mut work = 0;
        self.each_near(i, form, p, |relation, j, r| {
            work += 1;
            let depth = self.model.nofit(relation).depth_and_way(r);
            if depth.depth > 0.0 {
                let weighted = self.weights[i * total + j] * depth.depth;
                sum += weighted;
                found.push((weighted, -relation.back(depth.out)));
            }
            true
        });
        self.work += work;
        sum
    }

    /// Visits all items that may touch item `i` were it to lie so, with the pair's place in the no-fit polygon. Their boxes are
    /// not compared closer than by the cells they lie in: to foretell the outcome costs more than a look at the polygon.
    #[inline]
    fn each_near(&self, i: usize, form: usize, p: Point, mut visit: impl FnMut(&Relation, usize, Point) -> bool) {
        let query = self.nearby.query(&self.box_at(form, p));
        for word in 0..self.nearby.words() {
            let own = if i / 64 == word { 1 << (i % 64) } else { 0 };
            let mut bits = self.nearby.candidates(&query, word) & !own;
            while bits != 0 {
                let j = word * 64 + bits.trailing_zeros() as usize;
                bits &= bits - 1;
                let relation = self.model.relation(form, self.forms[j]);
                if !visit(relation, j, relation.apply(self.places[j] - p)) {
                    return;
                }
            }
        }
    }

    /// Moves item `i`.
    pub(super) fn put(&mut self, i: usize, option: usize, p: Point) {
        self.layout.option[i] = option;
        self.layout.at[i] = p;
        self.set(i, self.model.items[i].options[option].form, p);
        self.measure(i);
    }

    /// Weighted overlap of item `i` where it lies.
    pub(super) fn weighted(&self, i: usize) -> f64 {
        let total = self.total();
        let range = i * total..(i + 1) * total;
        self.depths[range.clone()].iter().zip(&self.weights[range]).map(|(d, w)| d * w).sum()
    }

    /// The deepest overlap of item `i` where it lies.
    pub(super) fn deepest(&self, i: usize) -> f64 {
        let total = self.total();
        greatest(&self.depths[i * total..(i + 1) * total])
    }

    /// Sum of all depths, each pair once.
    pub(super) fn total_depth(&self) -> f64 {
        let total = self.total();
        let mut sum = 0.0;
        for i in 0..self.items() {
            sum += self.depths[i * total + i + 1..(i + 1) * total].iter().sum::<f64>();
        }
        sum
    }

    /// Makes pairs that overlap heavier, the deepest most, and lets the others fade.
    pub(super) fn reweigh(&mut self) {
        let deepest = greatest(&self.depths);
        if deepest <= 0.0 {
            return;
        }
        for ((w, &d), &floor) in self.weights.iter_mut().zip(&self.depths).zip(&self.model.floors) {
            if d > 0.0 {
                *w *= 1.2 + 0.8 * d / deepest;
            } else {
                *w = (*w * 0.95).max(floor);
            }
        }
        // Weights only matter against each other; far too great ones are all brought down.
        if greatest(&self.weights) > 1e12 {
            for (w, &floor) in self.weights.iter_mut().zip(&self.model.floors) {
                *w = (*w * 1e-6).max(floor);
            }
        }
    }

    /// Forgets which pairs were hard to part.
    pub(super) fn forget(&mut self) {
        self.weights.clone_from(&self.model.floors);
    }

    /// Takes the length of the strip as `length`; everything beyond `cut` moves along with its end.
    pub(super) fn resize(&mut self, length: f64, cut: f64) {
        let shift = length - self.length;
        self.length = length;
        for i in 0..self.items() {
            let choice = self.model.items[i].options[self.layout.option[i]];
            let bounds = &self.model.forms[choice.form].bounds;
            let mut p = self.layout.at[i];
            if p.x + f64::midpoint(bounds.min.x, bounds.max.x) > cut {
                p.x += shift;
            }
            self.layout.at[i] = self.inside(&choice, p);
        }
        self.reset();
    }

    fn set(&mut self, j: usize, form: usize, p: Point) {
        self.forms[j] = form;
        self.places[j] = p;
        self.nearby.set(j, &self.box_at(form, p));
    }

    fn reset(&mut self) {
        for i in 0..self.items() {
            let form = self.model.items[i].options[self.layout.option[i]].form;
            self.set(i, form, self.layout.at[i]);
        }
        for i in 0..self.items() {
            self.measure(i);
        }
    }

    fn measure(&mut self, i: usize) {
        let total = self.total();
        for j in 0..total {
            self.depths[i * total + j] = 0.0;
            self.depths[j * total + i] = 0.0;
        }
        let mut found = std::mem::take(&mut self.measured);
        found.clear();
        self.each_near(i, self.forms[i], self.places[i], |relation, j, r| {
            found.push((j, self.model.nofit(relation).depth(r)));
            true
        });
        self.work += found.len() as u64;
        for &(j, depth) in &found {
            self.depths[i * total + j] = depth;
            self.depths[j * total + i] = depth;
        }
        self.measured = found;
    }
}

/// The weighted overlap once the pairs looked at roughly are looked at closely, from what it is at least by the rough looks;
/// infinity as soon as it is surely beyond a limit.
#[inline]
fn looked_closer(looks: &[Look], least: f64, beyond: f64) -> f64 {
    let mut sum = least;
    for look in looks {
        sum += look.weight * (look.nofit.depth_in(look.cell, look.r) - look.floor);
        if sum > beyond {
            return f64::INFINITY;
        }
    }
    sum
}

/// The greatest of some numbers, or 0; eight side by side: one after the other, each would wait for the last.
fn greatest(values: &[f64]) -> f64 {
    // A comparison, not `f64::max`, which must mind what is not a number and is slower for it.
    let greater = |a: f64, b: f64| if a > b { a } else { b };
    let mut lanes = [0.0; 8];
    let (eights, rest) = values.as_chunks::<8>();
    for eight in eights {
        lanes.iter_mut().zip(eight).for_each(|(most, &value)| *most = greater(value, *most));
    }
    lanes.iter().chain(rest).fold(0.0, |most, &value| greater(value, most))
}

/// About how long a strip the items can spread over, where no length is set.
fn extent(model: &Model, length: f64) -> f64 {
    if length.is_finite() {
        length
    } else {
        let area: f64 = model.items.iter().map(|item| item.area).sum();
        2.0 * area / model.width
    }
}

/// The length a layout needs.
pub(super) fn length_of(model: &Model, layout: &Layout) -> f64 {
    layout
        .at
        .iter()
        .zip(&layout.option)
        .zip(&model.items)
        .map(|((p, &option), item)| p.x + model.forms[item.options[option].form].bounds.max.x)
        .fold(0.0, f64::max)
}
