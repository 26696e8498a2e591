//! A visit in words: values with their units, what a test comes to, what an act gave. Everything below deals in typed
//! values; here they become the trade's English, in either system of units.

use super::closing::names;
pub use super::closing::{comes_to, conclusion};
use super::figure::change;
pub use super::figure::{band, figure, high, low, measure, named, value};
pub use super::judged::{bounds, decided, outcome, source, verdict};
use super::judged::{escapes, plate};
use super::letters;
pub use super::letters::capital;
use super::prose::prose;
use crate::rig::{Flame, Phase, Rig};
use crate::service::{Bubbles, FrostSeen, LIMITS, Shown, Sound, TestPoint, temperature_text};
use crate::units::{Dimension, System, fixed, format, inwc_to_pa, signed};
use crate::visit::{
    Against, Burner, Deed, DeedDone, Effect, Figure, Id, LeftUnlit, Looks, Measure, Reply, Seats,
    Step, Test, TestResult, ThinAir, Told, Valve, left_unlit,
};

/// What a test comes to, in a sentence or two.
pub fn test(result: &TestResult, rig: &Rig, system: System) -> String {
    let mut out = plain_sentence(result, rig, system);
    if let Some(worst) = result.decided() {
        let why = match worst.against {
            Against::Plate(_) => plates(result, rig),
            _ => decided(worst, result.test, system),
        };
        if !why.is_empty() {
            out = if out.is_empty() {
                why
            } else {
                after(&out, &why)
            };
        }
    }
    if !result.unlit.is_empty() {
        out = after(
            &out,
            &format!("Would not burn: {}", names(rig, &result.unlit)),
        );
    }
    if !result.left_off.is_empty() && result.test.burns_all() {
        let which = names(rig, &result.left_off);
        out = after(&out, &format!("Kept off: {which}"));
    }
    if let Some(air) = result.thin_air {
        out = after(&out, &thin_air(air));
    }
    if out.is_empty() {
        "Nothing out of the ordinary".clone_into(&mut out);
    }
    out
}

/// Every burner that is as far off its plate as what decided.
fn plates(result: &TestResult, rig: &Rig) -> String {
    let told = result.judged.iter().filter_map(|j| match j.against {
        Against::Plate(i) if j.verdict == result.verdict => Some(plate(j, &names(rig, &[i]))),
        _ => None,
    });
    told.fold(String::new(), |all, one| after(&all, &one))
}

/// A sentence after another; "in w.c." ends one of itself.
fn after(first: &str, next: &str) -> String {
    let stop = if first.ends_with('.') || first.is_empty() {
        ""
    } else {
        "."
    };
    format!("{first}{stop} {next}").trim_start().to_owned()
}

