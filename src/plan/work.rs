//! What is to be worked out for each cloth of a project: all of it bought, or lengths of it in hand.

use super::hand::{Hand, HandPlan};
use super::search::{Search, Share};
use super::{Observer, Options};
use crate::cut_list::CutList;
use crate::error::Problem;
use crate::lay::Order;
use crate::layout::{ClothPlan, Notes};
use crate::project::Project;

/// What is to be worked out for one cloth.
pub(super) enum Work<'a> {
    /// All of it is bought.
    Bought(Search<'a>),
    /// There are lengths of it in hand.
    Hand(Hand<'a>),
}

/// The plans of cloths as they come, with what there is to say about them.
#[derive(Default)]
pub(super) struct Done {
    pub(super) cloths: Vec<ClothPlan>,
    pub(super) notes: Notes,
    /// Whether everything that is asked for is in them.
    pub(super) lacks: Option<Problem>,
}

/// The work for every cloth that something is cut from.
pub(super) fn works<'a>(project: &'a Project, list: &'a CutList) -> Vec<Work<'a>> {
    list.cloths.keys().filter_map(|name| work(project, list, name)).collect()
}

/// The work for one cloth; none where nothing is cut from it.
pub(super) fn work<'a>(project: &'a Project, list: &'a CutList, name: &str) -> Option<Work<'a>> {
    let (name, cuts) = list.cloths.get_key_value(name)?;
    let cloth = project.cloths.get(name)?;
    if !cloth.have.is_empty() {
        return Some(Work::Hand(Hand::new(name, cloth, cuts, &project.pieces)));
    }
    let order = Order { cloth, cuts, pieces: &project.pieces, flaws: &[] };
    Some(Work::Bought(Search::new(name, order, None)))
}

impl Work<'_> {
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
    pub(super) fn run(
        &self,
        options: &Options,
        share: &Share,
        observer: &dyn Observer,
        done: &mut Done,
    ) -> Result<(), Problem> {
        match self {
            Self::Bought(search) => {
                let (cloth, notes) = search.run(options, share, observer)?;
                done.cloths.push(cloth);
                done.notes.cloths.push(notes);
            }
            Self::Hand(hand) => {
                let HandPlan { cloths, notes, answer } = hand.run(options, share, observer)?;
                if !answer.fits && answer.extra.is_none() {
                    done.lacks.get_or_insert_with(|| hand.lacking(&answer));
                }
                done.cloths.extend(cloths);
                done.notes.cloths.extend(notes);
                done.notes.hand.push(answer);
            }
        }
        Ok(())
    }
}
