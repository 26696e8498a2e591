//! The headline: the state of affairs in a sentence or two. Only words are made here; what is so is decided by
//! [`crate::service::state_of_affairs`].

use egui::{Color32, Label, Pos2, Response, RichText, Sense, Shape, Stroke, Ui, vec2};

use crate::physics::fuel::COLD_K;
use crate::report::letters::{capital, stopped};
use crate::report::percent::percent;
use crate::report::record;
use crate::rig::{Flame, Rig};
use crate::service::{
    Above, Affairs, Compared, Doing, Escape, Filling, Finger, Gives, Gravity, Held, LIMITS, Limit,
    Load, Missing, Scarce, Trouble, Which,
};
use crate::sim::Mark;
use crate::window::look::show::{Shown, Units};
use crate::window::look::theme::{BODY, LEAD, NOTE, Theme, plain, strong};
use crate::window::told::seats::seat_words;

/// An event is news for this long in simulated time \[s\].
const NEWS_S: f64 = 4.0;
/// Width of the sign of a gravity with the gaps beside it \[points\].
const BEFORE: f32 = 32.0;

/// What is not as it should be, or else what the regulator does; with the news before it.
pub fn headline(a: &Affairs, rig: &Rig, units: Units, time_s: f64, last: Option<&Mark>) -> String {
    let body = match a.troubles.first() {
        Some(gravest) => {
            let more = match a.troubles.len() {
                1 => String::new(),
                2 => " (and one more thing is not right)".to_owned(),
                n => format!(" (and {} more things are not right)", n - 1),
            };
            let gravest = stopped(&format!("{}{more}", trouble(gravest, rig, units)));
            format!("{gravest} {}", capital(&doing(a, units)))
        }
        None => doing(a, units),
    };
    match last.filter(|m| (0.0..NEWS_S).contains(&(time_s - m.time_s))) {
        // Two sentences: what happened last need not be why.
        Some(m) => format!("{}. {}", capital(&record::mark(m, rig)), capital(&body)),
        None => capital(&body),
    }
}

/// The headline with its sign and word where something is not as it should be.
pub fn show(ui: &mut Ui, gravity: Gravity, words: &str, t: &Theme) -> Response {
    let lead = egui::TextStyle::Heading.resolve(ui.style()).size;
    // Sign and word before it take from its room.
    let before = gravity_word(gravity).map_or(0.0, |word| {
        let word = ui
            .painter()
            .layout_no_wrap(word.to_owned(), strong(lead), t.ink);
        word.size().x + BEFORE
    });
    let size = fitting(ui, words, before);
    let text = RichText::new(words).font(plain(size)).color(t.ink);
    let Some(word) = gravity_word(gravity) else {
        return ui.add(Label::new(text).wrap());
    };
    let shown = ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 7.0;
        let ink = gravity_ink(gravity, t);
        sign(ui, gravity, t);
        ui.label(RichText::new(word).font(strong(size)).color(ink));
        ui.add(Label::new(text).wrap())
    });
    shown.inner
}

/// All that is not right, one a line: what the headline only counts.
pub fn list_ui(ui: &mut Ui, a: &Affairs, rig: &Rig, units: Units) {
    if a.troubles.is_empty() {
        ui.label("Nothing is out of its limits");
    }
    for t in &a.troubles {
        ui.label(capital(&trouble(t, rig, units)));
    }
}

/// The largest of the type sizes at which a sentence has room where it stands, so much before it taken off.
pub fn fitting(ui: &Ui, words: &str, before: f32) -> f32 {
    let room = ui.max_rect();
    let fits = |size: &f32| {
        let galley = ui.painter().layout(
            words.to_owned(),
            plain(*size),
            Color32::PLACEHOLDER,
            (room.width() - before).max(1.0),
        );
        galley.size().y <= room.height()
    };
    // Before a room a heading is larger.
    let lead = egui::TextStyle::Heading.resolve(ui.style()).size;
    [lead, LEAD, BODY].into_iter().find(fits).unwrap_or(NOTE)
}

