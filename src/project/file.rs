//! The project file's objects. The descriptions are the schema's, and what messages tell the user to write.

use super::draft_file::DraftFile;
use super::findings::Path;
use super::hand::{BorderWord, HaveFile, MOST_LENGTHS, Priority};
use super::notions::NotionFile;
use super::outline::{Outline, PointValue};
use super::read::{List, Named, Read, Reader, inline_schema, kind, record};
use super::tree::{Node, Value};
use super::values::{
    CornerWord, Count, EndWord, Extent, Flag, Fullness, GrainWord, HoldWord, LayWord, LaysValue, Length, PartWord,
    Price, Scale, ShapeWord, Shrinkage, Text, Tilt, UnitWord, Version,
};

record! {
    /// A garment to be planned. Lengths are numbers in `units`, or texts with their own unit such as "25 cm", "2 3/8 in"
    /// or "1 1/2 yd". Unknown keys are errors.
    ProjectFile {
        /// The version of this format: 1.
        required ellwand: Version,
        /// The garment's name. Left out: the file's name.
        optional name: Text,
        /// The unit of numbers that have none: "mm", "cm", "m", "in", "ft" or "yd".
        required units: UnitWord,
        /// The cloths to buy, by a short name of your own such as "main" or "lining".
        required cloths: Named<ClothFile>,
        /// The pattern pieces, by a name of your own without a dot.
        required pieces: Named<PieceFile>,
        /// New pieces drafted from these, by a name of your own, made in the order they stand in. Left out: none.
        optional drafts: Named<DraftFile>,
        /// What to cut, by a name of your own such as "bodice front".
        required cuts: Named<CutFile>,
        /// What else to buy, by a name of your own such as "buttons" or "thread". Left out: nothing.
        optional notions: Named<NotionFile>,
        /// Edges that are sewn together, as pairs of "piece.edge". Left out: none.
        optional seams: List<List<Text, 2, 2>, 0, 10_000>,
        /// Where the print of a cloth matches, by a name of your own such as "side seams". Left out: nowhere.
        optional matches: Named<MatchFile>,
        /// Decisions that change the garment: for each its values, for each value a JSON Merge Patch (RFC 7396) on this file. Left out: none.
        optional choices: Named<Named<Patch>>,
        /// The value taken for each choice unless another is asked for.
        optional chosen: Named<Text>,
    }
}

record! {
    /// A cloth that is bought by length.
    ClothFile {
        /// What the cloth is, such as "brushed twill, navy". Left out: its key.
        optional name: Text,
        /// The width from selvedge to selvedge, such as 150 or "59 in".
        required width: Extent,
        /// The width of each selvedge, which is not cut from. Left out: 0.
        optional selvedge: Length,
        /// True where the cloth looks different upside down (pile, sheen, one-way print). Left out: false.
        optional nap: Flag,
        /// False where both faces are alike, so that pieces may be cut either side up. Left out: true.
        optional right_side: Flag,
        /// What the cloth loses in washing. Left out: nothing.
        optional shrinkage: ShrinkageFile,
        /// The step in which the shop sells it. Left out: 10 cm, or 1/8 yd where `units` are inches, feet or yards.
        optional sold_by: Extent,
        /// The price of a metre, as a plain number. Left out: no cost is shown.
        optional price_per_metre: Price,
        /// The price of a yard instead, as a plain number. Left out: no cost is shown, unless there is a price of a metre.
        optional price_per_yard: Price,
        /// The extra length for straightening the ends. Left out: 0.
        optional ends: Length,
        /// The least distance between pieces. Left out: 0.
        optional gap: Length,
        /// How the cloth may lie: "open", "lengthwise fold", "partial fold" (one selvedge folded in), "double fold" (both),
        /// "crosswise fold" (never with nap), "crosswise cut and turned"; a list of these; or "best" to try them all. Left
        /// out: "best".
        optional lay: LaysValue,
        /// The lengths of it that are in hand, which are cut from before any is bought. Left out: none.
        optional have: List<HaveFile, 0, MOST_LENGTHS>,
        /// Where its border print runs: "first selvedge", from which y is counted, or "both selvedges". Left out: "first selvedge".
        optional border: BorderWord,
        /// How its print, check or stripe repeats. Left out: nothing is matched on it.
        optional print: PrintFile,
    }
}

