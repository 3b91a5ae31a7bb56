//! Which way a piece may lie: from grain and nap to turns.

use crate::geometry::normal_turn;
use crate::piece::OwnMirror;
use crate::project::Grain;

/// Degrees from one turn to the next of what may lie any way; the nest turns it by what is between.
///
/// With 12 steps of 30 degrees the same work found a longer layout for the interfacing of the demo (26.8 cm, not 26.4).
const STEP: f64 = 90.0;

/// How the plies of one cut may be turned on one cloth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Direction {
    /// How the grain line lies.
    pub(super) grain: Grain,
    /// Degrees off grain allowed.
    pub(super) tilt: f64,
    /// All tops one way.
    pub(super) nap: bool,
    /// Which of the two 45s, for a cut on the bias.
    pub(super) bias: Bias,
    /// Symmetries that make some turns the same.
    pub(super) own_mirror: OwnMirror,
}

/// Which of the two 45s a cut on the bias is held to, seen from the piece. The plies of a mirrored cut are all held to one, so
/// that in each pair the threads run as in a mirror.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bias {
    /// Neither.
    Both,
    /// The first: 45 degrees, or that upside down.
    First,
    /// The second: 135 degrees, or that upside down.
    Second,
}

impl Direction {
    /// The turns a ply may have, in degrees; those of a mirrored ply run the other way round, so that in the piece's own
    /// eyes the cloth's nap runs alike in both.
    pub(super) fn turns(self, mirrored: bool) -> Vec<f64> {
        let tilts: &[f64] = if self.tilt > 0.0 { &[0.0, 1.0, -1.0] } else { &[0.0] };
        let mut turns = Vec::new();
        for &turn in self.base() {
            for &share in tilts {
                let turn = turn + share * self.tilt;
                let turn = normal_turn(if mirrored { -turn } else { turn });
                if !turns.contains(&turn) && !self.is_same_as_another(turn, &turns) {
                    turns.push(turn);
                }
            }
        }
        turns
    }

    /// The turns of a ply that is not mirrored, without tilt.
    fn base(self) -> &'static [f64] {
        match (self.grain, self.nap) {
            (Grain::Lengthwise, false) => &[0.0, 180.0],
            (Grain::Lengthwise | Grain::Any, true) => &[0.0],
            (Grain::Crosswise, false) => &[90.0, 270.0],
            (Grain::Crosswise, true) => &[90.0],
            (Grain::Bias, nap) => match (self.bias, nap) {
                (Bias::Both, false) => &[45.0, 135.0, 225.0, 315.0],
                (Bias::Both, true) => &[45.0, 315.0],
                (Bias::First, false) => &[45.0, 225.0],
                (Bias::First, true) => &[45.0],
                (Bias::Second, false) => &[135.0, 315.0],
                (Bias::Second, true) => &[315.0],
            },
            (Grain::Any, false) => &[0.0, STEP, 2.0 * STEP, 3.0 * STEP],
        }
    }

    /// Degrees that a ply may be turned beyond one of its turns, either way.
    pub(super) fn leeway(self, turn: f64, mirrored: bool) -> (f64, f64) {
        if self.grain == Grain::Any && !self.nap {
            return (-STEP / 2.0, STEP / 2.0);
        }
        if self.tilt == 0.0 {
            return (0.0, 0.0);
        }
        // Turns off the grain are those nearest to a turn on it: all of them are at least 90 degrees apart.
        let upright = if mirrored { -turn } else { turn };
        let off = self
            .base()
            .iter()
            .map(|&base| (upright - base + 180.0).rem_euclid(360.0) - 180.0)
            .min_by(|a, b| a.abs().total_cmp(&b.abs()))
            .unwrap_or(0.0)
            .clamp(-self.tilt, self.tilt);
        let (least, most) = (-self.tilt - off, self.tilt - off);
        if mirrored { (-most, -least) } else { (least, most) }
    }

    /// A shape that is its own mirror image both ways looks the same turned upside down.
    fn is_same_as_another(self, turn: f64, turns: &[f64]) -> bool {
        self.own_mirror.along_grain && self.own_mirror.across_grain && turns.contains(&normal_turn(turn + 180.0))
    }

    /// The turn that makes an unmirrored ply look like a mirrored one at `turn`, or the other way about; none where the
    /// piece is not its own mirror image, or not in a way that the cloth allows.
    pub(super) fn unmirrored_turn(self, turn: f64) -> Option<f64> {
        // Across cloth with nap a mirrored ply lies the other way round than an unmirrored one: reflecting it about its
        // grain turns its nap round, reflecting it across its grain does not. Along such cloth it is the reverse.
        let nap_runs_across = self.nap && self.grain == Grain::Crosswise;
        if self.own_mirror.along_grain && !nap_runs_across {
            Some(turn)
        } else if self.own_mirror.across_grain && (!self.nap || nap_runs_across) {
            Some(normal_turn(turn + 180.0))
        } else {
            None
        }
    }
}
