//! What is not as it should be, each in a clause. What is so is decided by [`crate::service::state_of_affairs`].

use crate::physics::fuel::COLD_K;
use crate::report::percent::percent;
use crate::rig::{Flame, Rig};
use crate::service::{
    Above, Escape, Gives, Gravity, Held, LIMITS, Limit, Load, Missing, Scarce, Several, Trouble,
    Which,
};
use crate::window::look::show::{Shown, Units};

fn name(rig: &Rig, i: usize) -> &str {
    rig.appliances.get(i).map_or("appliance", |a| &a.name)
}

/// Several appliances with the verb that goes with one of them and with more: "the furnace has", "the furnace and the stove have".
fn these(several: Several, rig: &Rig, one: &str, more: &str) -> String {
    let verb = if several.count() > 1 { more } else { one };
    format!("{} {verb}", names(several, rig))
}

/// "the furnace, the water heater and the stove".
fn names(several: Several, rig: &Rig) -> String {
    let mut all: Vec<String> = several
        .places()
        .map(|i| format!("the {}", name(rig, i)))
        .collect();
    match all.pop() {
        Some(last) if all.is_empty() => last,
        Some(last) => format!("{} and {last}", all.join(", ")),
        None => "no appliance".to_owned(),
    }
}

/// The only container, or which of the two.
fn container_name(rig: &Rig, i: usize) -> &'static str {
    match (rig.containers.len(), i) {
        (0 | 1, _) => "the container",
        (_, 0) => "the left container",
        _ => "the right container",
    }
}

pub(super) fn stage(which: Which) -> &'static str {
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
        Trouble::OutletOver {
            outlet_pa,
            limit,
            load,
        } => format!(
            "the outlet stands {} {}",
            past(u.low(outlet_pa), u.low(limit.high), "over"),
            outlet_limit(limit, load, u)
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
        Trouble::FirstMeagre { chamber_pa } => format!(
            "the first stage stands at {} where about {} are usual: it still feeds what is asked of it, with little left",
            u.high(chamber_pa),
            u.high(crate::units::psi_to_pa(10.0))
        ),
        Trouble::ContainerOver {
            container,
            pressure_pa,
            gives_pa,
            temperature_k,
        } => format!(
            "{} stands at {}, and propane at {} gives {}: what is over that is no propane, as air is none",
            container_name(rig, container),
            u.high(pressure_pa),
            u.temperature(temperature_k),
            u.high(gives_pa)
        ),
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
        Trouble::OverPlate { appliances, most } => {
            let (one, many) = ("takes", "take");
            let up_to = if appliances.count() > 1 { "up to " } else { "" };
            let follows = match t.gravity() {
                Gravity::Stop => {
                    ": such a burner makes carbon monoxide; keep it off until it is put right"
                }
                _ => ": clock it, and read the size stamped on its orifice",
            };
            format!(
                "{} {up_to}{} more than {}{follows}",
                these(appliances, rig, one, many),
                percent_told(most),
                plates(appliances)
            )
        }
        Trouble::Starved { appliances, most } => {
            let up_to = if appliances.count() > 1 { "up to " } else { "" };
            format!(
                "{} {up_to}{} less than {}, though the line has enough",
                these(appliances, rig, "gives", "give"),
                percent_told(most),
                plates(appliances)
            )
        }
        Trouble::Surges { appliances } => {
            format!("{} up and down", flames(appliances, rig, "jumps", "jump"))
        }
        Trouble::Flame { appliances, flame } => {
            let (one, more) = match flame {
                Flame::Out => ("is out", "are out"),
                Flame::Low => ("is soft and lazy", "are soft and lazy"),
                Flame::Normal => ("is steady", "are steady"),
                Flame::Hard => ("is loud and sharp", "are loud and sharp"),
                Flame::Lifting => ("lifts off", "lift off"),
            };
            flames(appliances, rig, one, more)
        }
        Trouble::Waits { appliances } => {
            let tells = (
                "has no flame and waits for another try",
                "have no flame and wait for another try",
            );
            these(appliances, rig, tells.0, tells.1)
        }
        Trouble::Unlit { appliances } => {
            let has = if appliances.count() > 1 {
                "have"
            } else {
                "has"
            };
            format!(
                "{} {has} the gas valve open, and no flame",
                names(appliances, rig)
            )
        }
        Trouble::LockedOut { appliances } => {
            let tells = (
                "has locked out and waits for a person",
                "have locked out and wait for a person",
            );
            these(appliances, rig, tells.0, tells.1)
        }
    }
}

/// "the flame of the furnace jumps".
fn flames(appliances: Several, rig: &Rig, one: &str, more: &str) -> String {
    let flames = if appliances.count() > 1 {
        "flames"
    } else {
        "flame"
    };
    format!("the {flames} of {}", these(appliances, rig, one, more))
}

fn plates(appliances: Several) -> &'static str {
    if appliances.count() > 1 {
        "their rating plates say"
    } else {
        "its rating plate says"
    }
}

/// A share in whole percent, of any size.
fn percent_told(share: f64) -> String {
    format!("{} %", crate::units::fixed(100.0 * share, 0))
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

/// A limit on the outlet, and what it is: no reader is to take one for flow for one of lock-up. Under half load the outlet may stand
/// up to where it locks up, and no further.
fn outlet_limit(limit: &Limit, load: Load, u: Units) -> String {
    let high = u.low(limit.high);
    if *limit == LIMITS.flow {
        format!("the {high} for flow at half load and above")
    } else if *limit == LIMITS.lock_up && load == Load::Rest {
        format!("the {high} that lock-up may reach, 120 % of the set pressure")
    } else if *limit == LIMITS.lock_up {
        format!("the {high} that it may not pass while a burner burns, however small")
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
        Escape::Unlit(several) => format!("unburned from {}", names(several, rig)),
        Escape::Container(i) => format!("from the relief of {} itself", container_name(rig, i)),
        Escape::Pigtail(i) if rig.containers.len() > 1 => format!(
            "from the pigtail of {}, before the regulator",
            container_name(rig, i)
        ),
        Escape::Pigtail(_) => "from the pigtail, before the regulator".to_owned(),
        Escape::LowSide => "from a joint of the low side, behind the regulator".to_owned(),
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
