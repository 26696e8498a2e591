//! One act carried out on the running rig: the hand work runs on the rig's own clock, then the
//! instrument is read. What comes back is what the trainee is told, and the readings that count
//! as evidence. Not here: whether the act was safe (`safety`), the log (`attempt`).

use super::act::{Act, Left, Which, joint_name};
use super::belief::Reading;
use super::counted::Start;
use super::item::{FLAMES, Id, ODD_ONE, SOUNDS, Stand, VENT_LOOKS};
use super::sight::{half_load, look, sound_index, stand};
use super::tool::{Bag, Tool};
use crate::scenario::Action;
use crate::service::{
    self, Bench, Bubbles, Deed, Joint, Progress, ServiceError, Sound, TestKind, TestPoint,
    TestResult, bubbles_at,
};
use crate::sim::Simulation;
use crate::units::{self, Dimension, System, pa_to_inwc, pa_to_psi};

/// What the trainee is told.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outcome {
    /// Line by line.
    pub lines: Vec<String>,
    /// Readings that count as evidence.
    pub readings: Vec<Reading>,
    /// The caution that belongs to the act.
    pub caution: &'static str,
}

/// An act that was not done.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The tool is not at hand.
    #[error("not at hand in this drill: {0}")]
    NotAtHand(&'static str),
    /// The state of the rig forbids it.
    #[error("{0}")]
    Forbidden(String),
    /// The listener stopped it.
    #[error("stopped")]
    Stopped,
    /// The run failed.
    #[error("the model stopped: {0}")]
    Failed(String),
}

impl From<ServiceError> for Refusal {
    fn from(e: ServiceError) -> Self {
        match e {
            ServiceError::Cancelled => Self::Stopped,
            ServiceError::Sim(e) => Self::Failed(e.to_string()),
            other => Self::Forbidden(other.to_string()),
        }
    }
}

/// What the hands remember between acts.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Hands {
    /// When burners or valves were last touched \[s\].
    pub touched_s: f64,
    /// Whether something was done that may have changed what is wrong: later readings do not
    /// speak of the hidden faults any more.
    pub altered: bool,
    /// Time of a flush not yet followed by a reading \[s\].
    pub flushed_s: Option<f64>,
    /// Time of a warm cloth not yet followed by a reading \[s\].
    pub warmed_s: Option<f64>,
}

/// A rig with someone at it.
pub struct Scene<'a> {
    /// The rig.
    pub sim: &'a mut Simulation,
    /// What is at hand.
    pub bag: &'a Bag,
    /// What the hands remember.
    pub hands: &'a mut Hands,
    /// Hears the progress and says whether to go on.
    pub listener: &'a mut dyn FnMut(&Progress) -> bool,
}

type Done = Result<Outcome, Refusal>;

