//! `ellwand import`.

use std::fmt::Write as _;

use std::path::{Path, PathBuf};

use super::{End, files, say};
use crate::error::Problems;
use crate::import::{self, ClosedLine, FileUnit, GrainRule, Imported, Kind, Listing, Options};
use crate::project;
use crate::units::{Mm, Rounding, Unit, both, parse_length};

/// Make a project of the pattern pieces in a drawing (SVG or DXF)
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand import demo/half-scale/apron.svg --scale 2 --square \"4 in\" --out apron.json\n\n\
                        Closed lines of 2 cm (3/4 in) or more that lie in no other one are pieces. The grain line is one named \
                        so, or the longest straight line inside; a bracket, or a line named \"fold\", marks the fold edge beside \
                        it. Lettering such as \"cut 2\" says how many. DXF is read by layers: 1 outline, 4 notches, 6 fold, 7 \
                        grain, 8 darts, 11 cut-outs, 14 stitching (numbers from memory)."
)]
pub(super) struct Arguments {
    /// The drawing: SVG, or DXF as text
    file: PathBuf,
    /// How much larger the pieces are than drawn: 2 for a pattern at half scale
    #[arg(long, value_name = "N", default_value_t = 1.0, allow_negative_numbers = true)]
    scale: f64,
    /// Measure the test square: it has to be this large after scaling, such as "4 in" or "10 cm", within 0.5 %
    #[arg(long, value_name = "SIDE", value_parser = side)]
    square: Option<Mm>,
    /// The unit of the drawing's numbers, where it does not say: mm, cm, m, in, ft, yd, pt or px
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    units: Option<FileUnit>,
    /// Only list the closed lines, with their sizes
    #[arg(long)]
    list: bool,
    /// Take these closed lines: by number in the list, name, layer or colour (#rrggbb), parted by commas
    #[arg(long, value_name = "ID,...", value_delimiter = ',')]
    pick: Vec<String>,
    /// Take this size, where a DXF file has several
    #[arg(long, value_name = "NAME")]
    size: Option<String>,
    /// The project file to write; it must not exist yet [default: print it]
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

fn side(text: &str) -> Result<Mm, String> {
    let mm = parse_length(text, Unit::Centimetre).map_err(|error| error.to_string())?;
    if (5.0..=1000.0).contains(&mm) { Ok(mm) } else { Err("a test square is 5 mm to 1 m large".to_owned()) }
}

fn unit(text: &str) -> Result<FileUnit, String> {
    match text {
        "pt" => Ok(FileUnit::Point),
        "px" => Ok(FileUnit::Pixel),
        _ => Unit::ALL.into_iter().find(|unit| unit.symbol() == text).map(FileUnit::Length).ok_or_else(|| {
            "the units are mm, cm, m, in, ft, yd, pt (72 to the inch) and px (96 to the inch)".to_owned()
        }),
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    if let Some(out) = arguments.out.as_ref().filter(|_| !arguments.list) {
        files::check_new(out)?;
    }
    let name = arguments.file.to_string_lossy().into_owned();
    let in_file = |mut problems: Problems| {
        for problem in problems.iter_mut().filter(|problem| !problem.place.keys.starts_with("--")) {
            name.clone_into(&mut problem.place.file);
        }
        problems
    };
    let bytes = files::read(&arguments.file)?;
    let options = Options {
        units: arguments.units,
        scale: arguments.scale,
        square: arguments.square,
        pick: arguments.pick.clone(),
        size: arguments.size.clone(),
    };
    let drawing = import::read(&bytes, &name, &options)?;
    let listing = import::listing(&drawing, &options).map_err(in_file)?;
    if arguments.list {
        say(&list(&listing))?;
        return Ok(End::Well);
    }
    let imported = import::pieces(&drawing, &listing).map_err(in_file)?;
    let text = import::project_text(&title(&arguments.file), &imported);
    // What is written has to load: the project's own rules are stricter than a drawing's.
    project::load(text.as_bytes(), &name, &[])?;
    match &arguments.out {
        None => {
            say(&text)?;
            imported.notes.iter().for_each(|note| eprintln!("Note: {note}"));
        }
        Some(out) => {
            files::write_new(out, &text)?;
            say(&summary(out, &listing, &imported))?;
        }
    }
    Ok(End::Well)
}

/// A name for the project out of the drawing's.
fn title(file: &Path) -> String {
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let plain: String = stem.chars().map(|c| if c.is_control() { ' ' } else { c }).take(150).collect();
    if plain.trim().is_empty() { "imported pieces".to_owned() } else { plain }
}

/// A width and a height both ways.
fn extent(width: Mm, height: Mm) -> String {
    format!("{} by {}", both(width, Rounding::Nearest), both(height, Rounding::Nearest))
}

fn list(listing: &Listing) -> String {
    let mut text = format!("{} closed lines (* is taken):\n", listing.lines.len());
    for line in &listing.lines {
        let star = if line.taken { '*' } else { ' ' };
        let size = extent(line.bounds.length(), line.bounds.width());
        let _ = write!(text, "{star} {:>3}  {size}", line.number);
        for detail in details(line) {
            let _ = write!(text, "; {detail}");
        }
        text.push('\n');
    }
    if listing.small > 0 {
        let _ = writeln!(
            text,
            "{} smaller closed lines (under 2 cm, 3/4 in) are taken for lettering and marks.",
            listing.small
        );
    }
    if !listing.sizes.is_empty() {
        let _ = writeln!(text, "Sizes: {}", listing.sizes.join(", "));
    }
    text.push_str(&square(listing));
    text
}

fn details(line: &ClosedLine) -> Vec<String> {
    let kind = match line.kind {
        Kind::Piece => None,
        Kind::Inside(number) => Some(format!("inside {number}")),
        Kind::Sheet => Some("the sheet's edge".to_owned()),
        Kind::Square => Some("the test square".to_owned()),
        Kind::Copy(number) => Some(format!("the same as {number}")),
        Kind::Mark => Some("no outline".to_owned()),
    };
    let name = line.name.as_ref().map(|name| format!("name {name}"));
    let size = line.size.as_ref().map(|size| format!("size {size}"));
    let layer = (!line.layers.is_empty()).then(|| format!("layer {}", line.layers.join("/")));
    let stroke = line.stroke.as_ref().map(|stroke| format!("colour {stroke}"));
    [name, size, layer, stroke, kind].into_iter().flatten().collect()
}

fn square(listing: &Listing) -> String {
    let Some([a, b]) = listing.square else { return String::new() };
    format!("The test square measures {}: right.\n", extent(a, b))
}

fn summary(out: &Path, listing: &Listing, imported: &Imported) -> String {
    let mut text = format!("Written: {} with these pieces:\n", out.display());
    for piece in &imported.pieces {
        let bounds = piece.piece.shape.bounds();
        let how = match (piece.on_fold, piece.mirrored) {
            (true, _) => " on the fold",
            (false, true) => ", half of them mirrored",
            (false, false) => "",
        };
        let rule = match piece.grain_rule {
            GrainRule::Named => "a line named so",
            GrainRule::LongestLine => "the longest straight line inside",
            GrainRule::AlongFold => "along the fold, for want of a line",
            GrainRule::UpThePaper => "up the paper, for want of a line",
        };
        let _ = writeln!(
            text,
            "  {}: {} long by {} wide; cut {}{how}; grain: {rule}",
            piece.source.name,
            both(bounds.length(), Rounding::Nearest),
            both(bounds.width(), Rounding::Nearest),
            piece.count
        );
    }
    text.push_str(&square(listing));
    for note in &imported.notes {
        let _ = writeln!(text, "Note: {note}");
    }
    text.push_str("Name the cloths and say what is cut from which, then: ellwand plan ");
    let _ = writeln!(text, "{}", out.display());
    text
}