/// What was read, told shortly.
fn plain_sentence(result: &TestResult, rig: &Rig, system: System) -> String {
    let read = |item: Id| result.read(item).map(|v| value(item, v, system));
    let of = |m: Measure| {
        let found = result.figures.iter().find(|f| f.measure == m);
        found.map(|f| figure(result.test, f, system))
    };
    let all = |parts: &[Option<String>]| {
        let told: Vec<&str> = parts.iter().flatten().map(String::as_str).collect();
        told.join(", ")
    };
    if let Some(why) = &result.halted {
        return format!("Stopped at once: {why}");
    }
    match result.test {
        Test::LeakCheck if result.spoiled => {
            let stood = of(Measure::Start).unwrap_or_default();
            let why = unbegun(&result.figures);
            let start = prose("9 in w.c.", system);
            format!("The low side would not stay at {start} to start with, it stood at {stood}: {why}")
        }
        _ if result.spoiled => result.stood_idle().map_or_else(
            || "Nothing burned".to_owned(),
            |pa| {
                format!(
                    "Nothing burned: the outlet stood at {}, which is no flow pressure",
                    low(pa, system)
                )
            },
        ),
        Test::LeakCheck => match result.read(Id::LeakChange) {
            Some(change) if LIMITS.leak.is_missed_by(change) => {
                "Pressure is lost: leak fluid at every joint and at the vents shows where"
                    .to_owned()
            }
            Some(change) if LIMITS.leak.is_passed_by(change) => {
                "Pressure is gained: a container valve does not shut (shut it again and repeat), the trapped gas has warmed, or a vent does not breathe"
                    .to_owned()
            }
            _ if result.decided().is_some_and(|j| j.against == Against::Record) => {
                "No gain and no loss once bled, but the outlet stood too high before: a matter of lock-up"
                    .to_owned()
            }
            _ => match result.seats {
                // What a check valve holds back does not come back to a gauge behind it.
                Seats::Open if rig.changeover.is_some() => {
                    "No gain and no loss: tight up to the changeover. Its check valves hide what hoses before it lose: leak fluid shows that"
                        .to_owned()
                }
                Seats::Open => "No gain and no loss: tight up to the container valve".to_owned(),
                // What a regulator gives that has nothing to give it from is no lock-up, and no bleeding helps there.
                Seats::Shut { lock_up_pa } if LIMITS.leak_start.is_missed_by(lock_up_pa) => format!(
                    "No gain and no loss in the low side, and no more is proved: its outlet came to {} afterwards, so no gas stood before the regulator. Make the check again once the container gives gas",
                    low(lock_up_pa, system)
                ),
                Seats::Shut { lock_up_pa } => format!(
                    "No gain and no loss in the low side, and no more is proved: the regulator locks up at {}, so its second seat was shut. Bleed well under that and repeat",
                    low(lock_up_pa, system)
                ),
                Seats::Untold => format!(
                    "No gain and no loss: tight up to the {}, as long as the regulator locks up well over {}",
                    if rig.changeover.is_some() {
                        "changeover, whose check valves hide what hoses before it lose"
                    } else {
                        "container valve"
                    },
                    prose("9 in w.c.", system)
                ),
            },
        },
        Test::FlowPressure => all(&[
            read(Id::HalfOutlet),
            of(Measure::Load).map(|l| format!("at {l}")),
        ]),
        Test::FullLoad => all(&[
            read(Id::FullOutlet),
            of(Measure::Load).map(|l| format!("at {l}")),
            read(Id::FullManifold).map(|m| format!("{m} at the manifold")),
        ]),
        Test::LoadUpDown => all(&[
            read(Id::AboveOutlet).map(|v| format!("{v} from above")),
            of(Measure::FromBelow).map(|v| format!("{v} from below")),
        ]),
        Test::LockUp => all(&[
            of(Measure::LockUp),
            Some(if result.still_moving {
                "still moving after five minutes".to_owned()
            } else {
                "at rest".to_owned()
            }),
        ]),
        Test::Creep => all(&[
            of(Measure::Climb),
            of(Measure::Start)
                .zip(read(Id::RestCreep))
                .map(|(from, to)| format!("from {from} to {to}")),
        ]),
        Test::FirstStage => all(&[
            of(Measure::FirstAtRest).map(|v| format!("{v} at rest")),
            of(Measure::FirstFlowing).map(|v| format!("{v} flowing")),
            of(Measure::InletFlowing).map(|v| format!("inlet {v} flowing")),
            idle_look(result).or_else(|| unlit_look(result.test, &result.figures)),
        ]),
        _ => {
            let told = result.observations.iter();
            let told = told.filter(|o| result.tells(o.item, o.value));
            let words = |o: &crate::visit::Observation| {
                format!("{}: {}", measure(Measure::Read(o.item)), value(o.item, o.value, system))
            };
            let unlit = idle_look(result).or_else(|| unlit_look(result.test, &result.figures));
            let told = told.map(words).chain(unlit);
            told.collect::<Vec<_>>().join("; ")
        }
    }
}

