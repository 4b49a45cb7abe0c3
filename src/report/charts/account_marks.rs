//! The two marks of a stage change on the scale of stops: what the settings did, and what the light did beyond them.

use super::super::StageAccount;
use super::account_axis::Scale;
use super::ink::{FIRM, INK, Ink, SMALL, SOFT};
use super::lettering::{Anchor, Fonts};
use super::shapes::{hatched, ring};
use super::sheet::{Area, PLAIN, Sheet, Style, readable};
use super::wording::stops;

/// What is known of the light's own change.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Light {
    Known(f64),
    Between(f64, f64),
    AtLeast(f64),
    AtMost(f64),
    Unknown,
}

fn finite(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite())
}

fn light(account: &StageAccount) -> Light {
    let ends = (finite(account.light_stops_low), finite(account.light_stops_high));
    match (finite(account.light_stops), ends) {
        (Some(value), _) => Light::Known(value),
        (None, (Some(low), Some(high))) => Light::Between(low.min(high), low.max(high)),
        (None, (Some(low), None)) => Light::AtLeast(low),
        (None, (None, Some(high))) => Light::AtMost(high),
        (None, (None, None)) => Light::Unknown,
    }
}

/// How this chart draws its marks.
pub struct Pen<'a> {
    /// Where text widths come from.
    pub fonts: &'a Fonts,
    /// Where stops stand.
    pub scale: &'a Scale,
    /// Whether figures are written beside the marks.
    pub worded: bool,
    /// How thick a bar of the settings is.
    pub thick: f64,
    /// The colour of the row.
    pub ground: Ink,
}

