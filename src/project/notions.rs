//! What a garment needs besides cloth: buttons and where they go, thread, zips.

use indexmap::IndexMap;

use super::drafts::Pieces;
use super::findings::{Path, shortened};
use super::read::{List, Named, Read, Reader, record};
use super::resolve::{Resolver, all};
use super::resolved::{Notion, Spacing};
use super::tree::Node;
use super::values::{Count, Extent, Length, MOST_PLIES, Price, Stretch, Text};
use crate::piece::seam_length;
use crate::units::{Mm, Rounding, Unit, both, parse_length};

record! {
    /// Something to buy that is not cloth: buttons, thread, a zip.
    NotionFile {
        /// What it is, such as "horn button, 18 mm". Left out: its key.
        optional name: Text,
        /// How many are needed, 1 to 1000. Left out: as many as are `spaced`, else 1.
        optional count: Count,
        /// How many more to buy in case, 1 to 1000. Left out: none.
        optional spare: Count,
        /// The length of each, as of a zip. Left out: none is told.
        optional length: Extent,
        /// The diameter of a button, by which its buttonhole is cut. Left out: none is told.
        optional diameter: Extent,
        /// The price of one, as a plain number. Left out: no cost is shown.
        optional price: Price,
        /// Where they go along an opening. Left out: that is not worked out.
        optional spaced: SpacedFile,
    }
}

record! {
    /// Buttons along an opening: one is fixed, the rest stand at equal gaps up and down.
    SpacedFile {
        /// The opening from its upper end to its lower one: edges as "piece.edge", walked along their stitching lines, and lengths.
        required along: List<Stretch, 1, 100>,
        /// The button that must be exact: its distance from the upper end, or the "piece.edge" of `along` in whose middle it sits.
        required fixed: Stretch,
        /// The distance from the upper end to the first button, which is exact too.
        required first: Length,
        /// The least distance from the last button to the lower end. Left out: 0.
        optional last: Length,
        /// The widest gap that there may be from one button to the next.
        required widest_gap: Extent,
    }
}

/// What is asked of buttons along an opening; distances are from its upper end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpacingAsked {
    /// The opening's length.
    pub opening: Mm,
    /// The button that must be exact.
    pub fixed: Mm,
    /// The first button.
    pub first: Mm,
    /// The least distance from the last button to the lower end.
    pub last: Mm,
    /// The widest gap allowed.
    pub widest_gap: Mm,
}

/// Gaps that are this much too wide are the arithmetic's own dust, in gaps.
const DUST: f64 = 1e-9;

/// Spaces buttons: the first and the fixed one are exact, with as few equal gaps between them as are no wider than allowed;
/// below the fixed one they go on at the same gap as far as there is room. None where the fixed button lies outside what is left
/// of the opening, or where there would be more than a thousand.
pub fn spaced(asked: &SpacingAsked) -> Option<Spacing> {
    let above = asked.fixed - asked.first;
    let below = asked.opening - asked.last - asked.fixed;
    if above < -DUST || below < -DUST || asked.widest_gap <= 0.0 {
        return None;
    }
    let up = (above / asked.widest_gap - DUST).ceil().max(0.0);
    let gap = if up > 0.0 { above / up } else { asked.widest_gap };
    let down = (below / gap + DUST).floor();
    if up + down >= MOST_PLIES as f64 {
        return None;
    }
    let (up, down) = (up as usize, down as usize);
    let place = |number: usize| asked.fixed + (number as f64 - up as f64) * gap;
    Some(Spacing { opening: asked.opening, gap, fixed: up, places: (0..=up + down).map(place).collect() })
}

impl Resolver<'_, '_> {
    /// The notions looked up, or none where something was wrong.
    pub(super) fn notions(
        &mut self,
        file: Option<Named<NotionFile>>,
        pieces: &Pieces,
        unit: Unit,
    ) -> Option<IndexMap<String, Notion>> {
        let Some(Named(notions)) = file else { return Some(IndexMap::new()) };
        let root = Path::ROOT.key("notions");
        let resolve = |(key, file): (String, Option<NotionFile>)| {
            let notion = file.and_then(|file| self.notion(&root.key(&key), &key, file, (pieces, unit)));
            (key, notion)
        };
        let resolved: IndexMap<String, Option<Notion>> = notions.into_iter().map(resolve).collect();
        all(resolved)
    }

    fn notion(&mut self, path: &Path, key: &str, file: NotionFile, known: (&Pieces, Unit)) -> Option<Notion> {
        let spacing = match file.spaced {
            Some(spaced) => Some(self.spacing(&path.key("spaced"), spaced, known)?),
            None => None,
        };
        let spaced = spacing.as_ref().map(|spacing| spacing.places.len());
        let count = file.count.map(|Count(count)| count);
        if let (Some(count), Some(spaced)) = (count, spaced)
            && count != spaced
        {
            let cause = format!("{count} are asked for, but the spacing gives {spaced}.");
            self.report(
                &path.key("count"),
                cause,
                "leave \"count\" out, or change \"widest_gap\"; more in case are \"spare\".",
            );
            return None;
        }
        Some(Notion {
            name: file.name.map_or_else(|| key.to_owned(), |Text(name)| name),
            count: spaced.or(count).unwrap_or(1),
            spare: file.spare.map_or(0, |Count(count)| count),
            length: file.length.map(|Extent(mm)| mm),
            diameter: file.diameter.map(|Extent(mm)| mm),
            price: file.price.map(|Price(price)| price),
            spacing,
        })
    }

