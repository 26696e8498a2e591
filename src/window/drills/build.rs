//! A drill being built: what the instructor has put down, whether it can be solved, and the file it
//! goes to. Judging and making run on a thread; once a rig's library is there, every change is
//! judged by itself.

use std::path::{Path, PathBuf};
use std::time::Duration;

use egui::Context;

use super::libraries::{Libraries, with_libraries};
use super::picker::Picker;
use crate::diagnosis::files::account::Complaint;
use crate::drill::Drill;
use crate::drill::making::file::{Forbidden, Hidden, Worked};
use crate::drill::making::make::Refused;
use crate::drill::making::make::{RIGS, Wish, judge, make};
use crate::drill::making::weights::Weights;
use crate::drill::reasoning::assess::Unsolvable;
use crate::drill::reasoning::difficulty::Assessment;
use crate::fault::Family;
use crate::form::store::{os_words, write_file};
use crate::scenario::Scenario;
use crate::visit::{Bag, Tool};
use crate::window::desk::browse::Browse;
use crate::window::desk::work::Work;
use crate::window::platform::{Since, full, is_there};

/// Faults of a drill at most.
pub const MOST_FAULTS: usize = 2;
/// How long nothing must have changed before a drill is judged by itself.
const STILL: Duration = Duration::from_millis(600);

/// A hidden fault as it is put down.
#[derive(Debug, Clone)]
pub struct Planned {
    /// Which.
    pub which: Picker,
    /// How bad, percent.
    pub severity: f64,
    /// When it begins \[min\].
    pub at_min: f64,
    /// How long it takes to come on \[min\].
    pub over_min: f64,
}

impl Default for Planned {
    fn default() -> Self {
        Self {
            which: Picker::default(),
            severity: 60.0,
            at_min: 0.0,
            over_min: 0.0,
        }
    }
}

/// What was found about a drill.
type Judged = Result<Assessment, Refused>;

/// A drill being built.
pub struct Build {
    /// Title.
    pub title: String,
    /// The complaint in the owner's words.
    pub complaint: String,
    /// Whether the owner reports escaping gas, once that was said.
    pub gas_told: Option<bool>,
    /// What that is a complaint of: the rig is held to show it.
    pub complains_of: Vec<Complaint>,
    /// Rigs to choose from: name and scenario.
    pub rigs: Vec<(String, Scenario)>,
    /// The chosen one.
    pub rig: usize,
    /// Minutes after which it ends.
    pub limit_min: f64,
    /// The hidden faults.
    pub faults: Vec<Planned>,
    /// Tools: at hand or not, and the minutes each costs.
    pub tools: Vec<(Tool, bool, f64)>,
    /// What must not be done, and why.
    pub must_not: Vec<(Tool, String)>,
    /// What is asked for, where the drill is made to order.
    pub wish: Wish,
    /// File it goes to.
    pub path: String,
    /// File of a drill that is to be changed, as it is typed.
    pub reopens: String,
    /// The system's dialogs for that and for the file it goes to.
    pub browse: [Browse; 2],
    /// What came of it, and whether it went wrong.
    pub said: Option<(String, bool)>,
    /// The file that would be replaced, if that was asked.
    pub replaces: Option<PathBuf>,
    /// The drill that was judged, and what was found.
    pub judged: Option<(Drill, Judged)>,
    judging: Option<(Drill, Work<Judged>)>,
    making: Option<Work<(Drill, Assessment)>>,
    seed: Option<u64>,
    /// What its marks are made of.
    pub weights: Weights,
    /// Whether it is an exam.
    pub exam: bool,
    /// Whether it asks before each test why that one.
    pub asks_why: bool,
    /// The drill as text when last looked at, and since when it has been so.
    last: (String, Option<Since>),
    /// Whether changes are judged by themselves.
    live: bool,
    /// Whether the form was on screen since it was last looked after.
    pub on_screen: bool,
}

