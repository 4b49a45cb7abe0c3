//! The counted keepers as rows and words: which lighting gave them, over which candidates, and whether it gave more

use crate::keepers::count::Count;
use crate::keepers::count::candidates::{TEST_GAP_S, TEST_SHOTS};
use crate::keepers::count::compare::{Comparison, Difference, LEAST_SERIES};
use crate::keepers::count::tally::Tally;
use crate::keepers::proportion::Of;
use crate::report::keeper_types::{Compared, KeeperCount, KeeperCountRow};
use crate::report::words;
use crate::report::{LightingRow, StageRow};

/// More lightings than this with a keeper are not named in a sentence.
const NAMED: usize = 3;

/// The count as the report holds it.
#[must_use]
pub fn report(count: &Count) -> KeeperCount {
    KeeperCount {
        given: count.given,
        not_found: count.not_found,
        summary: summary(count),
        comparison: comparison(count),
        caution: caution(count),
        rule: rule(count.judged),
        compared: match &count.comparison {
            Comparison::Made(made) => Some(compared(made, count.compared_camera.as_deref())),
            _ => None,
        },
        rows: rows(count),
    }
}

/// Fills the cells that stages and lightings share: two types of row with the same columns.
macro_rules! fill {
    ($row:ident, $tally:ident) => {
        let interval = $tally.interval();
        $row.keepers = Some($tally.keepers);
        $row.kept_series = $tally.series.map(|s| s.some);
        $row.candidate_series = $tally.series.map(|s| s.all);
        $row.candidate_shots = Some($tally.shots);
        $row.keeper_rate = $tally.rate();
        $row.keeper_rate_low = interval.map(|i| i.low);
        $row.keeper_rate_high = interval.map(|i| i.high);
        $row.candidates = candidates($tally);
    };
}

/// Fills the cells of a stage.
pub fn stage(row: &mut StageRow, count: &Count) {
    let Some(tally) = (row.stage as usize).checked_sub(1).and_then(|n| count.stages.get(n)) else { return };
    fill!(row, tally);
}

/// Fills the cells of a lighting.
pub fn lighting(row: &mut LightingRow, count: &Count) {
    let Some(tally) = count.lightings.get(&row.lighting) else { return };
    fill!(row, tally);
    row.seconds = count.lighting_seconds.get(&row.lighting).copied().flatten();
}

fn rows(count: &Count) -> Vec<KeeperCountRow> {
    let numbered = |what: &'static str, tallies: &std::collections::BTreeMap<u32, Tally>| {
        tallies.iter().map(|(n, tally)| row(what, &n.to_string(), tally)).collect::<Vec<_>>()
    };
    let mut rows = vec![row("shoot", "", &count.whole)];
    for mut of_lighting in numbered("lighting", &count.lightings) {
        let number = of_lighting.value.parse::<u32>().ok();
        of_lighting.seconds = number.and_then(|n| count.lighting_seconds.get(&n).copied().flatten());
        rows.push(of_lighting);
    }
    rows.extend((1_u32..).zip(&count.stages).map(|(n, tally)| row("stage", &n.to_string(), tally)));
    rows.extend(numbered("setup", &count.setups));
    rows.extend(count.lenses.iter().map(|(lens, tally)| row("lens", lens, tally)));
    rows.extend(count.lights.iter().map(|(light, tally)| row("light", light, tally)));
    rows
}

fn row(what: &str, value: &str, tally: &Tally) -> KeeperCountRow {
    let interval = tally.interval();
    KeeperCountRow {
        what: what.to_owned(),
        value: value.to_owned(),
        keepers: tally.keepers,
        kept_series: tally.series.map(|s| s.some),
        series: tally.series.map(|s| s.all),
        shots: tally.shots,
        rate: tally.rate(),
        rate_low: interval.map(|i| i.low),
        rate_high: interval.map(|i| i.high),
        perhaps: tally.perhaps,
        shots_not_judged: tally.left_out.not_judged,
        shots_without_picture: tally.left_out.no_picture,
        shots_misfired: tally.left_out.misfire,
        shots_of_tests: tally.left_out.test,
        seconds: None,
        candidates: candidates(tally),
    }
}

