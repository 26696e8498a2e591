//! Orders for the bench in words, one at a time: an instrument put somewhere, a test, a deed, a wait.
//! The same words serve a command line and a script; what is answered is plain data.

use super::bench::{Bench, ServiceError};
use super::deeds::{Deed, perform};
use super::fitted::Device;
use super::instruments::{Shown, temperature_text};
use super::kind::TestKind;
use super::places::Place;
use super::points::{PointError, TestPoint};
use super::procedures::run;
use super::report::TestResult;
use super::senses::{Joint, bubbles_at, flame_seen, frost_seen, listen};
use crate::rig::{Flame, Rig};
use crate::scenario::WhichStage;
use crate::units::{self, Dimension, System, nearest, pa_to_inwc, pa_to_psi, parse, plain};
use serde::Serialize;

/// One order.
#[derive(Debug, Clone, PartialEq)]
pub enum Order {
    /// One of the trade's tests.
    Test(TestKind),
    /// A deed.
    Do(Deed),
    /// Light appliances and watch how they burn.
    Light(Vec<usize>),
    /// Shut appliances off.
    Off(Vec<usize>),
    /// A gauge at a test point; without one, the finest whose range holds the pressure.
    Read {
        /// Where.
        point: TestPoint,
        /// What.
        gauge: Option<Device>,
        /// How long it is watched once it rests \[s\]; 0 is not at all.
        watched_s: f64,
    },
    /// The thermometer somewhere, until it rests.
    Thermometer(Place),
    /// Leak fluid on a joint.
    Fluid(Joint),
    /// Flames and frost.
    Look,
    /// Ear at the regulator.
    Listen,
    /// Let time pass \[s\].
    Wait(f64),
}

/// The words that orders begin with and what they mean.
pub const ORDERS: [(&str, &str); 20] = [
    (
        "test NAME",
        "leak check, flow pressure, full load, load up and down, lock-up, creep, vent, first stage, new piping",
    ),
    (
        "read POINT [with GAUGE] [for TIME]",
        "outlet, manifold, first stage, inlet, container, or an appliance; watched it bounces and lags",
    ),
    ("thermometer PLACE", "air, body, spring case, container"),
    (
        "fluid JOINT",
        "leak fluid: first vent, second vent, pigtail, low side, or an appliance",
    ),
    ("look", "flames and frost"),
    ("listen", "hum, hiss or roar at the regulator"),
    ("light NAME", "an appliance, or `all`"),
    ("off NAME", "an appliance, or `all`"),
    ("open [fast] [N]", "a container valve, slowly unless fast"),
    ("shut [fast] [N]", "a container valve"),
    ("tap", "the regulator's body"),
    ("flush", "a burst of flow through the test tap"),
    ("clear vents", "both of them"),
    ("warm", "a warm wet cloth on the regulator, one minute"),
    ("screw STAGE DEGREES", "`screw second +90`; in is plus"),
    ("weigh [N]", "a container on the scales"),
    ("new PART", "hose, regulator or containers"),
    ("mend PART", "line or appliances"),
    ("wait TIME", "`wait 5 min`"),
    ("visit", "all tests of a visit, one after the other"),
];