impl Default for Build {
    fn default() -> Self {
        Self {
            title: String::new(),
            complaint: String::new(),
            gas_told: None,
            complains_of: Vec::new(),
            rigs: RIGS
                .iter()
                .filter_map(|(name, text)| {
                    // A test reads them all; one that cannot be read is not offered.
                    let scenario = Scenario::parse(name, text).ok()?;
                    Some((scenario.title.clone(), scenario))
                })
                .collect(),
            rig: 0,
            limit_min: 90.0,
            faults: vec![Planned::default()],
            tools: Tool::ALL
                .into_iter()
                .map(|t| (t, usual(t), t.usual_minutes()))
                .collect(),
            must_not: Vec::new(),
            wish: Wish {
                family: None,
                level: None,
                faults: 1,
                seed: 1,
            },
            path: "my-drill.toml".to_owned(),
            reopens: String::new(),
            browse: Default::default(),
            said: None,
            replaces: None,
            judged: None,
            judging: None,
            making: None,
            seed: None,
            weights: Weights::USUAL,
            exam: false,
            asks_why: false,
            last: (String::new(), None),
            live: false,
            on_screen: false,
        }
    }
}

/// Whether a tool is usually at hand.
fn usual(tool: Tool) -> bool {
    !matches!(
        tool,
        Tool::AirPump | Tool::NewRegulator | Tool::NewHose | Tool::Screw
    )
}

impl Build {
    /// Whether something is being made or judged.
    pub fn busy(&self) -> bool {
        self.judging.is_some() || self.making.is_some()
    }

    /// Share of what is at work.
    pub fn share(&self) -> f64 {
        let judging = self.judging.as_ref().map(|j| j.1.share());
        let making = self.making.as_ref().map(Work::share);
        judging.or(making).unwrap_or(0.0)
    }

    /// Stops what is at work.
    pub fn stop(&mut self) {
        (self.judging, self.making, self.live) = (None, None, false);
    }

    /// The drill as it is put down, or what is missing.
    pub fn drill(&self) -> Result<Drill, Vec<String>> {
        let mut missing = Vec::new();
        if self.title.trim().is_empty() {
            missing.push("A title".to_owned());
        }
        if self.complaint.trim().is_empty() {
            missing.push("What the owner says".to_owned());
        }
        if self.gas_told.is_none() {
            missing.push("Whether the owner reports escaping gas".to_owned());
        }
        let mut faults = Vec::new();
        for planned in &self.faults {
            match planned.which.cause().as_deref() {
                Some([fault]) => faults.push(Hidden {
                    fault: *fault,
                    severity: planned.severity / 100.0,
                    at_s: 60.0 * planned.at_min,
                    over_s: 60.0 * planned.over_min,
                }),
                _ => missing.push("A fault to find".to_owned()),
            }
        }
        if let [a, b] = &faults[..]
            && a.fault == b.fault
        {
            missing.push("Two different faults".to_owned());
        }
        for (tool, why) in &self.must_not {
            if why.trim().is_empty() {
                missing.push(format!("Why this is forbidden: {}", tool.words()));
            }
        }
        if !self.weights.is_whole() {
            let sum = self.weights.sum();
            missing.push(format!("Marks that sum to 100; they sum to {sum:.0}"));
        }
        let rig = self.rigs.get(self.rig);
        if rig.is_none() {
            missing.push("A rig".to_owned());
        }
        let (Some((_, scenario)), Some(gas_told), true) = (rig, self.gas_told, missing.is_empty())
        else {
            return Err(missing);
        };
        let drill = Drill {
            title: self.title.trim().to_owned(),
            complaint: self.complaint.trim().to_owned(),
            complains_of: self.complains_of.clone(),
            gas_told,
            scenario: scenario.clone(),
            bag: Bag::new(
                self.tools
                    .iter()
                    .filter(|t| t.1)
                    .map(|t| (t.0, t.2))
                    .collect::<Vec<_>>(),
            ),
            must_not: self
                .must_not
                .iter()
                .map(|(tool, because)| Forbidden {
                    tool: *tool,
                    because: because.trim().to_owned(),
                })
                .collect(),
            limit_s: 60.0 * self.limit_min,
            seed: self.seed,
            weights: self.weights,
            exam: self.exam,
            asks_why: self.asks_why,
            faults,
            worked: None,
            sum: 0,
        };
        // Judged as it will be read: a text rounds its numbers.
        Drill::read("the drill", &drill.to_open(), None).map_err(|e| vec![e.to_string()])
    }

