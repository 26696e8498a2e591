//! `[[event]]`: a time and one act, read and written.

use super::parts::SITE;
use super::sky::{SKIES, count};
use super::slot::{Slot, write_fraction};
use super::{Action, Event, Growth, SiteValue, WhichStage};
use crate::fault::Fault;
use crate::form::TableReader;
use crate::rig::{Rig, Site};
use crate::units::{Dimension as D, System, write_quantity};
use std::f64::consts::TAU;

/// The acts, one of which every event names.
pub(super) const ACTS: [&str; 21] = [
    "turn_on",
    "turn_off",
    "reset",
    "draw",
    "open_valve",
    "close_valve",
    "knob",
    "air",
    "sun",
    "elevation",
    "wall",
    "sky",
    "inject",
    "clear",
    "turn_screw",
    "press",
    "thumb_on",
    "thumb_off",
    "tap",
    "warm",
    "bleed",
];

/// Longest time an act may take \[s\].
pub const LONGEST_OVER_S: f64 = 30.0 * 86_400.0;
/// Most heat a tap or door takes \[W\].
const MOST_DRAW_W: f64 = 2e5;
/// Hardest press of a finger \[N\] (own).
const HARDEST_N: f64 = 50.0;
/// Warmest cloth \[K\]: 60 °C. Anything hotter is no wet cloth.
const WARMEST_CLOTH_K: f64 = 333.15;

/// A key beside the act, and the acts it goes with.
pub(super) struct Beside {
    pub key: &'static str,
    pub acts: &'static [&'static str],
}

/// Every key an event may have beside its time and act.
pub(super) const BESIDE: [Beside; 9] = [
    Beside {
        key: "over",
        acts: &[
            "draw",
            "open_valve",
            "close_valve",
            "air",
            "sun",
            "elevation",
            "wall",
            "sky",
            "inject",
            "press",
        ],
    },
    Beside {
        key: "power",
        acts: &["draw"],
    },
    Beside {
        key: "opening",
        acts: &["open_valve"],
    },
    Beside {
        key: "severity",
        acts: &["inject"],
    },
    Beside {
        key: "cycles",
        acts: &["inject"],
    },
    Beside {
        key: "none_at",
        acts: &["inject"],
    },
    Beside {
        key: "all_at",
        acts: &["inject"],
    },
    Beside {
        key: "force",
        acts: &["press"],
    },
    Beside {
        key: "turns",
        acts: &["turn_screw"],
    },
];

const STAGES: [(&str, WhichStage); 2] =
    [("first", WhichStage::First), ("second", WhichStage::Second)];

/// The site slot of a site value.
fn site_slot(value: SiteValue) -> &'static Slot<Site> {
    &SITE[match value {
        SiteValue::Air => 0,
        SiteValue::Sun => 1,
        SiteValue::Elevation => 2,
        SiteValue::Wall => 3,
    }]
}

/// One event, if nothing is wrong with it.
pub(super) fn read(table: &TableReader<'_>, rig: &Rig, duration_s: f64) -> Option<Event> {
    let at_s = table.quantity("at", D::Time).not_negative().required();
    if let Some(at_s) = at_s
        && at_s > duration_s
    {
        let end = write_quantity(duration_s, D::Time, System::Us);
        let message = format!("the event comes after the end of the run at {end}");
        table.complain(
            "at",
            message,
            "an earlier time, or a longer `duration` in [run]",
        );
    }
    let act = table.one_of(&ACTS);
    for beside in &BESIDE {
        let (has, fits) = (
            table.has(beside.key),
            act.is_none_or(|act| beside.acts.contains(&act)),
        );
        if has && !fits {
            let message = format!("`{}` does not go with `{}`", beside.key, act.unwrap_or(""));
            let help = format!("leaving it out; it goes with {}", beside.acts.join(", "));
            table.complain(beside.key, message, help);
        }
    }
    let action = read_act(table, act?, rig);
    Some(Event {
        at_s: at_s?,
        action: action?,
    })
}

fn over_s(table: &TableReader<'_>) -> f64 {
    table
        .quantity("over", D::Time)
        .between(0.0..=LONGEST_OVER_S)
        .or(0.0)
}

