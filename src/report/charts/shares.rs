//! Shares per lighting: how much of the frame's light each light gives, the ambient, and what is not told, as stacked bars.

use super::super::{LightingRow, Report};
use super::ink::{BAND, EDGE, FIRM, INK, PAPER, PLOT_RIGHT, RULE, SMALL, SOFT, WIDTH};
use super::lettering::{Anchor, Fonts};
use super::lit::{names, places};
use super::shapes::{Key, hatched, patterned};
use super::sheet::{Area, PLAIN, Sheet, Style, readable};
use super::thin::step_that_fits;
use super::wording::count;
use super::{Laid, heading};

/// Up to this many lightings have words beside their bar; beyond it bars only get lower.
const WORDED: usize = 32;
/// Where bars begin: right of the words.
const LEFT: f64 = 420.0;
/// A rest of less than this many percent is rounding, and left blank.
const ROUNDING: f64 = 2.0;

/// A share as people read it, without more digits than such a share has.
fn percent(share: f64) -> String {
    super::super::words::percent(share).replace('\u{a0}', " ")
}

/// A piece of a bar.
#[derive(Clone, Debug, PartialEq)]
enum Piece {
    /// A light, by its place among the names.
    Light(usize, f64),
    Ambient(f64),
    /// The ambient where no more than an upper end is known.
    AmbientAtMost(f64),
    NotTold(f64),
}

impl Piece {
    fn share(&self) -> f64 {
        match self {
            Self::Light(_, share) | Self::Ambient(share) | Self::AmbientAtMost(share) | Self::NotTold(share) => *share,
        }
    }

    fn name(&self, names: &[String]) -> String {
        match self {
            Self::Light(place, _) => names.get(*place).cloned().unwrap_or_default(),
            Self::Ambient(_) => "ambient".to_owned(),
            Self::AmbientAtMost(_) => "ambient at most".to_owned(),
            Self::NotTold(_) => "not told".to_owned(),
        }
    }
}

/// Lays the chart out; None where no lighting has a share that is known.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Option<Laid> {
    let names = names(report);
    let places = places(report, &names);
    let bars: Vec<(&LightingRow, Vec<Piece>)> =
        report.lightings.iter().map(|row| (row, pieces(row, &places))).collect();
    let known = |pieces: &[Piece]| pieces.iter().any(|piece| !matches!(piece, Piece::NotTold(_)));
    if !bars.iter().any(|(_, pieces)| known(pieces)) {
        return None;
    }
    let title = title(&bars, &names);
    let detail = detail(&bars, &names);
    let mut sheet = Sheet::new(WIDTH);
    let baseline = heading(&mut sheet, fonts, &title);
    let baseline = key(&mut sheet, fonts, baseline, &bars, &names);
    let top = baseline + 52.0;
    let worded = bars.len() <= WORDED;
    let row =
        if worded { if bars.len() <= 14 { 54.0 } else { 42.0 } } else { (1400.0 / bars.len() as f64).clamp(2.0, 20.0) };
    let left = if worded { LEFT } else { EDGE + 136.0 };
    let bottom = top + row * bars.len() as f64;
    axis(&mut sheet, (left, top, bottom));
    // Layers lie over each other in the order they are begun: words last.
    for layer in ["lights", "ambient", "not-told", "bar-words"] {
        sheet.layer(layer);
    }
    let mut numbers = Vec::new();
    for (place, (lighting, pieces)) in bars.iter().enumerate() {
        let y = top + row * place as f64;
        if worded {
            words(&mut sheet, fonts, lighting, (left, y, row));
        } else {
            numbers.push((lighting.lighting, y + row / 2.0, PLAIN.size));
        }
        let air = (row * 0.16).min(8.0);
        let area = Area { left, right: PLOT_RIGHT, top: y + air, bottom: y + row - air };
        bar(&mut sheet, fonts, area, pieces, &names, worded);
    }
    let step = step_that_fits(&numbers, (top - PLAIN.size, bottom + PLAIN.size), 2.0);
    sheet.layer("lighting-numbers");
    for (number, y, _) in numbers.iter().filter(|(number, _, _)| number.is_multiple_of(step)) {
        sheet.text((EDGE, y + 8.0), number.to_string(), Style { bold: true, ..PLAIN });
    }
    sheet.height = (bottom + EDGE).ceil();
    Some(Laid { name: "shares-per-lighting", title, detail, sheet })
}

