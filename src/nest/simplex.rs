//! A small linear programme solver: few variables, many rows with few entries each.

/// Most entries of a row: three variables of each of two items, and the slack.
const MOST: usize = 7;

/// One row: the sum of `value * variable` over `terms` is at least `least`.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) terms: [(usize, f64); MOST],
    pub(super) used: usize,
    pub(super) least: f64,
}

impl Row {
    pub(super) fn new(terms: &[(usize, f64)], least: f64) -> Self {
        let mut row = Self { terms: [(0, 0.0); MOST], used: 0, least };
        for &(variable, value) in terms {
            row.add(variable, value);
        }
        row
    }

    /// Adds an entry, of which there are no more than two items have.
    pub(super) fn add(&mut self, variable: usize, value: f64) {
        self.terms[self.used] = (variable, value);
        self.used += 1;
    }

    fn times(&self, values: &[f64]) -> f64 {
        self.terms[..self.used].iter().map(|&(v, a)| a * values[v]).sum()
    }
}

/// Minimises `cost * z` over the rows, from a `z` that meets them all; gives the work done, counted as if every step visited
/// every row.
///
/// The simplex method on the rows themselves (an active set with as many rows as variables, its inverse kept dense): right
/// where there are far more rows than variables. At first the active set holds every variable where it is; such a hold may be
/// let go in either direction and never returns. While most are held a step moves few, so rows' rates are summed by variable.
/// Every step keeps all rows met, so stopping early is safe.
pub(super) fn minimise(cost: &[f64], rows: &[Row], z: &mut [f64], max_steps: usize) -> u64 {
    let n = cost.len();
    // Row v: how variable v moves when the slack of each active row grows by 1.
    let mut inverse = vec![0.0; n * n];
    for v in 0..n {
        inverse[v * n + v] = 1.0;
    }
    let mut gain = cost.to_vec();
    let mut active: Vec<Option<usize>> = vec![None; n];
    let columns = Columns::of(rows, n);
    // Rows are eased by a hair, each by another, so that no two block at the same step and the method cannot go round in circles.
    let mut slack: Vec<f64> =
        rows.iter().enumerate().map(|(r, row)| (row.times(z) - row.least).max(0.0) + ease(r)).collect();
    let mut direction = vec![0.0; n];
    let mut alpha = vec![0.0; n];
    let mut rates = vec![0.0; rows.len()];
    let mut work = 0;
    for _ in 0..max_steps {
        let Some((leaving, sign)) = best_to_leave(&gain, &active) else {
            break;
        };
        for v in 0..n {
            direction[v] = sign * inverse[v * n + leaving];
        }
        columns.times(&direction, &mut rates);
        for &row in active.iter().flatten() {
            rates[row] = 0.0;
        }
        let Some((step, blocking)) = first_block(&slack, &rates) else {
            break;
        };
        work += rows.len() as u64 + (n * n) as u64 / 8;
        for (value, d) in z.iter_mut().zip(&direction) {
            *value += step * d;
        }
        for (s, rate) in slack.iter_mut().zip(&rates) {
            *s = (*s + step * rate).max(0.0);
        }
        slack[blocking] = 0.0;
        alpha.fill(0.0);
        let row = &rows[blocking];
        for &(v, a) in &row.terms[..row.used] {
            for (sum, d) in alpha.iter_mut().zip(&inverse[v * n..(v + 1) * n]) {
                *sum += a * d;
            }
        }
        let pivot = alpha[leaving];
        for line in inverse.chunks_exact_mut(n) {
            replace(line, leaving, &alpha, pivot);
        }
        replace(&mut gain, leaving, &alpha, pivot);
        if let Some(old) = active[leaving].replace(blocking) {
            slack[old] = step;
        }
    }
    work
}

/// The entries of all rows, by variable.
struct Columns {
    /// Where the entries of each variable begin, and where the last end.
    begins: Vec<usize>,
    /// Row and value.
    entries: Vec<(u32, f64)>,
}

impl Columns {
    fn of(rows: &[Row], variables: usize) -> Self {
        let mut begins = vec![0; variables + 1];
        for row in rows {
            for &(variable, _) in &row.terms[..row.used] {
                begins[variable + 1] += 1;
            }
        }
        for variable in 0..variables {
            begins[variable + 1] += begins[variable];
        }
        let mut next = begins.clone();
        let mut entries = vec![(0, 0.0); begins[variables]];
        for (r, row) in rows.iter().enumerate() {
            for &(variable, value) in &row.terms[..row.used] {
                entries[next[variable]] = (r as u32, value);
                next[variable] += 1;
            }
        }
        Self { begins, entries }
    }

    /// What every row comes to with these values of the variables.
    fn times(&self, values: &[f64], sums: &mut [f64]) {
        sums.fill(0.0);
        for (&value, range) in values.iter().zip(self.begins.windows(2)).filter(|(value, _)| **value != 0.0) {
            for &(row, entry) in &self.entries[range[0]..range[1]] {
                sums[row as usize] += entry * value;
            }
        }
    }
}

fn ease(row: usize) -> f64 {
    let mixed = (row as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40;
    1e-9 * (0.5 + mixed as f64 / f64::from(1 << 24))
}

fn best_to_leave(gain: &[f64], active: &[Option<usize>]) -> Option<(usize, f64)> {
    let mut best = (1e-9, None);
    for (j, (&g, row)) in gain.iter().zip(active).enumerate() {
        let worth = if row.is_some() { -g } else { g.abs() };
        if worth > best.0 {
            best = (worth, Some((j, if g > 0.0 { -1.0 } else { 1.0 })));
        }
    }
    best.1
}

/// How far no slack falls below 0 at these rates, and the row whose slack is used up first.
fn first_block(slack: &[f64], rates: &[f64]) -> Option<(f64, usize)> {
    let mut best: Option<(f64, usize)> = None;
    for (r, (&slack, &rate)) in slack.iter().zip(rates).enumerate() {
        if rate < -1e-9 && best.is_none_or(|(step, _)| slack < step * -rate) {
            best = Some((slack / -rate, r));
        }
    }
    best
}

fn replace(line: &mut [f64], leaving: usize, alpha: &[f64], pivot: f64) {
    let factor = line[leaving] / pivot;
    if factor == 0.0 {
        return;
    }
    for (value, a) in line.iter_mut().zip(alpha) {
        *value -= a * factor;
    }
    line[leaving] = factor;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_corner_of_a_triangle() {
        // x + 2y >= 4, 3x + y >= 6, from (4, 4): least x + y is 2.8 at (1.6, 1.2).
        let rows = [
            Row::new(&[(0, 1.0), (1, 2.0)], 4.0),
            Row::new(&[(0, 3.0), (1, 1.0)], 6.0),
            Row::new(&[(0, 1.0)], 0.0),
            Row::new(&[(1, 1.0)], 0.0),
        ];
        let mut z = [4.0, 4.0];
        minimise(&[1.0, 1.0], &rows, &mut z, 100);
        assert!((z[0] - 1.6).abs() < 1e-7 && (z[1] - 1.2).abs() < 1e-7, "{z:?}");
    }

    #[test]
    fn a_free_fall_is_left_alone() {
        let mut z = [1.0];
        minimise(&[1.0], &[], &mut z, 100);
        assert_eq!(z, [1.0]);
    }
}
