//! One cloth: every lay that it may have is worked out, the best is taken.

use indexmap::IndexMap;

use super::best::{self, Candidate};
use super::buy::{cost, step_less, to_buy};
use super::hand::{self, Strip};
use super::print::{print_plan, without};
use super::progress::Progress;
use super::stages::{Bench, Outcome, Worked};
use super::{Observer, Options};
use crate::cut_list::{CutEntry, Family};
use crate::error::Problem;
use crate::lay::{self, Arrangement, LaidOut, NotPossible, Order};
use crate::layout::{self, Buy, ClothNotes, ClothPlan, PrintPlan, Tried, rounded};
use crate::nest::{Effort, Stopwatch, Store};
use crate::project::{BorderAt, Cloth, LayKind, Lays};
use crate::units::{Mm, Rounding, amount, both};

/// What is to be worked out for one cloth.
pub(super) struct Search<'a> {
    pub(super) name: &'a str,
    pub(super) order: Order<'a>,
    lays: Vec<(LayKind, Result<Vec<Arrangement>, NotPossible>)>,
    /// The length in hand that it is laid out on; none where the cloth is bought.
    hand: Option<&'a Strip>,
    /// What is matched on the cloth, and the same order were nothing matched; on a length in hand that is of no use.
    print: Option<PrintPlan>,
    unmatched: Option<Box<Self>>,
}

/// The part of the whole work that one cloth is.
pub(super) struct Share<'a> {
    /// What its observer was told was done before it, 0 to 1.
    pub(super) before: f64,
    /// How much of the whole it is.
    pub(super) of: f64,
    /// The time that is left for everything.
    pub(super) clock: &'a Stopwatch,
    /// The part of the effort's work that it gets.
    pub(super) portion: f64,
    /// What is worked out of the pieces once for all cloths.
    pub(super) store: &'a Store,
}

/// The kinds of lay to try for a cloth. Without nap the crosswise fold gives all that cutting and turning does.
pub(super) fn kinds(cloth: &Cloth) -> Vec<LayKind> {
    match &cloth.lays {
        Lays::Best => LayKind::ALL.into_iter().filter(|kind| cloth.nap || *kind != LayKind::CutAndTurned).collect(),
        Lays::These(kinds) => kinds.clone(),
    }
}

impl<'a> Search<'a> {
    /// A search for the best lay of an order, on cloth to be bought or on a length in hand.
    pub(super) fn new(name: &'a str, order: Order<'a>, hand: Option<&'a Strip>) -> Self {
        let lays = kinds(order.cloth).into_iter().map(|kind| (kind, lay::arrangements(kind, &order))).collect();
        let print = order.matching.map(print_plan);
        let unmatched = || Box::new(Self::new(name, Order { matching: None, ..order }, None));
        let unmatched = (order.matching.is_some() && hand.is_none()).then(unmatched);
        Self { name, order, lays, hand, print, unmatched }
    }

    /// The kinds of lay that can be done, each with its arrangements.
    pub(super) fn possible(&self) -> Vec<(LayKind, &[Arrangement])> {
        self.lays
            .iter()
            .filter_map(|(kind, result)| result.as_ref().ok().map(|arrangements| (*kind, &arrangements[..])))
            .collect()
    }

    /// The problem, where none of the lays can be done.
    pub(super) fn impossible(&self) -> Option<Problem> {
        let mut reasons: IndexMap<&str, Vec<&str>> = IndexMap::new();
        let mut at = None;
        for (kind, result) in &self.lays {
            let reason = result.as_ref().err()?;
            at.get_or_insert_with(|| reason.cut.clone());
            reasons.entry(&reason.reason).or_default().push(kind.name());
        }
        let reasons: Vec<String> =
            reasons.into_iter().map(|(reason, kinds)| format!("{}: {reason}", kinds.join(", "))).collect();
        let cause = format!("It cannot be cut from the cloth \"{}\". {}", self.name, reasons.join("; "));
        let hint = "take a wider cloth, join the piece from two, or allow another lay, grain or direction";
        let keys = match at {
            Some(cut) if !cut.is_empty() => format!("cuts.{cut}"),
            _ => format!("cloths.{}", self.name),
        };
        Some(Problem::at(keys, cause, hint))
    }

    /// What is in the way of the plainest lay, where none of them can be done.
    pub(super) fn in_the_way(&self) -> Option<String> {
        self.impossible()?;
        Some(self.lays.first()?.1.as_ref().err()?.reason.clone())
    }

