//! Arrangements: which sections a lay has, how deep their folds are, and which cut goes where.

use super::fold::Fold;
use super::repeat::{Phases, deepest_even, evened};
use super::section::{Looked, SectionJob, Strip, Wanted, folds_along, looked_up, width_of};
use super::turns::Bias;
use super::{NotPossible, Order};
use crate::project::LayKind;
use crate::units::Mm;

/// How one lay is arranged.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// The kind of lay.
    pub kind: LayKind,
    /// How the cloth lies, section by section; an open one follows for what none of them can give.
    pub folds: Vec<Fold>,
    /// Where each cut of the order goes.
    homes: Vec<Home>,
    /// Where matched cuts lie in the repeat.
    phases: Phases,
}

/// Where a cut goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Home {
    /// Which section.
    section: usize,
    /// On double cloth as far as that gives it: as pairs, or as halves on the fold.
    folded: bool,
    /// Held there by the project.
    held: bool,
    /// On the second of the two 45s, for a mirrored cut on the bias.
    second_bias: bool,
}

/// Depths of folds that are tried: no more than this many.
const MOST_DEPTHS: usize = 24;
/// Pairs of depths that are tried: no more than this many.
const MOST_PAIRS_OF_DEPTHS: usize = 40;
/// A fold less deep than this is not worth folding, in mm.
const LEAST_DEPTH: Mm = 20.0;

/// The arrangements of a kind of lay that are worth trying, the plainest first.
///
/// # Errors
/// Why that kind of lay cannot be done.
pub fn arrangements(kind: LayKind, order: &Order) -> Result<Vec<Arrangement>, NotPossible> {
    let cuts = looked_up(order);
    let refused = |reason: &str| Err(NotPossible { cut: String::new(), reason: reason.to_owned() });
    let usable = order.cloth.usable_width();
    if kind == LayKind::CrosswiseFold && order.cloth.nap {
        return refused("with nap, one layer would lie upside down");
    }
    if matches!(kind, LayKind::CrosswiseFold | LayKind::CutAndTurned) && !order.flaws.is_empty() {
        return refused("the cloth has flaws, and where the fold comes is not known beforehand");
    }
    let folds: Vec<Fold> = match kind {
        LayKind::Open => vec![Fold::None],
        LayKind::LengthwiseFold => vec![Fold::Lengthwise],
        LayKind::PartialFold => partial_folds(&cuts, order),
        LayKind::DoubleFold => evened_all(double_folds(&cuts, order), order),
        LayKind::CrosswiseFold => vec![Fold::Crosswise],
        LayKind::CutAndTurned => vec![Fold::CutAndTurned],
    };
    if folds.is_empty() {
        return refused(&format!(
            "nothing that is cut as a pair or on the fold is narrow enough for it on cloth of {}",
            crate::units::both(usable, crate::units::Rounding::Nearest)
        ));
    }
    let mut found = Vec::new();
    for fold in folds {
        for only_on_fold in [false, true] {
            let arrangement = arrangement(kind, fold, order, &cuts, only_on_fold)?;
            if !found.contains(&arrangement) {
                found.push(arrangement);
            }
        }
    }
    let mut why = None;
    let found: Vec<Arrangement> = found
        .into_iter()
        .filter_map(|arrangement| {
            let Err(reason) = sections(&arrangement, order) else { return Some(arrangement) };
            why.get_or_insert(reason);
            // Elsewhere in the repeat, what is matched across the cloth may yet fit between its selvedges.
            arrangement.rephased(order).into_iter().find(|other| sections(other, order).is_ok())
        })
        .collect();
    match why {
        Some(reason) if found.is_empty() => Err(reason),
        _ => Ok(found),
    }
}

/// Everything that can lie double does; or only what lies on the fold.
fn arrangement(
    kind: LayKind,
    fold: Fold,
    order: &Order,
    cuts: &[Looked],
    only_on_fold: bool,
) -> Result<Arrangement, NotPossible> {
    let mut folds = vec![fold];
    let mut homes = Vec::with_capacity(cuts.len());
    for cut in cuts {
        let (second_bias, free) = (false, !only_on_fold || cut.entry.on_fold);
        let home = match cut.entry.lay {
            None => Home { section: 0, folded: free, held: false, second_bias },
            Some(LayKind::Open) => Home { section: 0, folded: false, held: true, second_bias },
            Some(held) if held == kind => Home { section: 0, folded: true, held: true, second_bias },
            Some(held) if kind == LayKind::Open => {
                return Err(cut.refused(&format!("it must lie on a {}, and open cloth has none", held.name())));
            }
            // A cut that must lie on another kind of fold gets a section of its own, where that has no depth to choose.
            Some(held) => {
                let own = match held {
                    LayKind::LengthwiseFold => Fold::Lengthwise,
                    LayKind::CrosswiseFold => Fold::Crosswise,
                    LayKind::CutAndTurned => Fold::CutAndTurned,
                    LayKind::Open | LayKind::PartialFold | LayKind::DoubleFold => {
                        return Err(cut.refused(&format!("it must lie on a {}", held.name())));
                    }
                };
                let section = folds.iter().position(|f| *f == own).unwrap_or_else(|| {
                    folds.push(own);
                    folds.len() - 1
                });
                Home { section, folded: true, held: true, second_bias }
            }
        };
        homes.push(home);
    }
    let phases = Phases::first(fold, order, cuts);
    Ok(Arrangement { kind, folds, homes, phases })
}

