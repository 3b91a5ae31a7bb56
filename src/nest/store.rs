//! What was worked out for shapes once and may be wanted again: outlines made ready and no-fit polygons.

use super::Failure;
use super::model::Outline;
use super::nofit::NoFit;
use crate::geometry::Shape;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Keeps outlines and no-fit polygons, so that several problems with the same shapes work them out once.
///
/// It changes how long [`solve`](super::solve) takes, never what comes out.
#[derive(Debug, Default)]
pub struct Store(Mutex<Kept>);

#[derive(Debug, Default)]
struct Kept {
    outlines: Vec<(Shape, f64, Arc<Outline>)>,
    nofits: BTreeMap<PairKey, Arc<NoFit>>,
}

/// Two outlines of the store, in the order that the problem has them in, and the pose of the second as the first sees it.
pub(super) type PairKey = (usize, usize, bool, i64);

impl Store {
    /// An empty store.
    pub fn new() -> Self {
        Self::default()
    }

    /// The number and the outline of a shape under a gap, made ready now if it is new.
    pub(super) fn outline(
        &self,
        shape: &Shape,
        gap: f64,
        make: impl FnOnce() -> Result<Outline, Failure>,
    ) -> Result<(usize, Arc<Outline>), Failure> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = kept.outlines.iter().position(|(s, g, _)| *g == gap && s == shape) {
            return Ok((known, Arc::clone(&kept.outlines[known].2)));
        }
        let outline = Arc::new(make()?);
        kept.outlines.push((shape.clone(), gap, Arc::clone(&outline)));
        Ok((kept.outlines.len() - 1, outline))
    }

    /// A no-fit polygon that was kept.
    pub(super) fn nofit(&self, key: &PairKey) -> Option<Arc<NoFit>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).nofits.get(key).cloned()
    }

    /// Keeps no-fit polygons.
    pub(super) fn keep(&self, made: impl IntoIterator<Item = (PairKey, Arc<NoFit>)>) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).nofits.extend(made);
    }
}