/// The bar of one lighting, always 100 percent wide or, by less than rounding, a little short.
fn pieces(row: &LightingRow, places: &[Option<usize>]) -> Vec<Piece> {
    let account = &row.detail.light_account;
    let share = |value: Option<f64>| value.filter(|percent| percent.is_finite() && *percent > 0.0);
    let on = account.each_light.iter().filter(|state| state.on == "yes");
    let mut pieces: Vec<Piece> = on
        .filter_map(|state| {
            Some(Piece::Light(places.get(state.light_index).copied().flatten()?, share(state.share_of_frame_percent)?))
        })
        .collect();
    let total = |pieces: &[Piece]| pieces.iter().map(Piece::share).sum::<f64>();
    match share(account.ambient.share_percent) {
        Some(percent) if account.ambient.at_most => {
            let room = (100.0 - total(&pieces)).max(0.0).min(percent);
            if room > 0.0 {
                pieces.push(Piece::AmbientAtMost(room));
            }
        }
        Some(percent) => pieces.push(Piece::Ambient(percent)),
        None => {}
    }
    let sum = total(&pieces);
    if sum > 100.0 {
        // Each share is a median over its own shots: together they may come out a little over the whole.
        for piece in &mut pieces {
            match piece {
                Piece::Light(_, share) | Piece::Ambient(share) | Piece::AmbientAtMost(share) => *share *= 100.0 / sum,
                Piece::NotTold(_) => {}
            }
        }
    } else if 100.0 - sum >= ROUNDING {
        pieces.push(Piece::NotTold(100.0 - sum));
    }
    pieces
}

fn title(bars: &[(&LightingRow, Vec<Piece>)], names: &[String]) -> String {
    let of = count(bars.len(), "lighting", "lightings");
    let lights = bars.iter().flat_map(|(row, pieces)| pieces.iter().map(move |piece| (row.lighting, piece)));
    let most = lights
        .filter_map(
            |(lighting, piece)| {
                if let Piece::Light(place, share) = piece { Some((lighting, *place, *share)) } else { None }
            },
        )
        .reduce(|a, b| if b.2 > a.2 { b } else { a });
    match most {
        Some((lighting, place, share)) => format!(
            "Shares of the frame’s light in {of}: the largest is that of {} in lighting {lighting}, {}",
            names.get(place).map_or("", String::as_str),
            percent(share)
        ),
        None => format!("Shares of the frame’s light in {of}: no light’s share is known"),
    }
}

/// What the chart shows beyond its title, in words: every bar, as long as that can be listened to.
fn detail(bars: &[(&LightingRow, Vec<Piece>)], names: &[String]) -> String {
    let mut text =
        "A bar per lighting: each light’s share of the frame’s light at the settings of its most shot stage, then the \
                    ambient, then what is not told."
            .to_owned();
    for (row, pieces) in bars.iter().take(12) {
        let said: Vec<String> = pieces.iter().map(|p| format!("{} {}", p.name(names), percent(p.share()))).collect();
        text.push_str(&format!(" Lighting {}: {}.", row.lighting, said.join(", ")));
    }
    if bars.len() > 12 {
        text.push_str(&format!(" {} more in lighting.csv and light-ledger.csv.", bars.len() - 12));
    }
    text
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64, bars: &[(&LightingRow, Vec<Piece>)], names: &[String]) -> f64 {
    sheet.layer("key");
    let mut key = Key { fonts, x: EDGE, y: baseline };
    let area = |(x, y): (f64, f64)| Area { left: x - 18.0, top: y - 10.0, right: x + 18.0, bottom: y + 10.0 };
    for (place, name) in names.iter().enumerate() {
        let name = fonts.cut(&readable(name), PLAIN.size, false, 360.0);
        key.say(sheet, 36.0, &name, |sheet, at| patterned(sheet, area(at), place));
    }
    let has = |wanted: fn(&Piece) -> bool| bars.iter().flat_map(|(_, pieces)| pieces).any(wanted);
    if has(|piece| matches!(piece, Piece::Ambient(_))) {
        key.say(sheet, 36.0, "ambient", |sheet, at| ambient(sheet, area(at)));
    }
    if has(|piece| matches!(piece, Piece::NotTold(_) | Piece::AmbientAtMost(_))) {
        key.say(sheet, 36.0, "not told, or at most", |sheet, at| hatched(sheet, area(at), FIRM));
    }
    key.y
}

