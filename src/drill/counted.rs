//! What of an act's readings counts as evidence, and as which item: only what can be held against the
//! library of causes does. Not here: the act itself (`perform`).

use super::item::{Id, Stand};
use super::perform::{Outcome, Scene};
use super::tool::Tool;
use crate::service::{TestKind, TestPoint, TestResult};
use crate::units::System;

/// How the rig stood when a test began.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start {
    /// Whether the last burner was shut off for it.
    pub(super) from_load: bool,
    /// How long burners and valves had not been touched \[s\].
    pub(super) still_s: f64,
}

/// Rest longer than this is a long one \[s\].
const LATE_S: f64 = 200.0;

impl Scene<'_> {
    /// Items that a gauge at a point gives in the state the rig is in.
    pub(super) fn gauge_items(&self, point: TestPoint, side: usize) -> Vec<Id> {
        let still_s = self.sim.time_s() - self.hands.touched_s;
        let late = still_s > LATE_S;
        let Some(stand) = self.stand() else {
            return Vec::new();
        };
        if self.hands.flushed_s.is_some() || self.hands.warmed_s.is_some() {
            return Vec::new();
        }
        let id = match (point, stand) {
            (TestPoint::Outlet, Stand::Half) => Id::HalfOutlet,
            (TestPoint::Outlet, Stand::Full) => Id::FullOutlet,
            (TestPoint::Outlet, Stand::Rest) if late => Id::LongRestOutlet,
            (TestPoint::Outlet, Stand::Rest) => Id::RestOutlet,
            (TestPoint::Manifold, Stand::Half) => Id::HalfManifold,
            (TestPoint::Manifold, Stand::Full) => Id::FullManifold,
            (TestPoint::Manifold, Stand::Rest) => Id::RestManifold,
            (TestPoint::FirstStage, Stand::Half) => Id::HalfFirst,
            (TestPoint::FirstStage, Stand::Full) => Id::FullFirst,
            (TestPoint::FirstStage, Stand::Rest) if late => Id::LongRestFirst,
            (TestPoint::FirstStage, Stand::Rest) => Id::RestFirst,
            (TestPoint::Inlet(i), Stand::Half) if i == side => Id::HalfInlet,
            (TestPoint::Inlet(i), Stand::Full) if i == side => Id::FullInlet,
            (TestPoint::Inlet(i), Stand::Rest) if i == side => Id::RestInlet,
            (TestPoint::Container(i), Stand::Half) if i == side => Id::HalfContainer,
            (TestPoint::Container(i), Stand::Full) if i == side => Id::FullContainer,
            (TestPoint::Container(i), Stand::Rest) if i == side => Id::RestContainer,
            _ => return Vec::new(),
        };
        vec![id]
    }

    /// The outlet after a flush or a cloth tells something of its own, once.
    pub(super) fn after_deed(&mut self, out: &mut Outcome, shown_pa: f64) {
        let t = self.sim.time_s();
        let (flushed, warmed, stand) = (self.hands.flushed_s, self.hands.warmed_s, self.stand());
        if flushed.is_some_and(|at| (40.0..400.0).contains(&(t - at))) && stand == Some(Stand::Rest)
        {
            self.note(out, Id::FlushRest, shown_pa);
            // A flush may have carried off what was wrong.
            self.hands.altered = true;
        }
        if warmed.is_some_and(|at| t - at < 300.0) && stand == Some(Stand::Full) {
            self.note(out, Id::WarmFull, shown_pa);
            self.hands.altered = true;
        }
    }

    /// Readings at rest count as what they are by the time since the last burner went off: a
    /// leaking seat climbs meanwhile.
    pub(super) fn timed(&self, id: Id, start: Start) -> Option<Id> {
        let late = self.sim.time_s() - self.hands.touched_s > LATE_S;
        match id {
            Id::Peak | Id::Settle => start.from_load.then_some(id),
            Id::RestOutlet if late => Some(Id::LongRestOutlet),
            Id::Climb => (start.still_s <= LATE_S).then_some(id),
            _ => Some(id),
        }
    }

    pub(super) fn told(&mut self, kind: TestKind, result: &TestResult, start: Start) -> Outcome {
        let mut out = Outcome::default();
        // What was read on a gauge that is not at hand was not read.
        let hidden = |name: &str| match name {
            "first stage" | "first-stage peak" | "first-stage climb" => {
                !self.bag.has(Tool::InterstageGauge)
            }
            "inlet" | "inlet at rest" | "inlet flowing" => !self.bag.has(Tool::ContainerGauge),
            _ => false,
        };
        for f in result.figures.iter().filter(|f| !hidden(f.name)) {
            out.lines
                .push(format!("{}: {}", f.name, f.text(System::Us)));
            if let Some(id) = figure_item(kind, f.name).and_then(|id| self.timed(id, start)) {
                self.note(&mut out, id, f.value);
            }
        }
        out.lines
            .push(format!("result: {}", result.verdict.words()));
        out
    }
}

/// The item that a figure of a test gives.
fn figure_item(kind: TestKind, name: &str) -> Option<Id> {
    Some(match (kind, name) {
        (TestKind::LeakCheck, "change") => Id::LeakChange,
        (TestKind::FlowPressure, "outlet") => Id::HalfOutlet,
        (TestKind::FullLoad, "outlet") => Id::FullOutlet,
        (TestKind::FullLoad, "manifold") => Id::FullManifold,
        (TestKind::FullLoad, "first stage") => Id::FullFirst,
        (TestKind::FullLoad, "inlet") => Id::FullInlet,
        (TestKind::LoadUpDown, "band") => Id::Band,
        (TestKind::LockUp, "lock-up") => Id::RestOutlet,
        (TestKind::LockUp, "peak") => Id::Peak,
        (TestKind::LockUp, "settled after") => Id::Settle,
        (TestKind::Creep, "climb") => Id::Climb,
        (TestKind::Vent, "first at rest") => Id::RestFirstVent,
        (TestKind::Vent, "first flowing") => Id::FullFirstVent,
        (TestKind::Vent, "second at rest") => Id::RestSecondVent,
        (TestKind::Vent, "second flowing") => Id::FullSecondVent,
        (TestKind::FirstStage, "at rest") => Id::RestFirst,
        (TestKind::FirstStage, "flowing") => Id::HalfFirst,
        (TestKind::FirstStage, "inlet at rest") => Id::RestInlet,
        (TestKind::FirstStage, "inlet flowing") => Id::HalfInlet,
        (TestKind::NewPiping, "drop") => Id::PipingDrop,
        _ => return None,
    })
}
