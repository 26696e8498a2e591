//! What is seen from outside in words: for the headline over the picture and for those who hear it. It says no more than
//! the picture shows.

use super::Scene;
use super::hang::said;
use crate::report::letters::capital;
use crate::report::visit as said;
use crate::rig::{Flame, Rig};
use crate::service::{Affairs, Fitted, Fittings, Gravity, Joint, OpenTube, Trouble};
use crate::visit::{ApplianceSeen, Bar, BottleSeen, Outlook, VentSeen};
use crate::window::bench::device_name;
use crate::window::look::show::Units;
use crate::window::told::headline::trouble;

/// A share from which a thing is "half", and one from which it is "all".
const HALF: (f64, f64) = (0.35, 0.9);

/// So many things are told over the picture.
const MOST: usize = 2;
/// Counts from two on.
const COUNTS: [&str; 11] = [
    "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve",
];

fn much(share: f64) -> &'static str {
    match share {
        s if s < HALF.0 => "a little",
        s if s < HALF.1 => "about half",
        s if s < 1.0 => "nearly all",
        _ => "all",
    }
}

/// What is out of the ordinary, gravest first, each in a few words.
fn oddities(seen: &Outlook, rig: &Rig) -> Vec<String> {
    let mut odd: Vec<String> = Vec::new();
    for (v, name) in seen.vents.iter().zip(["first vent", "second vent"]) {
        if v.blows > 0.0 {
            odd.push(format!("gas rushes out of the {name}"));
        }
    }
    for (i, b) in seen.bottles.iter().enumerate() {
        if b.pigtail_blows > 0.0 {
            let of = named(i, seen.bottles.len());
            odd.push(format!("gas rushes out at the pigtail of the {of}"));
        }
    }
    if seen.line.blows > 0.0 {
        odd.push("gas rushes out of the line to the burners".to_owned());
    }
    for (a, plate) in seen.appliances.iter().zip(&rig.appliances) {
        if let Some(words) = strange(a) {
            odd.push(format!("{}: {words}", plate.name));
        }
    }
    for (v, name) in seen.vents.iter().zip(["first vent", "second vent"]) {
        if let Some(words) = vent(v) {
            odd.push(format!("{name} {words}"));
        }
    }
    for (i, b) in seen.bottles.iter().enumerate() {
        let words = bottle(b);
        if !words.is_empty() {
            odd.push(format!(
                "{} {}",
                named(i, seen.bottles.len()),
                words.join(", ")
            ));
        }
    }
    odd.extend(rest(seen));
    odd
}

/// Whether gas is seen to get out unburned.
fn gas_out(seen: &Outlook) -> bool {
    seen.vents.iter().any(|v| v.blows > 0.0)
        || seen
            .bottles
            .iter()
            .any(|b| b.blows > 0.0 || b.pigtail_blows > 0.0)
        || seen.line.blows > 0.0
        || seen.appliances.iter().any(|a| a.unlit)
}

/// Whether what is seen is a reason to shut a container that stands open.
fn shuts_by_eye(seen: &Outlook, fittings: &Fittings) -> bool {
    is_open(seen) && (gas_out(seen) || fittings.open_tubes().next().is_some())
}

fn is_open(seen: &Outlook) -> bool {
    seen.bottles.iter().any(|b| b.valve > 0.0)
}

/// How much what is seen matters: gas that gets out is as grave here as inside.
pub fn gravity(seen: &Outlook, rig: &Rig) -> Gravity {
    if gas_out(seen) {
        Gravity::Stop
    } else if oddities(seen, rig).is_empty() {
        Gravity::Well
    } else {
        Gravity::Care
    }
}

/// A manometer without water, and why: the pressure that stands beside it may never have been more than its tube holds.
fn open_tube(open: &OpenTube, rig: &Rig) -> String {
    let why = if open.swung_over {
        "it swung over as the pressure jumped"
    } else {
        "the pressure was more than it holds"
    };
    format!(
        "the manometer at the {} has lost its water ({why}): gas leaves by its open tube, which the flows shown leave out. Refill it with \
         the container shut",
        said(open.point, rig)
    )
}

/// A dial on its pin: what it reads is no number, and the rig has more than it was hung for.
fn pegged(f: &Fitted, rig: &Rig, units: Units) -> String {
    format!(
        "the {} at the {} is over its range and may be spoiled: fit a larger one",
        device_name(&f.device, units).to_lowercase(),
        said(f.point, rig)
    )
}

