//! What an act gave, as a log keeps it: a test without record and verdict, so that who reads it judges.

use super::deeds::{Deed, Effect};
use super::figure::{Figure, Measure, left_unlit};
use super::item::{Id, VENT_LOOKS};
use super::sight::Burner;
use super::test::Test;
use super::tool::{Bag, Tool};
use super::verdict::{self, Judged, Verdict};
use crate::rig::Rig;
use crate::service::{Bubbles, FrostSeen, Joint, LIMITS, Place, Shown, Sound, TestPoint};
use serde::{Deserialize, Serialize};

/// What an act gave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Told {
    /// Nothing to be told.
    Nothing,
    /// The numbers of a test.
    Test {
        /// Which.
        test: Test,
        /// What was read.
        figures: Vec<Figure>,
        /// Appliances that would not burn.
        unlit: Vec<usize>,
        /// Whether the pressure had not come to rest.
        still_moving: bool,
        /// Whether it could not begin as it must.
        spoiled: bool,
    },
    /// What came of a deed.
    Deed(Deed, Effect),
    /// The burners as they look.
    Burners(Vec<Burner>),
    /// A gauge.
    Gauge {
        /// Where.
        point: TestPoint,
        /// Name of the gauge.
        gauge: String,
        /// Whether it is one for the low side, shown in in w.c.
        low: bool,
        /// What it shows, SI.
        shown: Shown,
        /// Between what it moved while it was watched \[Pa\].
        between: Option<[f64; 2]>,
    },
    /// A thermometer \[K\].
    Warmth(Place, f64),
    /// Leak fluid.
    Fluid(Joint, Bubbles),
    /// What eyes see.
    Sight {
        /// Burners.
        burners: Vec<Burner>,
        /// Frost.
        frost: FrostSeen,
        /// Look of the second vent, a place in [`super::item::VENT_LOOKS`].
        vent: usize,
        /// Red of the changeover's indicator, 0 to 1, where there is one.
        indicator_red: Option<f64>,
    },
    /// What ears hear.
    Heard(Sound),
    /// Time since the rig came to the bench \[s\].
    Passed(f64),
}

impl Told {
    /// Whether each part that it names is on this rig, and each word and reading can be one: a log comes by mail.
    pub fn is_of(&self, rig: &Rig) -> bool {
        let (burners, containers) = (rig.appliances.len(), rig.containers.len());
        let all_there = |seen: &[Burner]| seen.iter().all(|b| b.appliance < burners);
        let joint_there = |joint: &Joint| !matches!(joint, Joint::Burner(i) if *i >= burners);
        match self {
            Self::Nothing
            | Self::Deed(..)
            | Self::Heard(Sound::Quiet | Sound::Hiss | Sound::Roar) => true,
            Self::Test { figures, unlit, .. } => {
                unlit.iter().all(|i| *i < burners) && figures.iter().all(Figure::is_sound)
            }
            Self::Burners(seen) => all_there(seen),
            Self::Gauge { point, .. } => match point {
                TestPoint::Appliance(i) => *i < burners,
                TestPoint::Container(i) | TestPoint::Inlet(i) => *i < containers,
                _ => true,
            },
            Self::Warmth(Place::Container(i), _) => *i < containers,
            Self::Warmth(_, k) => *k > 0.0,
            Self::Fluid(joint, _) | Self::Heard(Sound::Escapes(joint)) => joint_there(joint),
            Self::Heard(Sound::Hum { frequency_hz }) => *frequency_hz >= 0.0,
            Self::Sight {
                burners: seen,
                vent,
                indicator_red,
                ..
            } => {
                let red = indicator_red.is_none_or(|red| (0.0..=1.0).contains(&red));
                all_there(seen) && *vent < VENT_LOOKS.len() && red
            }
            Self::Passed(s) => *s >= 0.0,
        }
    }

    /// Without what was read on a gauge that is not at hand.
    #[must_use]
    pub fn with(mut self, bag: &Bag) -> Self {
        match &mut self {
            Self::Test { figures, .. } => figures.retain(|f| bag.has(f.measure.tool())),
            Self::Deed(_, effect @ Effect::Moved(_)) if !bag.has(Tool::Manometer) => {
                *effect = Effect::Done;
            }
            _ => {}
        }
        self
    }