/// What thin air makes of burners, and whose word counts there. What a burner takes is held against its plate as it would be at
/// sea level, so that a healthy one does not stand out; that it burns well there is another matter.
fn thin_air(air: ThinAir) -> String {
    let share = |v: f64| fixed(100.0 * v, 0);
    format!(
        "High up a burner made for sea level runs rich: its orifice passes {} % less fuel, and it gets {} % less air, by the thin \
         air alone (derived; taken out where its input is held against its plate). Its maker's instructions for altitude decide; where \
         they say nothing, 4 % less input for each 1000 ft above 2000 ft (common practice, value from memory)",
        share(air.less_fuel),
        share(air.less_air)
    )
}

/// What is said where a test lit nothing to look again with gas flowing, and why.
fn unlit_look(test: Test, figures: &[Figure]) -> Option<String> {
    let why = match left_unlit(test, figures)? {
        LeftUnlit::Gas => {
            "there are bubbles at rest (gas, or what a diaphragm that still rises pushes out: look again when the gauge stands)"
        }
        LeftUnlit::Reading => "what was read forbids a flame",
    };
    Some(format!(
        "{why}, so nothing was lit to look again with gas flowing"
    ))
}

/// What is said where nothing would burn for a look with gas flowing.
fn idle_look(result: &TestResult) -> Option<String> {
    let mut judged = result.judged.iter();
    let asked = judged.any(|j| j.against == Against::NothingBurned);
    asked.then(|| "nothing burned, so it was not looked at with gas flowing".to_owned())
}

/// A low side under this has nothing in it to speak of \[in w.c.\] (own: a column is read to a tenth).
const NOTHING_INWC: f64 = 0.5;

/// Why a leak check could not begin at its pressure.
fn unbegun(figures: &[Figure]) -> &'static str {
    let of = |m: Measure| figures.iter().find(|f| f.measure == m).map(|f| f.value);
    let is_low = of(Measure::Start).is_some_and(|pa| LIMITS.leak_start.is_missed_by(pa));
    let loses = of(Measure::Read(Id::LeakChange)).is_some_and(|pa| LIMITS.leak.is_missed_by(pa));
    let is_nothing = of(Measure::Start).is_some_and(|pa| pa < inwc_to_pa(NOTHING_INWC));
    match (is_low, loses) {
        (true, false) if is_nothing => {
            "nothing holds it up; gas is lost as fast as it comes, a gross leak, or none came at all"
        }
        (true, true) => "gas gets out faster than a hand can bleed",
        (true, false) => {
            "the regulator lets no more out, and what lies before it holds the gauge up, so no leak shows in it"
        }
        _ => "gas comes in with the container shut",
    }
}

/// A step of a test.
pub fn step(s: Step, rig: &Rig, system: System) -> String {
    let name = |i: usize| names(rig, &[i]);
    let container = |i: usize| {
        if rig.containers.len() > 1 {
            format!("container valve {}", i + 1)
        } else {
            "container valve".to_owned()
        }
    };
    match s {
        Step::Lit(i) => format!("lit the {}", name(i)),
        Step::ShutOff(i) => format!("shut off the {}", name(i)),
        Step::ValveShut(c) => format!("{} shut", container(c)),
        Step::ValveOpened(c) => format!("{} opened slowly", container(c)),
        Step::BledTo(pa) => format!("bled the low side to {}", low(pa, system)),
        Step::Held(s) => format!("held for {:.0} minutes", s / 60.0),
        Step::FluidAtVents => "leak fluid at both vents".to_owned(),
        Step::Tapped => "tapped the body".to_owned(),
        Step::Flushed => "a burst of flow through the test tap".to_owned(),
        Step::Warmed => "a warm wet cloth on the regulator, one minute".to_owned(),
        Step::Climbed(m) => format!("drove up by {}", format(m, Dimension::Length, system)),
        Step::AirInPiping {
            pressure_pa,
            held_s,
        } => format!(
            "regulator and appliances taken off, air at {} in the piping, {:.0} minutes",
            high(pressure_pa, system),
            held_s / 60.0
        ),
    }
}

