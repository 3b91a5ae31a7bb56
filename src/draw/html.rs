//! The booklet as one HTML page (WHATWG HTML): nothing is fetched, and it prints on A4 and Letter.

use std::fmt::Write as _;

use super::booklet::{Booklet, ClothWords, Grid, words};
use super::{DisplayList, svg};
use crate::units;

/// Prints in black, tables and drawings whole, each drawing on a page of its own, since it says itself how to lay the cloth; on
/// a narrow screen tables become stacked rows.
const STYLE: &str = "\
@page{margin:12mm}\
@page wide{size:landscape}\
*{box-sizing:border-box}\
body{font-family:sans-serif;line-height:1.4;color:#000;background:#fff;max-width:60rem;margin:0 auto;padding:1rem;overflow-wrap:break-word}\
h1{font-size:1.7rem;margin:0 0 .3rem}\
h2{font-size:1.25rem;margin:1.6rem 0 .4rem;border-bottom:2px solid #000;break-after:avoid}\
h3{font-size:1.05rem;margin:1rem 0 .3rem;break-after:avoid}\
table{border-collapse:collapse;width:100%}\
th,td{text-align:left;vertical-align:top;padding:.25rem .9rem .25rem 0;border-bottom:1px solid #888}\
th{border-bottom:2px solid #000}\
.n{text-align:right;white-space:nowrap}\
.tick{width:1.6rem}\
input{width:1.05rem;height:1.05rem;margin:.15rem 0}\
tr,li,figure,.caution{break-inside:avoid}\
thead{display:table-header-group}\
figure{margin:.6rem 0}\
figure svg{display:block;width:100%;height:auto;max-height:250mm;border:1px solid #888}\
.caution{border:2px solid #000;padding:.2rem 1rem;margin:1rem 0}\
@media screen and (max-width:40rem){\
thead{display:none}tr{display:block;padding:.4rem 0;border-bottom:1px solid #888}\
td{display:block;border:0;padding:0;text-align:left!important;white-space:normal!important}\
td[data-h]::before{content:attr(data-h) \": \";font-size:.85em}.tick{float:left;margin-right:.5rem}}\
@media print{body{padding:0;max-width:none;font-size:10.5pt}figure{margin:0}figure svg{border:0;max-height:250mm}.lay{break-before:page}.lay h2,.lay>ol{display:none}.wide{page:wide}.wide svg{max-height:184mm}}";

/// Writes a booklet.
pub fn write(booklet: &Booklet) -> String {
    let all = words(booklet);
    let mut out = String::new();
    let title = escaped(&all.title);
    // Nothing is ever fetched: the policy holds even if a name should slip something in.
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n<meta http-equiv=\"Content-Security-Policy\" \
         content=\"default-src 'none'; style-src 'unsafe-inline'\">\n<meta name=\"viewport\" content=\"width=device-width\">\n\
         <title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n"
    );
    if let Some(chosen) = &all.chosen {
        let _ = writeln!(out, "<p>{}</p>", escaped(chosen));
    }
    out.push_str("<h2>To buy</h2>\n");
    grid(&mut out, &all.buying, false);
    for line in &all.below_buying {
        let _ = writeln!(out, "<p>{}</p>", escaped(line));
    }
    if !all.compared.is_empty() {
        out.push_str("<h2>The choices compared</h2>\n");
        list(&mut out, "ul", &all.compared);
    }
    out.push_str("<section class=\"caution\"><h3>Take care</h3>\n");
    list(&mut out, "ul", &all.cautions.iter().map(|&line| line.to_owned()).collect::<Vec<_>>());
    out.push_str("</section>\n<h2>At the table</h2>\n");
    list(&mut out, "ol", &all.work);
    out.push_str("<h2>To cut</h2>\n");
    for cloth in &all.cloths {
        let _ = writeln!(out, "<h3>{}</h3>", escaped(&cloth.name));
        grid(&mut out, &cloth.cuts, true);
    }
    for (cloth, drawing) in all.cloths.iter().zip(booklet.drawings) {
        lay(&mut out, cloth, drawing);
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn lay(out: &mut String, cloth: &ClothWords, drawing: &DisplayList) {
    let _ = writeln!(out, "<section class=\"lay\"><h2>Laying {}</h2>", escaped(&cloth.name));
    list(out, "ol", &cloth.steps);
    for (sheet, drawing) in drawing.sheets.iter().zip(svg::write_sheets(drawing)) {
        // A drawing is a document of its own: within a page it goes without the declaration.
        let inner = drawing.find("<svg").map_or("", |start| &drawing[start..]);
        let class = if sheet.width > sheet.height { " class=\"wide\"" } else { "" };
        let _ = writeln!(out, "<figure{class}>{}</figure>", inner.trim_end());
    }
    out.push_str("</section>\n");
}

fn list(out: &mut String, tag: &str, lines: &[String]) {
    let _ = writeln!(out, "<{tag}>");
    for line in lines {
        let _ = writeln!(out, "<li>{}</li>", escaped(line));
    }
    let _ = writeln!(out, "</{tag}>");
}

fn grid(out: &mut String, grid: &Grid, with_ticks: bool) {
    let class = |figure: bool| if figure { " class=\"n\"" } else { "" };
    out.push_str("<table>\n<thead><tr>");
    if with_ticks {
        out.push_str("<th class=\"tick\"></th>");
    }
    for (head, &figure) in grid.heads.iter().zip(&grid.figures) {
        let _ = write!(out, "<th{}>{head}</th>", class(figure));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in &grid.rows {
        out.push_str("<tr>");
        if with_ticks {
            let name = escaped(row.first().map_or("", String::as_str));
            let _ = write!(out, "<td class=\"tick\"><input type=\"checkbox\" aria-label=\"{name} is cut\"></td>");
        }
        for ((cell, &figure), head) in row.iter().zip(&grid.figures).zip(&grid.heads) {
            let _ = write!(out, "<td{} data-h=\"{head}\">{}</td>", class(figure), escaped(cell));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

/// Text that HTML takes as text; no line of it ends within an amount.
fn escaped(text: &str) -> String {
    let words: Vec<String> = units::words(text).iter().map(|word| word.replace(' ', "\u{a0}")).collect();
    let mut out = String::with_capacity(text.len());
    for c in words.join(" ").chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}
