//! `ellwand widths`.

use std::path::PathBuf;

use super::effort::SearchArguments;
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::error::{Problem, Problems};
use crate::plan::{self, Failure, WidthAsked};
use crate::units::{Mm, Unit, parse_length};
use crate::{project, report};

/// Tell how much of one cloth to buy at several widths, with and without nap
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand widths demo/pinafore/project.json --cloth main --widths \"112 cm at 19.50, 140 cm at 24\""
)]
pub(super) struct Arguments {
    /// The project file
    project: PathBuf,
    /// The cloth, by its key in the project [default: the first that something is cut from]
    #[arg(long, value_name = "KEY")]
    cloth: Option<String>,
    /// The widths, parted by commas, each with the price of a metre if you like, or of a yard: "45 in at 15.99/yd"
    /// [default: 90, 112, 140, 150 cm and 36, 45, 54, 60 in]
    #[arg(long, value_name = "WIDTHS", value_delimiter = ',')]
    widths: Vec<String>,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    #[command(flatten)]
    search: SearchArguments,
    /// Print the table as JSON
    #[arg(long)]
    json: bool,
}

/// Widths that are looked at in one run.
const MOST_WIDTHS: usize = 24;
/// The narrowest and the widest cloth, in mm.
const NARROWEST: Mm = 10.0;
const WIDEST: Mm = 10_000.0;

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let project = project::load(&bytes, &file, &arguments.choose)?;
    let asked = asked(&arguments.widths, project.unit)?;
    let first = || project.cloths.keys().find(|key| project.cuts.values().any(|cut| cut.cloth == **key)).cloned();
    let cloth = arguments.cloth.clone().or_else(first).unwrap_or_default();
    let progress = Progress::start();
    let options = arguments.search.options();
    let table = arguments.search.in_pool(|| plan::widths(&project, &cloth, &asked, &options, &progress))?;
    progress.finish();
    match table {
        Ok(table) if arguments.json => {
            let json = serde_json::to_string_pretty(&table)
                .map_err(|error| one_problem(format!("It cannot be written as JSON: {error}."), ""))?;
            say(&format!("{json}\n"))?;
        }
        Ok(table) => say(&colour::report(&report::widths_within(&table, columns())))?,
        // A cloth that is not there lies in no place of the file.
        Err(Failure::Problems(problems)) if problems.iter().all(|p| p.place.keys.starts_with("--")) => {
            return Err(problems);
        }
        Err(Failure::Problems(problems)) => {
            return Err(project::located(problems, &bytes, &file, &arguments.choose));
        }
        Err(Failure::Faults(faults)) => return Ok(at_fault(&faults)),
    }
    Ok(End::Well)
}

/// The widths asked for, or those that are sold.
fn asked(texts: &[String], unit: Unit) -> Result<Vec<WidthAsked>, Problems> {
    if texts.is_empty() {
        return Ok(plan::widths_sold());
    }
    if texts.len() > MOST_WIDTHS {
        let cause = format!("{} widths are asked for.", texts.len());
        return Err(one_problem(cause, format!("ask for {MOST_WIDTHS} at the most")));
    }
    let mut widths = Vec::new();
    let mut problems = Problems::new();
    for text in texts {
        match width(text.trim(), unit) {
            Ok(width) => widths.push(width),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() { Ok(widths) } else { Err(problems) }
}

/// "112 cm", "112 cm at 19.50", "45 in at 15.99/yd".
fn width(text: &str, unit: Unit) -> Result<WidthAsked, Problem> {
    let at = |cause: String, hint: String| Problem::at("--widths", cause, hint);
    let (width, price) = text.split_once(" at ").map_or((text, None), |(width, price)| (width, Some(price)));
    let width = parse_length(width, unit).map_err(|error| at(error.cause, error.hint))?;
    if !(NARROWEST..=WIDEST).contains(&width) {
        let cause = format!("\"{text}\" is no width of cloth.");
        return Err(at(cause, "give widths from 1 cm to 10 m, such as \"112 cm\" or \"45 in\"".to_owned()));
    }
    let price_per_metre = price.map(|price| price_of_a_metre(price.trim())).transpose().map_err(|price| {
        let hint = "write the price of a metre, such as \"at 19.50\", or of a yard, such as \"at 15.99/yd\"";
        at(format!("\"{price}\" is no price."), hint.to_owned())
    })?;
    Ok(WidthAsked { width, price_per_metre })
}

fn price_of_a_metre(text: &str) -> Result<f64, String> {
    let (number, unit) = match text.split_once('/') {
        None => (text, Unit::Metre),
        Some((number, "m")) => (number, Unit::Metre),
        Some((number, "yd")) => (number, Unit::Yard),
        Some(_) => return Err(text.to_owned()),
    };
    match number.trim().parse::<f64>() {
        Ok(price) if (0.0..=1e6).contains(&price) => Ok(price * Unit::Metre.mm() / unit.mm()),
        _ => Err(text.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_read_with_their_prices() {
        let of = |text| width(text, Unit::Centimetre).map(|asked| (asked.width, asked.price_per_metre)).ok();
        assert_eq!(of("112"), Some((1120.0, None)));
        assert_eq!(of("45 in at 9.144/yd"), Some((1143.0, Some(10.0))));
        assert_eq!(of("150 cm at 24/m"), Some((1500.0, Some(24.0))));
        for wrong in
            ["", "wide", "112 cm at", "112 cm at dear", "112 cm at 3/ell", "0", "1 km", "112 cm at -1", "112 cm at nan"]
        {
            assert_eq!(of(wrong), None, "{wrong}");
        }
    }
}