impl Pen<'_> {
    /// Draws what the settings did, on the height `y`.
    pub fn settings(&self, sheet: &mut Sheet, account: &StageAccount, y: f64) {
        let (flash, ambient) = (finite(account.settings_flash_stops), finite(account.settings_ambient_stops));
        let zero = self.scale.x(0.0);
        sheet.layer("settings");
        if let Some(flash) = flash {
            self.bar(sheet, (zero, self.scale.x(flash)), y, self.thick, FIRM);
        }
        if let Some(ambient) = ambient {
            // The line goes on where the bar ends; inside the bar none is needed.
            let (bar, to) = (self.scale.x(flash.unwrap_or(0.0)), self.scale.x(ambient));
            let (left, right) = (bar.min(zero), bar.max(zero));
            sheet.across((to.min(left), left), y, 2.0, INK);
            sheet.across((right, to.max(right)), y, 2.0, INK);
            ring(sheet, (to, y), if self.worded { 8.0 } else { self.thick.max(2.0) }, INK);
        }
        let text = match (flash, ambient) {
            (Some(f), Some(a)) if f.abs() < 0.005 && a.abs() < 0.005 => "unchanged".to_owned(),
            (Some(f), Some(a)) if stops(f, true) == stops(a, true) => stops(f, true),
            (Some(f), Some(a)) => format!("{} flash, {} ambient", stops(f, true), stops(a, true)),
            (Some(f), None) => format!("{} flash, ambient not known", stops(f, true)),
            (None, Some(a)) => format!("flash not known, {} ambient", stops(a, true)),
            (None, None) => "settings not known".to_owned(),
        };
        let ends = [Some(0.0), flash, ambient].into_iter().flatten().map(|v| self.scale.x(v));
        let (left, right) = ends.fold((zero, zero), |(l, r), x| (l.min(x), r.max(x)));
        self.label(sheet, &text, (left - 15.0, right + 15.0), y, SOFT);
    }

    /// Draws what the light did, on the height `y`.
    pub fn light(&self, sheet: &mut Sheet, account: &StageAccount, y: f64) {
        let zero = self.scale.x(0.0);
        let thick = self.thick * 1.4;
        let (left, right) = (self.scale.left + 4.0, self.scale.right - 4.0);
        let area = |left: f64, right: f64| Area { left, right, top: y - thick / 2.0, bottom: y + thick / 2.0 };
        match light(account) {
            Light::Known(value) => {
                sheet.layer("light");
                let x = self.scale.x(value);
                self.bar(sheet, (zero, x), y, thick, INK);
                self.label(sheet, &stops(value, true), (zero.min(x) - 8.0, zero.max(x) + 8.0), y, INK);
            }
            Light::Between(low, high) => {
                sheet.layer("light-between");
                let (a, b) = (self.scale.x(low), self.scale.x(high));
                hatched(sheet, area(a, b.max(a + 4.0)), INK);
                let text = format!("{} to {}", stops(low, true), stops(high, true));
                self.label(sheet, &text, (a.min(zero) - 8.0, b.max(zero) + 8.0), y, INK);
            }
            Light::AtLeast(low) => {
                sheet.layer("light-between");
                hatched(sheet, area(self.scale.x(low), right), INK);
                self.label(sheet, &format!("{} or more", stops(low, true)), (self.scale.x(low) - 8.0, right), y, INK);
            }
            Light::AtMost(high) => {
                sheet.layer("light-between");
                hatched(sheet, area(left, self.scale.x(high)), INK);
                self.label(sheet, &format!("{} or less", stops(high, true)), (left, self.scale.x(high) + 8.0), y, INK);
            }
            Light::Unknown => {
                sheet.layer("light-unknown");
                let why = readable(&account.why_unknown);
                let text =
                    if why.trim().is_empty() { "light not known".to_owned() } else { format!("not known: {why}") };
                self.reason(sheet, &text, (zero + 15.0, y));
            }
        }
    }

    /// Writes a sentence from `at` on, or where it is too long over the whole width of the plot.
    fn reason(&self, sheet: &mut Sheet, text: &str, (x, y): (f64, f64)) {
        if !self.worded {
            return;
        }
        let style = Style { size: SMALL, ink: SOFT, ..PLAIN };
        let width = self.fonts.width(text, SMALL, false);
        if width <= self.scale.right - x {
            sheet.text((x, y + 8.0), text, style);
            return;
        }
        let cut = self.fonts.cut(text, SMALL, false, self.scale.right - self.scale.left);
        let width = self.fonts.width(&cut, SMALL, false);
        let left = (self.scale.right - width).min(x);
        sheet.rect((left - 8.0, y - 12.0), width + 12.0, 25.0, self.ground);
        sheet.text((left, y + 8.0), cut, style);
    }

    /// A bar between two places, at least as wide as a line where it means no change.
    fn bar(&self, sheet: &mut Sheet, (from, to): (f64, f64), y: f64, thick: f64, ink: Ink) {
        let (left, right) = (from.min(to), from.max(to));
        if right - left < 4.0 {
            let middle = f64::midpoint(left, right);
            sheet.rect((middle - 2.0, y - thick / 2.0), 4.0, thick, ink);
        } else {
            sheet.rect((left, y - thick / 2.0), right - left, thick, ink);
        }
    }

    /// Writes beside the marks between two edges: to the right where it fits, else to the left, else cut on the wider side.
    fn label(&self, sheet: &mut Sheet, text: &str, (left, right): (f64, f64), y: f64, ink: Ink) {
        if !self.worded {
            return;
        }
        let style = Style { size: SMALL, ink, ..PLAIN };
        let (room_left, room_right) = (left - self.scale.left, self.scale.right - right);
        let width = self.fonts.width(text, SMALL, false);
        let on_right = width <= room_right || (width > room_left && room_right >= room_left);
        let cut = self.fonts.cut(text, SMALL, false, if on_right { room_right } else { room_left });
        if on_right {
            sheet.text((right, y + 8.0), cut, style);
        } else {
            sheet.text((left, y + 8.0), cut, Style { anchor: Anchor::End, ..style });
        }
    }
}