    /// Takes over what a drill holds.
    pub fn take(&mut self, drill: &Drill) {
        self.title.clone_from(&drill.title);
        self.complaint.clone_from(&drill.complaint);
        self.gas_told = Some(drill.gas_told);
        self.complains_of.clone_from(&drill.complains_of);
        let place = self.rigs.iter().position(|r| r.1 == drill.scenario);
        self.rig = place.unwrap_or_else(|| {
            let name = drill.scenario.title.clone();
            self.rigs.push((name, drill.scenario.clone()));
            self.rigs.len() - 1
        });
        self.limit_min = drill.limit_s / 60.0;
        self.faults = drill
            .faults
            .iter()
            .map(|h| {
                let mut which = Picker::default();
                which.set(&vec![h.fault]);
                Planned {
                    which,
                    severity: 100.0 * h.severity,
                    at_min: h.at_s / 60.0,
                    over_min: h.over_s / 60.0,
                }
            })
            .collect();
        for (tool, on, m) in &mut self.tools {
            *on = drill.bag.has(*tool);
            *m = drill.bag.minutes(*tool);
        }
        self.must_not = drill
            .must_not
            .iter()
            .map(|f| (f.tool, f.because.clone()))
            .collect();
        self.seed = drill.seed;
        (self.weights, self.exam) = (drill.weights, drill.exam);
        self.asks_why = drill.asks_why;
    }

    /// Takes over a drill that is there, to be changed and sealed again.
    pub fn reopen(&mut self, path: &Path, ctx: &Context, libraries: &Libraries) {
        match Drill::load(path) {
            Ok(drill) => {
                self.stop();
                self.take(&drill);
                self.path = path.display().to_string();
                self.reopens.clone_from(&self.path);
                (self.said, self.replaces, self.judged) = (None, None, None);
                self.judge(ctx, libraries);
            }
            Err(why) => self.said = Some((why.to_string(), true)),
        }
    }

    /// Begins to work out whether the drill can be solved.
    pub fn judge(&mut self, ctx: &Context, libraries: &Libraries) {
        let Ok(drill) = self.drill() else {
            return;
        };
        self.live = true;
        let (judged, libraries, wake) = (drill.clone(), libraries.clone(), ctx.clone());
        let work = Work::begin(
            move || wake.request_repaint(),
            move |heard| {
                with_libraries(&libraries, heard, |shelf, heard| {
                    Ok(judge(&judged, shelf, heard))
                })
            },
        );
        match work {
            Ok(work) => self.judging = Some((drill, work)),
            Err(why) => self.said = Some((why, true)),
        }
    }

    /// Begins to make a drill to order.
    pub fn make(&mut self, ctx: &Context, libraries: &Libraries) {
        let (wish, libraries, wake) = (self.wish, libraries.clone(), ctx.clone());
        self.said = None;
        let work = Work::begin(
            move || wake.request_repaint(),
            move |heard| {
                with_libraries(&libraries, heard, |shelf, heard| {
                    make(&wish, shelf, heard).map_err(|e| {
                        format!("No drill was made: {e}. Try another seed, level or family")
                    })
                })
            },
        );
        match work {
            Ok(work) => self.making = Some(work),
            Err(why) => self.said = Some((why, true)),
        }
    }

    /// Looks after what is at work; call once a frame.
    pub fn follow(&mut self, ctx: &Context, libraries: &Libraries) {
        if let Some(outcome) = self.making.as_ref().and_then(Work::take) {
            self.making = None;
            match outcome {
                Ok((drill, found)) => {
                    self.take(&drill);
                    self.live = true;
                    if let Ok(drill) = self.drill() {
                        self.last = (drill.to_open(), None);
                        self.judged = Some((drill, Ok(found)));
                    }
                }
                Err(why) => self.said = Some((why, true)),
            }
        }
        if let Some(outcome) = self.judging.as_ref().and_then(|j| j.1.take())
            && let Some((drill, _)) = self.judging.take()
        {
            match outcome {
                Ok(found) => self.judged = Some((drill, found)),
                Err(why) => self.said = Some((why, true)),
            }
        }
        if std::mem::take(&mut self.on_screen) && self.live && !self.busy() {
            self.judge_if_changed(ctx, libraries);
        }
    }