/// "12 series in 31 shots; left out: 3 shots of tests, 1 shot with a misfire".
fn candidates(tally: &Tally) -> String {
    let shots = counted(tally.shots, "shot", "shots");
    let held = match tally.series {
        _ if tally.shots == 0 => "none".to_owned(),
        Some(series) => format!("{} in {shots}", counted(series.all, "series", "series")),
        None => shots,
    };
    let left = &tally.left_out;
    let out: Vec<String> = [
        (left.test, "of tests"),
        (left.misfire, "with a misfire"),
        (left.no_picture, "without a picture"),
        (left.not_judged, "not judged"),
    ]
    .into_iter()
    .filter(|(number, _)| *number > 0)
    .map(|(number, why)| format!("{} {why}", counted(number, "shot", "shots")))
    .collect();
    if out.is_empty() { held } else { format!("{held}; left out: {}", out.join(", ")) }
}

fn counted(number: u32, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// Which shots were candidates, as a photographer may sign it.
fn rule(judged: bool) -> String {
    let unit = "The unit is the series, because shots of a burst are kept or dropped together: a series is a candidate \
                when one of its shots is, and kept when one of its shots is.";
    let which = if judged {
        "Candidates are the shots that ratings judged, kept or refused; nobody is known to have looked at the others, so they are no failures."
            .to_owned()
    } else {
        format!(
            "Candidates are all shots but these: shots without a picture that could be read; shots in which a light \
             that was set on did not burn; tests of the build, which are runs of at most {TEST_SHOTS} shots at one \
             lighting with none kept and another lighting within {:.0} minutes.",
            TEST_GAP_S / 60.0
        )
    };
    format!("{which} A kept shot always is one. {unit}")
}

/// "lighting 7 gave 6 of the 9 keepers, from 6 of 9 series; lighting 8 gave 2, from 2 of 3 series".
fn summary(count: &Count) -> String {
    let whole = &count.whole;
    let all = whole.keepers;
    let found = match (count.given, count.not_found) {
        (0, _) => return none(0),
        (_, 0) => String::new(),
        (given, lost) if given == lost => return none(given),
        (given, lost) => {
            format!("; {lost} of the {given} given {} no shot of this shoot", if lost == 1 { "is" } else { "are" })
        }
    };
    if all == 0 {
        return format!("no keeper among the shots{found}");
    }
    let mut gave: Vec<(u32, &Tally)> =
        count.lightings.iter().map(|(n, t)| (*n, t)).filter(|(_, t)| t.keepers > 0).collect();
    gave.sort_by_key(|(number, tally)| (std::cmp::Reverse(tally.keepers), *number));
    let Some((first, rest)) = gave.split_first() else {
        return format!("{}{}{found}", counted(all, "keeper", "keepers"), from(whole.series, true));
    };
    let of_all =
        if all == 1 { "the one keeper".to_owned() } else { format!("{} of the {all} keepers", first.1.keepers) };
    let mut parts = vec![format!("lighting {} gave {of_all}{}", first.0, from(first.1.series, true))];
    parts.extend(
        rest.iter()
            .take(NAMED - 1)
            .map(|(number, tally)| format!("lighting {number} gave {}{}", tally.keepers, from(tally.series, false))),
    );
    let more = &rest.get(NAMED - 1..).unwrap_or_default();
    if !more.is_empty() {
        let keepers: u32 = more.iter().map(|(_, tally)| tally.keepers).sum();
        let lightings = if more.len() == 1 { "one more lighting" } else { &format!("{} more lightings", more.len()) };
        parts.push(format!("{lightings} gave {keepers}"));
    }
    format!("{}{found}", parts.join("; "))
}

fn none(given: usize) -> String {
    match given {
        0 => "no keeper was given".to_owned(),
        1 => "the one keeper given is no shot of this shoot".to_owned(),
        many => format!("none of the {many} keepers given is a shot of this shoot"),
    }
}

/// ", from 6 of 9 series"; nothing where series are not told apart.
fn from(series: Option<Of>, in_full: bool) -> String {
    let unit = if in_full { " series" } else { "" };
    series.filter(|s| s.all > 0).map_or_else(String::new, |s| format!(", from {} of {}{unit}", s.some, s.all))
}

fn comparison(count: &Count) -> String {
    match &count.comparison {
        Comparison::NotTold if count.lightings.is_empty() => {
            "which lighting gave more cannot be said: the lights are not told apart".to_owned()
        }
        Comparison::NotTold => "which lighting gave more cannot be said: series are not told apart".to_owned(),
        Comparison::TooFew => {
            format!("no lighting can be called better: none has {LEAST_SERIES} series or more that were candidates")
        }
        Comparison::TooFewOthers(0) => {
            "no lighting can be called better: no other has a series that was a candidate".to_owned()
        }
        Comparison::TooFewOthers(series) => format!(
            "no lighting can be called better: the others have only {series} candidate series together, fewer than {LEAST_SERIES}"
        ),
        Comparison::Made(made) => {
            let camera = count.compared_camera.as_ref().map_or_else(String::new, |c| format!("on {c}, "));
            let said = difference(made);
            if made.better() {
                format!("{camera}{said}")
            } else {
                format!("{camera}no lighting can be called better: {said}")
            }
        }
    }
}

/// "lighting 5 kept 9 of 31 series, against 2 of 28 in lighting 3, a difference of 1 to 41 points (95 %)".
fn difference(made: &Difference) -> String {
    let rest = match made.others.as_slice() {
        [only] => format!("lighting {only}"),
        many => format!("the other {} together", words::spelled(many.len())),
    };
    format!(
        "lighting {} kept {} of {} series, against {} of {} in {rest}, a difference of {} points (95 %)",
        made.best.lighting,
        made.best.series.some,
        made.best.series.all,
        made.rest.some,
        made.rest.all,
        points(made.interval.low, made.interval.high),
    )
}

/// How the interval was made, and what none holds; empty where nothing was compared.
fn caution(count: &Count) -> String {
    let Comparison::Made(made) = &count.comparison else { return String::new() };
    let mut parts = Vec::new();
    if made.picked_from > 1 {
        let number = words::spelled(made.picked_from);
        parts.push(format!(
            "the interval is widened because the best of the {number} lightings with series enough was taken"
        ));
    }
    if made.few {
        let says = if made.exact_agrees() { "agrees" } else { "does not" };
        let may = if made.interval.low > 0.0 { format!(" and {says}") } else { String::new() };
        parts
            .push(format!("because counts are small, Fisher’s exact test is asked too{may} ({})", probability(made.p)));
    }
    parts.push(
        "shots of a burst are not independent, so series are counted and not shots; series shot one after the other share \
         sitter, pose and time of day as well, so take the interval as the least there is"
            .to_owned(),
    );
    parts.join("; ")
}

/// "2 to 40", "-16 to +36": percentage points, a sign on the upper end where the lower has one. Outwards, so that
/// an interval never looks narrower than it is.
fn points(least: f64, most: f64) -> String {
    let (low, high) = (libm::floor(least * 100.0 + 1e-9), libm::ceil(most * 100.0 - 1e-9));
    match () {
        () if least > 0.0 && low < 1.0 => format!("under 1 to {high:.0}"),
        () if low >= 0.0 => format!("{low:.0} to {high:.0}"),
        () => format!("\u{2212}{:.0} to {}{high:.0}", low.abs(), if high > 0.0 { "+" } else { "" }),
    }
}

fn probability(p: f64) -> String {
    if p < 0.001 { "p under 0.001".to_owned() } else { format!("p = {p:.3}") }
}

fn compared(made: &Difference, camera: Option<&str>) -> Compared {
    Compared {
        camera: camera.unwrap_or_default().to_owned(),
        best_lighting: made.best.lighting,
        best_kept_series: made.best.series.some,
        best_series: made.best.series.all,
        other_lightings: made.others.clone(),
        others_kept_series: made.rest.some,
        others_series: made.rest.all,
        picked_from: made.picked_from,
        difference_low: made.interval.low,
        difference_high: made.interval.high,
        fisher_p: made.p,
        small_counts: made.few,
        better: made.better(),
    }
}
