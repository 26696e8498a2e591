//! From each container to the regulator: service valve, excess-flow valve, pigtail; and the changeover
//! where two of them meet.

use crate::physics::flow::{TURBULENT_FRICTION, circle_area_m2};
use crate::physics::passage::{Gas, PIPE_ENDS, Passage, series_kg_per_s};
use serde::Serialize;

/// What the poppet takes to travel one way \[s\] (own: some grams on a spring of a newton or two would take a
/// hundredth of a second freely; the gas it moves slows it). A rush that is over by then does not shut it.
const TRAVEL_S: f64 = 0.05;
/// What it takes at least to leave its seat again \[s\] (own: the gas must come round it through the bleed).
const LIFT_S: f64 = 0.5;

/// One container's way to the regulator: its own valve, excess-flow valve and pigtail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Supply {
    /// Free area of the service valve when open \[m²\].
    pub valve_m2: f64,
    /// Flow at which the excess-flow valve closes \[kg/s\].
    pub excess_trip_kg_per_s: f64,
    /// Bleed area left when the excess-flow valve has closed \[m²\].
    pub excess_bleed_m2: f64,
    /// Pressure difference under which the closed excess-flow valve opens again \[Pa\].
    pub excess_reset_pa: f64,
    /// Pigtail bore \[m\].
    pub pigtail_bore_m: f64,
    /// Pigtail length \[m\].
    pub pigtail_length_m: f64,
    /// Loss coefficient of the pigtail's ends, bends and kinks on its bore \[1\]: what goes beyond the two ends
    /// ([`PIPE_ENDS`]) is lost at narrow places, which choke as a valve does.
    pub pigtail_minor_loss: f64,
    /// Gas volume between valve and first seat \[m³\].
    pub pigtail_volume_m3: f64,
    /// Leak from the pigtail to the open air \[m²\].
    pub pigtail_leak_m2: f64,
}

impl Supply {
    /// Vapour from the container to the regulator's end of the pigtail \[kg/s\], negative on its way back:
    /// excess-flow valve, service valve and kinks one behind the other, then the hose.
    pub fn flow_kg_per_s(
        &self,
        open: f64,
        excess_flow: ExcessFlow,
        gamma: f64,
        container: &Gas,
        pigtail: &Gas,
    ) -> f64 {
        if open <= 0.0 {
            return 0.0;
        }
        let bore_m2 = circle_area_m2(self.pigtail_bore_m);
        let mut valve = Passage::valve(self.valve_m2 * open, gamma)
            .with_loss(self.pigtail_minor_loss - PIPE_ENDS, bore_m2);
        if excess_flow.is_shut() {
            valve = valve.with(Passage::valve(self.excess_bleed_m2, gamma));
        }
        let hose = Passage::pipe(
            self.pigtail_bore_m,
            self.pigtail_length_m,
            TURBULENT_FRICTION,
            self.pigtail_minor_loss.min(PIPE_ENDS),
            gamma,
        );
        series_kg_per_s(&valve, &hose, container, pigtail)
    }

    /// Leak of the pigtail to the open air \[kg/s\].
    pub fn leak_kg_per_s(&self, pigtail: &Gas, ambient_pa: f64) -> f64 {
        Passage::sharp_hole(self.pigtail_leak_m2).kg_per_s(pigtail, ambient_pa)
    }
}

/// Where the poppet of an excess-flow valve is. It shuts by flow that lasts as long as it takes to travel,
/// and opens when the difference across it, times its area, no longer holds its spring.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ExcessFlow {
    /// Open.
    #[default]
    Open,
    /// The flow is over the limit and carries it along.
    Closing {
        /// When it comes to its seat, unless the flow falls \[s\].
        shuts_s: f64,
    },
    /// On its seat: only the bleed passes.
    Shut {
        /// Until then it has not yet come to rest there \[s\].
        rests_s: f64,
    },
}