fn axis(sheet: &mut Sheet, (left, top, bottom): (f64, f64, f64)) {
    sheet.layer("axis");
    for quarter in 0..=4_u8 {
        let x = left + (PLOT_RIGHT - left) * f64::from(quarter) / 4.0;
        sheet.down(x, (top, bottom), 1.0, RULE);
        let anchor = if quarter == 4 { Anchor::End } else { Anchor::Middle };
        sheet.text((x, top - 12.0), format!("{} %", quarter * 25), Style { anchor, ink: SOFT, ..PLAIN });
    }
    sheet.text((EDGE, top - 12.0), "lighting", Style { ink: SOFT, ..PLAIN });
    sheet.across((EDGE, PLOT_RIGHT), top, 1.0, FIRM);
    sheet.across((EDGE, PLOT_RIGHT), bottom, 1.0, FIRM);
}

fn words(sheet: &mut Sheet, fonts: &Fonts, lighting: &LightingRow, (left, top, row): (f64, f64, f64)) {
    sheet.layer("words");
    let baseline = top + row / 2.0 + 8.0;
    let start = EDGE + fonts.width("000", PLAIN.size, true) + 12.0;
    sheet.text((EDGE, baseline), lighting.lighting.to_string(), Style { bold: true, ..PLAIN });
    let said = super::super::words::true_minus(&readable(&lighting.changed));
    let said = fonts.cut(&said, SMALL, false, left - start - 16.0);
    sheet.text((start, baseline), said, Style { size: SMALL, ..PLAIN });
}

fn ambient(sheet: &mut Sheet, area: Area) {
    let (width, height) = (area.right - area.left, area.bottom - area.top);
    sheet.rect((area.left, area.top), width, height, BAND);
    sheet.across((area.left, area.right), area.top, 1.5, SOFT);
    sheet.across((area.left, area.right), area.bottom, 1.5, SOFT);
    sheet.down(area.right, (area.top, area.bottom), 2.0, SOFT);
}

fn bar(sheet: &mut Sheet, fonts: &Fonts, area: Area, pieces: &[Piece], names: &[String], worded: bool) {
    let mut x = area.left;
    for piece in pieces {
        let right = x + (area.right - area.left) * piece.share() / 100.0;
        let own = Area { left: x, right: (right - 2.0).max(x + 0.5), ..area };
        match piece {
            Piece::Light(place, _) => {
                sheet.layer("lights");
                patterned(sheet, own, *place);
            }
            Piece::Ambient(_) => {
                sheet.layer("ambient");
                ambient(sheet, own);
            }
            Piece::AmbientAtMost(_) | Piece::NotTold(_) => {
                sheet.layer("not-told");
                hatched(sheet, own, FIRM);
            }
        }
        let name = readable(&piece.name(names));
        let full = format!("{name} {}", percent(piece.share()));
        let style = Style { size: SMALL, anchor: Anchor::Middle, ink: INK, ..PLAIN };
        let room = own.right - own.left - 20.0;
        let fits = [full, name].into_iter().find(|text| fonts.width(text, SMALL, false) <= room);
        if let Some(text) = fits.filter(|_| worded) {
            let (middle, width) = (f64::midpoint(own.left, own.right), fonts.width(&text, SMALL, false));
            let baseline = f64::midpoint(area.top, area.bottom) + 8.0;
            sheet.layer("bar-words");
            sheet.rect((middle - width / 2.0 - 5.0, baseline - 18.0), width + 10.0, 24.0, PAPER);
            sheet.text((middle, baseline), text, style);
        }
        x = right;
    }
}