/// How one appliance looks.
pub fn looks(l: Looks) -> &'static str {
    match l {
        Looks::Controls(phase) => match phase {
            Phase::Off => "off",
            Phase::Satisfied => "its thermostat is satisfied",
            Phase::Purge => "its fan runs, no gas yet",
            Phase::Trial => "trying to light",
            Phase::Waiting => "waiting to try again",
            Phase::LockedOut => "locked out",
            Phase::OpenUnlit => "gas on, no flame",
            Phase::Burning => "burning",
        },
        Looks::Surging => "flame pulses and surges",
        Looks::Small => "flame small beside the others",
        Looks::Large => "flame large beside the others",
        Looks::Flame(flame) => match flame {
            Flame::Normal => "steady flame",
            Flame::Low => "low, lazy flame",
            Flame::Hard => "hard, loud flame",
            Flame::Lifting => "flame lifts off the ports",
            Flame::Out => "no flame",
        },
    }
}

/// The burners, one after the other.
pub fn burners(all: &[Burner], rig: &Rig) -> String {
    if all.is_empty() {
        return "no appliance".to_owned();
    }
    let one = |b: &Burner| format!("{}: {}", names(rig, &[b.appliance]), looks(b.looks));
    all.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// Leak fluid.
pub fn bubbles(b: Bubbles) -> &'static str {
    match b {
        Bubbles::None => "no bubbles",
        Bubbles::Slow => "a bubble now and then",
        Bubbles::Steady => "steady bubbles",
        Bubbles::BlownOff => "fluid blown away",
    }
}

/// Frost.
pub fn frost(f: FrostSeen) -> &'static str {
    match (f.body, f.container) {
        (false, false) => "no frost",
        (true, false) => "frost on the regulator",
        (false, true) => "frost on the container",
        (true, true) => "frost on the regulator and on the container",
    }
}

/// What is heard.
pub fn sound(s: Sound) -> String {
    match s {
        Sound::Quiet => "nothing to hear".to_owned(),
        Sound::Hiss => "gas hisses out of a vent".to_owned(),
        Sound::Escapes(joint) => letters::lower(escapes(joint)),
        Sound::Roar => "gas roars out of a vent: shut the container".to_owned(),
        Sound::Hum { frequency_hz } => format!("it hums at {frequency_hz:.0} Hz"),
    }
}

/// What a deed gave.
pub fn deed(done: &DeedDone, system: System) -> String {
    effect(done.deed, done.effect, system)
}

/// Gas that came out where a part was taken off.
fn blew_out(fed: bool, flames: usize) -> String {
    let gas = if fed {
        "The new part is in, but gas blew out of the open line all the while, fed by the open container"
    } else {
        "The new part is in, but what was left in the line blew out where it was opened"
    };
    match flames {
        0 => gas.to_owned(),
        1 => format!("{gas}; a flame went out"),
        n => format!("{gas}; {n} flames went out"),
    }
}

