//! Labels that have no room in their pieces: set outside, each with a line to its piece, or numbered and listed.

use super::canvas::{BLACK, Canvas, Words, at, closed};
use super::list::LabelPlace;
use super::map::{Joined, Map};
use super::pieces::{Pending, blank, blocks, grain_arrow, set_block};
use super::room::Block;
use super::text::SMALLEST;

/// A placement that is described in a list: its index on the table, and its number on the drawing, if even that had room.
pub(super) type Listed = (usize, Option<usize>);

/// Room for a grain arrow beside a label, in mm.
const ARROW: f64 = 6.0;

/// A label with its place.
struct Choice {
    block: Block,
    place: Joined,
    is_number: bool,
}

/// Places the labels; gives the placements that are to be listed. Their numbers begin at `first`.
pub(super) fn place(canvas: &mut Canvas, map: &mut Map, pending: &[Pending], first: usize) -> Vec<Listed> {
    let mut best: Option<(f64, Map, Vec<Option<Choice>>)> = None;
    let mut tries = orders(pending);
    let mut again = if pending.len() > 60 { 0 } else { 6 };
    while let Some(order) = tries.pop() {
        let mut trial = map.clone();
        let (cost, choices) = choose(&mut trial, pending, &order, first);
        // Those that found no room get the first choice next time.
        let is_unnamed = |&i: &usize| choices[i].as_ref().is_none_or(|c| c.is_number);
        if again > 0 && tries.is_empty() && order.iter().any(is_unnamed) {
            again -= 1;
            let (mut next, named): (Vec<usize>, Vec<usize>) = order.iter().copied().partition(is_unnamed);
            next.extend(named);
            tries.push(next);
        }
        if best.as_ref().is_none_or(|b| cost < b.0) {
            best = Some((cost, trial, choices));
        }
        // Many labels take long to place: a first try is then good enough.
        let all_named = best.as_ref().is_some_and(|b| b.0 < UNNAMED);
        if pending.len() > 60 || (pending.len() > 16 && all_named) {
            break;
        }
        if all_named && again < 6 {
            break;
        }
    }
    let Some((_, chosen, choices)) = best else {
        return Vec::new();
    };
    *map = chosen;
    let mut listed = Vec::new();
    for (item, choice) in pending.iter().zip(choices) {
        let number = first + listed.len();
        if let Some(choice) = choice {
            if choice.is_number {
                listed.push((item.owner as usize - 1, Some(number)));
            }
            draw(canvas, item, choice, number);
        } else {
            listed.push((item.owner as usize - 1, None));
            canvas.placements[item.placed].label = LabelPlace::Listed;
        }
    }
    listed
}

/// Cost in mm of a label that is only a number.
const UNNAMED: f64 = 10_000.0;

fn orders(pending: &[Pending]) -> Vec<Vec<usize>> {
    let given: Vec<usize> = (0..pending.len()).collect();
    let by = |key: &dyn Fn(&Pending) -> f64| {
        let mut order = given.clone();
        order.sort_by(|&a, &b| key(&pending[a]).total_cmp(&key(&pending[b])));
        order
    };
    vec![by(&|p| p.target.x), by(&|p| p.target.y), by(&|p| -p.target.x), given.clone()]
}

fn choose(map: &mut Map, pending: &[Pending], order: &[usize], first: usize) -> (f64, Vec<Option<Choice>>) {
    let mut choices: Vec<Option<Choice>> = pending.iter().map(|_| None).collect();
    let mut cost = 0.0;
    for &i in order {
        let choice = named(map, &pending[i]).or_else(|| {
            // The number itself is known only when all are placed; room is kept for the longest.
            let widest = (first + pending.len()).to_string().replace(|_| true, "0");
            numbered(map, &pending[i], &widest)
        });
        cost += match &choice {
            Some(c) => {
                let length = libm::hypot(c.place.line[1].x - c.place.line[0].x, c.place.line[1].y - c.place.line[0].y);
                length + if c.is_number { UNNAMED } else { 0.0 }
            }
            None => 4.0 * UNNAMED,
        };
        choices[i] = choice;
    }
    (cost, choices)
}

fn named(map: &mut Map, item: &Pending) -> Option<Choice> {
    let blocks = blocks(&item.words, SMALLEST);
    let arrow = if item.grain.is_some() { ARROW } else { 0.0 };
    let mut best: Option<(f64, Choice)> = None;
    // Two lines are read best, then three, then narrower: a harder one must be nearer by so much.
    for (i, harder) in [(1, 0.0), (0, 2.0), (2, 5.0), (4, 9.0)] {
        let Some(block) = blocks.get(i) else {
            continue;
        };
        let harder = harder + if block.is_cut_off() { 25.0 } else { 0.0 };
        let (width, height) = (block.width() + arrow + 1.0, block.height().max(arrow) + 0.6);
        if let Some((cost, place)) = map.outside(width, height, item.target, item.owner)
            && best.as_ref().is_none_or(|b| cost + harder < b.0)
        {
            best = Some((cost + harder, Choice { block: block.clone(), place, is_number: false }));
        }
    }
    let (_, choice) = best?;
    map.take(choice.place);
    Some(choice)
}

fn numbered(map: &mut Map, item: &Pending, widest: &str) -> Option<Choice> {
    let block = Block { lines: vec![Words::bold(widest, SMALLEST)] };
    let (_, place) = map.outside(block.width() + 0.8, block.height() + 0.4, item.target, item.owner)?;
    map.take(place);
    Some(Choice { block, place, is_number: true })
}

fn draw(canvas: &mut Canvas, item: &Pending, choice: Choice, number: usize) {
    let Choice { mut block, place: Joined { frame, line }, is_number } = choice;
    blank(canvas, &frame);
    canvas.lines(vec![closed(frame.corners().to_vec())], 0.12, BLACK, None);
    canvas.line(line[0], line[1], 0.18);
    canvas.dot(line[1], 0.45);
    let mut centre = frame.centre;
    if is_number {
        block.lines[0].content = number.to_string();
    } else if let Some(grain) = item.grain {
        centre.x += ARROW / 2.0;
        let middle = at(frame.centre.x - frame.half_width + ARROW / 2.0 + 0.2, frame.centre.y);
        let (sine, cosine) = crate::geometry::sine_cosine(grain);
        let half = at(cosine, sine) * 2.3;
        grain_arrow(canvas, [middle - half, middle + half], grain, false);
    }
    set_block(canvas, &block, block.frame(centre, 0.0), &item.words.name, false);
    canvas.placements[item.placed].label = LabelPlace::Leader { frame, line };
}

/// Writes the list on the sheet itself, where it has room.
pub(super) fn list_here(canvas: &mut Canvas, map: &mut Map, entries: &[String]) -> bool {
    if entries.is_empty() {
        return true;
    }
    let heading = Words::bold("Pieces with a number:", 6.5);
    let lines = std::iter::once(heading).chain(entries.iter().map(|e| Words::new(e.as_str(), 6.5))).collect();
    let block = Block { lines };
    let corner = at(canvas.left(), canvas.bottom());
    let Some(frame) = map.anywhere(block.width() + 1.0, block.height() + 0.6, corner) else {
        return false;
    };
    let mut top = frame.centre.y - block.height() / 2.0;
    for words in &block.lines {
        canvas.text_at(words, frame.centre.x - block.width() / 2.0, top, block.width() + 0.01);
        top += words.height();
    }
    true
}