/// Carries out an act.
///
/// # Errors
/// [`Refusal`]: nothing was done, or the run failed on the way.
pub fn perform(scene: &mut Scene<'_>, act: &Act) -> Done {
    if let Some(tool) = act.tool() {
        if !scene.bag.has(tool) {
            return Err(Refusal::NotAtHand(tool.words()));
        }
        if !matches!(act, Act::Test(_)) {
            scene.wait(60.0 * scene.bag.minutes(tool))?;
        }
    }
    match act {
        Act::Look => Ok(scene.look()),
        Act::Listen => scene.listen(),
        Act::Air => Ok(scene.air()),
        Act::Read(point) => Ok(scene.read(*point)),
        Act::Fluid(joint) => Ok(scene.fluid(*joint)),
        Act::Test(kind) => scene.test(*kind),
        Act::Light(which) => scene.burners(*which, true),
        Act::Off(which) => scene.burners(*which, false),
        Act::Reset(appliance) => {
            scene.sim.act(&Action::Reset {
                appliance: *appliance,
            });
            scene.touched();
            scene.wait(10.0)?;
            Ok(scene.flames())
        }
        Act::Open { container, slowly } => scene.touch_deed(Deed::OpenValve {
            container: *container,
            slowly: *slowly,
        }),
        Act::Shut(container) => scene.touch_deed(Deed::ShutValve {
            container: *container,
        }),
        Act::Weigh(container) => scene.weigh(*container),
        Act::Tap => scene.tap(),
        Act::Flush => {
            let done = scene.deed(Deed::Flush)?;
            scene.hands.flushed_s = Some(scene.sim.time_s());
            Ok(done)
        }
        Act::Warm => {
            let done = scene.deed(Deed::WarmCloth)?;
            scene.hands.warmed_s = Some(scene.sim.time_s());
            Ok(done)
        }
        Act::ClearVents => scene.altering(Deed::ClearVents),
        Act::Screw(stage, degrees) => scene.altering(Deed::TurnScrew {
            stage: *stage,
            degrees: *degrees,
        }),
        Act::NewHose => scene.altering(Deed::SwapHose),
        Act::NewRegulator => scene.altering(Deed::SwapRegulator),
        Act::Wait(seconds) => {
            scene.wait(*seconds)?;
            Ok(Outcome::default())
        }
        Act::Answer(answer) if answer.left == Left::ShutOff => scene.shut_all(),
        Act::Note(..) | Act::Answer(_) => Ok(Outcome::default()),
    }
}