    fn spacing(&mut self, path: &Path, file: SpacedFile, known: (&Pieces, Unit)) -> Option<Spacing> {
        let stretches = file.along?.whole()?;
        let list = path.key("along");
        let lengths: Vec<Option<Mm>> = stretches
            .iter()
            .enumerate()
            .map(|(number, stretch)| self.stretch(&list.item(number), stretch, known))
            .collect();
        let lengths: Vec<Mm> = lengths.into_iter().collect::<Option<_>>()?;
        let fixed = self.fixed(&path.key("fixed"), &file.fixed?, (&stretches, &lengths), known.1)?;
        let asked = SpacingAsked {
            opening: lengths.iter().sum(),
            fixed,
            first: file.first.map(|Length(mm)| mm)?,
            last: file.last.map_or(0.0, |Length(mm)| mm),
            widest_gap: file.widest_gap.map(|Extent(mm)| mm)?,
        };
        let spacing = spaced(&asked);
        if spacing.is_none() {
            let cause = format!(
                "A button {} from the upper end of an opening of {} does not go with the first at {} and the last {} from the lower end.",
                both(asked.fixed, Rounding::Nearest),
                both(asked.opening, Rounding::Nearest),
                both(asked.first, Rounding::Nearest),
                both(asked.last, Rounding::Nearest)
            );
            self.report(
                path,
                cause,
                "check \"fixed\", \"first\", \"last\" and \"widest_gap\"; a thousand buttons are the most.",
            );
        }
        spacing
    }

    /// The distance of the fixed button from the upper end.
    fn fixed(&mut self, path: &Path, fixed: &Stretch, along: (&[Stretch], &[Mm]), unit: Unit) -> Option<Mm> {
        let text = match fixed {
            Stretch::Length(mm) => return Some(*mm),
            Stretch::Text(text) => text,
        };
        let (stretches, lengths) = along;
        let place = stretches.iter().position(|stretch| matches!(stretch, Stretch::Text(other) if other == text));
        if let Some(place) = place {
            return Some(lengths[..place].iter().sum::<Mm>() + lengths[place] / 2.0);
        }
        let length = parse_length(text, unit).ok();
        if length.is_none() {
            let cause = format!("\"{}\" is neither a length nor one of the stretches of \"along\".", shortened(text));
            self.report(path, cause, "write the \"piece.edge\" as it stands there, or a distance such as \"38 cm\".");
        }
        length
    }

    /// The length of an edge along its stitching line, or a length as such.
    fn stretch(&mut self, path: &Path, stretch: &Stretch, (pieces, unit): (&Pieces, Unit)) -> Option<Mm> {
        let text = match stretch {
            Stretch::Length(mm) => return Some(*mm),
            Stretch::Text(text) => text,
        };
        // "2.5 cm" has a dot too: what is before it decides.
        let edge = text.split_once('.').and_then(|(piece, edge)| Some((pieces.get(piece)?, edge)));
        let Some((piece, edge)) = edge else {
            let length = parse_length(text, unit).ok();
            if length.is_none() {
                let cause = format!("\"{}\" is neither an edge of a piece nor a length.", shortened(text));
                self.report(
                    path,
                    cause,
                    "write \"piece.edge\", such as \"bodice-front.front\", or a length such as \"62 cm\".",
                );
            }
            return length;
        };
        let piece = piece.as_ref()?;
        let length = seam_length(piece, edge).map(|length| length.sewn());
        if length.is_none() {
            let known: Vec<String> = piece.edges.keys().map(|name| shortened(name)).collect();
            let cause = format!("The piece \"{}\" has no edge named \"{}\".", shortened(&piece.name), shortened(edge));
            self.report(path, cause, format!("its edges are {}.", known.join(", ")));
        }
        length
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(opening: Mm, fixed: Mm, first: Mm, last: Mm, widest_gap: Mm) -> Option<Spacing> {
        spaced(&SpacingAsked { opening, fixed, first, last, widest_gap })
    }

    #[test]
    fn the_first_and_the_fixed_one_are_exact_and_all_gaps_equal() {
        // Arithmetic: from 15 to 375 are 360 mm, 4 gaps of 90 (3 would be 120); below there are 1000 - 80 - 375 = 545 mm, 6 gaps.
        let spacing = asked(1000.0, 375.0, 15.0, 80.0, 100.0).expect("room");
        assert_eq!((spacing.gap, spacing.fixed, spacing.places.len()), (90.0, 4, 11));
        assert_eq!((spacing.places[0], spacing.places[4], spacing.places[10]), (15.0, 375.0, 915.0));
        assert!(spacing.places.windows(2).all(|pair| (pair[1] - pair[0] - 90.0).abs() < 1e-9));
    }

    #[test]
    fn a_whole_number_of_gaps_needs_no_gap_more() {
        let spacing = asked(400.0, 300.0, 0.0, 0.0, 100.0).expect("room");
        assert_eq!((spacing.gap, spacing.fixed, spacing.places.len()), (100.0, 3, 5));
        // In inches: 3 in apart, which no double holds exactly in mm.
        let inch = |count: f64| count * 25.4;
        let spacing = asked(inch(30.0), inch(15.0), inch(0.0), inch(0.0), inch(3.0)).expect("room");
        assert_eq!(spacing.places.len(), 11);
    }

    #[test]
    fn the_fixed_one_may_be_the_first() {
        let spacing = asked(500.0, 20.0, 20.0, 30.0, 90.0).expect("room");
        assert_eq!((spacing.fixed, spacing.places), (0, vec![20.0, 110.0, 200.0, 290.0, 380.0, 470.0]));
    }

    #[test]
    fn what_does_not_fit_the_opening_is_refused() {
        assert_eq!(asked(500.0, 10.0, 20.0, 0.0, 90.0), None);
        assert_eq!(asked(500.0, 480.0, 20.0, 30.0, 90.0), None);
        assert_eq!(asked(5000.0, 2500.0, 0.0, 0.0, 1.0), None);
    }
}