impl ExcessFlow {
    /// Carried along by the flow from `t_s` on.
    pub(super) fn closing(t_s: f64) -> Self {
        Self::Closing {
            shuts_s: t_s + TRAVEL_S,
        }
    }

    /// Whether only the bleed passes.
    pub fn is_shut(self) -> bool {
        matches!(self, Self::Shut { .. })
    }

    /// What has become of it by `t_s`.
    pub(super) fn by(self, t_s: f64) -> Self {
        match self {
            Self::Closing { shuts_s } if shuts_s <= t_s => Self::Shut {
                rests_s: shuts_s + LIFT_S,
            },
            other => other,
        }
    }

    /// When something about it changes by itself \[s\].
    pub(super) fn next_s(self) -> Option<f64> {
        match self {
            Self::Open => None,
            Self::Closing { shuts_s } => Some(shuts_s),
            Self::Shut { rests_s } => Some(rests_s),
        }
    }
}

/// An automatic changeover: the service side feeds through the first stage; the reserve side
/// feeds the same chamber through a seat of its own that is set lower.
///
/// The reserve seat is taken as quasi-static: its opening follows the interstage pressure
/// without inertia, from closed at `reserve_set_pa` to full `reserve_span_pa` below.
///
/// Where its set pressure has to lie follows from both stages (derived): under the lowest the first stage
/// falls to at full load with a container that still holds it, or the reserve empties beside or before it; and so far
/// over what the second stage needs for its outlet that the sag of the reserve seat at full load still
/// leaves that. The preset's 7 psig with 3 psi of sag lies between 9 and some 2 psig.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Changeover {
    /// Interstage gauge pressure under which the reserve side begins to feed \[Pa\].
    pub reserve_set_pa: f64,
    /// Fall below that at which the reserve seat is fully open \[Pa\].
    pub reserve_span_pa: f64,
    /// Full area of the reserve seat \[m²\].
    pub reserve_m2: f64,
    /// Gauge pressure at the service side's inlet from which the indicator is all green \[Pa\].
    pub green_pa: f64,
    /// ... and down to which it is not yet all red \[Pa\].
    pub red_pa: f64,
}

/// Pressure across a back check at which its disc is off its seat altogether \[Pa\] (own: a light disc and spring, 0.06 psi).
const CHECK_OPENS_PA: f64 = 400.0;

/// What is left \[Pa\] behind a back check of the pressure across it: nothing backwards; forwards its spring gives way
/// bit by bit, and half of [`CHECK_OPENS_PA`] is what an open one takes.
///
/// x²/2a up to a, x - a/2 beyond (own law): continuous with its slope. With an edge at 0 instead, as a maximum has it, a side that is
/// empty stands on that edge for minutes while the other feeds, and Newton's iterations find no slope (seen: 16,000
/// steps thrown away in three minutes).
pub(super) fn past_check_pa(across_pa: f64) -> f64 {
    let x = across_pa.max(0.0);
    if x < CHECK_OPENS_PA {
        0.5 * x * x / CHECK_OPENS_PA
    } else {
        x - 0.5 * CHECK_OPENS_PA
    }
}

impl Changeover {
    /// Area of the reserve seat at an interstage gauge pressure \[m²\].
    pub fn area_m2(&self, interstage_pa: f64) -> f64 {
        self.reserve_m2
            * ((self.reserve_set_pa - interstage_pa) / self.reserve_span_pa).clamp(0.0, 1.0)
    }

    /// How much red the indicator shows, 0 to 1: a piston that the service side's inlet pushes against a
    /// spring (practice). It knows of no flow: it tells that the service side gives no pressure, whether
    /// empty, shut or starved, and so that the reserve is what feeds.
    pub fn red(&self, service_inlet_pa: f64) -> f64 {
        ((self.green_pa - service_inlet_pa) / (self.green_pa - self.red_pa)).clamp(0.0, 1.0)
    }
}