    /// How much work it is, in plies to be placed on every kind of lay.
    pub(super) fn weight(&self) -> f64 {
        let plies: usize = self.order.cuts.iter().map(CutEntry::plies).sum();
        let lays = self.lays.iter().filter(|(_, result)| result.is_ok()).count();
        (plies * lays.clamp(1, 3)) as f64 + self.unmatched.as_ref().map_or(0.0, |unmatched| unmatched.weight())
    }

    /// Works out every lay and takes the best; where something is matched, also what it would be were it not.
    pub(super) fn run(
        &self,
        options: &Options,
        share: &Share,
        observer: &dyn Observer,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let Some(unmatched) = &self.unmatched else { return self.run_knowing(options, share, observer, None) };
        let of = share.of / 2.0;
        let (mut plan, notes) = self.run_knowing(options, &Share { of, ..*share }, observer, None)?;
        let after = Share { before: share.before + of, of, ..*share };
        let (other, _) = unmatched.run_knowing(options, &after, observer, None)?;
        // A layout that matches is also one that need not.
        let least = without(if other.length <= plan.length { &other } else { &plan });
        if let Some(print) = &mut plan.print {
            print.without = Some(least);
        }
        Ok((plan, notes))
    }

    /// The same for what is matched alone, where a layout is known already that fits the length in hand.
    pub(super) fn run_knowing(
        &self,
        options: &Options,
        share: &Share,
        observer: &dyn Observer,
        known: Option<Worked>,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let bench = Bench {
            order: self.order,
            options,
            portion: share.portion,
            store: share.store,
            clock: share.clock,
            time_share: share.of,
            progress: Progress { observer, before: share.before, of: share.of, doing: self.name },
        };
        let mut outcome = bench.work_out(&self.possible())?;
        open_is_no_worse(&mut outcome.worked);
        let too_long = match self.hand {
            Some(strip) => hand::keep_fitting(&mut outcome.worked, known, strip.length),
            None => Vec::new(),
        };
        let too_long = too_long.iter().map(|worked| self.too_long(worked)).collect();
        self.choose(outcome, too_long, options.effort)
    }

    /// A lay that would need more than there is in hand, and how much.
    fn too_long(&self, worked: &Worked) -> (String, String) {
        let has = self.hand.map_or(0.0, |strip| strip.length);
        let (length, nearest) = (worked.laid.length, Rounding::Nearest);
        let reason = format!("it takes {}, and there are {} on the table", both(length, nearest), both(has, nearest));
        (worked.kind.name().to_owned(), reason)
    }

    fn choose(
        &self,
        outcome: Outcome,
        too_long: Vec<(String, String)>,
        effort: Effort,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let cloth = self.order.cloth;
        let candidates: Vec<Candidate> = outcome
            .worked
            .iter()
            .map(|Worked { kind, laid }| Candidate {
                lay: kind.name(),
                length: laid.length,
                buy: if self.hand.is_some() { best::in_hand(laid.length) } else { to_buy(laid.length, cloth) },
                work: laid.work,
            })
            .collect();
        let not_possible: Vec<(String, String)> = self
            .lays
            .iter()
            .filter_map(|(kind, result)| Some((kind.name().to_owned(), result.as_ref().err()?.reason.clone())))
            .collect();
        let tried: Vec<Tried> = candidates
            .iter()
            .map(|c| Tried { lay: c.lay.to_owned(), length: rounded(c.length), buy: rounded(self.to_buy(c)) })
            .collect();
        let not_possible = [not_possible, too_long].concat();
        let Some((index, why)) = best::best(&candidates, self.hand.is_some()) else {
            let keys = format!("cloths.{}", self.name);
            return Err(Problem::at(keys, "No lay could be worked out.", "allow another lay"));
        };
        let taken = &candidates[index];
        let laid = outcome.worked.into_iter().nth(index).map(|worked| worked.laid);
        let mut warnings = self.warnings(laid.as_ref().and_then(|laid| laid.middle));
        if self.hand.is_none() {
            warnings.extend(just_over(taken, cloth));
        }
        let plan = self.cloth_plan(laid, tried, self.to_buy(taken));
        let notes = ClothNotes {
            cloth: self.name.to_owned(),
            length: self.hand.map_or(0, |strip| strip.number),
            why,
            stopped: best::stopped(&outcome.stops, effort),
            not_possible,
            warnings,
        };
        plan.map(|plan| (plan, notes)).ok_or_else(|| Problem::at(format!("cloths.{}", self.name), "No lay.", ""))
    }

    /// What a lay means to buy: nothing of a length in hand.
    fn to_buy(&self, candidate: &Candidate) -> Mm {
        if self.hand.is_some() { 0.0 } else { candidate.buy }
    }

