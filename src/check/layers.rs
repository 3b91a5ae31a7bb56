//! Whether the layers of a folded section are cut alike: what is cut through two layers gives two plies, one under the other.

use super::PLACE_TOLERANCE;
use super::cloth::Read;
use super::shapes::same_corners;
use crate::geometry::Point;
use crate::layout::Section;

/// How two layers of a section lie on each other.
#[derive(Clone, Copy)]
enum Over {
    /// Folded over a line along the cloth at this y; double from `low` to `high`.
    Along { line: f64, low: f64, high: f64 },
    /// Folded over a line across the cloth at this x.
    Across { line: f64 },
    /// Cut across, the far half turned round: moved back by this much, and across by the cloth's width.
    Turned { cut: f64, by: f64, width: f64 },
}

impl Over {
    /// The outline on the other layer that comes to lie on this ply's.
    fn other(self, read: &Read) -> Vec<Point> {
        // Of cloth that is cut, a ply lies wholly before the cut or wholly behind it.
        let behind = |cut: f64| f64::midpoint(read.bounds.min.x, read.bounds.max.x) >= cut;
        let other = |p: &Point| match self {
            Self::Along { line, .. } => Point { x: p.x, y: 2.0 * line - p.y },
            Self::Across { line } => Point { x: 2.0 * line - p.x, y: p.y },
            Self::Turned { cut, by, width } => {
                Point { x: if behind(cut) { p.x - by } else { p.x + by }, y: width - p.y }
            }
        };
        read.shape.outline.iter().map(other).collect()
    }

    /// Whether a ply lies on both sides of the fold, as one that is cut on it does.
    fn crosses(self, read: &Read) -> bool {
        let (min, max) = (read.bounds.min, read.bounds.max);
        match self {
            Self::Along { line, .. } => min.y < line && line < max.y,
            Self::Across { line } => min.x < line && line < max.x,
            Self::Turned { .. } => false,
        }
    }

    /// Whether a ply touches the double cloth.
    fn touches(self, read: &Read) -> bool {
        match self {
            Self::Along { low, high, .. } => {
                read.bounds.max.y > low + PLACE_TOLERANCE && read.bounds.min.y < high - PLACE_TOLERANCE
            }
            Self::Across { .. } | Self::Turned { .. } => true,
        }
    }
}

/// Both layers of double cloth are cut at once: each ply lies across the fold, or has one like it on the other layer. A ply on
/// single cloth stays clear of the double.
pub(super) fn check(index: usize, section: &Section, width: f64, plies: &[Read], faults: &mut Vec<String>) {
    let overs: Vec<Over> = match (section.fold.as_str(), &section.fold_lines[..]) {
        ("lengthwise", &[line]) => vec![Over::Along { line, low: 0.0, high: width }],
        ("partial", &[line]) => vec![Over::Along { line, low: 0.0, high: 2.0 * line }],
        ("double", &[first, second]) => vec![
            Over::Along { line: first, low: 0.0, high: 2.0 * first },
            Over::Along { line: second, low: 2.0 * second - width, high: width },
        ],
        ("crosswise", &[line]) => vec![Over::Across { line }],
        ("cut and turned", &[cut]) => vec![Over::Turned { cut, by: cut - section.from, width }],
        _ => Vec::new(),
    };
    for over in overs {
        let here = plies.iter().filter(|read| read.ply.section == index && over.touches(read));
        check_double(over, &here.collect::<Vec<_>>(), faults);
    }
}

fn check_double(over: Over, here: &[&Read], faults: &mut Vec<String>) {
    for read in here {
        let under = over.other(read);
        let partner = here.iter().find(|found| same_corners(&under, &found.shape.outline));
        let itself = partner.is_some_and(|found| std::ptr::eq(*found, *read));
        let fits = match partner {
            Some(_) if itself => over.crosses(read),
            Some(found) => found.ply.piece == read.ply.piece,
            None => false,
        };
        if !fits {
            faults.push(format!("{} has nothing under it on the other layer of the fold", read.name()));
        }
    }
}