/// Sentence and gravity of what is seen with the instruments that are fitted: what is wrong with the rig comes before an
/// instrument that is over its range or without water.
pub fn with_instruments(
    seen: &Outlook,
    rig: &Rig,
    fittings: &Fittings,
    units: Units,
) -> (Gravity, String) {
    let open = fittings.open_tubes().map(|open| open_tube(&open, rig));
    let over = fittings.pegged().map(|f| pegged(f, rig, units));
    let told: Vec<String> = open.chain(over).take(MOST).map(|t| capital(&t)).collect();
    if told.is_empty() {
        return (gravity(seen, rig), sentence(seen, rig));
    }
    let told = told.join(". ");
    let words = if oddities(seen, rig).is_empty() {
        told
    } else {
        format!("{}. {told}", sentence(seen, rig))
    };
    (gravity(seen, rig).max(Gravity::Care), words)
}

/// What stands over a picture: how much it matters, whether the container is shut before anything else, and the sentence.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// How much it matters.
    pub gravity: Gravity,
    /// Whether the container stands open and is shut first.
    pub shut_first: bool,
    /// The sentence.
    pub words: String,
}

/// What stands over the picture of a rig that is not covered: what is graver in its list than all that is seen comes
/// first, so that no headline is calmer than the list beside it.
pub fn over_the_picture(scene: &Scene<'_>, affairs: &Affairs) -> Head {
    let (gravity, words) = graver(scene, affairs);
    let ordered = is_open(scene.seen) && affairs.orders_shut();
    Head {
        gravity,
        shut_first: ordered || shuts_by_eye(scene.seen, scene.fittings),
        words,
    }
}

/// What stands over the cutaway.
pub fn over_the_cutaway(scene: &Scene<'_>, affairs: &Affairs, words: &str) -> Head {
    Head {
        gravity: affairs.gravity(),
        shut_first: is_open(scene.seen) && affairs.orders_shut(),
        words: words.to_owned(),
    }
}

fn graver(scene: &Scene<'_>, affairs: &Affairs) -> (Gravity, String) {
    let (seen, words) = with_instruments(scene.seen, scene.rig, scene.fittings, scene.units);
    let gravest = affairs.troubles.first();
    let Some(graver) = gravest.filter(|t| t.gravity() > seen) else {
        return (seen, words);
    };
    let told = trouble(graver, scene.rig, scene.units);
    // What only the cutaway shows is told as that.
    let told = match graver {
        Trouble::Escapes { .. } => format!("Not to be seen from here: {told}"),
        t if t.names_the_cause() => format!("Not to be seen from here: {told}"),
        _ => capital(&told),
    };
    let told = match seen {
        Gravity::Well => told,
        Gravity::Care | Gravity::Stop => format!("{told}. {words}"),
    };
    (graver.gravity(), told)
}

/// The sentence over the picture: what is seen first, or that nothing is out of the ordinary.
pub fn sentence(seen: &Outlook, rig: &Rig) -> String {
    let odd = oddities(seen, rig);
    if odd.is_empty() {
        if let Some(i) = seen.appliances.iter().position(|a| a.sparks) {
            let name = rig.appliances.get(i).map_or("an appliance", |a| &a.name);
            return capital(&format!("{name} sparks and has no flame yet"));
        }
        if let Some(i) = seen.appliances.iter().position(|a| a.being_lit) {
            let name = rig.appliances.get(i).map_or("an appliance", |a| &a.name);
            return capital(&format!("{name} is being lit and has no flame yet"));
        }
        let lit = seen.appliances.iter().filter(|a| a.flame.is_some()).count();
        return match lit {
            0 if seen.appliances.iter().any(|a| a.pilot == Some(true)) => {
                "No main flame burns, a pilot does, and nothing looks out of the ordinary to the eye"
                    .to_owned()
            }
            0 => "No flame burns, and nothing looks out of the ordinary to the eye".to_owned(),
            1 => "One flame burns steadily, and nothing looks out of the ordinary to the eye"
                .to_owned(),
            n => format!(
                "{} flames burn steadily, and nothing looks out of the ordinary to the eye",
                COUNTS
                    .get(n - 2)
                    .map_or_else(|| n.to_string(), |w| (*w).to_owned())
            ),
        };
    }
    let more = match odd.len().saturating_sub(MOST) {
        0 => "",
        1 => "; and one thing more",
        _ => "; and more",
    };
    let told = odd[..odd.len().min(MOST)].join("; ");
    capital(&format!("{told}{more}"))
}