impl Arrangement {
    /// The same with one cut laid single instead of double, or the other way about, only where that changes anything; or with
    /// a mirrored cut on the other bias.
    pub fn neighbours(&self, order: &Order) -> Vec<Self> {
        let cuts = looked_up(order);
        let other_bias = cuts.iter().enumerate().filter(|(_, cut)| cut.entry.is_mirrored_bias()).map(|(place, _)| {
            let mut other = self.clone();
            other.homes[place].second_bias = !other.homes[place].second_bias;
            other
        });
        let has_folds = self.kind != LayKind::Open;
        let foldable = |cut: &Looked| has_folds && (cut.entry.on_fold || cut.entry.plies() > 1);
        let folded = cuts
            .iter()
            .enumerate()
            .filter(|(place, cut)| foldable(cut) && self.homes.get(*place).is_some_and(|home| !home.held))
            .map(|(place, _)| {
                let mut other = self.clone();
                other.homes[place].folded = !other.homes[place].folded;
                other
            });
        folded.chain(other_bias).collect()
    }

    /// The same on the folds of others of its kind.
    pub fn refolded(&self, others: &[Self]) -> Vec<Self> {
        let mut found: Vec<Self> = Vec::new();
        for other in others.iter().filter(|other| other.phases == self.phases && other.folds != self.folds) {
            if found.iter().all(|known| known.folds != other.folds) {
                found.push(Self { folds: other.folds.clone(), ..self.clone() });
            }
        }
        found
    }

    /// Whether another of the same kind differs from it in nothing but, perhaps, how deep its folds are.
    pub fn alike_but_for_depth(&self, other: &Self) -> bool {
        self.homes == other.homes && self.phases == other.phases
    }

    /// The same with matched cuts elsewhere in the repeat.
    pub fn rephased(&self, order: &Order) -> Vec<Self> {
        let fold = self.folds.first().copied().unwrap_or(Fold::None);
        let others = self.phases.others(fold, order, &looked_up(order));
        others.into_iter().map(|phases| Self { phases, ..self.clone() }).collect()
    }
}

/// The strips that an arrangement comes to, one per section.
///
/// # Errors
/// Why it cannot be done.
pub fn sections(arrangement: &Arrangement, order: &Order) -> Result<Vec<SectionJob>, NotPossible> {
    let mut strips: Vec<Strip> =
        arrangement.folds.iter().map(|fold| Strip::new(*fold, *order, &arrangement.phases)).collect();
    let mut rest = Strip::new(Fold::None, *order, &arrangement.phases);
    for (mut cut, home) in looked_up(order).into_iter().zip(&arrangement.homes) {
        if home.second_bias {
            cut.direction.bias = Bias::Second;
        }
        let cut = &cut;
        let strip = &mut strips[home.section];
        let left = if home.folded { strip.add_folded(cut) } else { Wanted::of(cut) };
        if left.total() == 0 {
            continue;
        }
        if home.held && home.folded {
            let kind = strip.job.fold.kind().name();
            let reason = format!("it must lie on a {kind}, which cannot give {} of its plies", left.total());
            return Err(strip.too_wide.take().unwrap_or_else(|| cut.refused(&reason)));
        }
        // Beside the double cloth where there is room, else on the open section at the end.
        if strip.add_singles(cut, left).is_err() {
            rest.add_singles(cut, left)?;
        }
    }
    let main = &mut strips[0];
    let nothing_double = main.job.fold != Fold::None && !main.has_double();
    if nothing_double {
        let reason = "nothing is cut as a pair or on the fold".to_owned();
        return Err(main.too_wide.take().unwrap_or(NotPossible { cut: String::new(), reason }));
    }
    let jobs: Vec<SectionJob> =
        strips.into_iter().chain([rest]).map(|strip| strip.job).filter(|job| !job.tickets.is_empty()).collect();
    Ok(jobs)
}