record! {
    /// How a print repeats on the cloth as bought; it shrinks with the cloth. Where `nap` is false it is taken as even along the
    /// cloth: the same upside down.
    PrintFile {
        /// The length of one repeat, along the selvedge. Left out: nothing repeats along the cloth.
        optional repeat_length: Extent,
        /// The width of one repeat. Left out: nothing repeats across the cloth. What is matched across is taken as even: its own mirror image about the middle of a motif.
        optional repeat_width: Extent,
        /// The distance from the inner edge of the first selvedge to the middle of a motif. Left out: 0.
        optional middle: Length,
    }
}

record! {
    /// Points of cuts that lie at the same place of the print. Say where along the cloth, where across it, or both.
    MatchFile {
        /// The points, each as "cut.point": a named point of the cut's piece, taken in to the stitching line.
        required points: List<Text, 1, 1_000>,
        /// Where they lie along the cloth: "alike" (level with each other), on the "middle" of a motif, or halfway "between" two. Left out: anywhere.
        optional along: HoldWord,
        /// Where they lie across the cloth, in the same words. Left out: anywhere.
        optional across: HoldWord,
    }
}

record! {
    /// What a cloth loses in washing, in per cent of what it was.
    ShrinkageFile {
        /// The per cent lost of the length, 0 or more and below 100. Left out: 0.
        optional length: Shrinkage,
        /// The per cent lost of the width, 0 or more and below 100. Left out: 0.
        optional width: Shrinkage,
    }
}

record! {
    /// A pattern piece, printed side up; coordinates have x to the right and y upwards.
    PieceFile {
        /// The cut outline, closed: SVG path data, or a list of points [x, y]. Where `allowance` has `add` it is the stitching line. Left out: the piece is `measured`.
        required_unless_measured outline: Outline,
        /// Outlines cut out of it. Left out: none.
        optional holes: List<Outline, 0, 1_000>,
        /// Points [x, y] by a name of your own.
        optional_unless_measured points: Named<PointValue>,
        /// Stretches of the outline: for each the names of two or more points, counter-clockwise along the outline.
        optional_unless_measured edges: Named<List<Text, 2, 1_000>>,
        /// The grain line, which points to the top of the garment. Left out: the piece is `measured`.
        required_unless_measured grain: GrainFile,
        /// The name of the edge that lies on a fold, for a piece given as half. Left out: none.
        optional_unless_measured fold: Text,
        /// Points [x, y] on the outline that are marked for matching. Left out: none.
        optional notches: List<PointValue, 0, 1_000>,
        /// The seam allowance that the outline includes, or that is to be added to it. Left out: none.
        optional allowance: AllowanceFile,
        /// Darts to be sewn. Left out: none.
        optional darts: List<DartFile, 0, 1_000>,
        /// The measures of a piece that is cut by measurement, instead of `outline`, `points`, `edges`, `grain` and `fold`. Left out: the piece is drawn.
        optional measured: MeasuredFile,
        /// How many times as large as given the piece is cut, allowance and all: 2 for a pattern at half scale. Left out: 1.
        optional scale: Scale,
    }
}

record! {
    /// Measures of a piece, along its stitching lines where allowance is added to it.
    MeasuredFile {
        /// What it is: "rectangle" (width, length), "trapezium" (top, bottom, length), "gore" (waist, hem, length, panels), "circle skirt" (part, waist, length), "curved band" (inner, outer, depth), "bias strip" (total, width, usable_width), "bias square" (total, width), "gathered tier" (edge, fullness, depth, usable_width), "tie" (length, width) or "patch pocket" (width, length). Circle skirts, gores, bias strips and tiers are one panel or strip of as many as it takes: cutting fewer is an error.
        required shape: ShapeWord,
        /// How much of a circle a skirt is: "full", "three-quarter", "half" or "quarter".
        optional part: PartWord,
        /// In how many panels a skirt is cut. Left out of a circle skirt: 2 for a full or three-quarter circle, otherwise 1.
        optional panels: Count,
        /// True where the piece is half of what is cut, with a fold edge named "fold". Left out: true for a circle skirt, otherwise false.
        optional on_fold: Flag,
        /// The width across the grain; of a tie, as it finishes; of a bias strip, as it is cut.
        optional width: Extent,
        /// The length along the grain.
        optional length: Extent,
        /// The upper edge of a trapezium.
        optional top: Extent,
        /// The lower edge of a trapezium.
        optional bottom: Extent,
        /// The waist seam all round.
        optional waist: Extent,
        /// The hem all round.
        optional hem: Extent,
        /// The shorter edge of a curved band, which is its upper one.
        optional inner: Extent,
        /// The longer edge of a curved band.
        optional outer: Extent,
        /// From edge to edge of a curved band or a gathered tier.
        optional depth: Extent,
        /// The radius of a pocket's lower corners. Left out: 0.
        optional radius: Length,
        /// The length of a whole binding.
        optional total: Extent,
        /// The edge that a tier is gathered to.
        optional edge: Extent,
        /// How many times as long a tier is before it is gathered, such as 1.5.
        optional fullness: Fullness,
        /// The width of the cloth between its selvedges, after shrinking.
        optional usable_width: Extent,
        /// The allowance of the seams that join strips or panels. Left out: 0.
        optional seam: Length,
        /// The free end of a tie: "square" or "slanted". Left out: "square".
        optional end: EndWord,
    }
}

