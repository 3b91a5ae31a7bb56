//! Writes sheets as PDF (ISO 32000-1), with the letters that it needs embedded; the same bytes for the same sheets.

mod font;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::list::{Anchor, Frame, Mark, Path, Sheet, Text};
use super::text::{clean, is_measured};
use crate::geometry::{Point, sine_cosine};
use font::{Faces, NAMES};

/// Points of a PDF in a millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// The longest side of a page in mm (14 400 units) before its unit has to grow (ISO 32000-1, annex C).
const LONGEST: f64 = 14_400.0 / POINTS;

/// A page: a sheet, and perhaps a part of a larger drawing beneath it.
#[derive(Debug, Clone, Copy)]
pub struct Page<'a> {
    /// Its size, and what is drawn on it.
    pub sheet: &'a Sheet,
    /// The part of a drawing that shows through.
    pub window: Option<Window>,
}

/// A part of a drawing at its own size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Which of the drawings.
    pub drawing: usize,
    /// The place of the drawing that comes to the window's upper left corner, in mm.
    pub from: Point,
    /// The window on the page: upright.
    pub place: Frame,
}

/// A document of pages; `drawings` are written once, however many pages show parts of them.
pub fn write(title: &str, drawings: &[&Sheet], pages: &[Page]) -> Vec<u8> {
    let mut faces = Faces::new();
    let mut pdf = Pdf::new();
    let mut next = Ref::new(1);
    let (catalog, tree, info) = (next.bump(), next.bump(), next.bump());
    let forms: Vec<Ref> = drawings.iter().map(|_| next.bump()).collect();
    let kids: Vec<(Ref, Ref)> = pages.iter().map(|_| (next.bump(), next.bump())).collect();
    let fonts = [0, 1].map(|_| next.bump());
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids(kids.iter().map(|kid| kid.0)).count(i32::try_from(kids.len()).unwrap_or(i32::MAX));
    pdf.document_info(info).title(TextStr(&clean(title))).producer(TextStr("ellwand"));
    for (&id, sheet) in forms.iter().zip(drawings) {
        let mut content = Content::new();
        marks(&mut content, &mut faces, sheet);
        let data = compress(&content.finish());
        let mut form = pdf.form_xobject(id, &data);
        form.filter(Filter::FlateDecode);
        form.bbox(Rect::new(0.0, 0.0, sheet.width as f32, sheet.height as f32));
        Faces::resources(form.resources().fonts(), fonts);
    }
    for (page, &(id, content_id)) in pages.iter().zip(&kids) {
        let (width, height) = (page.sheet.width, page.sheet.height);
        let unit = (width.max(height) / LONGEST).ceil().clamp(1.0, 1e6);
        let scale = POINTS / unit;
        let mut writer = pdf.page(id);
        writer.parent(tree).contents(content_id);
        writer.media_box(Rect::new(0.0, 0.0, (width * scale) as f32, (height * scale) as f32));
        if unit > 1.0 {
            writer.user_unit(unit as f32);
        }
        let mut resources = writer.resources();
        Faces::resources(resources.fonts(), fonts);
        if let Some(&form) = page.window.and_then(|window| forms.get(window.drawing)) {
            resources.x_objects().pair(Name(b"D"), form);
        }
        resources.finish();
        writer.finish();
        let content = content(page, scale, &mut faces);
        pdf.stream(content_id, &compress(&content)).filter(Filter::FlateDecode);
    }
    for (bold, id) in [false, true].into_iter().zip(fonts) {
        faces.write(&mut pdf, bold, id, &mut next);
    }
    pdf.finish()
}

fn compress(data: &[u8]) -> Vec<u8> {
    compress_to_vec_zlib(data, 9)
}

fn content(page: &Page, scale: f64, faces: &mut Faces) -> Vec<u8> {
    let mut content = Content::new();
    // From here on mm, y down, as in the display list.
    let height = page.sheet.height * scale;
    content.transform([scale as f32, 0.0, 0.0, -scale as f32, 0.0, height as f32]);
    if let Some(Window { from, place, .. }) = page.window {
        let [corner, ..] = place.corners();
        content.save_state();
        let (width, height) = (2.0 * place.half_width, 2.0 * place.half_height);
        content.rect(corner.x as f32, corner.y as f32, width as f32, height as f32).clip_nonzero().end_path();
        content.transform([1.0, 0.0, 0.0, 1.0, (corner.x - from.x) as f32, (corner.y - from.y) as f32]);
        content.x_object(Name(b"D")).restore_state();
    }
    marks(&mut content, faces, page.sheet);
    content.finish().to_vec()
}

fn marks(content: &mut Content, faces: &mut Faces, sheet: &Sheet) {
    content.set_line_join(LineJoinStyle::RoundJoin).set_line_cap(LineCapStyle::ButtCap);
    for mark in &sheet.marks {
        match mark {
            Mark::Path(path) => draw_path(content, path),
            Mark::Text(text) => draw_text(content, faces, text),
        }
    }
}

fn draw_path(content: &mut Content, path: &Path) {
    for line in &path.lines {
        for (i, p) in line.points.iter().enumerate() {
            if i == 0 {
                content.move_to(p.x as f32, p.y as f32)
            } else {
                content.line_to(p.x as f32, p.y as f32)
            };
        }
        if line.closed {
            content.close_path();
        }
    }
    if let Some(tone) = path.fill {
        content.set_fill_gray(tone as f32);
    }
    if let Some(stroke) = path.stroke {
        content.set_stroke_gray(stroke.tone as f32).set_line_width(stroke.width as f32);
        content.set_dash_pattern(stroke.dash.into_iter().flatten().map(|mm| mm as f32), 0.0);
    }
    match (path.fill.is_some(), path.stroke.is_some()) {
        (true, true) => content.fill_even_odd_and_stroke(),
        (true, false) => content.fill_even_odd(),
        (false, true) => content.stroke(),
        (false, false) => content.end_path(),
    };
}

fn draw_text(content: &mut Content, faces: &mut Faces, text: &Text) {
    let words = clean(&text.content);
    let (glyphs, ems) = faces.set(&words, text.bold);
    let room = 2.0 * text.frame.half_width;
    let natural = ems * text.size;
    // Letters whose width was only guessed are squeezed into their box.
    let squeeze = if natural > room && !is_measured(&words) && natural > 0.0 { room / natural } else { 1.0 };
    let width = natural * squeeze;
    let along = match text.anchor {
        Anchor::Start => -text.frame.half_width,
        Anchor::Middle => -width / 2.0,
        Anchor::End => text.frame.half_width - width,
    };
    let base = text.frame.at(along, text.size * 0.27);
    let (sine, cosine) = sine_cosine(text.frame.turn);
    let (sine, cosine) = (sine as f32, cosine as f32);
    content.begin_text().set_fill_gray(0.0).set_font(Name(NAMES[usize::from(text.bold)]), text.size as f32);
    content.set_horizontal_scaling((squeeze * 100.0) as f32);
    content.set_text_matrix([cosine, sine, sine, -cosine, base.x as f32, base.y as f32]);
    content.show(Str(&glyphs)).end_text();
}