/// Ink of a gravity; its sign and word say the same.
pub fn gravity_ink(g: Gravity, t: &Theme) -> Color32 {
    match g {
        Gravity::Well => t.good,
        Gravity::Care => t.caution,
        Gravity::Stop => t.danger,
    }
}

/// The sign of a gravity: a tick, a triangle on its base, an octagon with a bar.
pub fn sign(ui: &mut Ui, g: Gravity, t: &Theme) {
    let (rect, _) = ui.allocate_exact_size(vec2(17.0, 17.0), Sense::hover());
    let (c, ink, painter) = (rect.center(), gravity_ink(g, t), ui.painter());
    let ring = |n: u32, turn: f32, r: f32| -> Vec<Pos2> {
        let at = |k: u32| std::f32::consts::TAU * (k as f32 + turn) / n as f32;
        (0..n)
            .map(|k| c + r * vec2(at(k).sin(), -at(k).cos()))
            .collect()
    };
    match g {
        Gravity::Well => {
            let points = [(-5.0, 0.0), (-1.5, 4.0), (5.5, -5.0)].map(|(x, y)| c + vec2(x, y));
            painter.add(Shape::line(points.to_vec(), Stroke::new(2.0, ink)));
        }
        Gravity::Care => {
            let points = ring(3, 0.0, 8.5).into_iter().map(|p| p + vec2(0.0, 2.0));
            painter.add(Shape::closed_line(points.collect(), Stroke::new(1.6, ink)));
            painter.vline(c.x, c.y - 2.0..=c.y + 2.0, Stroke::new(1.8, ink));
            painter.circle_filled(c + vec2(0.0, 4.2), 1.0, ink);
        }
        Gravity::Stop => {
            painter.add(Shape::convex_polygon(ring(8, 0.5, 8.5), ink, Stroke::NONE));
            painter.hline(c.x - 4.5..=c.x + 4.5, c.y, Stroke::new(2.6, t.card));
        }
    }
}

/// The word that stands beside the sign of a gravity; none where all is well.
pub fn gravity_word(g: Gravity) -> Option<&'static str> {
    match g {
        Gravity::Well => None,
        Gravity::Care => Some("Not right"),
        Gravity::Stop => Some("Danger"),
    }
}

fn name(rig: &Rig, i: usize) -> &str {
    rig.appliances.get(i).map_or("an appliance", |a| &a.name)
}

/// The only container, or which of the two.
fn container_name(rig: &Rig, i: usize) -> &'static str {
    match (rig.containers.len(), i) {
        (0 | 1, _) => "the container",
        (_, 0) => "the left container",
        _ => "the right container",
    }
}

fn stage(which: Which) -> &'static str {
    match which {
        Which::First => "first",
        Which::Second => "second",
    }
}