    pub(super) fn judge_if_changed(&mut self, ctx: &Context, libraries: &Libraries) {
        let text = self.drill().map_or_else(|_| String::new(), |d| d.to_open());
        let judged = self.judged.as_ref().map(|j| j.0.to_open());
        if judged.as_ref() == Some(&text) {
            return;
        }
        // That another drill was saved is not said of this one.
        self.said.take_if(|said| !said.1);
        if text.is_empty() {
            return;
        }
        if self.last.0 != text {
            self.last = (text, Some(Since::now()));
            ctx.request_repaint_after(STILL);
        } else if self.last.1.is_none_or(|since| since.elapsed() >= STILL) {
            self.judge(ctx, libraries);
        } else {
            ctx.request_repaint_after(STILL);
        }
    }

    /// Whether what was found is about the drill as it stands now.
    pub fn found(&self) -> Option<&(Drill, Judged)> {
        let now = self.drill().ok()?.to_open();
        self.judged.as_ref().filter(|j| j.0.to_open() == now)
    }

    /// Writes the sealed drill. A file that is there is replaced only when that was asked.
    pub fn save(&mut self) {
        let Some((drill, Ok(found))) = self.found().cloned() else {
            return;
        };
        let path = PathBuf::from(self.path.trim());
        if is_there(&path) && self.replaces.as_ref() != Some(&path) {
            self.said = Some((
                format!(
                    "{} is there already. Save again to replace it",
                    path.display()
                ),
                true,
            ));
            self.replaces = Some(path);
            return;
        }
        self.replaces = None;
        let text = drill.to_sealed(&Worked::from(&found));
        self.said = Some(match write_file(&path, text.as_bytes()) {
            Ok(()) => (format!("Saved, sealed: {}", full(&path)), false),
            Err(e) => (
                format!(
                    "{} could not be written: {}. Choose another place",
                    path.display(),
                    os_words(&e)
                ),
                true,
            ),
        });
    }

    /// A drill by hand, for pictures.
    pub fn begin_example(&mut self, ctx: &Context, libraries: &Libraries) {
        self.gas_told = Some(false);
        "Lively in the morning".clone_into(&mut self.title);
        "The first flame of the day is big and loud. Then it settles."
            .clone_into(&mut self.complaint);
        if let Some(fault) = crate::fault::Fault::named("second_seat_nick") {
            self.faults[0].which.set(&vec![fault]);
        }
        self.must_not = vec![(
            Tool::Screw,
            "Nobody sets it before it is known what is wrong".to_owned(),
        )];
        self.judge(ctx, libraries);
    }

    /// A drill made to order, for pictures.
    pub fn begin_made(&mut self, seed: &str, ctx: &Context, libraries: &Libraries) {
        self.wish.seed = seed.parse().unwrap_or(1);
        self.wish.family = Some(Family::Seat);
        self.make(ctx, libraries);
    }
}

/// What to do about a drill that has no solution.
pub fn advice(refused: &Refused) -> String {
    if let Some(near) = refused.near {
        return format!(
            "Try a severity of {:.0} %, or put more instruments at hand",
            100.0 * near
        );
    }
    match &refused.why {
        Unsolvable::Run(_) => "Try another severity or another rig".to_owned(),
        Unsolvable::Causes(_) => "Try another rig".to_owned(),
        Unsolvable::OtherComplaint { fit, .. } => format!("Let the complaint be of {fit}"),
        Unsolvable::Invisible => "Try a worse severity, or put more instruments at hand".to_owned(),
        Unsolvable::OneInvisible { hidden, .. } => {
            format!("Try {hidden} worse, another fault in its place, or more instruments at hand")
        }
        Unsolvable::Misleading(other) => {
            format!("Try a worse severity, or put at hand what tells it from {other}")
        }
        Unsolvable::Alike(_) => {
            "Put more instruments at hand, so that they can be told apart".to_owned()
        }
        Unsolvable::Actions(_) => {
            "Put more instruments at hand: what looks alike must call for one action".to_owned()
        }
        Unsolvable::Late { .. } => "Let it end later, or the fault come sooner".to_owned(),
        Unsolvable::Chancy { .. } | Unsolvable::Unsure { .. } | Unsolvable::OnlyByOrder => {
            "Put more instruments at hand, or try a worse severity".to_owned()
        }
    }
}