/// Words that are no order, with what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}{}", if .help.is_empty() { String::new() } else { format!("; {}", .help) })]
pub struct OrderError {
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl From<PointError> for OrderError {
    fn from(e: PointError) -> Self {
        wrong(e.to_string(), "")
    }
}

fn wrong(message: impl Into<String>, help: impl Into<String>) -> OrderError {
    OrderError {
        message: message.into(),
        help: help.into(),
    }
}

/// Longest order, characters.
const LONGEST_CHARS: usize = 200;
/// Longest wait of one order \[s\].
const LONGEST_S: f64 = 24.0 * 3600.0;
/// Longest a gauge is watched \[s\], how closely \[s\], and how long until it rests \[s\].
const WATCH_S: (f64, f64, f64) = (600.0, 0.05, 600.0);
/// Most degrees of one turn of the screw.
const MOST_DEGREES: f64 = 7200.0;
/// How long burners are watched after they were asked to light \[s\].
const LIGHTING_S: f64 = 45.0;

impl Order {
    /// Reads orders: `visit` gives all its tests.
    ///
    /// # Errors
    /// [`OrderError`] with what is wrong and what to do.
    pub fn parse(text: &str, rig: &Rig) -> Result<Vec<Self>, OrderError> {
        if text.chars().nth(LONGEST_CHARS).is_some() {
            return Err(wrong(
                format!("an order is at most {LONGEST_CHARS} characters long"),
                "one order a line",
            ));
        }
        let clean = plain(text);
        let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
        if clean == "visit" {
            return Ok(TestKind::VISIT.map(Self::Test).to_vec());
        }
        one(&clean, rig).map(|order| vec![order])
    }
}

fn one(clean: &str, rig: &Rig) -> Result<Order, OrderError> {
    let (verb, rest) = clean.split_once(' ').unwrap_or((clean, ""));
    match (verb, rest) {
        ("look", "") => Ok(Order::Look),
        ("listen", "") => Ok(Order::Listen),
        ("tap", "") => Ok(Order::Do(Deed::Tap)),
        ("flush", "") => Ok(Order::Do(Deed::Flush)),
        ("warm", "") => Ok(Order::Do(Deed::WarmCloth)),
        ("clear", "vents" | "vent") => Ok(Order::Do(Deed::ClearVents)),
        ("new", "hose") => Ok(Order::Do(Deed::SwapHose)),
        ("new", "regulator") => Ok(Order::Do(Deed::SwapRegulator)),
        ("new", "containers" | "container") => Ok(Order::Do(Deed::NewContainers)),
        ("mend", "line") => Ok(Order::Do(Deed::MendLine)),
        ("mend", "appliances" | "appliance") => Ok(Order::Do(Deed::MendAppliances)),
        ("test", name) => test(name),
        ("read", how) => read(how, rig),
        ("thermometer", place) => Ok(Order::Thermometer(Place::find(place, rig)?)),
        ("fluid", joint) => Ok(Order::Fluid(Joint::find(joint, rig)?)),
        ("light", name) => Ok(Order::Light(appliances(name, rig)?)),
        ("off", name) => Ok(Order::Off(appliances(name, rig)?)),
        ("open" | "shut" | "weigh", which) => at_container(verb, which, rig),
        ("screw", how) => screw(how),
        ("wait", time) => Ok(Order::Wait(seconds(time, LONGEST_S)?)),
        _ => {
            let verbs = ORDERS.map(|(w, _)| w.split(' ').next().unwrap_or(w));
            let help = nearest(verb, verbs).map_or_else(
                || ORDERS.map(|(words, _)| words).join(", "),
                |near| {
                    let how = ORDERS
                        .iter()
                        .find(|(w, _)| w.split(' ').next() == Some(near));
                    how.map_or_else(String::new, |(words, what)| format!("`{words}`: {what}"))
                },
            );
            let short: String = clean.chars().take(60).collect();
            Err(wrong(format!("`{short}` is no order"), help))
        }
    }
}

fn test(name: &str) -> Result<Order, OrderError> {
    let plain = |s: &str| s.replace(['-', '_'], " ");
    let names = TestKind::ALL.map(TestKind::words);
    let wanted = plain(name);
    let found = TestKind::ALL
        .into_iter()
        .find(|t| plain(t.words()) == wanted);
    found.map(Order::Test).ok_or_else(|| {
        let help = nearest(name, names).map_or_else(
            || names.join(", "),
            |near| format!("did you mean `{near}`?"),
        );
        wrong(format!("`{name}` is no test"), help)
    })
}

fn seconds(text: &str, most_s: f64) -> Result<f64, OrderError> {
    let time_s = parse(text, Dimension::Time).map_err(|e| wrong(e.message(), e.help()))?;
    if time_s > 0.0 && time_s <= most_s {
        Ok(time_s)
    } else {
        let most = units::format(most_s, Dimension::Time, System::Us);
        Err(wrong(
            format!("a time of {text}"),
            format!("over 0 and at most {most}"),
        ))
    }
}

fn read(how: &str, rig: &Rig) -> Result<Order, OrderError> {
    let (how, watched_s) = match how.rsplit_once(" for ") {
        Some((how, time)) => (how, seconds(time, WATCH_S.0)?),
        None => (how, 0.0),
    };
    let (point, gauge) = match how.split_once(" with ") {
        Some((point, gauge)) => (point, Some(Device::find(gauge, &super::Kit::default())?)),
        None => (how, None),
    };
    Ok(Order::Read {
        point: TestPoint::find(point, rig)?,
        gauge,
        watched_s,
    })
}

fn appliances(name: &str, rig: &Rig) -> Result<Vec<usize>, OrderError> {
    if matches!(name, "" | "all") {
        return Ok((0..rig.appliances.len()).collect());
    }
    let wanted = name.to_lowercase();
    let found = rig
        .appliances
        .iter()
        .position(|a| a.name.to_lowercase() == wanted);
    found.map(|i| vec![i]).ok_or_else(|| {
        let names: Vec<&str> = rig.appliances.iter().map(|a| a.name.as_str()).collect();
        wrong(
            format!("this rig has no appliance `{name}`"),
            format!("there are: {}", names.join(", ")),
        )
    })
}

fn at_container(verb: &str, which: &str, rig: &Rig) -> Result<Order, OrderError> {
    let fast = which.split(' ').any(|w| w == "fast");
    let number: Vec<&str> = which
        .split(' ')
        .filter(|w| !matches!(*w, "fast" | "slowly" | ""))
        .collect();
    let number = number.join(" ");
    let count = rig.containers.len();
    let container = if number.is_empty() {
        Some(0)
    } else {
        number
            .parse::<usize>()
            .ok()
            .filter(|n| (1..=count).contains(n))
            .map(|n| n - 1)
    };
    let container = container.ok_or_else(|| {
        wrong(
            format!("this rig has no container `{number}`"),
            format!("a number from 1 to {count}"),
        )
    })?;
    Ok(Order::Do(match (verb, fast) {
        ("open", _) => Deed::OpenValve {
            container,
            slowly: !fast,
        },
        ("shut", true) => Deed::ShutFast { container },
        ("shut", false) => Deed::ShutValve { container },
        _ => Deed::Weigh { container },
    }))
}

fn screw(how: &str) -> Result<Order, OrderError> {
    let help = "`screw second +90`: the stage and the degrees, at most 7200; in is plus";
    let (stage, angle) = how.split_once(' ').unwrap_or((how, ""));
    let stage = match stage {
        "first" => WhichStage::First,
        "second" => WhichStage::Second,
        _ => return Err(wrong("`screw` needs a stage", help)),
    };
    let number = angle
        .trim_end_matches("degrees")
        .trim_end_matches("deg")
        .trim();
    let degrees = number.parse::<f64>().ok();
    match degrees.filter(|d| d.abs() <= MOST_DEGREES) {
        Some(degrees) => Ok(Order::Do(Deed::TurnScrew { stage, degrees })),
        None => Err(wrong("`screw` needs degrees", help)),
    }
}

/// What an order gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// What was done or seen.
    pub words: String,
    /// The caution that belongs to it.
    pub caution: &'static str,
    /// The result, where the order was a test.
    pub test: Option<TestResult>,
}

