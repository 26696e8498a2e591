//! What about a rig forbids a test or a deed, as a value; and, as with every error, in words with what to do first.

use serde::Serialize;

/// What stands in the way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum Hindrance {
    /// No gas can come, and what joints hold is left in the line.
    #[error(
        "the container valve is shut; put leak fluid on by hand first, at the low side and the hose, as long as they hold what was in them, and open it slowly only where that showed nothing"
    )]
    ShutBeforeJoints,
    /// No gas can come.
    #[error("the container valve is shut; open it slowly first")]
    SupplyShut,
    /// Something burns that must not.
    #[error("{name} burns gas; {because}")]
    Burns {
        /// Which appliance, by its name.
        name: String,
        /// Why it must not.
        because: NothingLit,
    },
    /// A leak check lost gas.
    #[error(
        "gas was lost in the leak check; nothing is lit and no line stands under gas until the leak is found, mended and checked again"
    )]
    GasLost,
    /// Gas comes out somewhere.
    #[error(
        "gas comes out of a hose, a joint, a burner or a vent; nothing is lit until it is found, mended and checked again"
    )]
    GasEscapes,
    /// The low side stands far over what may go into a house or a vehicle.
    #[error(
        "the outlet stands far over 14.0 in w.c. with nothing lit; the container is shut, and nothing is lit until the regulator has been replaced"
    )]
    FarOver,
    /// The outlet stands over what may go into a house or a vehicle.
    #[error(
        "the outlet stands over 14.0 in w.c. with nothing lit; nothing is lit from it until the regulator has been put right or replaced"
    )]
    OverAtRest,
    /// A container gives far more than propane can in this air.
    #[error(
        "the container gives far more than propane can in this air, even in the sun; it stays shut until a qualified person has weighed it and found out what is in it"
    )]
    ContainerOver,
    /// All that could be lit has to stay off.
    #[error("every appliance takes far more than its rating plate says, and is kept off")]
    AllKeptOff,
    /// A container is filled too far.
    #[error(
        "the container is filled too far; it stays shut, out of the sun, until a qualified person has bled it down"
    )]
    Overfilled,
    /// The first stage stands so high that nothing is lit from it.
    #[error(
        "the first stage stands over 25 psig, container pressure on parts made for 10; the container is shut until the regulator has been replaced"
    )]
    FirstOver,
    /// There is nothing to light.
    #[error("the rig has no appliance to light")]
    NoAppliance,
    /// The load that the test is made with is kept off, or goes off in the middle of it: what burns now may be satisfied then.
    #[error(
        "the test needs the {} lit, but by then the thermostat is satisfied and keeps it off; turn the thermostats up first (Make ready on the bench does)",
        .0.join(", ")
    )]
    Satisfied(Vec<String>),
    /// What would be let out comes after.
    #[error("{0} is open, and gas would come after what is let out; shut it first")]
    SupplyOpen(Valve),
    /// A part would come off under pressure.
    #[error("{1} is open, and gas would come out where the {0} comes off; shut it first")]
    OpenBehind(&'static str, Valve),
    /// A part would come off beside a flame.
    #[error("{0} is lit or its gas is on; shut every burner and pilot off first")]
    Lit(String),
    /// A part would come off a line that holds gas.
    #[error("there is still gas in the line; bleed it first")]
    GasInLine,
}

/// The valve of a container of a rig that has so many, told by its side where there are two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Valve {
    /// Which container.
    pub container: usize,
    /// Of how many.
    pub of: usize,
}

impl Valve {
    /// The side of its container, where there are two.
    pub fn side(self) -> Option<&'static str> {
        let side = if self.container == 0 { "left" } else { "right" };
        (self.of > 1).then_some(side)
    }
}

impl std::fmt::Display for Valve {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.side() {
            Some(side) => write!(f, "the {side} container's valve"),
            None => f.write_str("the container valve"),
        }
    }
}

/// Why nothing may burn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum NothingLit {
    /// For a leak check.
    #[error("shut every appliance and pilot off first")]
    LeakCheck,
    /// For lock-up.
    #[error("its draw hides a leaking seat; shut every appliance and pilot off first")]
    LockUp,
    /// For creep.
    #[error("creep is watched with everything off, after lock-up")]
    Creep,
    /// For a test of new piping.
    #[error("the piping is tested empty of gas, cut off at both ends")]
    NewPiping,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What stands in the way follows "Lock-up must wait:", so it has no colon of its own, nor marks of code.
    #[test]
    fn what_stands_in_the_way_is_one_sentence() {
        let name = || "furnace".to_owned();
        let burns = |because| Hindrance::Burns {
            name: name(),
            because,
        };
        for why in [
            Hindrance::SupplyShut,
            burns(NothingLit::LeakCheck),
            burns(NothingLit::LockUp),
            burns(NothingLit::Creep),
            burns(NothingLit::NewPiping),
            Hindrance::GasLost,
            Hindrance::FarOver,
            Hindrance::GasEscapes,
            Hindrance::OverAtRest,
            Hindrance::ContainerOver,
            Hindrance::AllKeptOff,
            Hindrance::Overfilled,
            Hindrance::FirstOver,
            Hindrance::NoAppliance,
            Hindrance::Satisfied(vec![name()]),
            Hindrance::Satisfied(vec![name(), "water heater".to_owned()]),
            Hindrance::ShutBeforeJoints,
            Hindrance::SupplyOpen(Valve {
                container: 0,
                of: 1,
            }),
            Hindrance::OpenBehind(
                "pigtail",
                Valve {
                    container: 1,
                    of: 2,
                },
            ),
            Hindrance::Lit(name()),
            Hindrance::GasInLine,
        ] {
            let words = why.to_string();
            assert!(!words.contains(['`', ':']), "{words}");
        }
    }
}