/// What came of a deed.
fn effect(deed: Deed, effect: Effect, system: System) -> String {
    match effect {
        Effect::Opened { shut: true, .. } => {
            "Opened; the excess-flow valve tripped and stays shut".to_owned()
        }
        Effect::Opened { tripped: true, .. } => {
            "Opened; the excess-flow valve tripped and has reset".to_owned()
        }
        Effect::Opened { .. } => "Opened".to_owned(),
        Effect::Shut { container, open } => {
            let side = |container: usize| Valve { container, of: 2 }.side().unwrap_or_default();
            match open {
                Some(open) => format!(
                    "{} shut; {} is open",
                    super::letters::capital(side(container)),
                    side(open)
                ),
                None => format!(
                    "{} shut, and no other is open",
                    super::letters::capital(side(container))
                ),
            }
        }
        Effect::Moved(pa) => format!("The outlet moved by {}", change(pa, system)),
        Effect::Flushed { carried: true } => "Flushed; something went with the gas".to_owned(),
        Effect::Flushed { carried: false } => "Flushed; nothing was seen to go".to_owned(),
        Effect::BlewOut { fed, flames } => blew_out(fed, flames),
        Effect::Weighed { fuel_kg, limit_kg } => format!(
            "{} of fuel; the fill limit by weight is about {}",
            format(fuel_kg, Dimension::Mass, system),
            format(limit_kg, Dimension::Mass, system)
        ),
        Effect::Done => match deed {
            Deed::ShutValve { .. } | Deed::ShutFast { .. } => "Shut".to_owned(),
            Deed::Light { .. } => "Asked to light".to_owned(),
            Deed::ShutOff { .. } => "Shut off".to_owned(),
            // A pick from outside does neither empty a bonnet nor take paint off.
            Deed::ClearVents => {
                "Dirt and ice cleared from both vent openings; water in a spring case or paint on a screen stays".to_owned()
            }
            Deed::BleedDown => "The line is bled".to_owned(),
            Deed::WarmCloth => "Warmed for a minute".to_owned(),
            Deed::TurnScrew { degrees, .. } => format!("Turned {} degrees", signed(degrees, 0)),
            Deed::SwapHose => "New hose".to_owned(),
            Deed::SwapRegulator => "New regulator, vent down".to_owned(),
            Deed::NewContainers => "Full containers, purged and dry".to_owned(),
            Deed::MendLine => "Line, joints and hoses put right".to_owned(),
            Deed::MendAppliances => {
                "Orifices, valves and safeties as the maker has them".to_owned()
            }
            Deed::OpenValve { .. } | Deed::Tap | Deed::Flush | Deed::Weigh { .. } => {
                "Done".to_owned()
            }
        },
    }
}

/// What is said of a gauge on its pin at the first stage.
const PINNED: &str =
    "; only a larger gauge tells whether it is the first stage's own or the container's pressure";

/// What a gauge shows.
pub fn shown(s: Shown, is_low: bool, system: System) -> String {
    match s {
        Shown::Value(pa) if is_low => low(pa, system),
        Shown::Value(pa) => high(pa, system),
        Shown::OverRange => "over its range".to_owned(),
    }
}

/// What an act gave, in a sentence.
pub fn reply(r: &Reply, rig: &Rig, system: System) -> String {
    match r {
        Reply::Test(result) => test(result, rig, system),
        Reply::Told(Told::Burners(all)) => burners(all, rig),
        Reply::Told(other) => told(other, rig, system).join("; "),
    }
}

/// What an act gave, line by line: the numbers of a test without a verdict, burners that look alike together.
pub fn told(t: &Told, rig: &Rig, system: System) -> Vec<String> {
    vec![match t {
        Told::Nothing => return Vec::new(),
        Told::Test { .. } => return numbers(t, rig, system),
        Told::Burners(all) => return together(all, rig),
        Told::Sight {
            burners: all,
            frost: f,
            vent,
            indicator_red,
        } => {
            let vents = crate::visit::item::VENT_LOOKS;
            let mut out = together(all, rig);
            out.push(frost(*f).to_owned());
            // Eyes see what bars a vent, and no gas that comes out of it.
            let gas = if *vent == 0 {
                " to the eye, which sees no gas"
            } else {
                ""
            };
            let vent = vents.get(*vent).copied().unwrap_or("");
            out.push(format!("second-stage vent: {vent}{gas}"));
            out.extend(indicator_red.map(|r| format!("changeover's indicator {}", indicator(r))));
            return out;
        }
        Told::Deed(done, came) => effect(*done, *came, system),
        Told::Gauge {
            point,
            gauge,
            low: is_low,
            shown: reading,
            between,
        } => {
            let moved = between.map_or_else(String::new, |[least, most]| {
                let text = |pa: f64| shown(Shown::Value(pa), *is_low, system);
                format!(", moved between {} and {}", text(least), text(most))
            });
            // A pin says how much at least, and between the stages that may be anything up to the container's pressure.
            let pinned = *point == TestPoint::FirstStage && *reading == Shown::OverRange;
            let more = if pinned { PINNED } else { "" };
            let reading = shown(*reading, *is_low, system);
            format!(
                "{}: {reading} on the {}{moved}{more}",
                point.name(rig),
                instrument(gauge)
            )
        }
        Told::Warmth(place, kelvin) => {
            format!("{}: {}", place.name(rig), temperature_text(*kelvin, system))
        }
        Told::Fluid(joint, b) => format!("{}: {}", joint.name(rig), bubbles(*b)),
        Told::Heard(s) => sound(*s),
        Told::Passed(s) => format!(
            "{} since the rig came to the bench",
            format(*s, Dimension::Time, system)
        ),
    }]
}

