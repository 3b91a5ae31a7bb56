//! A length in hand as it lies on the table.

use crate::geometry::{Bounds, Point, Shape, free_end, free_rectangle};
use crate::layout::{InHand, PlanFlaw, Ply, Remains, plan_points, rounded};
use crate::project::{Cloth, Flaw};
use crate::units::Mm;

/// A length in hand, shrunk and with its ends straightened.
#[derive(Debug, Clone)]
pub(in crate::plan) struct Strip {
    /// Counted from 1, in the order of the project.
    pub(in crate::plan) number: usize,
    name: Option<String>,
    /// The cloth, as wide as this length is.
    pub(in crate::plan) cloth: Cloth,
    /// How long it is on the table.
    pub(in crate::plan) length: Mm,
    flaws: Vec<Flaw>,
    /// The flaws' shapes.
    pub(in crate::plan) shapes: Vec<Shape>,
}

/// The lengths in hand of a cloth, in the order of the project.
pub(in crate::plan) fn strips(cloth: &Cloth) -> Vec<Strip> {
    let strip = |(index, have): (usize, &crate::project::HaveLength)| {
        let own = cloth.as_in_hand(have);
        let flaws: Vec<Flaw> = have.flaws.iter().filter_map(|flaw| own.flaw_on_table(flaw, have.length)).collect();
        Strip {
            number: index + 1,
            name: have.name.clone(),
            length: own.on_table(have.length),
            shapes: flaws.iter().map(|flaw| flaw.shape.clone()).collect(),
            flaws,
            cloth: own,
        }
    };
    cloth.have.iter().enumerate().map(strip).collect()
}

impl Strip {
    /// What there is to cut from, flaws and all, in square mm.
    pub(super) fn area(&self) -> f64 {
        self.length * self.cloth.usable_width()
    }

    /// It in the plan's words, with what `plies` leave of it.
    pub(in crate::plan) fn in_hand(&self, plies: &[Ply]) -> InHand {
        let flaw = |flaw: &Flaw| PlanFlaw { name: flaw.name.clone(), outline: plan_points(&flaw.shape.outline) };
        InHand {
            number: self.number,
            name: self.name.clone(),
            length: rounded(self.length),
            flaws: self.flaws.iter().map(flaw).collect(),
            remains: self.remains(plies),
        }
    }

    fn remains(&self, plies: &[Ply]) -> Remains {
        let room = Bounds {
            min: Point::default(),
            max: Point { x: rounded(self.length), y: rounded(self.cloth.usable_width()) },
        };
        let outline = |ply: &Ply| ply.outline.iter().map(|&[x, y]| Point { x, y }).collect();
        let plies = plies.iter().map(|ply| Shape { outline: outline(ply), holes: Vec::new() });
        let taken: Vec<Shape> = self.shapes.iter().cloned().chain(plies).collect();
        Remains {
            rectangle: free_rectangle(&room, &taken).and_then(|r| plan_points(&[r.min, r.max]).try_into().ok()),
            full_width_end: rounded(free_end(&room, &taken)),
        }
    }
}