impl Order {
    /// Carries it out.
    ///
    /// # Errors
    /// [`ServiceError`]: the state forbids it, the rig has no such part, or the run failed.
    pub fn follow(&self, b: &mut Bench<'_>, system: System) -> Result<Answer, ServiceError> {
        let mut caution = "";
        let mut test = None;
        let words = match self {
            Self::Test(kind) => {
                let result = run(b, *kind)?;
                caution = result.verdict.caution();
                let words = result.words.clone();
                test = Some(result);
                words
            }
            Self::Do(deed) => {
                let done = perform(b, *deed)?;
                caution = done.caution;
                done.words
            }
            Self::Light(which) => {
                for &appliance in which {
                    caution = perform(b, Deed::Light { appliance })?.caution;
                }
                b.wait(LIGHTING_S, 1.0)?;
                flames(b)
            }
            Self::Off(which) => {
                for &appliance in which {
                    perform(b, Deed::ShutOff { appliance })?;
                }
                b.wait(2.0, 0.5)?;
                flames(b)
            }
            Self::Read {
                point,
                gauge,
                watched_s,
            } => gauge_words(b, *point, *gauge, *watched_s, system)?,
            Self::Thermometer(place) => {
                let k = place.temperature_k(&b.sim.readings());
                let shown = b.kit.thermometer.at_rest(k);
                let text = temperature_text(shown, system);
                format!("{}: {text}", place.name(b.sim.rig()))
            }
            Self::Fluid(joint) => {
                caution = "A leak is sought with leak fluid, never with a flame";
                let name = joint.name(b.sim.rig());
                format!("{name}: {}", bubbles_at(*joint, b.sim).words())
            }
            Self::Look => format!("{}; {}", flames(b), frost_seen(&b.sim.readings()).words()),
            Self::Listen => listen(b.sim)?.words(),
            Self::Wait(s) => {
                b.wait(*s, 1.0_f64.max(s / 600.0))?;
                let passed = units::format(b.elapsed_s(), Dimension::Time, system);
                format!("{passed} since the rig came to the bench")
            }
        };
        Ok(Answer {
            words,
            caution,
            test,
        })
    }
}

