//! Cloth in hand: everything is cut from the fewest and smallest lengths that take it; where they do not, as much as they
//! take, and the rest from a length that has to be bought.

mod fill;
mod pack;
mod strip;

use std::collections::BTreeMap;

use indexmap::IndexMap;

use super::search::{Search, Share};
use super::stages::Worked;
use super::{Observer, Options};
use crate::cut_list::{CutEntry, Matching};
use crate::error::Problem;
use crate::lay::Order;
use crate::layout::{ClothNotes, ClothPlan, Extra, HandAnswer, LeftOver};
use crate::piece::Piece;
use crate::project::Cloth;
use crate::units::Mm;
use fill::Filled;
use pack::{Counts, Packer};

pub(super) use strip::{Strip, strips};

/// The share of a cloth's time that finding out what goes where takes.
const FINDING: f64 = 0.4;

/// A cloth of which there are lengths in hand.
pub(super) struct Hand<'a> {
    pub(super) name: &'a str,
    cloth: &'a Cloth,
    cuts: &'a [CutEntry],
    pieces: &'a IndexMap<String, Piece>,
    /// Where matched cuts lie in the repeat, which is the same on every length once it is on the table.
    matching: Option<&'a Matching>,
    strips: Vec<Strip>,
}

/// Some of a cloth's cuts.
struct Part {
    cuts: Vec<CutEntry>,
    matching: Option<Matching>,
}

/// What a cloth in hand comes to.
pub(super) struct HandPlan {
    pub(super) cloths: Vec<ClothPlan>,
    pub(super) notes: Vec<ClothNotes>,
    pub(super) answer: HandAnswer,
}

impl<'a> Hand<'a> {
    pub(super) fn new(name: &'a str, order: Order<'a>) -> Self {
        let Order { cloth, cuts, pieces, matching, .. } = order;
        Self { name, cloth, cuts, pieces, matching, strips: strips(cloth) }
    }

    /// The problem, where a cut goes neither onto cloth to be bought nor onto any length in hand.
    pub(super) fn impossible(&self) -> Option<Problem> {
        let problem = |cut: usize| {
            let mut counts = self.nothing();
            counts[cut] = self.asked()[cut];
            let part = self.part(&counts);
            let on =
                |strip| Search::new(self.name, Order { flaws: &[], ..self.order(&part, strip) }, strip).impossible();
            let bought = on(None)?;
            self.strips.iter().all(|strip| on(Some(strip)).is_some()).then_some(bought)
        };
        (0..self.cuts.len()).find_map(problem)
    }

    /// How much work it is, as that of a cloth to be bought is counted.
    pub(super) fn weight(&self) -> f64 {
        3.0 * self.cuts.iter().map(CutEntry::plies).sum::<usize>() as f64
    }

    /// Finds out what goes where, and plans every length that is used.
    pub(super) fn run(&self, options: &Options, share: &Share, observer: &dyn Observer) -> Result<HandPlan, Problem> {
        observer.progress(share.before, self.name);
        let finding = Share { of: share.of * FINDING, ..*share };
        let packer = Packer::new(self, options, &finding, observer);
        let (filled, by_priority) = if let Some(filled) = fill::whole(&packer)? {
            (Some(filled), None)
        } else {
            let by_priority = fill::by_priority(&packer)?;
            if by_priority.is_whole() {
                (Some(by_priority), None)
            } else {
                (fill::for_least_extra(&packer, &by_priority)?, Some(by_priority))
            }
        };
        let done = Share { before: share.before + finding.of, of: share.of - finding.of, ..*share };
        // Where what is left over cannot be bought either, what matters most is planned.
        let taken = filled.as_ref().or(by_priority.as_ref());
        let mut plan = self.planned(taken, filled.is_some(), (options, &done, observer))?;
        if let Some(by_priority) = by_priority {
            plan.answer.fits = false;
            plan.answer.kept = Vec::new();
            plan.answer.left_over = self.left_over(&by_priority.left);
        }
        Ok(plan)
    }

    /// The problem, where neither the cloth in hand nor cloth to be bought gives everything.
    pub(super) fn lacking(&self, answer: &HandAnswer) -> Problem {
        let left: Vec<String> = answer.left_over.iter().map(|left| format!("\"{}\"", left.cut)).collect();
        let cause = format!(
            "The lengths in hand of \"{}\" do not give everything: {} would be left over, and something of that is too wide for \
             the cloth's own width, in which more of it would be bought.",
            self.name,
            left.join(", ")
        );
        Problem::at(format!("cloths.{}.have", self.name), cause, "cut less from it, or take a wider cloth")
    }