/// An instrument as one speaks of it; an order names it "dial 35 inwc".
fn instrument(named: &str) -> String {
    match named.strip_prefix("dial ") {
        Some(range) => format!("{} dial", range.replace("inwc", "in w.c.")),
        None => named.to_owned(),
    }
}

/// The numbers of a test, each once.
fn numbers(t: &Told, rig: &Rig, system: System) -> Vec<String> {
    let Told::Test {
        test,
        figures,
        unlit,
        still_moving,
        spoiled,
    } = t
    else {
        return Vec::new();
    };
    let new = |(k, f): &(usize, &Figure)| figures[..*k].iter().all(|g| g.value != f.value);
    let is_word =
        |f: &Figure| matches!(f.measure, Measure::Read(i) if i.item().choices().is_some());
    let shown = figures.iter().enumerate();
    let shown = shown.filter(|n| is_word(n.1) || new(n));
    let after_a_minute = |f: &Figure| f.measure == Measure::Read(Id::RestMinute);
    let watched_on = figures.iter().any(after_a_minute);
    let line = |(_, f): (usize, &Figure)| {
        let (name, f) = match f.measure {
            Measure::LockUp if watched_on => {
                ("lock-up, watched until it stood or the test ended", *f)
            }
            _ => named(f),
        };
        format!("{name}: {}", figure(*test, &f, system))
    };
    // A check that could not begin has changed nothing; what it lost all the same is told.
    let lost = |f: &Figure| {
        f.measure != Measure::Read(Id::LeakChange) || LIMITS.leak.is_missed_by(f.value)
    };
    let shown = shown.filter(|n| n.1.is_shown(*still_moving));
    let shown = shown.filter(|n| !*spoiled || *test != Test::LeakCheck || lost(n.1));
    let mut out: Vec<String> = shown.map(line).collect();
    if !unlit.is_empty() {
        out.push(format!("would not burn: {}", names(rig, unlit)));
    }
    if *still_moving {
        out.push("still moving".to_owned());
    }
    out.extend(unlit_look(*test, figures));
    let gave_out = |f: &Figure| f.measure == Measure::Read(Id::Reserve) && f.value >= 2.0;
    if figures.iter().any(gave_out) {
        out.push(
            "what stood open without a flame then was shut off before gas came back".to_owned(),
        );
    }
    if *spoiled {
        out.push(match test {
            Test::LeakCheck => format!(
                "it could not begin at {}: {}",
                prose("9 in w.c.", system),
                unbegun(figures)
            ),
            _ => "nothing burned that was asked to, so what stands is no flow pressure; with gas drawn it would stand lower still".to_owned(),
        });
    }
    out
}

/// The burners, those that look the same together.
fn together(all: &[Burner], rig: &Rig) -> Vec<String> {
    let mut groups: Vec<(Looks, Vec<usize>)> = Vec::new();
    for b in all {
        match groups.iter_mut().find(|g| g.0 == b.looks) {
            Some(group) => group.1.push(b.appliance),
            None => groups.push((b.looks, vec![b.appliance])),
        }
    }
    let line = |(l, which): &(Looks, Vec<usize>)| {
        if which.len() > 1 && which.len() == rig.appliances.len() {
            format!("all burners: {}", looks(*l))
        } else {
            format!("{}: {}", names(rig, which), looks(*l))
        }
    };
    groups.iter().map(line).collect()
}

/// The changeover's indicator.
pub fn indicator(red: f64) -> &'static str {
    match red {
        red if red <= 0.0 => "green",
        red if red < 1.0 => "partly red",
        _ => "red",
    }
}
