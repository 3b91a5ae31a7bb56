//! A published table of equal yardages.

/// "Fabric Conversion Chart", sewwithsarah.com: yards needed at widths of 36, 39, 41, 45, 50, 54 and 60 in, row by row.
pub(crate) const CHART: [[f64; 7]; 12] = [
    [1.75, 1.5, 1.5, 1.375, 1.25, 1.125, 1.0],
    [2.0, 1.75, 1.75, 1.625, 1.5, 1.375, 1.25],
    [2.25, 2.0, 2.0, 1.75, 1.625, 1.5, 1.375],
    [2.5, 2.25, 2.25, 2.125, 1.75, 1.75, 1.625],
    [2.875, 2.5, 2.5, 2.25, 2.0, 1.875, 1.75],
    [3.125, 2.75, 2.75, 2.5, 2.25, 2.0, 1.875],
    [3.375, 3.0, 2.875, 2.75, 2.375, 2.25, 2.0],
    [3.75, 3.25, 3.125, 2.875, 2.625, 2.375, 2.25],
    [4.25, 3.5, 3.375, 3.125, 2.75, 2.625, 2.375],
    [4.5, 3.75, 3.625, 3.375, 3.0, 2.75, 2.625],
    [4.75, 4.0, 3.875, 3.625, 3.25, 2.875, 2.75],
    [5.0, 4.25, 4.125, 3.875, 3.375, 3.125, 2.875],
];

/// Its widths in inches.
pub(crate) const WIDTHS: [f64; 7] = [36.0, 39.0, 41.0, 45.0, 50.0, 54.0, 60.0];

/// The chart's yards at each width for a garment that needs `at_60` yards at 60 in: between two rows, or the first row in
/// proportion.
pub(crate) fn chart_for(at_60: f64) -> [f64; 7] {
    let above = CHART.iter().position(|row| row[6] >= at_60).expect("a garment within the chart");
    let mut yards = [0.0; 7];
    for (column, value) in yards.iter_mut().enumerate() {
        *value = if above == 0 {
            CHART[0][column] * at_60 / CHART[0][6]
        } else {
            let (low, high) = (CHART[above - 1], CHART[above]);
            let share = (at_60 - low[6]) / (high[6] - low[6]);
            low[column] + share * (high[column] - low[column])
        };
    }
    yards
}