/// One trouble in words.
pub fn trouble(t: &Trouble, rig: &Rig, u: Units) -> String {
    match *t {
        Trouble::Escapes { by, kg_per_s } => {
            format!("gas escapes {}, {}", escape(by, rig), u.mass_flow(kg_per_s))
        }
        Trouble::OutletOver { outlet_pa, limit } => format!(
            "the outlet stands {} {}",
            past(u.low(outlet_pa), u.low(limit.high), "over"),
            outlet_limit(limit, u)
        ),
        Trouble::OutletLow {
            outlet_pa,
            least_pa,
            load,
        } => {
            // Two limits, by the load: each says which it is.
            let (does, when) = match load {
                // At rest, and whether a seat is shut there or not.
                Load::Rest => ("rests", "as soon as one is lit"),
                Load::UpToHalf => ("stands", "up to half load"),
                Load::OverHalf => ("stands", "at more than half load"),
            };
            format!(
                "the outlet {does} {} the {} that burners need {when}",
                past(u.low(outlet_pa), u.low(least_pa), "under"),
                u.low(least_pa)
            )
        }
        Trouble::NoGas { why } => no_gas(why).to_owned(),
        Trouble::FirstOver {
            chamber_pa,
            limit,
            from,
        } => first_over(chamber_pa, limit, from, u),
        Trouble::FirstLow {
            chamber_pa,
            gives,
            why,
        } => first_low(chamber_pa, gives, why, u),
        Trouble::InletFalls {
            container,
            container_pa,
            inlet_pa,
        } => format!(
            "{} stands at {}, and only {} comes to the inlet of the regulator: something is in the way between them",
            container_name(rig, container),
            u.high(container_pa),
            u.high(inlet_pa)
        ),
        Trouble::PipeDrop {
            outlet_pa,
            manifold_pa,
        } => format!(
            "the regulator gives {}, but only {} comes to the burners: the line between loses {}, over the {} it may",
            u.low(outlet_pa),
            u.low(manifold_pa),
            u.low(outlet_pa - manifold_pa),
            u.low(LIMITS.pipe_drop.high)
        ),
        Trouble::NeverShuts { stage: s, why } => match why {
            Held::Loose => format!(
                "the lever of the {} stage is off its pin: nothing holds the seat to its orifice",
                stage(s)
            ),
            Held::Disc => format!(
                "rubber is missing from the {} seat: it never shuts its orifice",
                stage(s)
            ),
        },
        Trouble::Liquid { share } => format!(
            "liquid comes to the first seat, {} of what flows by mass; it boils in the body, which turns cold",
            percent(share)
        ),
        Trouble::LowSideWet { kg } => format!(
            "{} of liquid stands behind the second stage, on its way to the burners",
            u.small_mass(kg)
        ),
        Trouble::TooFull {
            container,
            fill,
            cold,
        } => {
            let name = container_name(rig, container);
            let room = percent(LIMITS.fill.high);
            format!(
                "{name} is {} full, as much as {} at {}: over the {room} that leave room for warmth",
                percent(fill),
                percent(cold),
                u.temperature(COLD_K)
            )
        }
        Trouble::Tripped { container } => format!(
            "the excess-flow valve of {} has closed; only its bleed passes",
            container_name(rig, container)
        ),
        Trouble::Ice { stage: s, share } => {
            format!("ice covers {} of the {} orifice", percent(share), stage(s))
        }
        Trouble::Vent { stage: s, open } if open <= 0.01 => format!(
            "the {}-stage vent is shut: the air over its diaphragm cannot leave",
            stage(s)
        ),
        Trouble::Vent { stage: s, open } => format!(
            "only {} of the {}-stage vent is open",
            percent(open),
            stage(s)
        ),
        Trouble::Water { stage: s, .. } => {
            format!("water stands on the {} diaphragm", stage(s))
        }
        Trouble::Creeps { stage: s, kg_per_s } => format!(
            "the {} seat lets {} by though no burner takes gas: the pressure behind it climbs",
            stage(s),
            u.mass_flow(kg_per_s)
        ),
        Trouble::Surges { appliance } => {
            format!(
                "the flame of the {} jumps up and down",
                name(rig, appliance)
            )
        }
        Trouble::Flame { appliance, flame } => {
            let how = match flame {
                Flame::Out => "is out",
                Flame::Low => "is soft and lazy",
                Flame::Normal => "is steady",
                Flame::Hard => "is loud and sharp",
                Flame::Lifting => "lifts off",
            };
            format!("the flame of the {} {how}", name(rig, appliance))
        }
        Trouble::Waits { appliance } => format!(
            "the {} has no flame and waits for another try",
            name(rig, appliance)
        ),
        Trouble::Unlit { appliance } => format!(
            "the gas of the {} is open and no flame burns",
            name(rig, appliance)
        ),
        Trouble::LockedOut { appliance } => format!(
            "the {} has locked out and waits for a person",
            name(rig, appliance)
        ),
    }
}