impl Scene<'_> {
    fn bench<T>(
        &mut self,
        what: impl FnOnce(&mut Bench<'_>) -> Result<T, ServiceError>,
    ) -> Result<T, Refusal> {
        let mut bench = Bench::new(self.sim, self.listener);
        Ok(what(&mut bench)?)
    }

    fn wait(&mut self, duration_s: f64) -> Result<(), Refusal> {
        if duration_s > 0.0 {
            // How far it is is told by the time of this wait, whatever a bench expects of a visit.
            let listener = &mut *self.listener;
            let mut heard = |p: &Progress| {
                listener(&Progress {
                    share: (p.elapsed_s / duration_s).min(1.0),
                    ..*p
                })
            };
            // A sample at the end is enough: the trace of a wait is nobody's.
            Bench::new(self.sim, &mut heard).wait(duration_s, duration_s.max(1.0))?;
        }
        Ok(())
    }

    fn touched(&mut self) {
        self.hands.touched_s = self.sim.time_s();
    }

    pub(super) fn stand(&self) -> Option<Stand> {
        stand(self.sim, self.sim.time_s() - self.hands.touched_s)
    }

    /// A reading that counts, unless the rig was altered.
    pub(super) fn note(&self, out: &mut Outcome, id: Id, value: f64) {
        if !self.hands.altered {
            out.readings.push((id, value));
        }
    }

    fn look(&mut self) -> Outcome {
        let sight = look(self.sim);
        let mut out = self.flames();
        let names = |n: &str| n.to_owned();
        if sight.frost_body {
            out.lines.push(names("frost on the regulator"));
        }
        if sight.frost_container {
            out.lines.push(names("frost on the container"));
        }
        if self.sim.rig().changeover.is_some() {
            let shows = self.sim.readings().indicator();
            out.lines.push(format!("changeover's indicator: {shows}"));
        }
        out.lines
            .push(format!("second-stage vent: {}", VENT_LOOKS[sight.vent]));
        self.note(&mut out, Id::VentLooks, sight.vent as f64);
        if self.stand() == Some(Stand::Full) {
            out.lines.push(format!(
                "all lit: flames {}, odd one out: {}",
                FLAMES[sight.flames], ODD_ONE[sight.odd_one]
            ));
            self.note(&mut out, Id::Flames, sight.flames as f64);
            self.note(&mut out, Id::OddOne, sight.odd_one as f64);
            self.note(
                &mut out,
                Id::FrostBody,
                f64::from(u8::from(sight.frost_body)),
            );
            self.note(
                &mut out,
                Id::FrostContainer,
                f64::from(u8::from(sight.frost_container)),
            );
        }
        out
    }

    fn flames(&self) -> Outcome {
        let burners = look(self.sim).burners;
        let lines = burners
            .iter()
            .map(|b| format!("{}: {}", b.name, b.looks))
            .collect();
        Outcome {
            lines,
            ..Outcome::default()
        }
    }

    fn listen(&mut self) -> Done {
        let stand = self.stand();
        let sound = service::listen(self.sim)?;
        let words = match sound {
            Sound::Hum { frequency_hz } => format!("a hum at about {frequency_hz:.0} Hz"),
            other => SOUNDS[sound_index(other)].to_owned(),
        };
        let mut out = Outcome {
            lines: vec![format!("at the regulator: {words}")],
            ..Outcome::default()
        };
        let value = sound_index(sound) as f64;
        match stand {
            Some(Stand::Full) => self.note(&mut out, Id::FullSound, value),
            Some(Stand::Rest) => self.note(&mut out, Id::RestSound, value),
            _ => {}
        }
        Ok(out)
    }

    fn air(&self) -> Outcome {
        let shown = service::Thermometer::default().at_rest(self.sim.readings().air_k);
        let words = units::format(shown, Dimension::Temperature, System::Us);
        Outcome {
            lines: vec![format!("air {words}")],
            ..Outcome::default()
        }
    }

    fn read(&mut self, point: TestPoint) -> Outcome {
        let r = self.sim.readings();
        let true_pa = point.pressure_pa(&r);
        let kit = service::Kit::default();
        let high = matches!(
            point,
            TestPoint::Container(_) | TestPoint::Inlet(_) | TestPoint::FirstStage
        );
        let shown = if high {
            kit.high_side(true_pa)
        } else {
            kit.low_side(true_pa)
        };
        let name = point.name(self.sim.rig());
        let value = if high {
            format!("{:.1} psi", pa_to_psi(shown))
        } else {
            format!("{:.1} in w.c.", pa_to_inwc(shown))
        };
        let mut out = Outcome {
            lines: vec![format!("{name}: {value}")],
            ..Outcome::default()
        };
        for id in self.gauge_items(point, r.service_side) {
            self.note(&mut out, id, shown);
        }
        if point == TestPoint::Outlet {
            self.after_deed(&mut out, shown);
        }
        out
    }

    fn fluid(&mut self, joint: Joint) -> Outcome {
        let bubbles = bubbles_at(joint, self.sim);
        let name = joint_name(joint, self.sim.rig());
        let mut out = Outcome {
            lines: vec![format!("leak fluid at {name}: {}", bubbles.words())],
            caution: "Leak fluid only; never search a leak with a flame",
            ..Outcome::default()
        };
        let value = f64::from(bubbles as u8);
        let id = match (joint, self.stand()) {
            (Joint::FirstVent, Some(Stand::Rest)) => Id::RestFirstVent,
            (Joint::FirstVent, Some(Stand::Full)) => Id::FullFirstVent,
            (Joint::SecondVent, Some(Stand::Rest)) => Id::RestSecondVent,
            (Joint::SecondVent, Some(Stand::Full)) => Id::FullSecondVent,
            // The hose stands at container pressure whatever burns.
            (Joint::Pigtail, Some(_)) => Id::Pigtail,
            (Joint::LowSide, Some(Stand::Rest)) => Id::LowSide,
            // Which burner leaks is not known beforehand: one that does speaks, one that does not
            // says nothing of the others.
            (Joint::Burner(_), Some(Stand::Rest)) if bubbles > Bubbles::None => Id::Burners,
            _ => return out,
        };
        self.note(&mut out, id, value);
        out
    }

    fn weigh(&mut self, container: usize) -> Done {
        let mut out = self.deed(Deed::Weigh { container })?;
        let r = self.sim.readings();
        if container == r.service_side {
            self.note(&mut out, Id::Fuel, r.containers[container].fuel_kg);
        }
        Ok(out)
    }

    fn tap(&mut self) -> Done {
        let before = self.sim.readings().outlet_pa;
        let stand = self.stand();
        let mut out = self.deed(Deed::Tap)?;
        let shift = self.sim.readings().outlet_pa - before;
        if !self.bag.has(Tool::Manometer) {
            out.lines = vec!["Tapped".to_owned()];
        } else if stand == Some(Stand::Half) {
            self.note(&mut out, Id::TapShift, shift);
        }
        Ok(out)
    }

    fn deed(&mut self, deed: Deed) -> Done {
        let done = self.bench(|b| service::perform(b, deed))?;
        Ok(Outcome {
            lines: vec![done.words],
            readings: Vec::new(),
            caution: done.caution,
        })
    }

    /// Leaving it shut off means that every container is shut.
    fn shut_all(&mut self) -> Done {
        let mut out = Outcome::default();
        for container in 0..self.sim.rig().containers.len() {
            let valve = self.sim.moment().modes.valves[container];
            if valve.at(self.sim.time_s()) > 0.0 {
                out = self.touch_deed(Deed::ShutValve { container })?;
            }
        }
        Ok(out)
    }

    fn touch_deed(&mut self, deed: Deed) -> Done {
        let done = self.deed(deed)?;
        self.touched();
        Ok(done)
    }

    fn altering(&mut self, deed: Deed) -> Done {
        let done = self.deed(deed)?;
        self.hands.altered = true;
        Ok(done)
    }

    fn burners(&mut self, which: Which, on: bool) -> Done {
        let count = self.sim.rig().appliances.len();
        let half = half_load(self.sim.rig());
        for appliance in 0..count {
            let wanted = match which {
                Which::One(i) if i == appliance => on,
                Which::One(_) => continue,
                Which::All => on,
                Which::Half => on == half.contains(&appliance),
            };
            if self.sim.moment().modes.appliances[appliance].on != wanted {
                self.sim.act(&Action::Switch {
                    appliance,
                    on: wanted,
                });
            }
        }
        self.touched();
        self.wait(if on { 45.0 } else { 2.0 })?;
        let mut out = self.flames();
        if on {
            out.caution = "No smell of gas before lighting; a few tries, then air and stop";
        }
        Ok(out)
    }

    fn test(&mut self, kind: TestKind) -> Done {
        let tool = Act::Test(kind).tool().unwrap_or(Tool::Manometer);
        // Looked at before, so that a test that cannot be made costs nothing.
        let (before, hands) = (self.sim.moment().clone(), *self.hands);
        let tested = self.run_test(kind, 60.0 * self.bag.minutes(tool));
        let (result, start) = tested.inspect_err(|_| {
            self.sim.go_back_to(&before);
            *self.hands = hands;
        })?;
        self.touched_by(kind);
        Ok(self.told(kind, &result, start))
    }

    fn run_test(&mut self, kind: TestKind, hand_s: f64) -> Result<(TestResult, Start), Refusal> {
        self.wait(hand_s)?;
        let mut start = Start {
            from_load: false,
            still_s: self.sim.time_s() - self.hands.touched_s,
        };
        if kind == TestKind::LockUp && self.bench(|b| Ok(b.anything_lit()))?.is_some() {
            // The gauge is watched from the moment the last burner goes off.
            for appliance in 0..self.sim.rig().appliances.len() {
                self.sim.act(&Action::Switch {
                    appliance,
                    on: false,
                });
            }
            self.touched();
            start.from_load = true;
        }
        let result = self.bench(|b| service::run(b, kind))?;
        Ok((result, start))
    }

    /// Tests that switch burners leave them as of some time ago.
    fn touched_by(&mut self, kind: TestKind) {
        let ago_s = match kind {
            TestKind::Creep | TestKind::NewPiping | TestKind::LockUp => return,
            TestKind::LeakCheck => 0.0,
            _ => 20.0,
        };
        self.hands.touched_s = self.sim.time_s() - ago_s;
    }
}