    /// What is allowed but seldom meant, and where the print must begin.
    fn warnings(&self, middle: Option<Mm>) -> Vec<String> {
        let halves = self.order.cuts.iter().filter(|entry| {
            !entry.on_fold && self.order.pieces.get(&entry.piece).is_some_and(|piece| piece.fold.is_some())
        });
        let warning = |entry: &CutEntry| {
            format!("\"{}\" is cut as halves: its piece has a fold edge, but the cut does not say on_fold", entry.cut)
        };
        halves.map(warning).chain(self.print_warning(middle)).chain(self.border_warning()).collect()
    }

    /// Which selvedge the border has to be at, where anything lies on it.
    fn border_warning(&self) -> Option<String> {
        let is_on_border = self.order.cuts.iter().any(|entry| entry.border.is_some());
        let one = self.order.cloth.border == BorderAt::First;
        (is_on_border && one)
            .then(|| "lay the cloth with its border print along the first selvedge, where y is 0".to_owned())
    }

    /// What to know of the print: that nothing matches on it, or where in the repeat the cloth must begin.
    fn print_warning(&self, middle: Option<Mm>) -> Option<String> {
        let cloth = self.order.cloth;
        let Some(matching) = self.order.matching else {
            let forgotten = self.print.is_none() && cloth.print.is_some();
            return forgotten.then(|| "its print repeats, but nothing on it is matched".to_owned());
        };
        let axis = matching.along.as_ref()?;
        // Pieces that only have to be level with each other, all one way up, are so wherever the print begins.
        if cloth.nap && !axis.families.contains(&Family::Held) {
            return None;
        }
        let begins = match middle? {
            x if x < 0.5 => "on the middle of a motif".to_owned(),
            x => format!("{} before the middle of a motif", both(x, Rounding::Nearest)),
        };
        let more = both(axis.every, Rounding::Up);
        Some(format!(
            "the layout begins {begins}: have it cut there, or buy a repeat more ({more}) and straighten it so"
        ))
    }

    fn cloth_plan(&self, laid: Option<LaidOut>, tried: Vec<Tried>, buy: Mm) -> Option<ClothPlan> {
        let laid = laid?;
        let cloth = self.order.cloth;
        let length = rounded(laid.length);
        let usable_width = rounded(cloth.usable_width());
        let area: f64 = laid.plies.iter().map(layout::Ply::area).sum();
        let sections = laid
            .sections
            .into_iter()
            .map(|section| layout::Section {
                from: rounded(section.from),
                to: rounded(section.to),
                fold_lines: section.fold_lines.into_iter().map(rounded).collect(),
                ..section
            })
            .collect();
        Some(ClothPlan {
            cloth: self.name.to_owned(),
            in_hand: self.hand.map(|strip| strip.in_hand(&laid.plies)),
            width: rounded(cloth.width),
            usable_width,
            lay: laid.kind.name().to_owned(),
            length,
            // A bound that meets the length may exceed it by the last bits of its sum.
            least_possible: rounded(lay::least_possible(&self.order)).min(length),
            used_share: area / (usable_width * length),
            buy: Buy { length: rounded(buy), cost: cost(buy, cloth).filter(|_| self.hand.is_none()) },
            sections,
            plies: laid.plies,
            tried,
            print: self.print.clone().map(|print| PrintPlan { middle_along: laid.middle.map(rounded), ..print }),
        })
    }
}

/// Any folded layout is a layout of open cloth: open cloth never needs more than the best fold found.
fn open_is_no_worse(worked: &mut [Worked]) {
    let folded = worked.iter().filter(|worked| worked.kind != LayKind::Open);
    let shortest = folded.min_by(|a, b| a.laid.length.total_cmp(&b.laid.length)).map(|worked| worked.laid.clone());
    if let Some(folded) = shortest {
        for open in worked.iter_mut().filter(|w| w.kind == LayKind::Open && w.laid.length > folded.length) {
            open.laid = lay::opened_out(&folded);
        }
    }
}

/// What a step less would nearly have done is worth knowing before buying.
fn just_over(taken: &Candidate, cloth: &crate::project::Cloth) -> Option<String> {
    let enough = step_less(taken.length, cloth);
    let over = taken.length - enough;
    (enough > 0.0 && over <= JUST_OVER).then(|| {
        format!(
            "only {} over what {} would do: a narrower gap or allowance, or a more thorough search, may save a step",
            both(over, Rounding::Up),
            amount(taken.buy - cloth.sold_by)
        )
    })
}

/// So little over what a step less would give is worth saying, in mm.
const JUST_OVER: Mm = 15.0;
