//! The two faces of the embedded font: DejaVu Sans, cut down to the letters of the European scripts (fonts/).

use std::collections::BTreeMap;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Dict, Filter, Finish, Name, Pdf, Rect, Ref, Str};
use ttf_parser::{Face, GlyphId};

/// What the faces are called within a document.
pub(super) const NAMES: [&[u8]; 2] = [b"R", b"B"];

const FILES: [&[u8]; 2] = [include_bytes!("fonts/DejaVuSans.ttf"), include_bytes!("fonts/DejaVuSans-Bold.ttf")];
const POSTSCRIPT: [&[u8]; 2] = [b"ELLWND+DejaVuSans", b"ELLWND+DejaVuSans-Bold"];
const SYSTEM: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// Both faces, with the glyphs used so far.
pub(super) struct Faces {
    faces: [Option<Face<'static>>; 2],
    used: [BTreeMap<u16, char>; 2],
}

impl Faces {
    pub(super) fn new() -> Self {
        Self { faces: FILES.map(|file| Face::parse(file, 0).ok()), used: [BTreeMap::new(), BTreeMap::new()] }
    }

    /// The glyphs of a line of text, two bytes each, and its width over the type size.
    pub(super) fn set(&mut self, text: &str, bold: bool) -> (Vec<u8>, f64) {
        let index = usize::from(bold);
        let Some(face) = &self.faces[index] else { return (Vec::new(), 0.0) };
        let (mut glyphs, mut width) = (Vec::new(), 0.0);
        for letter in text.chars() {
            // A letter that the font lacks shows as an empty box.
            let glyph = face.glyph_index(letter).unwrap_or(GlyphId(0));
            self.used[index].entry(glyph.0).or_insert(letter);
            width += advance(face, glyph);
            glyphs.extend(glyph.0.to_be_bytes());
        }
        (glyphs, width)
    }

    /// Names both faces among the resources of a page.
    pub(super) fn resources(mut fonts: Dict, ids: [Ref; 2]) {
        for (name, id) in NAMES.into_iter().zip(ids) {
            fonts.pair(Name(name), id);
        }
    }

    /// Writes a face with its whole file: it was cut down beforehand.
    pub(super) fn write(&self, pdf: &mut Pdf, bold: bool, id: Ref, next: &mut Ref) {
        let index = usize::from(bold);
        let Some(face) = &self.faces[index] else { return };
        let (descendant, descriptor, map, file) = (next.bump(), next.bump(), next.bump(), next.bump());
        let name = Name(POSTSCRIPT[index]);
        pdf.type0_font(id)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(descendant)
            .to_unicode(map);
        let mut font = pdf.cid_font(descendant);
        font.subtype(CidFontType::Type2).base_font(name).system_info(SYSTEM).font_descriptor(descriptor);
        font.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = font.widths();
        for &glyph in self.used[index].keys() {
            widths.consecutive(glyph, [(advance(face, GlyphId(glyph)) * 1000.0) as f32]);
        }
        widths.finish();
        font.finish();
        let em = f32::from(face.units_per_em()) / 1000.0;
        let scaled = |units: i16| f32::from(units) / em;
        let bounds = face.global_bounding_box();
        pdf.font_descriptor(descriptor)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(scaled(bounds.x_min), scaled(bounds.y_min), scaled(bounds.x_max), scaled(bounds.y_max)))
            .italic_angle(0.0)
            .ascent(scaled(face.ascender()))
            .descent(scaled(face.descender()))
            .cap_height(scaled(face.capital_height().unwrap_or(1493)))
            .stem_v(if bold { 160.0 } else { 90.0 })
            .font_file2(file);
        let mut letters = UnicodeCmap::new(Name(b"Letters"), SYSTEM);
        for (&glyph, &letter) in &self.used[index] {
            letters.pair(glyph, letter);
        }
        pdf.cmap(map, &letters.finish());
        let data = compress_to_vec_zlib(FILES[index], 9);
        let length = i32::try_from(FILES[index].len()).unwrap_or(0);
        pdf.stream(file, &data).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
    }
}

/// How far a glyph moves the pen, over the type size.
fn advance(face: &Face, glyph: GlyphId) -> f64 {
    f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / f64::from(face.units_per_em())
}