fn named(i: usize, count: usize) -> String {
    match (count, i) {
        (1, _) => "container".to_owned(),
        (_, 0) => "left container".to_owned(),
        _ => "right container".to_owned(),
    }
}

/// What strikes of an appliance.
fn strange(a: &ApplianceSeen) -> Option<String> {
    if a.locked_out {
        return Some("its lamp tells of a lock-out".to_owned());
    }
    if a.unlit {
        return Some("its gas is on and no flame burns".to_owned());
    }
    if a.waits {
        return Some("it was lit and holds no flame; it waits to try again".to_owned());
    }
    let f = a.flame?;
    let words = if f.surges {
        "the flame jumps up and down"
    } else {
        match f.flame {
            Flame::Low => "a soft, lazy flame",
            Flame::Hard => "a loud, sharp flame",
            Flame::Lifting => "the flame lifts off its ports",
            _ if f.yellow > 0.1 => "yellow in the flame",
            _ if f.size < 0.75 => "a small flame",
            _ if f.size > 1.25 => "a large flame",
            _ => return None,
        }
    };
    Some(words.to_owned())
}

/// What strikes of a vent, as it goes on after its name.
fn vent(v: &VentSeen) -> Option<String> {
    let mut out = Vec::new();
    match v.bar {
        Bar::Mud if v.barred > 0.0 => out.push(format!("has mud over {} of it", much(v.barred))),
        Bar::Ice => out.push(format!("has ice over {} of it", much(v.barred))),
        Bar::Paint => out.push(format!("has paint over {} of it", much(v.barred))),
        _ => {}
    }
    if v.looks_up {
        out.push("looks up, with water in it".to_owned());
    } else if v.wet > 0.0 {
        out.push("is wet".to_owned());
    }
    if v.thumb > 0.5 {
        out.push("has a thumb on it".to_owned());
    }
    (!out.is_empty()).then(|| out.join(" and "))
}

fn bottle(b: &BottleSeen) -> Vec<String> {
    let mut out = Vec::new();
    if b.valve <= 0.0 {
        out.push("is shut".to_owned());
    } else if b.valve < 0.75 {
        out.push("has its valve part open".to_owned());
    }
    if b.leans > 0.0 {
        out.push(if b.leans > 0.5 { "lies" } else { "leans" }.to_owned());
    }
    if b.covered > 0.0 {
        out.push(format!("has snow over {} of it", much(b.covered)));
    }
    if let Some(r) = b.rime {
        out.push(format!(
            "has frost up to {:.0} % of its height",
            100.0 * r.height
        ));
    }
    if b.kink > 0.0 {
        out.push(
            if b.kink > 0.4 {
                "has a pigtail bent double"
            } else {
                "has a bend in its pigtail"
            }
            .to_owned(),
        );
    }
    if b.blows > 0.0 {
        out.push("blows from its own relief".to_owned());
    }
    out
}

/// Body, line, changeover.
fn rest(seen: &Outlook) -> Vec<String> {
    let mut out = Vec::new();
    if seen.rime > 0.0 {
        out.push(format!("frost on {} of the body", much(seen.rime)));
    }
    if seen.cloth {
        out.push("a warm wet cloth on the regulator".to_owned());
    }
    if seen.dark > 0.0 {
        out.push("dark road dirt on the spring case".to_owned());
    }
    if seen.line.crushed > 0.0 {
        out.push("a dent in the line".to_owned());
    }
    if seen.line.width < 1.0 {
        out.push("a line thinner than its fittings".to_owned());
    }
    if seen.line.sags > 0.0 {
        out.push("the line sags".to_owned());
    }
    if let Some(c) = seen.changeover.filter(|c| c.red > 0.0) {
        out.push(format!("the indicator shows {}", said::indicator(c.red)));
    }
    out
}

/// How an appliance looks, whole.
pub fn appliance(a: &ApplianceSeen) -> String {
    let mut out = vec![match strange(a) {
        Some(words) => words,
        None if a.flame.is_some() => "a steady flame".to_owned(),
        None => "no flame".to_owned(),
    }];
    for (so, words) in [
        (a.sparks, "it sparks"),
        (a.being_lit, "it is being lit"),
        (a.purges, "its fan runs"),
        (a.pilot == Some(true), "pilot lit"),
        (a.pilot == Some(false), "pilot out"),
        (!a.on, "switched off"),
    ] {
        if so {
            out.push(words.to_owned());
        }
    }
    out.join(", ")
}

