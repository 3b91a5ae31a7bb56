//! Rigid motions: a piece is mirrored or not, turned, then moved.

use super::Point;

/// How a shape lies, wherever it is moved to: reflected (y -> -y) when `mirrored`, then turned counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Reflected before it is turned.
    pub mirrored: bool,
    /// Degrees counter-clockwise, 0 <= turn < 360.
    pub turn: f64,
}

/// A pose and a move, ready to be applied to many points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    sine: f64,
    cosine: f64,
    flip: f64,
    shift: Point,
}

impl Pose {
    /// As printed: not mirrored, not turned.
    pub const AS_PRINTED: Self = Self {
        mirrored: false,
        turn: 0.0,
    };

    /// The motion that puts a shape in this pose and then moves it by `shift`.
    pub fn motion(self, shift: Point) -> Motion {
        let (sine, cosine) = sine_cosine(self.turn);
        Motion {
            sine,
            cosine,
            flip: if self.mirrored { -1.0 } else { 1.0 },
            shift,
        }
    }

    /// The pose of the same shape seen in a mirror that lies along the x axis: a copy reflected across a lengthwise fold.
    #[must_use]
    pub fn across_lengthwise_fold(self) -> Self {
        Self {
            mirrored: !self.mirrored,
            turn: normal_turn(-self.turn),
        }
    }
}

impl Motion {
    /// Where the motion takes a point.
    pub fn apply(&self, p: Point) -> Point {
        let y = p.y * self.flip;
        Point {
            x: p.x * self.cosine - y * self.sine + self.shift.x,
            y: p.x * self.sine + y * self.cosine + self.shift.y,
        }
    }
}

/// An angle in degrees brought to 0 <= angle < 360.
pub fn normal_turn(degrees: f64) -> f64 {
    let turn = degrees.rem_euclid(360.0);
    if turn >= 360.0 { 0.0 } else { turn + 0.0 }
}

/// Sine and cosine of an angle in degrees; exact at the quarter turns, which nearly every placement uses.
pub fn sine_cosine(degrees: f64) -> (f64, f64) {
    let turn = normal_turn(degrees);
    if turn == 0.0 {
        (0.0, 1.0)
    } else if turn == 90.0 {
        (1.0, 0.0)
    } else if turn == 180.0 {
        (0.0, -1.0)
    } else if turn == 270.0 {
        (-1.0, 0.0)
    } else {
        libm::sincos(turn.to_radians())
    }
}