/// The first stage over a limit, and what keeps it there: behind a seat that is shut no container's pressure comes in.
fn first_over(chamber_pa: f64, limit: &Limit, from: Option<Above>, u: Units) -> String {
    let past = past(u.high(chamber_pa), u.high(limit.high), "over");
    let is_danger = *limit == LIMITS.first_danger;
    let may = if is_danger {
        ""
    } else {
        " it may reach at rest"
    };
    let made_for = u.high(crate::units::psi_to_pa(10.0));
    let why = match from {
        Some(Above::Container) if is_danger => {
            format!(": container pressure reaches parts made for {made_for}")
        }
        Some(Above::Boiling) => ": liquid boils in it behind a shut seat".to_owned(),
        Some(Above::ShutIn) => ": gas is shut in behind its seat".to_owned(),
        _ if is_danger => format!(", and its parts are made for {made_for}"),
        _ => String::new(),
    };
    format!(
        "the first stage stands {past} {the}{}{may}{why}",
        u.high(limit.high),
        the = if is_danger { "" } else { "the " },
    )
}

/// The first stage with too little, why, and whether it shows yet.
fn first_low(chamber_pa: f64, gives: Gives, why: Scarce, u: Units) -> String {
    let has = u.high(chamber_pa);
    let why = match why {
        Scarce::Spent => "the container has no more to give",
        Scarce::ToIt => "too little comes to it",
        Scarce::ThroughIt => "too little comes through it",
    };
    match gives {
        Gives::NothingAsked => {
            format!("the first stage stands at {has} only, too little to feed the burners: {why}")
        }
        Gives::JustEnough => {
            format!(
                "the first stage has {has} left: it is just enough for the burners that are lit"
            )
        }
        Gives::TooLittle => format!("the first stage gives {has} only: {why}"),
    }
}

/// A reading against the limit it has passed: "at 11.6 in w.c., over". Where both read the same, no reader is told a number over
/// itself.
fn past(reading: Shown, limit: Shown, way: &str) -> String {
    if reading.number() == limit.number() {
        format!("just {way}")
    } else {
        format!("at {reading}, {way}")
    }
}

/// A limit on the outlet, and what it is: two of them are for lock-up, and no reader is to take one for the other.
fn outlet_limit(limit: &Limit, u: Units) -> String {
    let high = u.low(limit.high);
    if *limit == LIMITS.flow {
        format!("the {high} for flow at half load and above")
    } else if *limit == LIMITS.lock_up {
        format!("the {high} that lock-up may reach, 120 % of the set pressure")
    } else {
        format!("the {high} that it may never pass")
    }
}

fn escape(by: Escape, rig: &Rig) -> String {
    match by {
        Escape::Relief => "through the relief and out of the vent".to_owned(),
        Escape::Tear(s) => format!(
            "through the torn {} diaphragm and out of its vent",
            stage(s)
        ),
        Escape::Vent(s) => format!("out of the {}-stage vent", stage(s)),
        Escape::Unlit(i) => format!("unburned from the {}", name(rig, i)),
        Escape::Joint => "from a joint or a container's own relief".to_owned(),
    }
}

fn no_gas(why: Missing) -> &'static str {
    match why {
        Missing::ValveShut => "no gas comes to the outlet: the container is shut",
        Missing::Empty => "no gas comes to the outlet: the container has nothing more to give",
        Missing::UnderAir => {
            "no gas comes to the outlet: the container stands under the air's pressure and draws air in wherever something is open; shut its valve"
        }
        Missing::Blocked => {
            "no gas comes to the outlet, though the container has pressure and is open"
        }
    }
}

/// What fills a spring case, wherever it is told: gas where gas leaves by it.
pub fn filling_word(f: Filling) -> &'static str {
    match f {
        Filling::Air => "air",
        Filling::Gas => "gas",
    }
}

/// A finger on a diaphragm.
pub fn finger(which: Which, f: Finger, u: Units) -> String {
    let does = if f.lifts { "lifts" } else { "presses down" };
    format!(
        "a finger {does} the {} diaphragm with {}",
        stage(which),
        u.force(f.newton)
    )
}

/// What the regulator does, in words, and the fingers that have not been told with it.
fn doing(a: &Affairs, u: Units) -> String {
    let mut words = deed(a, u);
    for (which, f) in Which::BOTH.into_iter().zip(a.fingers) {
        if let Some(f) = f {
            words = format!("{words}; {}", finger(which, f, u));
        }
    }
    words
}