fn read_act(table: &TableReader<'_>, act: &str, rig: &Rig) -> Option<Action> {
    let appliances: Vec<(&str, usize)> = rig
        .appliances
        .iter()
        .enumerate()
        .filter(|(_, a)| !a.name.is_empty())
        .map(|(i, a)| (a.name.as_str(), i))
        .collect();
    let appliance = || table.choice(act, &appliances).required();
    let container = || {
        table
            .integer(act)
            .between(1..=count(rig.containers.len()))
            .required()
            .map(|number| number as usize - 1)
    };
    let site = |value: SiteValue| {
        Some(Action::Site {
            value,
            to: site_slot(value).find(table)?,
            over_s: over_s(table),
        })
    };
    match act {
        "turn_on" | "turn_off" => Some(Action::Switch {
            appliance: appliance()?,
            on: act == "turn_on",
        }),
        "reset" => Some(Action::Reset {
            appliance: appliance()?,
        }),
        "draw" => read_draw(table, rig, appliance()),
        "open_valve" => {
            let (container, over_s) = (container(), over_s(table));
            let open = table
                .quantity("opening", D::Fraction)
                .between(0.0..=1.0)
                .or(1.0);
            Some(Action::Valve {
                container: container?,
                open,
                over_s,
            })
        }
        "close_valve" => {
            let (container, over_s) = (container(), over_s(table));
            Some(Action::Valve {
                container: container?,
                open: 0.0,
                over_s,
            })
        }
        "knob" => {
            if rig.containers.len() < 2 {
                table.complain(
                    "knob",
                    "there is one container, so there is no changeover knob",
                    "a second [[container]]",
                );
            }
            Some(Action::Knob { side: container()? })
        }
        "air" => site(SiteValue::Air),
        "sun" => site(SiteValue::Sun),
        "elevation" => site(SiteValue::Elevation),
        "wall" => site(SiteValue::Wall),
        "sky" => {
            let over_s = over_s(table);
            let sky = table.choice("sky", &SKIES).required()?;
            Some(Action::Site {
                value: SiteValue::Wall,
                to: sky.factor(),
                over_s,
            })
        }
        "inject" => {
            let fault = read_fault(table, "inject", rig);
            let severity = table
                .quantity("severity", D::Fraction)
                .between(0.0..=1.0)
                .required();
            read_onset(table, fault, severity)
        }
        "clear" => Some(Action::Clear {
            fault: read_fault(table, "clear", rig)?,
        }),
        "turn_screw" => {
            let stage = table.choice("turn_screw", &STAGES).required();
            let angle = table
                .quantity("turns", D::Angle)
                .between(-20.0 * TAU..=20.0 * TAU)
                .required();
            Some(Action::TurnScrew {
                stage: stage?,
                turns: angle? / TAU,
            })
        }
        "press" => read_press(table),
        "thumb_on" | "thumb_off" => Some(Action::Thumb {
            stage: table.choice(act, &STAGES).required()?,
            on: act == "thumb_on",
        }),
        "tap" => table
            .choice("tap", &[("regulator", Action::Tap)])
            .required(),
        "warm" => Some(Action::Warm {
            to_k: table
                .quantity("warm", D::Temperature)
                .between(273.15..=WARMEST_CLOTH_K)
                .required()?,
        }),
        _ => {
            let bore_m = table
                .quantity("bleed", D::Travel)
                .between(0.0..=5e-3)
                .required()?;
            Some(Action::Bleed {
                area_m2: crate::physics::flow::circle_area_m2(bore_m),
            })
        }
    }
}

fn read_draw(table: &TableReader<'_>, rig: &Rig, appliance: Option<usize>) -> Option<Action> {
    let power_w = table
        .quantity("power", D::Power)
        .between(0.0..=MOST_DRAW_W)
        .required();
    let over_s = over_s(table);
    let appliance = appliance?;
    if rig.appliances[appliance].thermal.is_none() {
        let message = format!(
            "`{}` keeps no heat to draw from",
            rig.appliances[appliance].name
        );
        table.complain("draw", message, "one with a thermostat");
    }
    Some(Action::Draw {
        appliance,
        power_w: power_w?,
        over_s,
    })
}

fn read_press(table: &TableReader<'_>) -> Option<Action> {
    let stage = table.choice("press", &STAGES).required();
    let force_n = table
        .quantity("force", D::Force)
        .between(-HARDEST_N..=HARDEST_N)
        .required();
    let over_s = over_s(table);
    Some(Action::Press {
        stage: stage?,
        force_n: force_n?,
        over_s,
    })
}

/// A fault by its name, and where there are two containers with its side or without; one of an appliance with its number
/// or without.
fn read_fault(table: &TableReader<'_>, key: &str, rig: &Rig) -> Option<Fault> {
    let placed = Fault::all_in(rig).filter(|fault| fault.side().is_some());
    let at_burners = Fault::all().flat_map(|fault| {
        let can = fault.burners(rig).into_iter();
        can.map(move |i| fault.at_burner(i))
    });
    let named: Vec<(String, Fault)> = Fault::all()
        .chain(placed)
        .chain(at_burners)
        .map(|fault| (fault.to_string(), fault))
        .collect();
    let faults: Vec<(&str, Fault)> = named.iter().map(|(n, f)| (n.as_str(), *f)).collect();
    table.choice(key, &faults).required()
}

/// Most openings of a seat a fault may grow over.
const MOST_CYCLES: i64 = 1_000_000;
/// Least difference between the temperatures a fault grows between \[K\].
const LEAST_DIFFERENCE_K: f64 = 0.5;