fn flames(b: &Bench<'_>) -> String {
    let r = b.sim.readings();
    let rig = b.sim.rig();
    let seen: Vec<String> = (0..rig.appliances.len())
        .map(|i| {
            let seen = flame_seen(&r, i);
            let looks = match seen.flame {
                _ if seen.surging && seen.flame != Flame::Out => "flame jumps",
                Flame::Out => "no flame",
                Flame::Low => "flame low and lazy",
                Flame::Normal => "flame steady",
                Flame::Hard => "flame hard and loud",
                Flame::Lifting => "flame lifts off",
            };
            format!("{} {looks}", rig.appliances[i].name)
        })
        .collect();
    if seen.is_empty() {
        "no appliance".to_owned()
    } else {
        seen.join(", ")
    }
}

/// What a gauge shows that was put on with care, and between what it moves while it is watched.
fn gauge_words(
    b: &mut Bench<'_>,
    point: TestPoint,
    gauge: Option<Device>,
    watched_s: f64,
    system: System,
) -> Result<String, ServiceError> {
    point.check(b.sim.rig())?;
    let now_pa = point.pressure_pa(&b.sim.readings());
    let mut device = gauge.unwrap_or_else(|| Device::for_pressure(now_pa, &b.kit));
    let low = device.range_pa() < 9e3;
    let text = |pa: f64| match (system, low) {
        (System::Us, true) => format!("{:.1} in w.c.", pa_to_inwc(pa)),
        (System::Us, false) => format!("{:.1} psi", pa_to_psi(pa)),
        (System::Si, _) => format!("{:.2} kPa", 1e-3 * pa),
    };
    device.step(WATCH_S.2, now_pa);
    let (mut least, mut most) = (device.stands_pa(), device.stands_pa());
    if watched_s > 0.0 {
        let mut time_s = b.sim.time_s();
        let until_s = time_s + watched_s;
        b.sim.advance(until_s, Some(WATCH_S.1), &mut |r| {
            device.step(r.time_s - time_s, point.pressure_pa(r));
            time_s = r.time_s;
            least = least.min(device.stands_pa());
            most = most.max(device.stands_pa());
        })?;
    }
    let shown = match device.shown() {
        Shown::Value(pa) => text(pa),
        Shown::OverRange if matches!(device, Device::Manometer(_)) => {
            "over its range, the water is blown out".to_owned()
        }
        Shown::OverRange => "over its range".to_owned(),
    };
    let between = if watched_s > 0.0 {
        format!(", moved between {} and {}", text(least), text(most))
    } else {
        String::new()
    };
    let name = point.name(b.sim.rig());
    Ok(format!("{name}: {shown} on the {}{between}", device.name()))
}