record! {
    /// A grain line.
    GrainFile {
        /// The lower end [x, y].
        required from: PointValue,
        /// The upper end [x, y], towards the top of the garment.
        required to: PointValue,
    }
}

record! {
    /// Seam allowance: that which an outline includes, or that which is added to a stitching line.
    AllowanceFile {
        /// The width of it that the outline includes on every edge not named below. Left out: 0.
        optional included: Length,
        /// The width to be added to the outline, which is then the stitching line, on every edge not named below. Left out: none is added.
        optional add: Length,
        /// The width of it on single edges, by the edge's name.
        optional edges: Named<Length>,
        /// How the added allowance of single edges ends at its corners, by the edge's name: "mitred" (its neighbour's cut line mirrored, to lie flat once turned up), "squared" or "extended". Left out: "extended".
        optional corners: Named<CornerWord>,
    }
}

record! {
    /// A dart.
    DartFile {
        /// The point [x, y] where it runs out.
        required apex: PointValue,
        /// The two points [x, y] where its legs meet the edge.
        required legs: List<PointValue, 2, 2>,
    }
}

record! {
    /// An instruction to cut: count x layers plies.
    CutFile {
        /// The name of the piece to cut.
        required piece: Text,
        /// The key of the cloth to cut it from.
        required cloth: Text,
        /// How many, 1 to 1000. Left out: 1.
        optional count: Count,
        /// True where half of them are cut mirrored. Left out: false.
        optional mirrored: Flag,
        /// True where the piece's fold edge lies on a fold of the cloth. Left out: false.
        optional on_fold: Flag,
        /// How many times over each is cut, as for a band cut double. Left out: 1.
        optional layers: Count,
        /// How the piece's grain lies to the cloth's: "lengthwise", "crosswise", "bias" or "any". Left out: "lengthwise".
        optional grain: GrainWord,
        /// The degrees off grain allowed, below 45. Left out: 0.
        optional tilt: Tilt,
        /// The only kind of lay it may be cut on, in the words of a cloth's "lay"; "open" is single cloth, wherever it lies
        /// so. Left out: any.
        optional lay: LayWord,
        /// The name of a straight edge of the piece that lies on a selvedge of the cloth, where its border print runs. Left
        /// out: none.
        optional border: Text,
        /// How much it matters that it is cut where the cloth in hand is not enough for all, 0 to 100: what matters least is
        /// left over first. Left out: 50.
        optional priority: Priority,
    }
}

/// What one value of a choice changes.
#[derive(Debug)]
pub(super) struct Patch;

inline_schema!(Patch, {
    "type": "object",
    "description": "A JSON Merge Patch (RFC 7396) on the project; it cannot change the choices themselves.",
    "properties": { "choices": false, "chosen": false },
});

impl Read for Patch {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let Value::Object(changes) = &node.value else {
            let cause = format!("{} is {}; it has to be an object: {{ ... }}.", path.subject(), kind(node));
            return reader.refuse(
                node,
                path,
                cause,
                "write what it changes, as in the file itself; {} where it changes nothing.",
            );
        };
        for key in ["choices", "chosen"] {
            if let Some(change) = changes.get(key) {
                reader.findings.report(
                    &path.key(key),
                    change.at,
                    "A choice cannot change the choices themselves.",
                    "put what it changes in \"cloths\", \"pieces\", \"cuts\" or \"seams\".",
                );
            }
        }
        Some(Self)
    }
}
