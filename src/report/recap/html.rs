//! The recap as one page that needs no network: pictures are in it, nothing can run in it, and its size has a limit.
//!
//! Where prints of all lightings do not fit, every lighting is shown by its preview; a picture that does not fit at all is
//! named by its file beside the page. A picture that is shown more than once is held once.

use std::collections::{BTreeMap, BTreeSet};

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{Markup, html};

use super::document::{Block, Document, Figure, Part, Span, Table, Text};
use super::pictures::{Gallery, Image};
use crate::report::shell::Shell;
use crate::report::words;

const STYLE: &str = include_str!("recap.css");

/// The page stays under this many bytes: what a mail takes with room to spare.
pub const BUDGET: usize = 8_000_000;
/// Of these, what pictures may take; words of a hundred lightings need less than the rest.
const PICTURES: usize = 7_000_000;

/// The page.
#[must_use]
pub fn write(document: &Document, gallery: &Gallery) -> String {
    let plan = Plan::of(document, gallery);
    let shell = Shell { title: words::visible(&document.title), style: STYLE, ..Shell::default() };
    shell.around(&html! {
        (plan.held(gallery))
        header { h1 { bdi { (words::visible(&document.title)) } } @for block in &document.opening { (plan.block(block, gallery)) } }
        main {
            @for chapter in &document.chapters {
                section { h2 { bdi { (words::visible(&chapter.heading)) } } @for block in &chapter.blocks { (plan.block(block, gallery)) } }
            }
        }
    })
}

/// Which file each figure is shown by, decided once for the whole page.
struct Plan {
    /// Parts that are shown by their larger file.
    large: BTreeSet<Part>,
    /// Files that are in the page.
    shown: BTreeSet<String>,
    /// Of these, files that are shown more than once, with their number.
    held: BTreeMap<String, usize>,
}

impl Plan {
    fn of(document: &Document, gallery: &Gallery) -> Self {
        let chapters = document.chapters.iter().flat_map(|chapter| &chapter.blocks);
        let figures: Vec<&Figure> = document
            .opening
            .iter()
            .chain(chapters)
            .filter_map(|block| if let Block::Pictures(figures) = block { Some(figures) } else { None })
            .flatten()
            .collect();
        let size = |file: &str| gallery.images.get(file).map_or(0, |image| image.bytes.len().div_ceil(3) * 4);
        let sum = |files: &BTreeSet<&str>| files.iter().map(|file| size(file)).sum::<usize>();
        let small = |f: &&Figure| f.small.is_some();
        let mut large = BTreeSet::new();
        // A part is shown large where all of it fits beside everything else shown small; lightings come first.
        for part in [Part::Main, Part::Without] {
            let mut wish = large.clone();
            wish.insert(part);
            let files: BTreeSet<&str> = figures.iter().map(|f| chosen(f, &wish)).collect();
            if figures.iter().any(|f| f.part == part && small(f)) && sum(&files) <= PICTURES {
                large = wish;
            }
        }
        let mut by_part: Vec<&Figure> = figures.clone();
        by_part.sort_by_key(|figure| figure.part);
        let (mut shown, mut left) = (BTreeSet::new(), PICTURES);
        for figure in by_part {
            let file = chosen(figure, &large);
            if !shown.contains(file) && size(file) <= left {
                left -= size(file);
                shown.insert(file.to_owned());
            }
        }
        let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
        for figure in &figures {
            *uses.entry(chosen(figure, &large)).or_default() += 1;
        }
        let often = uses.into_iter().filter(|(file, uses)| *uses > 1 && shown.contains(*file));
        let held = often.map(|(file, _)| file.to_owned()).zip(1..).collect();
        Self { large, shown, held }
    }

    /// Pictures that are shown more than once.
    fn held(&self, gallery: &Gallery) -> Markup {
        let images = || self.held.iter().filter_map(|(file, number)| Some((number, gallery.images.get(file)?)));
        html! {
            @if !self.held.is_empty() {
                svg.defs width="0" height="0" aria-hidden="true" { defs {
                    @for (number, image) in images() {
                        image id=(format!("p{number}")) width=(image.width) height=(image.height) href=(data(image)) {}
                    }
                } }
            }
        }
    }

    fn block(&self, block: &Block, gallery: &Gallery) -> Markup {
        match block {
            Block::Heading(heading) => html! { h3 { (words::visible(heading)) } },
            Block::Paragraph(text) => html! { p { (spans(text)) } },
            Block::List(points) => html! { ul { @for point in points { li { (spans(point)) } } } },
            Block::Table(rows) => table(rows),
            Block::Pictures(figures) => html! {
                div class=(if figures.len() == 1 { lone(figures) } else { "pics" }) {
                    @for figure in figures { (self.figure(figure, gallery)) }
                }
            },
        }
    }

    fn figure(&self, figure: &Figure, gallery: &Gallery) -> Markup {
        let file = chosen(figure, &self.large);
        let alt = words::visible(&figure.alt);
        let image = gallery.images.get(file).filter(|_| self.shown.contains(file));
        html! {
            figure {
                @match (image, self.held.get(file)) {
                    (Some(image), Some(number)) => svg.pic viewBox=(format!("0 0 {} {}", image.width, image.height)) role="img" aria-label=(alt) {
                        use href=(format!("#p{number}")) {}
                    },
                    (Some(image), None) => img.pic src=(data(image)) alt=(alt) width=(image.width) height=(image.height) decoding="async";,
                    (None, _) => p.none { "Left out to keep this page small: " (figure.file) ". " (alt) "." },
                }
                @if !figure.caption.is_empty() { figcaption { bdi { (words::visible(&figure.caption)) } } }
            }
        }
    }
}

/// A lighting's picture and a plan stand alone and large; a small picture stays small.
fn lone(figures: &[Figure]) -> &'static str {
    match figures.first().map(|figure| figure.part) {
        Some(Part::Main) => "main",
        Some(Part::Plan) => "plan",
        _ => "pics",
    }
}

fn chosen<'a>(figure: &'a Figure, large: &BTreeSet<Part>) -> &'a str {
    let small = figure.small.as_deref().filter(|_| !large.contains(&figure.part));
    small.unwrap_or(&figure.file)
}

fn data(image: &Image) -> String {
    format!("data:{};base64,{}", image.kind, STANDARD.encode(&image.bytes))
}

fn spans(text: &Text) -> Markup {
    html! {
        @for span in &text.0 {
            @match span {
                Span::Plain(plain) => (words::visible(plain)),
                Span::Strong(strong) => b { bdi { (words::visible(strong)) } },
            }
        }
    }
}

fn table(table: &Table) -> Markup {
    let right = |column: usize| table.figures.get(column).copied().unwrap_or(false).then_some("r");
    html! {
        div.tw tabindex="0" role="region" aria-label=(words::visible(&table.caption)) {
            table.wordy[table.wordy] {
                thead { tr { @for (column, head) in table.head.iter().enumerate() { th scope="col" class=[right(column)] { (words::visible(head)) } } } }
                tbody { @for row in &table.rows {
                    tr { @for (column, cell) in row.iter().enumerate() {
                        @if column == 0 { th scope="row" class=[right(0)] { bdi { (words::visible(cell)) } } }
                        @else { td class=[right(column)] data-th=[table.head.get(column)] { bdi { (words::visible(cell)) } } }
                    } }
                } }
            }
        }
    }
}
