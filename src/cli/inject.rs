//! `--inject NAME=SEVERITY[@TIME][ ONSET]`: a fault from the command line.

use super::{Failure, faults};
use crate::fault::Fault;
use crate::form::snapped;
use crate::report::text;
use crate::scenario::{Comes, Event, Growth, LONGEST_OVER_S, Scenario};
use crate::units::{Dimension, echoed, parse, parse_with_unit};

/// What an onset may be.
const ONSETS: &str = "` over 5 min`, ` over 200 cycles` or ` from 50 degF to 10 degF` after it";
/// Least difference of the temperatures a fault grows between \[K\].
const LEAST_DIFFERENCE_K: f64 = 0.5;

/// Body temperatures a fault may grow between \[K\], as in files.
const BODY_K: (f64, f64) = (223.15, 333.15);

fn wrong(why: impl std::fmt::Display, help: impl std::fmt::Display) -> Failure {
    Failure::wrong(format!("error: --inject: {why}\n  try: {help}"))
}

/// Puts a fault among the events; it comes after those of the file at its time.
///
/// # Errors
/// A wrong name, severity, time or onset.
pub fn inject(scenario: &mut Scenario, text: &str) -> Result<(), Failure> {
    let short: String = text.chars().filter(|c| !c.is_control()).take(60).collect();
    let Some((name, rest)) = text.split_once('=') else {
        return Err(wrong(
            format!("`{short}` has no severity"),
            format!("`{short}=0.5`"),
        ));
    };
    let fault = faults::named(name.trim(), "--inject")?;
    if fault
        .side()
        .is_some_and(|side| side.container() >= scenario.rig.containers.len())
    {
        return Err(wrong(
            format!("`{fault}` strikes a side that this rig has not"),
            format!("`{}`", fault.id()),
        ));
    }
    if fault.burner().is_some() && fault.strikes_appliance(&scenario.rig).is_none() {
        return Err(wrong(
            format!("`{fault}` strikes an appliance that this rig has not, or that lacks the part"),
            format!("`{}`", fault.id()),
        ));
    }
    let (rest, comes) = comes(rest, fault)?;
    let (severity, time) = match rest.split_once('@') {
        Some((severity, time)) => (severity, Some(time)),
        None => (rest, None),
    };
    let severity =
        parse(severity, Dimension::Fraction).map_err(|e| wrong(e.message(), e.help()))?;
    if !(0.0..=1.0).contains(&severity) {
        return Err(wrong(
            format!("a severity of {}", echoed(severity)),
            "from 0 to 1, or from 0 % to 100 %",
        ));
    }
    let at_s = time.map_or(Ok(0.0), |time| time_s(time, "--inject"))?;
    if !(0.0..=scenario.run.duration_s).contains(&at_s) {
        let end = text::duration(scenario.run.duration_s);
        return Err(wrong(
            format!("`{short}` comes outside the run"),
            format!("a time from 0 s to {end}"),
        ));
    }
    let place = scenario.events.partition_point(|event| event.at_s <= at_s);
    let action = comes.action(fault, severity);
    scenario.events.insert(place, Event { at_s, action });
    Ok(())
}

/// Takes off the end of the text how it comes.
fn comes(text: &str, fault: Fault) -> Result<(&str, Comes), Failure> {
    if let Some((rest, over)) = text.split_once(" over ") {
        let count = over
            .trim()
            .strip_suffix("cycles")
            .map(|number| number.trim().parse::<u32>().ok().filter(|n| *n > 0));
        return match count {
            Some(Some(count)) => Ok((rest, Comes::With(Growth::Cycles { count }))),
            Some(None) => Err(wrong(format!("`{over}` is no number of cycles"), ONSETS)),
            None => {
                let over_s = time_s(over, "--inject")?;
                if (0.0..=LONGEST_OVER_S).contains(&over_s) {
                    return Ok((rest, Comes::Over(over_s)));
                }
                let most = text::duration(LONGEST_OVER_S);
                Err(wrong(
                    format!("a growth over {}", over.trim()),
                    format!("from 0 s to {most}"),
                ))
            }
        };
    }
    let Some((rest, temperatures)) = text.split_once(" from ") else {
        return Ok((text, Comes::Over(0.0)));
    };
    let Some((none, all)) = temperatures.split_once(" to ") else {
        return Err(wrong(format!("`from {temperatures}` has no end"), ONSETS));
    };
    let by = |none_k, all_k| Comes::With(Growth::Temperature { none_k, all_k });
    if !by(BODY_K.0, BODY_K.1).can_bring(fault) {
        let why = format!(
            "`{}` is in the rig or not: the body's temperature brings no more of it",
            fault.id()
        );
        return Err(wrong(why, "` over 5 min` or ` over 200 cycles` after it"));
    }
    let kelvin = |text: &str| {
        parse_with_unit(text, Dimension::Temperature)
            .map_err(|e| wrong(e.message(), e.help()))
            .and_then(|(k, unit)| {
                let k = snapped(k, Some(unit), &[BODY_K.0, BODY_K.1]);
                (BODY_K.0..=BODY_K.1)
                    .contains(&k)
                    .then_some(k)
                    .ok_or_else(|| wrong(format!("a body at {text}"), "from -58 to 140 degF"))
            })
    };
    let (none_k, all_k) = (kelvin(none)?, kelvin(all)?);
    if (none_k - all_k).abs() < LEAST_DIFFERENCE_K {
        return Err(wrong("two temperatures that are the same", ONSETS));
    }
    Ok((rest, by(none_k, all_k)))
}

/// A time that an option holds \[s\].
pub(super) fn time_s(text: &str, option: &str) -> Result<f64, Failure> {
    parse(text, Dimension::Time).map_err(|e| {
        Failure::wrong(format!(
            "error: {option}: {}\n  try: {}",
            e.message(),
            e.help()
        ))
    })
}
