//! What is to be worked out for each cloth of a project: all of it bought, or lengths of it in hand.

use rayon::prelude::*;

use super::hand::{Hand, HandPlan};
use super::progress::Tally;
use super::search::{Search, Share};
use super::{Observer, Options};
use crate::cut_list::CutList;
use crate::error::Problem;
use crate::lay::Order;
use crate::layout::{ClothPlan, Notes};
use crate::nest::{Stopwatch, Store};
use crate::project::Project;

/// What is to be worked out for one cloth.
pub(super) enum Work<'a> {
    /// All of it is bought.
    Bought(Search<'a>),
    /// There are lengths of it in hand.
    Hand(Hand<'a>),
}

/// What comes of the work for one cloth.
pub(super) type Answer = Result<Done, Problem>;

/// The plans of cloths as they come, with what there is to say about them.
#[derive(Debug, Clone, Default)]
pub(super) struct Done {
    pub(super) cloths: Vec<ClothPlan>,
    pub(super) notes: Notes,
    /// What keeps something that is asked for from being in them.
    pub(super) lacks: Option<Problem>,
}

impl Done {
    pub(super) fn extend(&mut self, other: Self) {
        self.cloths.extend(other.cloths);
        self.notes.cloths.extend(other.notes.cloths);
        self.notes.hand.extend(other.notes.hand);
        self.lacks = self.lacks.take().or(other.lacks);
    }
}

/// What is to be laid out on every cloth that something is cut from, by the cloth's name.
pub(super) fn orders<'a>(project: &'a Project, list: &'a CutList) -> impl Iterator<Item = (&'a str, Order<'a>)> {
    list.cloths.iter().filter_map(|(name, cuts)| {
        let cloth = project.cloths.get(name)?;
        let matching = list.matching.get(name);
        Some((name.as_str(), Order { cloth, cuts, pieces: &project.pieces, flaws: &[], matching }))
    })
}

/// The work for every cloth that something is cut from.
pub(super) fn works<'a>(project: &'a Project, list: &'a CutList) -> Vec<Work<'a>> {
    orders(project, list).map(|(name, order)| Work::new(name, order)).collect()
}

/// Does work for several cloths, each with a part of the effort's work; what stands in the way of one is its answer.
///
/// One after the other where there is a clock to share, else side by side: then what comes of one depends on no other.
pub(super) fn answers(
    works: &[Result<(&Work, f64), Problem>],
    options: &Options,
    observer: &dyn Observer,
) -> Vec<Answer> {
    let all: f64 = works.iter().flatten().map(|(work, portion)| portion * work.weight()).sum();
    let (clock, store) = (Stopwatch::start(options.seconds), Store::new());
    let tally = Tally::new(observer, works.len());
    let run = |(number, asked): (usize, &Result<(&Work, f64), Problem>)| {
        let &(work, portion) = asked.as_ref().map_err(Clone::clone)?;
        let of = portion * work.weight() / all;
        let share = Share { before: 0.0, of, clock: &clock, portion, store: &store };
        let answer = work.run(options, &share, &tally.part(number));
        tally.tell(number, of, None);
        answer
    };
    if options.seconds.is_some() {
        works.iter().enumerate().map(run).collect()
    } else {
        works.par_iter().enumerate().map(run).collect()
    }
}

impl<'a> Work<'a> {
    pub(super) fn new(name: &'a str, order: Order<'a>) -> Self {
        if order.cloth.have.is_empty() {
            Self::Bought(Search::new(name, order, None))
        } else {
            Self::Hand(Hand::new(name, order))
        }
    }

    /// The problem, where something that is to be cut fits no lay of its cloth.
    pub(super) fn impossible(&self) -> Option<Problem> {
        match self {
            Self::Bought(search) => search.impossible(),
            Self::Hand(hand) => hand.impossible(),
        }
    }

    /// How much work it is.
    pub(super) fn weight(&self) -> f64 {
        match self {
            Self::Bought(search) => search.weight(),
            Self::Hand(hand) => hand.weight(),
        }
    }

    /// Does the work.
    pub(super) fn run(&self, options: &Options, share: &Share, observer: &dyn Observer) -> Answer {
        match self {
            Self::Bought(search) => {
                let (cloth, notes) = search.run(options, share, observer)?;
                let notes = Notes { cloths: vec![notes], hand: Vec::new() };
                Ok(Done { cloths: vec![cloth], notes, lacks: None })
            }
            Self::Hand(hand) => {
                let HandPlan { cloths, notes, answer } = hand.run(options, share, observer)?;
                let lacks = (!answer.fits && answer.extra.is_none()).then(|| hand.lacking(&answer));
                Ok(Done { cloths, notes: Notes { cloths: notes, hand: vec![answer] }, lacks })
            }
        }
    }
}