/// How far one selvedge may be worth folding in: as wide as a half, a pair or two of them are.
fn depths(cuts: &[Looked], order: &Order) -> Vec<Mm> {
    let gap = order.cloth.gap;
    let mut single: Vec<Mm> = Vec::new();
    for cut in cuts.iter().filter(|cut| cut.entry.lay != Some(LayKind::Open)) {
        let shape = &cut.piece.shape;
        match cut.piece.fold.filter(|_| cut.entry.on_fold) {
            Some(fold) => {
                let along = cut.both_ways_up().into_iter().filter(|pose| folds_along(fold, *pose));
                single.extend(along.map(|pose| width_of(shape, pose)));
            }
            None if cut.entry.plies() > 1 => {
                single.extend(cut.both_ways_up().into_iter().map(|pose| width_of(shape, pose) + gap / 2.0));
            }
            None => {}
        }
    }
    let single = thinned(single, MOST_DEPTHS);
    let double = single.iter().enumerate().flat_map(|(k, a)| single[k..].iter().map(move |b| a + b + gap)).collect();
    let most = order.cloth.usable_width() / 2.0 - 1.0;
    let fits = |depth: &Mm| (LEAST_DEPTH..=most).contains(depth);
    let double = thinned(Vec::into_iter(double).filter(fits).collect(), MOST_DEPTHS);
    thinned([single, double].concat().into_iter().filter(fits).collect(), 2 * MOST_DEPTHS)
}

/// One selvedge folded in by any of the depths.
fn partial_folds(cuts: &[Looked], order: &Order) -> Vec<Fold> {
    let plain = depths(cuts, order).into_iter().map(|depth| Fold::Partial { depth });
    // As wide as the cloth, folded where the print allows it: what a lengthwise fold is to other cloth.
    let deepest = deepest_even(order, order.cloth.usable_width() / 2.0 - 1.0);
    evened_all(plain.chain(deepest).collect(), order)
}

/// Folds that lie where the print is even, each once; those that would be too deep then are left out.
fn evened_all(folds: Vec<Fold>, order: &Order) -> Vec<Fold> {
    if order.matching.is_none_or(|matching| matching.across.is_none()) {
        return folds;
    }
    let half = order.cloth.usable_width() / 2.0;
    let mut found: Vec<Fold> = Vec::new();
    for fold in folds.into_iter().flat_map(|fold| evened(fold, order)) {
        let fits = match fold {
            Fold::Partial { depth } => (LEAST_DEPTH..=half).contains(&depth),
            Fold::Double { first, second } => first.min(second) >= LEAST_DEPTH && first + second <= half,
            _ => true,
        };
        if fits && !found.contains(&fold) {
            found.push(fold);
        }
    }
    found
}

/// Both selvedges folded in alike, or by two of the depths.
fn double_folds(cuts: &[Looked], order: &Order) -> Vec<Fold> {
    let usable = order.cloth.usable_width();
    let quarter = usable / 4.0;
    let depths = depths(cuts, order);
    let mut folds = vec![Fold::Double { first: quarter, second: quarter }];
    folds.extend(depths.iter().filter(|d| **d < quarter).map(|&d| Fold::Double { first: d, second: d }));
    let mut unlike = Vec::new();
    for (k, &second) in depths.iter().enumerate() {
        for &first in &depths[k + 1..] {
            if first + second <= usable / 2.0 {
                unlike.push(Fold::Double { first, second });
            }
        }
        // The second selvedge folded in as far as the first leaves it.
        let first = usable / 2.0 - second;
        if second < quarter && !depths.contains(&first) {
            unlike.push(Fold::Double { first, second });
        }
    }
    folds.extend(evenly(&unlike, MOST_PAIRS_OF_DEPTHS));
    folds
}

/// In order, without those that are nearly the same, no more than so many, evenly chosen.
fn thinned(mut values: Vec<Mm>, most: usize) -> Vec<Mm> {
    values.sort_by(f64::total_cmp);
    // Of several that are nearly the same the widest is kept: it has room for all.
    let mut kept: Vec<Mm> = Vec::new();
    for value in values {
        match kept.last_mut() {
            Some(last) if value - *last < 0.5 => *last = value,
            _ => kept.push(value),
        }
    }
    evenly(&kept, most)
}

fn evenly<T: Copy>(values: &[T], most: usize) -> Vec<T> {
    let n = values.len();
    if n <= most {
        return values.to_vec();
    }
    (0..most).map(|k| values[k * (n - 1) / (most - 1).max(1)]).collect()
}