    /// Whether it is of a test that lit nothing to look again with gas flowing.
    pub fn left_unlit(&self) -> bool {
        matches!(self, Self::Test { test, figures, .. } if left_unlit(*test, figures).is_some())
    }

    /// The caution that belongs to the act.
    pub fn caution(&self) -> &'static str {
        match self {
            Self::Test { test, .. } => test.caution(),
            Self::Deed(deed, _) => deed.caution(),
            Self::Fluid(..) => "A leak is sought with leak fluid, never with a flame",
            _ => "",
        }
    }

    /// What of a test's numbers and words can be judged, held against the limits of the trade: everything that was told
    /// and that a limit is known for; of a test that could not begin what kept it from that. Nothing for another act.
    pub fn held(&self) -> Vec<Judged> {
        match self {
            Self::Test {
                test,
                figures,
                unlit,
                still_moving,
                ..
            } => {
                let idle = |f: &Figure| f.measure == Measure::Load && f.value <= 0.0;
                let idle = !unlit.is_empty() && figures.iter().any(idle);
                verdict::judge(*test, figures, unlit, idle, *still_moving, &[])
            }
            _ => Vec::new(),
        }
    }

    /// The verdict that follows from what was told; none where there is nothing to judge.
    pub fn verdict(&self) -> Option<Verdict> {
        let held = self.held();
        (!held.is_empty()).then(|| verdict::of(&held))
    }

    /// Whether gas was seen or heard to escape, wherever a bubble grew. A vent breathes a bubble of air now and then while its
    /// diaphragm moves, so there it counts where the rig `stood`, or where it does not stop.
    pub fn gas_escapes(&self, stood: bool) -> bool {
        match self {
            Self::Test { figures, .. } => figures.iter().any(|f| match f.measure {
                Measure::Read(Id::LeakChange) => LIMITS.leak.is_missed_by(f.value),
                Measure::Read(item) => item.tells_gas(f.value),
                _ => false,
            }),
            Self::Fluid(Joint::FirstVent | Joint::SecondVent, Bubbles::Slow) => stood,
            Self::Fluid(_, bubbles) => *bubbles > Bubbles::None,
            Self::Heard(sound) => matches!(sound, Sound::Hiss | Sound::Roar | Sound::Escapes(_)),
            _ => false,
        }
    }
}

impl Told {
    /// Whether gas was heard or seen to blow out: a hiss, a roar, or fluid that is blown off.
    pub fn blows_out(&self) -> bool {
        match self {
            Self::Test { figures, .. } => figures.iter().any(|f| match f.measure {
                Measure::Read(item @ (Id::SoundFlowing | Id::SoundRest)) => item.tells_gas(f.value),
                Measure::Read(item) => {
                    item.tells_gas(f.value) && f.value >= f64::from(Bubbles::BlownOff as u8)
                }
                _ => false,
            }),
            Self::Fluid(_, bubbles) => *bubbles >= Bubbles::BlownOff,
            Self::Heard(sound) => matches!(sound, Sound::Hiss | Sound::Roar),
            _ => false,
        }
    }
}

impl Measure {
    /// The tool that it is read with.
    pub fn tool(self) -> Tool {
        match self {
            Self::Read(item) => item.item().tool,
            Self::FirstPeak | Self::FirstClimb | Self::FirstAtRest | Self::FirstFlowing => {
                Tool::InterstageGauge
            }
            Self::InletAtRest | Self::InletFlowing | Self::InletFall => Tool::ContainerGauge,
            Self::Load => Tool::Eyes,
            Self::Warmed => Tool::Thermometer,
            _ => Tool::Manometer,
        }
    }
}

impl Id {
    /// Whether a word means that gas comes out: a test looks where the rig stands, and at vents twice.
    pub(crate) fn tells_gas(self, word: f64) -> bool {
        match self {
            Self::SoundFlowing | Self::SoundRest => word == 1.0 || word == 2.0,
            _ => self.item().choices() == Some(super::item::BUBBLES) && word >= 1.0,
        }
    }
}
