//! What a lesson can measure on a running rig, by name, and the units it is told in.

use crate::rig::Readings;
use crate::sim::Channel as Recorded;
use crate::units::Dimension;

/// A part of the rig that a lesson points at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Container on service.
    Container,
    /// Its valve.
    Valve,
    /// Inlet of the regulator.
    Inlet,
    /// First-stage chamber and body.
    FirstChamber,
    /// First-stage seat disc.
    FirstSeat,
    /// Passage between the stages.
    Passage,
    /// Air over the second diaphragm.
    SecondBonnet,
    /// Second-stage vent.
    SecondVent,
    /// Second-stage spring.
    SecondSpring,
    /// Second-stage diaphragm.
    SecondDiaphragm,
    /// Second-stage lever.
    SecondLever,
    /// Second-stage orifice.
    SecondOrifice,
    /// Second-stage seat disc.
    SecondSeat,
    /// Outlet and line.
    Outlet,
}

/// The parts by the names that lesson files have for them.
pub static PLACES: [(&str, Place); 14] = [
    ("container", Place::Container),
    ("valve", Place::Valve),
    ("inlet", Place::Inlet),
    ("first_chamber", Place::FirstChamber),
    ("first_seat", Place::FirstSeat),
    ("passage", Place::Passage),
    ("second_bonnet", Place::SecondBonnet),
    ("second_vent", Place::SecondVent),
    ("second_spring", Place::SecondSpring),
    ("second_diaphragm", Place::SecondDiaphragm),
    ("second_lever", Place::SecondLever),
    ("second_orifice", Place::SecondOrifice),
    ("second_seat", Place::SecondSeat),
    ("outlet", Place::Outlet),
];

/// A quantity of the rig.
#[derive(Clone, Copy)]
pub struct Channel {
    /// Name in lessons.
    pub name: &'static str,
    /// What a reader calls it.
    pub words: &'static str,
    /// Dimension of the value.
    pub dimension: Dimension,
    /// The value \[SI\].
    pub read: fn(&Readings) -> f64,
    /// The part that has it.
    pub place: Place,
    /// The line of the record that is the same, if there is one.
    pub recorded: Option<Recorded>,
}

impl Channel {
    /// Whether it can be read on a rig whose valves are shut and whose lines are empty.
    pub fn stands_without_gas(&self) -> bool {
        matches!(self.dimension, Dimension::Temperature | Dimension::Fraction)
            || self.place == Place::Container
    }
}

impl std::fmt::Debug for Channel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

impl PartialEq for Channel {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

const fn channel(
    name: &'static str,
    words: &'static str,
    dimension: Dimension,
    read: fn(&Readings) -> f64,
    place: Place,
    recorded: Option<Recorded>,
) -> Channel {
    Channel {
        name,
        words,
        dimension,
        read,
        place,
        recorded,
    }
}

/// Everything a lesson can measure.
pub static CHANNELS: [Channel; 18] = [
    channel(
        "outlet",
        "outlet",
        Dimension::GaugePressure,
        |r| r.outlet_pa,
        Place::Outlet,
        Some(Recorded::Outlet),
    ),
    channel(
        "manifold",
        "manifold",
        Dimension::GaugePressure,
        |r| r.manifold_pa,
        Place::Outlet,
        Some(Recorded::Manifold),
    ),
    channel(
        "first_stage",
        "first stage",
        Dimension::GaugePressure,
        |r| r.first.chamber_pa,
        Place::Passage,
        Some(Recorded::FirstStage),
    ),
    channel(
        "inlet",
        "regulator inlet",
        Dimension::GaugePressure,
        |r| r.containers[r.service_side].pigtail_pa,
        Place::Inlet,
        Some(Recorded::Inlet),
    ),
    channel(
        "container",
        "container pressure",
        Dimension::GaugePressure,
        |r| r.containers[r.service_side].pressure_pa,
        Place::Container,
        Some(Recorded::Container),
    ),
    channel(
        "second_bonnet",
        "air over the second diaphragm",
        Dimension::GaugePressure,
        |r| r.second.case_pa,
        Place::SecondBonnet,
        Some(Recorded::SecondCase),
    ),
    channel(
        "first_lift",
        "first-stage seat open by",
        Dimension::Length,
        |r| r.first.lift_m,
        Place::FirstSeat,
        Some(Recorded::FirstLift),
    ),
    channel(
        "second_lift",
        "second-stage seat open by",
        Dimension::Length,
        |r| r.second.lift_m,
        Place::SecondSeat,
        Some(Recorded::SecondLift),
    ),
    channel(
        "second_rise",
        "second diaphragm up by",
        Dimension::Length,
        |r| r.second.rise_m,
        Place::SecondDiaphragm,
        Some(Recorded::SecondRise),
    ),
    channel(
        "second_gas_force",
        "gas on the second diaphragm",
        Dimension::Force,
        |r| r.second.forces.gas_n,
        Place::SecondDiaphragm,
        None,
    ),
    channel(
        "second_spring_force",
        "spring on the second diaphragm",
        Dimension::Force,
        |r| r.second.forces.spring_n,
        Place::SecondSpring,
        None,
    ),
    channel(
        "second_jet_force",
        "jet on the second seat",
        Dimension::Force,
        |r| r.second.forces.jet_n,
        Place::SecondOrifice,
        None,
    ),
    channel(
        "flow",
        "what the burners take",
        Dimension::Power,
        |r| r.flow_w,
        Place::Outlet,
        Some(Recorded::Flow),
    ),
    channel(
        "body",
        "regulator body",
        Dimension::Temperature,
        |r| r.body_k,
        Place::FirstChamber,
        Some(Recorded::Body),
    ),
    channel(
        "case",
        "spring case",
        Dimension::Temperature,
        |r| r.case_k,
        Place::SecondBonnet,
        None,
    ),
    channel(
        "liquid",
        "liquid in the container",
        Dimension::Temperature,
        |r| r.containers[r.service_side].temperature_k,
        Place::Container,
        Some(Recorded::ContainerTemperature),
    ),
    channel(
        "fill",
        "container fill",
        Dimension::Fraction,
        |r| r.containers[r.service_side].fill,
        Place::Container,
        None,
    ),
    channel(
        "liquid_share",
        "liquid in the first stage",
        Dimension::Fraction,
        |r| r.first.liquid_share,
        Place::FirstChamber,
        None,
    ),
];
