//! What a change did, in sentences: the settings' part in stops, then what the picture did beyond them.

use super::document::Text;
use crate::report::{AccountLine, StageAccount, StageRow, words};

/// The sentences of the stage that a change begins with.
pub fn sentences(stage: &StageRow) -> Text {
    let Some(account) = &stage.detail.account else {
        let level = stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
        return Text::plain(format!("The account begins here, at {level} against mid-grey."));
    };
    let mut said: Vec<String> = account.lines.iter().map(setting).collect();
    if account.lines.is_empty() {
        said.push("The settings stayed as they were.".to_owned());
    }
    said.push(beyond(account));
    said.push(level(account));
    Text::led("What it did.", format!(" {}", said.join(" ")))
}

/// "Aperture f/5.6 to f/8 takes 1.0 stop from flash and ambient alike."
fn setting(line: &AccountLine) -> String {
    let name = format!("{} {} to {}", words::capital(&line.setting), line.from, line.to);
    match (line.flash_stops, line.ambient_stops) {
        (Some(flash), Some(ambient)) if words::stops(flash) == words::stops(ambient) => match sign(flash) {
            Sign::More => format!("{name} gives {} to flash and ambient alike.", size(flash)),
            Sign::Less => format!("{name} takes {} from flash and ambient alike.", size(flash)),
            Sign::Same => format!("{name} changes neither flash nor ambient."),
        },
        (Some(flash), Some(ambient)) => {
            format!("{name}: {} on flash, {} on ambient.", words::stops_unit(flash), words::stops_unit(ambient))
        }
        (None, Some(ambient)) => {
            format!("{name}: {} on ambient; on flash {}.", words::stops_unit(ambient), words::NOT_KNOWN)
        }
        _ => format!("{name}: what it does is not known."),
    }
}

/// What the picture did beyond the settings.
fn beyond(account: &StageAccount) -> String {
    let why = if account.why_unknown.is_empty() { String::new() } else { format!("; {}", account.why_unknown) };
    match (account.light_stops, account.light_stops_low, account.light_stops_high) {
        (Some(stops), _, _) if stops.is_finite() => match sign(stops) {
            Sign::More => format!("Beyond the settings the picture gained {}.", size(stops)),
            Sign::Less => format!("Beyond the settings the picture lost {}.", size(stops)),
            Sign::Same => "Beyond the settings the picture stayed as bright as it was.".to_owned(),
        },
        (None, Some(low), Some(high)) => {
            format!("Beyond the settings the picture changed by {}{why}.", words::stops_between(low, high))
        }
        _ => format!("What it did beyond the settings is not known{why}."),
    }
}

fn level(account: &StageAccount) -> String {
    match (account.brought_forward_stops, account.stands_at_stops) {
        (Some(before), Some(now)) if before.is_finite() && now.is_finite() => {
            format!("As shot it went from {} to {} against mid-grey.", words::stops(before), words::stops_unit(now))
        }
        (_, Some(now)) if now.is_finite() => {
            format!("As shot it stands at {} against mid-grey.", words::stops_unit(now))
        }
        _ => "Its level as shot is not known.".to_owned(),
    }
}

/// What a figure in stops reads as.
enum Sign {
    More,
    Less,
    Same,
}

fn sign(stops: f64) -> Sign {
    match words::stops(stops) {
        read if read.starts_with('+') => Sign::More,
        read if read.starts_with('\u{2212}') => Sign::Less,
        _ => Sign::Same,
    }
}

/// "1.0 stop", without its sign.
fn size(stops: f64) -> String {
    words::stops_unit(stops.abs()).trim_start_matches('+').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::StageDetail;
    use crate::report::recap::document::Span;

    fn said(account: Option<StageAccount>) -> String {
        let stage = StageRow {
            mean_luminance_stops: Some(-1.3),
            detail: StageDetail { account, ..StageDetail::default() },
            ..StageRow::default()
        };
        let spans = sentences(&stage).0.into_iter();
        spans
            .map(|s| match s {
                Span::Plain(t) | Span::Strong(t) => t,
            })
            .collect::<String>()
            .replace('\u{a0}', " ")
    }

    fn turned(setting: &str, from: &str, to: &str, flash: Option<f64>, ambient: Option<f64>) -> AccountLine {
        AccountLine {
            setting: setting.to_owned(),
            from: from.to_owned(),
            to: to.to_owned(),
            flash_stops: flash,
            ambient_stops: ambient,
        }
    }

    #[test]
    fn the_account_reads_as_sentences() {
        assert_eq!(said(None), "The account begins here, at −1.3 stops against mid-grey.");
        let account = StageAccount {
            brought_forward_stops: Some(-1.7),
            stands_at_stops: Some(-1.6),
            lines: vec![turned("aperture", "f/5.6", "f/8", Some(-1.0), Some(-1.0))],
            light_stops: Some(1.1),
            ..StageAccount::default()
        };
        assert_eq!(
            said(Some(account.clone())),
            "What it did. Aperture f/5.6 to f/8 takes 1.0 stop from flash and ambient alike. Beyond the settings the \
             picture gained 1.1 stops. As shot it went from −1.7 to −1.6 stops against mid-grey."
        );
        let dark =
            StageAccount { lines: Vec::new(), light_stops: Some(-0.04), stands_at_stops: None, ..account.clone() };
        assert_eq!(
            said(Some(dark)),
            "What it did. The settings stayed as they were. Beyond the settings the picture stayed as bright as it was. \
             Its level as shot is not known."
        );
        let less = StageAccount { light_stops: Some(-1.3), ..account.clone() };
        assert!(said(Some(less)).contains("Beyond the settings the picture lost 1.3 stops."));
        let shutter = StageAccount {
            lines: vec![turned("shutter", "1/200", "1/50", Some(0.0), Some(2.0))],
            light_stops: None,
            light_stops_low: Some(-2.3),
            light_stops_high: Some(-0.3),
            why_unknown: "how much of the picture is ambient is not known".to_owned(),
            ..account
        };
        assert!(said(Some(shutter)).contains(
            "Shutter 1/200 to 1/50: 0.0 stop on flash, +2.0 stops on ambient. Beyond the settings the picture changed by \
             −2.3 to −0.3 stops; how much of the picture is ambient is not known."
        ));
    }
}