/// How an injected fault comes: at once, over a time, with use, with temperature.
fn read_onset(
    table: &TableReader<'_>,
    fault: Option<Fault>,
    severity: Option<f64>,
) -> Option<Action> {
    let ways = ["over", "cycles", "none_at"].map(|key| table.has(key));
    if ways.iter().filter(|has| **has).count() > 1 {
        let key = if ways[1] { "cycles" } else { "none_at" };
        table.complain(
            key,
            "a fault comes over a time, with cycles or with temperature",
            "one of `over`, `cycles`, and `none_at` with `all_at`",
        );
    }
    let cycles = table.integer("cycles").between(1..=MOST_CYCLES).optional();
    let warm = |key| {
        table
            .quantity(key, D::Temperature)
            .between(SITE[0].low..=SITE[0].high)
    };
    if table.has("none_at") || table.has("all_at") {
        let (none_k, all_k) = (warm("none_at").required(), warm("all_at").required());
        if let (Some(none_k), Some(all_k)) = (none_k, all_k)
            && (none_k - all_k).abs() < LEAST_DIFFERENCE_K
        {
            table.complain("all_at", "the same as `none_at`", "another temperature");
        }
        if let Some(fault) = fault.filter(|f| f.arrives()) {
            let message = format!(
                "`{}` is in the rig or not: the body's temperature brings no more of it",
                fault.id()
            );
            table.complain("none_at", message, "`over` or `cycles`");
        }
        let by = Growth::Temperature {
            none_k: none_k?,
            all_k: all_k?,
        };
        let (fault, severity) = (fault?, severity?);
        return Some(Action::Grow {
            fault,
            severity,
            by,
        });
    }
    let over_s = over_s(table);
    let (fault, severity) = (fault?, severity?);
    Some(match cycles {
        Some(count) => Action::Grow {
            fault,
            severity,
            by: Growth::Cycles {
                count: count as u32,
            },
        },
        None => Action::Inject {
            fault,
            severity,
            over_s,
        },
    })
}

/// The lines of one event.
pub(super) fn write(event: &Event, rig: &Rig, system: System) -> Vec<String> {
    let name = |i: usize| super::write::quoted(&rig.appliances[i].name);
    let time = |s: f64| format!("\"{}\"", write_quantity(s, D::Time, system));
    let mut out = vec![format!("at = {}", time(event.at_s))];
    let mut over = 0.0;
    match event.action {
        Action::Switch { appliance, on } => {
            let act = if on { "turn_on" } else { "turn_off" };
            out.push(format!("{act} = {}", name(appliance)));
        }
        Action::Reset { appliance } => out.push(format!("reset = {}", name(appliance))),
        Action::Draw {
            appliance,
            power_w,
            over_s,
        } => {
            out.push(format!("draw = {}", name(appliance)));
            let power = write_quantity(power_w, D::Power, system);
            out.push(format!("power = \"{power}\""));
            over = over_s;
        }
        Action::Valve {
            container,
            open,
            over_s,
        } => {
            if open > 0.0 {
                out.push(format!("open_valve = {}", container + 1));
                if open != 1.0 {
                    out.push(format!("opening = \"{}\"", write_fraction(open)));
                }
            } else {
                out.push(format!("close_valve = {}", container + 1));
            }
            over = over_s;
        }
        Action::Knob { side } => out.push(format!("knob = {}", side + 1)),
        Action::Site { value, to, over_s } => {
            let slot = site_slot(value);
            out.push(format!("{} = {}", slot.key, slot.written(to, system)));
            over = over_s;
        }
        Action::Inject {
            fault,
            severity,
            over_s,
        } => {
            out.push(format!("inject = \"{fault}\""));
            out.push(format!("severity = \"{}\"", write_fraction(severity)));
            over = over_s;
        }
        Action::Grow {
            fault,
            severity,
            by,
        } => {
            out.push(format!("inject = \"{fault}\""));
            out.push(format!("severity = \"{}\"", write_fraction(severity)));
            match by {
                Growth::Cycles { count } => out.push(format!("cycles = {count}")),
                Growth::Temperature { none_k, all_k } => {
                    for (key, kelvin) in [("none_at", none_k), ("all_at", all_k)] {
                        let text = write_quantity(kelvin, D::Temperature, system);
                        out.push(format!("{key} = \"{text}\""));
                    }
                }
            }
        }
        Action::Clear { fault } => out.push(format!("clear = \"{fault}\"")),
        Action::TurnScrew { stage, turns } => {
            out.push(format!("turn_screw = \"{}\"", stage.word()));
            out.push(format!("turns = \"{turns} turn\""));
        }
        Action::Press {
            stage,
            force_n,
            over_s,
        } => {
            out.push(format!("press = \"{}\"", stage.word()));
            let force = write_quantity(force_n, D::Force, system);
            out.push(format!("force = \"{force}\""));
            over = over_s;
        }
        Action::Thumb { stage, on } => {
            let act = if on { "thumb_on" } else { "thumb_off" };
            out.push(format!("{act} = \"{}\"", stage.word()));
        }
        Action::Tap => out.push("tap = \"regulator\"".to_owned()),
        Action::Warm { to_k } => {
            let to = write_quantity(to_k, D::Temperature, system);
            out.push(format!("warm = \"{to}\""));
        }
        Action::Bleed { area_m2 } => {
            let bore_m = super::slot::bore_m(area_m2);
            let text = write_quantity(bore_m, D::Length, system);
            out.push(format!("bleed = \"{text}\""));
        }
    }
    if over > 0.0 {
        out.push(format!("over = {}", time(over)));
    }
    out
}
