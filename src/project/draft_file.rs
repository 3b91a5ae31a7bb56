//! The project file's drafts: new pieces made from given ones. The descriptions are the schema's.

use super::findings::Path;
use super::read::{List, Named, Read, Reader, record};
use super::tree::Node;
use super::values::{Coordinate, Extent, Flag, Length, Text};

record! {
    /// New pieces drafted from others, which may themselves be drafted further up: exactly one of these keys.
    DraftFile {
        /// The band at the waist out of a bodice, its darts closed, and the bodice shortened by it.
        optional band: BandFile,
        /// The lining of an outer piece.
        optional lining: LiningFile,
        /// A facing: the strip of a piece along some of its edges.
        optional facing: FacingFile,
        /// Interfacing: a piece, or a strip along some of its edges, without its allowance.
        optional interfacing: InterfacingFile,
        /// A piece split along a line, with allowance on both sides.
        optional split: SplitFile,
        /// Two pieces joined at a seam.
        optional join: JoinFile,
        /// A piece made longer or shorter at a line across it.
        optional length: LengthFile,
        /// Two sizes of one piece blended into one.
        optional blend: BlendFile,
        /// A half piece mirrored out at its fold edge.
        optional mirror: MirrorFile,
    }
}

record! {
    /// A band at the waist.
    BandFile {
        /// The front bodice.
        optional front: BandPartFile,
        /// The back bodice.
        optional back: BandPartFile,
        /// The band's depth between its stitching lines, measured up from the waist's.
        required depth: Extent,
        /// The allowance on the new seam between bodice and band. Left out: as at the waist.
        optional allowance: Length,
        /// True for a straight band of the waist's length, for cloth that stretches. Left out: false.
        optional knit: Flag,
    }
}

record! {
    /// A bodice piece to take the band from.
    BandPartFile {
        /// The name of the bodice piece.
        required piece: Text,
        /// The names of the two new pieces.
        required makes: BandMakesFile,
        /// The name of its waist edge. Left out: "waist".
        optional waist: Text,
        /// The name of its side seam, which meets the waist. Left out: "side".
        optional side: Text,
        /// The depth on this piece; the side seams must still meet. Left out: that of the band.
        optional depth: Extent,
    }
}

record! {
    /// The pieces that a band makes.
    BandMakesFile {
        /// The name of the new band. Its edges are "lower", "upper" and the bodice's own between them.
        required band: Text,
        /// The name of the shortened bodice, which keeps the names of all its edges.
        required bodice: Text,
    }
}

record! {
    /// A lining. Darts stay where they are, to be laid in pleats.
    LiningFile {
        /// The name of the outer piece.
        required of: Text,
        /// The name of the new piece.
        required makes: Text,
        /// By how much it is shorter at the hem. Left out: 0.
        optional shorter: Length,
        /// The name of the hem's edge. Left out: "hem".
        optional hem: Text,
        /// The allowance at the lining's hem. Left out: as on the outer piece.
        optional hem_allowance: Length,
        /// The facing it is less: edges that follow one another, each with the facing's width from its stitching line.
        optional facing: Named<Extent>,
        /// The allowance on its edge towards the facing, which is named "inner". Left out: as on the first of those edges.
        optional allowance: Length,
        /// How far back from a corner of that edge it is rounded. Left out: 0.
        optional round: Length,
    }
}

record! {
    /// A facing.
    FacingFile {
        /// The name of the piece to be faced.
        required of: Text,
        /// The name of the new piece.
        required makes: Text,
        /// The edges to be faced, which follow one another, each with the width from its stitching line.
        required along: Named<Extent>,
        /// The allowance on its inner edge, which is named "inner". Left out: as on the first of those edges.
        optional allowance: Length,
        /// How far back from a corner of the inner edge it is rounded. Left out: 0.
        optional round: Length,
    }
}

record! {
    /// An interfacing.
    InterfacingFile {
        /// The name of the piece to be interfaced.
        required of: Text,
        /// The name of the new piece.
        required makes: Text,
        /// Edges that follow one another, each with the strip's width from its stitching line. Left out: the whole piece.
        optional along: Named<Extent>,
        /// The allowance all round. Left out: 0, trimmed to the stitching lines.
        optional allowance: Length,
        /// How far back from a corner of the strip's inner edge it is rounded. Left out: 0.
        optional round: Length,
    }
}

record! {
    /// A piece split in two.
    SplitFile {
        /// The name of the piece to split.
        required of: Text,
        /// The names of its points that the line runs through; the first and the last lie on the outline.
        required line: List<Text, 2, 1_000>,
        /// The names of the two new pieces: that on the left of the line, then that on its right.
        required makes: List<Text, 2, 2>,
        /// The allowance on the new edges, which are named "split". Left out: the piece's own.
        optional allowance: Length,
    }
}

record! {
    /// Two pieces joined.
    JoinFile {
        /// The piece that stays as it lies and the edge to join, as "piece.edge".
        required one: Text,
        /// The piece that is laid against it and its edge, as "piece.edge".
        required other: Text,
        /// The name of the new piece.
        required makes: Text,
    }
}

record! {
    /// A piece lengthened or shortened along its grain.
    LengthFile {
        /// The name of the piece.
        required of: Text,
        /// The names of two points of its outline that the line runs between.
        required at: List<Text, 2, 2>,
        /// By how much: above 0 longer, below 0 shorter.
        required by: Coordinate,
        /// The name of the new piece.
        required makes: Text,
    }
}

record! {
    /// Two sizes blended, one above and one below.
    BlendFile {
        /// The name of the piece in the size above.
        required upper: Text,
        /// The name of the piece in the size below, with the same named points and drawn from the same origin.
        required lower: Text,
        /// The names of two points; between their heights one size goes over into the other.
        required between: List<Text, 2, 2>,
        /// The name of the new piece.
        required makes: Text,
    }
}

record! {
    /// A half piece mirrored out.
    MirrorFile {
        /// The name of a piece with a fold edge.
        required of: Text,
        /// The name of the new piece.
        required makes: Text,
    }
}
