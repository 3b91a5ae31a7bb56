//! Whether so many plies of each cut go onto a length.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use super::Hand;
use super::strip::Strip;
use crate::error::Problem;
use crate::lay::{self, Arrangement, Order};
use crate::plan::progress::Progress;
use crate::plan::search::{Share, kinds};
use crate::plan::stages::{Bench, Worked};
use crate::plan::{Observer, Options};
use crate::project::LayKind;
use crate::units::Mm;

/// How many plies of every cut, as printed and mirrored, in the order of the cuts.
pub(super) type Counts = Vec<[usize; 2]>;

/// The share of the effort's work that goes into one search for a place for what is left over, and into one for everything on
/// a single length; and how many such searches there are at most.
pub(super) const FOR_ONE_PLY: f64 = 0.2;
pub(super) const FOR_ALL: f64 = 1.0;
const MOST_SEARCHES: usize = 8;

/// Packs plies onto lengths; what was tried once is remembered.
pub(super) struct Packer<'a> {
    pub(super) hand: &'a Hand<'a>,
    pub(super) options: &'a Options,
    pub(super) share: &'a Share<'a>,
    pub(super) observer: &'a dyn Observer,
    known: RefCell<BTreeMap<(usize, Counts), Option<Worked>>>,
    searches: Cell<usize>,
}

impl<'a> Packer<'a> {
    pub(super) fn new(
        hand: &'a Hand<'a>,
        options: &'a Options,
        share: &'a Share<'a>,
        observer: &'a dyn Observer,
    ) -> Self {
        let (known, searches) = (RefCell::new(BTreeMap::new()), Cell::new(0));
        Self { hand, options, share, observer, known, searches }
    }

    /// The layout of these plies on a length, as far as constructing finds one.
    pub(super) fn roughly(&self, strip: usize, counts: &Counts) -> Result<Option<Worked>, Problem> {
        let key = (strip, counts.clone());
        if let Some(known) = self.known.borrow().get(&key) {
            return Ok(known.clone());
        }
        let worked = self.pack(&self.hand.strips[strip], counts, 0.0)?;
        self.known.borrow_mut().insert(key, worked.clone());
        Ok(worked)
    }

    /// The same, searching for one where constructing comes near; only so often.
    pub(super) fn searched(&self, strip: usize, counts: &Counts, portion: f64) -> Result<Option<Worked>, Problem> {
        if let Some(worked) = self.roughly(strip, counts)? {
            return Ok(Some(worked));
        }
        if self.searches.get() >= MOST_SEARCHES {
            return Ok(None);
        }
        self.searches.set(self.searches.get() + 1);
        let worked = self.pack(&self.hand.strips[strip], counts, portion)?;
        self.known.borrow_mut().insert((strip, counts.clone()), worked.clone());
        Ok(worked)
    }

    /// How long cloth to be bought has to be for these plies, roughly; none where they do not go onto it.
    pub(super) fn length_bought(&self, counts: &Counts) -> Result<Option<Mm>, Problem> {
        let part = self.hand.part(counts);
        let order = self.hand.order(&part, None);
        let lays = lays(&order);
        Ok(self.bench(order).shortest_of(&slices(&lays))?.map(|worked| worked.laid.length))
    }

    fn pack(&self, strip: &Strip, counts: &Counts, portion: f64) -> Result<Option<Worked>, Problem> {
        if self.hand.area(counts) > strip.area() {
            return Ok(None);
        }
        let part = self.hand.part(counts);
        let order = self.hand.order(&part, Some(strip));
        let lays = lays(&order);
        self.bench(order).within(&slices(&lays), strip.length, portion)
    }

    fn bench<'o>(&'o self, order: Order<'o>) -> Bench<'o> {
        let share = self.share;
        Bench {
            order,
            options: self.options,
            portion: share.portion,
            store: share.store,
            clock: share.clock,
            time_share: share.of,
            progress: Progress { observer: self.observer, before: share.before, of: 0.0, doing: self.hand.name },
        }
    }
}

/// The lays in which to look for room: open cloth where it is allowed, since any other lay opens out to it.
fn lays(order: &Order) -> Vec<(LayKind, Vec<Arrangement>)> {
    let mut kinds = kinds(order.cloth);
    let held = order.cuts.iter().any(|entry| entry.lay.is_some_and(|kind| kind != LayKind::Open));
    if kinds.contains(&LayKind::Open) && !held {
        kinds = vec![LayKind::Open];
    }
    kinds.into_iter().filter_map(|kind| Some((kind, lay::arrangements(kind, order).ok()?))).collect()
}

fn slices(lays: &[(LayKind, Vec<Arrangement>)]) -> Vec<(LayKind, &[Arrangement])> {
    lays.iter().map(|(kind, arrangements)| (*kind, &arrangements[..])).collect()
}
