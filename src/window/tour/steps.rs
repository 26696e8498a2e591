//! The steps of the tour: what to do, how it is known to be done, what is then to be seen, and where to look. The same
//! words stand in the README; a test walks them and holds both together.

use crate::rig::Phase;
use crate::sim::Snapshot;
use crate::window::look::spots::Spot;

/// The fault of the tour.
pub const FAULT: &str = "second_vent_blocked";
/// The burners that are lit for it, counted from 0: all but the furnace, whose thermostat comes and goes.
pub const LIT: [usize; 4] = [1, 2, 3, 4];
/// This one of them is lit by hand, the others burn when the tour begins.
pub const BY_HAND: usize = 3;
/// What is to be seen after burners were shut has come by then \[s\].
const SEEN_S: f64 = 3.0;

/// What a step is judged by.
pub struct Seen<'a> {
    /// The rig as it stands.
    pub snap: &'a Snapshot,
    /// Whether a cycle was gone through to its end, and left.
    pub cycle: bool,
    /// Whether a second moment was looked at after the first.
    pub looked_on: bool,
}

/// One step.
pub struct Step {
    /// Its name.
    pub title: &'static str,
    /// What to do.
    pub deed: &'static str,
    /// What is then to be seen, and why.
    pub seen: &'static str,
    /// Whether it is done.
    pub done: fn(&Seen<'_>) -> bool,
    /// What it says instead of both where the fault of the tour was never in.
    pub without_fault: Option<&'static str>,
    /// What it says instead of its deed while the fault of the tour is in, and not to its end.
    pub in_part: Option<&'static str>,
    /// Where the deed is done, as the rig stands; the first in view.
    pub at: fn(&Snapshot) -> Vec<Spot>,
    /// Where to look afterwards.
    pub look: &'static [Spot],
    /// Whether the run and the branch beside it are then to be in view, each as far as it came.
    pub beside: bool,
}

/// All steps.
pub const STEPS: [Step; 7] = [
    Step {
        title: "Light a burner",
        deed: "Water heater, refrigerator and back burner are on. Press 4, or click the front burner in the list of burners.",
        seen: "The outlet falls a little, from about 11.4 to 11.3 in w.c.: diaphragm down, seat further open. The number stands over its chart.",
        done: |s| is_on(s.snap, BY_HAND),
        without_fault: None,
        in_part: None,
        at: |_| vec![Spot::Burner(BY_HAND)],
        look: &[Spot::OutletChart],
        beside: false,
    },
    Step {
        title: "Block the vent",
        deed: "Under Faults choose Second-stage vent blocked, push the severity to 100 % and press Put it in.",
        seen: "Watch the outlet: nothing happens. A regulator with a sealed vent holds a steady flow as well as any.",
        done: |s| fault_is_in(s.snap),
        without_fault: None,
        in_part: Some(
            "The fault is in, and the vent still has a small opening: now push the severity to 100 %.",
        ),
        at: |_| {
            vec![
                Spot::Severity(FAULT),
                Spot::PutIn(FAULT),
                Spot::Fault(FAULT),
                Spot::AllFaults,
                Spot::FaultsTab,
            ]
        },
        look: &[Spot::OutletChart],
        beside: false,
    },
    Step {
        title: "Shut everything off",
        deed: "Press 2, 3, 4 and 5.",
        seen: "Within seconds the outlet stands at 16 to 17 in w.c., over the red line at 14. To shut the seat the diaphragm had to rise; \
               the air above it could not leave and pushed back. That is why a technician watches a load step, and not only a steady flow.",
        done: |s| rests(s.snap),
        without_fault: Some(
            "This step shows what the blocked vent does when the burners go off, and the vent is clear: the outlet would stop at about \
             12 in w.c. Step back and put the fault in.",
        ),
        in_part: None,
        at: still_on,
        look: &[Spot::OutletChart],
        beside: false,
    },
    Step {
        title: "Look back",
        deed: "Press J to look at the moment just before the fault, then drag along the ruler under the charts, to and fro.",
        seen: "The whole picture follows, and nothing is lost: End brings you back to where the run has come to, Play goes through it again.",
        done: |s| s.looked_on || s.snap.branch.0 > 0,
        without_fault: Some(
            "J looks at the moment just before a fault, and none was put in: go back to step 2, or drag along the ruler under the \
             charts, to and fro. The whole picture follows, and nothing is lost.",
        ),
        in_part: None,
        at: |_| vec![Spot::GoTo],
        look: &[Spot::Ruler],
        beside: false,
    },
    Step {
        title: "Do it again without the fault",
        deed: "Press J (or choose it under Go to), then G to go on from there. Then shut the burners off again: 2, 3, 4 and 5.",
        seen: "A healthy regulator stops at about 12 in w.c. The dashed line A is the run with the fault, kept to compare with: from where its own \
               burners went off it climbs over 16. Under Go to you can go on with it.",
        done: |s| s.snap.branch.0 > 0 && s.snap.faults.is_empty() && rests(s.snap),
        without_fault: Some(
            "This step compares a run with the fault and one without, and the fault was never in: go back to step 2, or skip this.",
        ),
        in_part: None,
        at: |snap| {
            if snap.branch.0 > 0 && !snap.looks_back() {
                still_on(snap)
            } else {
                vec![Spot::GoOn, Spot::GoTo]
            }
        },
        look: &[Spot::OutletChart],
        beside: true,
    },
    Step {
        title: "Watch one cycle",
        deed: "Press C, and go on with Next step: a burner comes on in slow motion.",
        seen: "Falling pressure, sinking diaphragm, turning lever, opening seat, a new balance: this is all that a regulator does, \
               at every valve and every thermostat. Point at any part: it says what it is, what it reads, what it does and what goes wrong with it. \
               M and N draw motion larger or smaller; [ and ] change the pace of time.",
        done: |s| s.cycle,
        without_fault: None,
        in_part: None,
        at: |_| vec![Spot::Cycle],
        look: &[Spot::OutletChart],
        beside: false,
    },
    Step {
        title: "On your own",
        deed: "Try other faults.",
        seen: "Under Lessons you predict first and the rig answers. Under Drills somebody else has put the fault in: the rig is covered, \
               and you look from outside with the instruments at hand. F1 shows all keys, T this tour.",
        done: |_| true,
        without_fault: None,
        in_part: None,
        at: |_| Vec::new(),
        look: &[Spot::LessonsTab],
        beside: false,
    },
];

/// Whether the fault of the tour is in, to its end.
pub fn fault_is_in(snap: &Snapshot) -> bool {
    severity(snap).is_some_and(|to| to > 0.99)
}

/// Whether it is in, and not to its end.
pub fn fault_is_in_part(snap: &Snapshot) -> bool {
    severity(snap).is_some_and(|to| to <= 0.99)
}

/// The severity that the fault of the tour is on its way to, where it is in.
fn severity(snap: &Snapshot) -> Option<f64> {
    let found = snap.faults.iter().find(|f| f.fault.id() == FAULT);
    found.map(crate::sim::ActiveFault::comes_to)
}

/// The burners of the tour that are still to be shut off.
fn still_on(snap: &Snapshot) -> Vec<Spot> {
    let on = LIT.into_iter().filter(|i| is_on(snap, *i));
    on.map(Spot::Burner).collect()
}

fn is_on(snap: &Snapshot, i: usize) -> bool {
    let n = &snap.readings;
    i < n.appliance_count && n.appliances[i].phase != Phase::Off
}

/// Whether all burners of the tour are off, and were for long enough to see what comes of it.
fn rests(snap: &Snapshot) -> bool {
    let off = !LIT.iter().any(|i| is_on(snap, *i));
    let last_s = snap.marks_so_far().last().map_or(0.0, |m| m.time_s);
    off && snap.readings.time_s > last_s + SEEN_S
}