/// All of it, for who cannot see.
pub fn describe(seen: &Outlook, rig: &Rig, fittings: &Fittings, cover_shut: bool) -> String {
    let odd = oddities(seen, rig);
    let mut out = vec![if odd.is_empty() {
        format!("The rig from outside: {}", sentence(seen, rig))
    } else {
        format!("The rig from outside: {}", odd.join("; "))
    }];
    for (i, b) in seen.bottles.iter().enumerate() {
        let turns = match b.valve {
            v if v <= 0.0 => "shut",
            v if v < 0.75 => "part open",
            _ => "open",
        };
        out.push(format!(
            "{}: valve {turns}",
            capital(&named(i, seen.bottles.len()))
        ));
    }
    if let Some(c) = seen.changeover {
        let side = named(c.points_at, 2);
        out.push(format!(
            "Changeover points at the {side}, indicator {}",
            said::indicator(c.red)
        ));
    }
    let vents = seen.vents.iter().zip(["First", "Second"]);
    if cover_shut {
        out.push("The regulator is under its cover: lift it to look".to_owned());
    }
    for (v, name) in vents.filter(|_| !cover_shut) {
        let way = if v.looks_up { "up" } else { "down" };
        let how = vent(v).unwrap_or_else(|| "is clear".to_owned());
        out.push(format!("{name} vent looks {way}, {how}"));
    }
    for (a, plate) in seen.appliances.iter().zip(&rig.appliances) {
        out.push(format!("{}: {}", capital(&plate.name), appliance(a)));
    }
    for f in &fittings.fluid {
        out.push(format!(
            "Leak fluid on the {}: {}",
            joint(f.joint, rig),
            said::bubbles(f.bubbles)
        ));
    }
    out.join(". ")
}

/// A joint by its name.
pub fn joint(j: Joint, rig: &Rig) -> String {
    match j {
        Joint::Burner(_) => format!("{}'s burner", j.name(rig)),
        _ => j.name(rig),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::Readings;
    use crate::service::{Device, Manometer, TestPoint, rack};

    /// What is wrong with the rig is said first, and an instrument that has lost its water alone is no danger.
    #[test]
    fn an_instrument_without_water_comes_last() {
        let rig = Rig::standard(vec![], vec![]);
        let rack = rack();
        let mut blown = Manometer::default();
        for _ in 0..100 {
            blown.step(0.1, 1e5);
        }
        rack.replace(
            0,
            crate::service::Fitted {
                point: TestPoint::Outlet,
                device: Device::Manometer(blown),
            },
        );
        let fittings = rack.seen();
        assert_eq!(fittings.open_tubes().count(), 1);
        let well = Readings::default();
        let mut blows = well;
        blows.second.relief_kg_per_s = 1e-4;
        blows.second.vent_m3_per_s = 5e-3;
        let told = |r: &Readings| {
            let seen = Outlook::of(&rig, &rig, r);
            (
                with_instruments(&seen, &rig, &fittings, Units::Us),
                sentence(&seen, &rig),
            )
        };
        let ((gravity, words), _) = told(&well);
        assert_eq!(gravity, Gravity::Care);
        assert!(words.starts_with("The manometer"), "{words}");
        let ((gravity, words), first) = told(&blows);
        assert_eq!(gravity, Gravity::Stop, "{words}");
        assert!(
            words.starts_with(&first) && words.ends_with("Refill it with the container shut"),
            "{words}"
        );
    }
    /// Over a gauge on its pin nothing is told to look ordinary, and a gauge that holds is not spoken of.
    #[test]
    fn a_gauge_on_its_pin_is_spoken_of() {
        let rig = Rig::standard(vec![], vec![]);
        let well = Outlook::of(&rig, &rig, &Readings::default());
        let told = |psi: f64| {
            let rack = rack();
            let mut fitted = rack.seen().fitted[1];
            for _ in 0..100 {
                fitted.device.step(0.1, crate::units::psi_to_pa(psi));
            }
            rack.replace(1, fitted);
            with_instruments(&well, &rig, &rack.seen(), Units::Us)
        };
        // The first stage's dial has 15 psi.
        let (gravity, words) = told(56.0);
        assert_eq!(gravity, Gravity::Care, "{words}");
        assert!(
            words.contains("over its range") && words.contains("15 psi"),
            "{words}"
        );
        assert!(!words.contains("ordinary"), "{words}");
        let (gravity, words) = told(10.0);
        assert_eq!(gravity, Gravity::Well, "{words}");
        assert!(words.contains("ordinary"), "{words}");
    }
}
