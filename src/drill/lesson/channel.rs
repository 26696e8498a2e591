//! What a lesson can measure on a running rig, by name, and the units it is told in.

use crate::rig::Readings;
use crate::units::Dimension;

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
) -> Channel {
    Channel {
        name,
        words,
        dimension,
        read,
    }
}

/// Everything a lesson can measure.
pub static CHANNELS: [Channel; 18] = [
    channel("outlet", "outlet", Dimension::GaugePressure, |r| {
        r.outlet_pa
    }),
    channel("manifold", "manifold", Dimension::GaugePressure, |r| {
        r.manifold_pa
    }),
    channel(
        "first_stage",
        "first stage",
        Dimension::GaugePressure,
        |r| r.first.chamber_pa,
    ),
    channel("inlet", "regulator inlet", Dimension::GaugePressure, |r| {
        r.containers[r.service_side].pigtail_pa
    }),
    channel(
        "container",
        "container pressure",
        Dimension::GaugePressure,
        |r| r.containers[r.service_side].pressure_pa,
    ),
    channel(
        "second_bonnet",
        "air over the second diaphragm",
        Dimension::GaugePressure,
        |r| r.second.case_pa,
    ),
    channel(
        "first_lift",
        "first-stage seat open by",
        Dimension::Length,
        |r| r.first.lift_m,
    ),
    channel(
        "second_lift",
        "second-stage seat open by",
        Dimension::Length,
        |r| r.second.lift_m,
    ),
    channel(
        "second_rise",
        "second diaphragm up by",
        Dimension::Length,
        |r| r.second.rise_m,
    ),
    channel(
        "second_gas_force",
        "gas on the second diaphragm",
        Dimension::Force,
        |r| r.second.forces.gas_n,
    ),
    channel(
        "second_spring_force",
        "spring on the second diaphragm",
        Dimension::Force,
        |r| r.second.forces.spring_n,
    ),
    channel(
        "second_jet_force",
        "jet on the second seat",
        Dimension::Force,
        |r| r.second.forces.jet_n,
    ),
    channel("flow", "what the burners take", Dimension::Power, |r| {
        r.flow_w
    }),
    channel("body", "regulator body", Dimension::Temperature, |r| {
        r.body_k
    }),
    channel("case", "regulator case", Dimension::Temperature, |r| {
        r.case_k
    }),
    channel(
        "liquid",
        "liquid in the container",
        Dimension::Temperature,
        |r| r.containers[r.service_side].temperature_k,
    ),
    channel("fill", "container fill", Dimension::Fraction, |r| {
        r.containers[r.service_side].fill
    }),
    channel(
        "liquid_share",
        "liquid in the first stage",
        Dimension::Fraction,
        |r| r.first.liquid_share,
    ),
];
