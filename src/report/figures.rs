//! Lengths in both systems.

/// To the nearest centimetre, below a metre to the millimetre: "1.40 m", "31.2 cm".
pub(super) fn metric(mm: f64) -> String {
    let mm = sound(mm);
    if mm.round() < 1000.0 {
        format!("{:.1} cm", mm.round() / 10.0)
    } else {
        format!("{:.2} m", (mm / 10.0).round() / 100.0)
    }
}

/// A length that was used: "1.40 m (1 1/2 yd)", to the nearest eighth.
pub(super) fn used(mm: f64) -> String {
    format!("{} ({})", metric(mm), yards(mm, f64::round))
}

/// An amount to buy in metres, never less than the amount: "1.40 m".
pub(super) fn buy_metric(mm: f64) -> String {
    format!("{:.2} m", ((sound(mm) - DUST) / 10.0).ceil().max(0.0) / 100.0)
}

/// An amount to buy in yards, rounded up to the eighth that shops cut: "1 5/8 yd".
pub(super) fn buy_yards(mm: f64) -> String {
    yards(sound(mm) - DUST, f64::ceil)
}

/// A millionth of a millimetre over an eighth is dust of the arithmetic and buys no further eighth.
const DUST: f64 = 1e-6;

fn sound(mm: f64) -> f64 {
    if mm.is_finite() { mm.max(0.0) } else { 0.0 }
}

fn yards(mm: f64, round: fn(f64) -> f64) -> String {
    let eighths = round(sound(mm) / (914.4 / 8.0));
    let whole = (eighths / 8.0).floor();
    let parts = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
    let part = parts[(eighths - whole * 8.0).clamp(0.0, 7.0) as usize];
    match (whole, part) {
        (_, "") => format!("{whole} yd"),
        (0.0, part) => format!("{part} yd"),
        (_, part) => format!("{whole} {part} yd"),
    }
}
