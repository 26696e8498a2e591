//! Steady readings of a run, what stood beside them, and their verdicts: each figure has the one that it has at the bench, and no
//! reading passes beside one that breaks a limit, a flame that is out, or gas that gets out unburned.

use super::{ContainerSummary, Summary};
use crate::rig::{ApplianceReadings, Flame, Phase, Readings};
use crate::service::{LIMITS, Limit, escapes};
use crate::visit::{Id, Measure, Test, Verdict, of_figure};
use serde::Serialize;

/// Steady readings of the outlet \[Pa, gauge\], and the worst that stood beside them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Steady {
    /// Least.
    pub low_pa: f64,
    /// Greatest.
    pub high_pa: f64,
    /// How many stretches of steady load they come from.
    pub count: usize,
    /// Least first stage, gauge \[Pa\].
    pub first_low_pa: f64,
    /// Greatest first stage, gauge \[Pa\].
    pub first_high_pa: f64,
    /// Most that the line to the burners lost \[Pa\].
    pub line_loses_pa: f64,
    /// Most burners that were on and had no flame.
    pub unlit: usize,
    /// Most gas that got out unburned \[kg/s\].
    pub escapes_kg_per_s: f64,
}

fn in_use(r: &Readings) -> &[ApplianceReadings] {
    &r.appliances[..r.appliance_count]
}

/// Whether any flame burns, main or pilot.
pub(super) fn burns(r: &Readings) -> bool {
    let burns = |a: &ApplianceReadings| a.flame != Flame::Out || a.pilot_lit;
    in_use(r).iter().any(burns)
}

/// Whether gas goes to a burner that is just being lit: what is read then is no flow pressure.
pub(super) fn is_being_lit(r: &Readings) -> bool {
    let lights = |a: &ApplianceReadings| a.phase == Phase::Trial && a.valve_open > 0.0;
    in_use(r).iter().any(lights)
}

impl Steady {
    /// Takes in an outlet that was read with all the rest.
    pub(super) fn take(place: &mut Option<Self>, pa: f64, r: &Readings) {
        let is_out = |a: &&ApplianceReadings| {
            matches!(
                a.phase,
                Phase::OpenUnlit | Phase::Waiting | Phase::LockedOut
            ) || a.phase == Phase::Burning && a.flame == Flame::Out
        };
        let first_pa = r.first.chamber_pa;
        let one = Self {
            low_pa: pa,
            high_pa: pa,
            count: 1,
            first_low_pa: first_pa,
            first_high_pa: first_pa,
            line_loses_pa: r.outlet_pa - r.manifold_pa,
            unlit: in_use(r).iter().filter(is_out).count(),
            escapes_kg_per_s: escapes(r).into_iter().map(|(_, flow)| flow).sum(),
        };
        *place = Some(match *place {
            None => one,
            Some(all) => Self {
                low_pa: all.low_pa.min(one.low_pa),
                high_pa: all.high_pa.max(one.high_pa),
                count: all.count + 1,
                first_low_pa: all.first_low_pa.min(one.first_low_pa),
                first_high_pa: all.first_high_pa.max(one.first_high_pa),
                line_loses_pa: all.line_loses_pa.max(one.line_loses_pa),
                unlit: all.unlit.max(one.unlit),
                escapes_kg_per_s: all.escapes_kg_per_s.max(one.escapes_kg_per_s),
            },
        });
    }

    /// The worst of its outlet and of what stood beside it.
    fn verdict(&self, test: Test, outlet: Measure) -> Verdict {
        let read = |value| of_figure(test, outlet, value);
        let mut all = vec![read(self.low_pa), read(self.high_pa)];
        if self.escapes_kg_per_s > 0.0 {
            all.push(Some(Verdict::Fail));
        }
        let is_at_rest = test == Test::LockUp;
        if !is_at_rest {
            all.push(of_figure(
                Test::FullLoad,
                Measure::PipeDrop,
                self.line_loses_pa,
            ));
            all.push((self.unlit > 0).then_some(Verdict::Fail));
        }
        all.push(Some(self.first(is_at_rest)));
        all.into_iter().flatten().fold(Verdict::Pass, Verdict::max)
    }

    /// The verdict of the first stage meanwhile.
    fn first(&self, is_at_rest: bool) -> Verdict {
        let id = if is_at_rest {
            Id::FirstRest
        } else {
            Id::FirstFull
        };
        let read = |value| of_figure(Test::FirstStage, Measure::Read(id), value);
        let both = read(self.first_low_pa).max(read(self.first_high_pa));
        both.unwrap_or(Verdict::Pass)
    }
}

/// A first stage that stood so high at some moment of a run; none where it held its limit, which is told by what is steady.
fn of_a_moment(highest_pa: f64) -> Option<Verdict> {
    let of = |limit: &Limit, verdict| limit.is_passed_by(highest_pa).then_some(verdict);
    of(&LIMITS.first_danger, Verdict::Fail).or(of(&LIMITS.first, Verdict::Caution))
}

impl ContainerSummary {
    /// The verdict of its fill, as the bench has it.
    pub fn fill_verdict(&self) -> Option<Verdict> {
        let ends = [self.fill_cold.low, self.fill_cold.high];
        let of = |fill| of_figure(Test::Fill, Measure::Read(Id::Fill), fill);
        ends.into_iter().filter_map(of).max()
    }
}

/// The verdicts of a run; `None` where there was nothing to judge.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Verdicts {
    /// Flow pressure at about half load.
    pub half_load: Option<Verdict>,
    /// Fall from half to full load.
    pub full_load: Option<Verdict>,
    /// Lock-up.
    pub lock_up: Option<Verdict>,
    /// First stage, flowing and at rest, and at any moment: over what nothing is lit at it fails however short it stood there.
    pub first_stage: Option<Verdict>,
    /// Fill of the containers, by what they weigh.
    pub fill: Option<Verdict>,
    /// Highest pressure into the piping, at any moment: kept or not, and nothing of what else was so.
    pub highest: Option<Verdict>,
}

impl Verdicts {
    /// Of a run.
    pub(super) fn of(s: &Summary) -> Self {
        let (half, full) = (Id::HalfOutlet, Id::FullOutlet);
        let flowing = s.flow.map(|x| x.first(false));
        let at_rest = s.lock_up.map(|x| x.first(true));
        let is_over = LIMITS.lock_up_caution.is_passed_by(s.manifold_pa.high);
        Self {
            half_load: s
                .half_load
                .map(|x| x.verdict(Test::FlowPressure, Measure::Read(half))),
            full_load: s.full_load.map(|x| {
                let held = x.verdict(Test::FullLoad, Measure::Read(full));
                let fall = s.half_load.and_then(|half| {
                    of_figure(Test::FullLoad, Measure::Fall, half.high_pa - x.low_pa)
                });
                fall.map_or(held, |fall| fall.max(held))
            }),
            // Gas that was shut in counts as it would read where it was: what the place alone has added is no seat's.
            lock_up: {
                let read = s.lock_up.map(|x| x.verdict(Test::LockUp, Measure::LockUp));
                let there = s
                    .shut_in
                    .and_then(|x| of_figure(Test::LockUp, Measure::LockUp, x.there_pa));
                read.max(there)
            },
            first_stage: flowing.max(at_rest).max(of_a_moment(s.first_stage_pa.high)),
            fill: s
                .containers
                .iter()
                .filter_map(ContainerSummary::fill_verdict)
                .max(),
            highest: Some(if is_over {
                Verdict::Fail
            } else {
                Verdict::Pass
            }),
        }
    }
}