/// What holds the second diaphragm: gas and spring, the air over it where that bears, and a finger.
fn holds(a: &Affairs, air_pa: Option<f64>, u: Units) -> String {
    let filled = filling_word(a.cases[1]);
    let lifts = a.fingers[1].map(|f| f.lifts);
    let below = match lifts {
        Some(true) => "gas and finger balance",
        _ => "gas balances",
    };
    let presses = lifts == Some(false);
    match air_pa {
        None if lifts.is_none() => "gas and spring balance".to_owned(),
        None if presses => format!("{below} spring and finger"),
        None => format!("{below} the spring"),
        Some(over) if over > 0.0 => {
            let below = match lifts {
                Some(true) => "the gas below and a finger balance",
                _ => "the gas below balances",
            };
            let also = if presses { ", a finger" } else { "" };
            format!(
                "{below} the spring{also} and {} of {filled} over the second diaphragm",
                u.low(over)
            )
        }
        Some(over) => {
            let all = match lifts {
                Some(_) => "gas, spring and finger",
                None => "gas and spring",
            };
            format!(
                "{all} balance only with the {filled} over the second diaphragm at {}",
                u.low(over)
            )
        }
    }
}

fn deed(a: &Affairs, u: Units) -> String {
    let [first, second] = a.seats;
    match a.doing {
        _ if a.second_hangs_loose() => {
            "the second diaphragm moves without its seat: no gas pressure shuts the orifice".to_owned()
        }
        Doing::Moving {
            opens,
            breath_m3_per_s,
        } => {
            let breath = match breath_m3_per_s {
                Some(q) if q > 0.0 && a.escapes() => "; the vent blows",
                Some(q) if q > 0.0 => "; air leaves by the vent",
                Some(_) => "; air comes in by the vent",
                None => "",
            };
            if opens {
                format!(
                    "the spring pushes the second diaphragm down, and the lever draws the seat off its orifice{breath}"
                )
            } else {
                format!(
                    "the second diaphragm lifts against its spring, and the lever pushes the seat to its orifice{breath}"
                )
            }
        }
        Doing::WideOpen => {
            "the second seat stands wide open, and more is asked for than comes through".to_owned()
        }
        Doing::Holding { comes_in, air_pa } => {
            let holds = holds(a, air_pa, u);
            match comes_in {
                Compared::LeftOver => {
                    format!("{holds}; the container is shut, and what is taken is what the lines still hold")
                }
                Compared::Even if a.escapes() => holds,
                Compared::Even => format!("{holds}, and what comes in is what the burners take"),
                Compared::More if air_pa.is_some() || a.fingers[1].is_some() => {
                    format!("{holds}; more comes in than the burners take")
                }
                Compared::Less if air_pa.is_some() || a.fingers[1].is_some() => {
                    format!("{holds}; the burners take more than comes in")
                }
                Compared::More => "more comes in than the burners take".to_owned(),
                Compared::Less => "the burners take more than comes in".to_owned(),
            }
        }
        // That a seat lets gas by is for a class to find.
        Doing::Closing if a.effects_only => "no burner takes gas".to_owned(),
        // Whether it comes to a stop the instant cannot show: a nick never shuts.
        Doing::Closing if a.escapes() => "no burner takes gas, and gas still passes a seat".to_owned(),
        Doing::Closing if a.climbs() => {
            "no burner takes gas, and gas still passes a seat: the pressure behind it climbs on".to_owned()
        }
        Doing::Closing => {
            "no burner takes gas; what still passes a seat raises the pressure behind it, and that presses the seat harder"
                .to_owned()
        }
        Doing::LockedUp => "no burner takes gas: the pressure holds both seats shut".to_owned(),
        Doing::AtRest => format!(
            "no gas flows to speak of: the first seat is {}, the second {}",
            seat_words(first, u),
            seat_words(second, u)
        ),
    }
}

#[cfg(test)]
mod tests;