    /// Plans every length that something lies on, and what has to be bought besides.
    fn planned(
        &self,
        filled: Option<&Filled>,
        buys: bool,
        (options, share, observer): (&Options, &Share, &dyn Observer),
    ) -> Result<HandPlan, Problem> {
        let answer = HandAnswer {
            cloth: self.name.to_owned(),
            fits: true,
            kept: Vec::new(),
            left_over: Vec::new(),
            extra: None,
        };
        let mut plan = HandPlan { cloths: Vec::new(), notes: Vec::new(), answer };
        let Some(filled) = filled else { return Ok(plan) };
        let all = plies(&self.asked()).max(1) as f64;
        let mut before = share.before;
        let mut part = |counts: &Counts| {
            let of = plies(counts) as f64 / all;
            let part = Share { before, of: share.of * of, portion: share.portion * of, ..*share };
            before += part.of;
            part
        };
        for (strip, (counts, worked)) in self.strips.iter().zip(filled.on.iter().zip(&filled.worked)) {
            if plies(counts) == 0 {
                plan.answer.kept.push(strip.number);
                continue;
            }
            let own = self.part(counts);
            let search = Search::new(self.name, self.order(&own, Some(strip)), Some(strip));
            plan.add(search.run_knowing(options, &part(counts), observer, worked.clone())?);
        }
        if buys && !filled.is_whole() {
            let own = self.part(&filled.left);
            let search = Search::new(self.name, self.order(&own, None), None);
            let (cloth, notes) = search.run(options, &part(&filled.left), observer)?;
            plan.answer.extra = Some(Extra { length: in_shop(cloth.length, self.cloth), buy: cloth.buy.length });
            plan.add((cloth, notes));
        }
        plan.number_plies();
        Ok(plan)
    }

    /// All plies that are asked for.
    fn asked(&self) -> Counts {
        self.cuts.iter().map(|entry| [entry.plain, entry.mirrored]).collect()
    }

    fn nothing(&self) -> Counts {
        vec![[0, 0]; self.cuts.len()]
    }

    /// The cuts with as many plies as these.
    fn part(&self, counts: &Counts) -> Part {
        let entry = |(entry, &[plain, mirrored]): (&CutEntry, &[usize; 2])| {
            (plain + mirrored > 0).then(|| CutEntry { plain, mirrored, ..entry.clone() })
        };
        let matching = self.matching.cloned().map(|mut matching| {
            for axis in [&mut matching.along, &mut matching.across].into_iter().flatten() {
                let mut has_any = counts.iter().map(|cut| cut.iter().sum::<usize>() > 0);
                axis.members.retain(|_| has_any.next().unwrap_or(false));
            }
            matching
        });
        Part { cuts: self.cuts.iter().zip(counts).filter_map(entry).collect(), matching }
    }

    /// A part of the cuts on a length in hand, or on cloth to be bought.
    fn order<'o>(&'o self, part: &'o Part, strip: Option<&'o Strip>) -> Order<'o> {
        Order {
            cloth: strip.map_or(self.cloth, |strip| &strip.cloth),
            cuts: &part.cuts,
            pieces: self.pieces,
            flaws: strip.map_or(&[], |strip| &strip.shapes),
            matching: part.matching.as_ref(),
        }
    }

    /// The area of one ply of a cut.
    fn ply_area(&self, cut: usize) -> f64 {
        let entry = &self.cuts[cut];
        let area = self.pieces.get(&entry.piece).map_or(0.0, |piece| piece.shape.area());
        if entry.on_fold { 2.0 * area } else { area }
    }

    fn area(&self, counts: &Counts) -> f64 {
        counts.iter().enumerate().map(|(cut, &[plain, mirrored])| (plain + mirrored) as f64 * self.ply_area(cut)).sum()
    }

    fn left_over(&self, left: &Counts) -> Vec<LeftOver> {
        let left_over = |(entry, &[plain, mirrored]): (&CutEntry, &[usize; 2])| {
            let plies = plain + mirrored;
            (plies > 0).then(|| LeftOver { cut: entry.cut.clone(), plies, of: entry.plies() })
        };
        self.cuts.iter().zip(left).filter_map(left_over).collect()
    }
}

impl HandPlan {
    fn add(&mut self, (cloth, notes): (ClothPlan, ClothNotes)) {
        self.cloths.push(cloth);
        self.notes.push(notes);
    }

    /// Numbers run through one cut at a time, over all lengths.
    fn number_plies(&mut self) {
        let mut last: BTreeMap<String, usize> = BTreeMap::new();
        for ply in self.cloths.iter_mut().flat_map(|cloth| &mut cloth.plies) {
            let number = last.entry(ply.cut.clone()).or_insert(0);
            *number += 1;
            ply.number = *number;
        }
    }
}

fn plies(counts: &Counts) -> usize {
    counts.iter().flatten().sum()
}

/// What a length on the table is in the shop, before it shrinks and its ends are straightened.
fn in_shop(length: Mm, cloth: &Cloth) -> Mm {
    (length + cloth.ends) / (1.0 - cloth.shrinkage_length)
}

/// A layout that is known to fit a length, among those that were worked out: only what fits is left.
pub(super) fn keep_fitting(worked: &mut Vec<Worked>, known: Option<Worked>, length: Mm) -> Vec<Worked> {
    let mut too_long = Vec::new();
    let mut fitting = Vec::new();
    for one in std::mem::take(worked) {
        if one.laid.length <= length + FITS { fitting.push(one) } else { too_long.push(one) }
    }
    if let Some(known) = known {
        match fitting.iter_mut().find(|one| one.kind == known.kind) {
            Some(other) if other.laid.length <= known.laid.length => {}
            Some(other) => *other = known,
            None => {
                too_long.retain(|one| one.kind != known.kind);
                fitting.push(known);
            }
        }
    }
    *worked = fitting;
    too_long
}

/// A length that is too short by no more than this, in mm, is not too short: rounding.
pub(super) const FITS: Mm = 1e-6;
