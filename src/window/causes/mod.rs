//! From readings to causes: what was read at the right, what explains it in the middle. The
//! diagnosis room reasons on a thread of its own; this page asks, waits and shows.

mod answer;
mod beside;
mod form;
mod priors;
mod set_aside;
mod typed;

use std::sync::Arc;

use super::desk::Desk;
use crate::diagnosis::answer::{Answer, Cause};
use crate::diagnosis::files::prior::Priors;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::library::standard::rig_of;
use crate::diagnosis::store::{Diagnosis, State};
use crate::report::causes::Speaks;
use crate::scenario::{Action, Scenario};
use crate::sim::Command;
use crate::visit::{ALL, ITEMS, LeakCheck, Values, quickened, visit};
use crate::window::desk::work::Work;
use crate::window::look::theme::Theme;

/// What the page keeps between frames.
pub struct CausesPage {
    /// What is typed for each item, or the chosen word.
    typed: Vec<String>,
    /// Units that a bare number was typed in.
    typed_in: crate::window::look::show::Units,
    /// What was told, and how some of it was read.
    beside: beside::BesideForm,
    /// What is wrong with each item as typed; empty where nothing is.
    wrong: Vec<String>,
    /// What is asked about each item as typed; empty where nothing is.
    asked_after: Vec<String>,
    /// What the readings file held besides values: title, uncertainties, its rig.
    from_file: Readings,
    /// Which rig is reasoned about.
    rig: Which,
    /// How common each cause is taken to be.
    priors: Priors,
    /// Whether the table of priors is on show, not the answer.
    priors_open: bool,
    /// Whether the answer is to be asked for again: a prior has changed.
    again: bool,
    /// The readings that the answer belongs to.
    asked: Option<Readings>,
    /// Whether all items are listed, not the usual ones.
    all_items: bool,
    diagnosis: Option<Diagnosis>,
    state: State,
    chosen: usize,
    said: String,
    reading_off: Option<Work<(Values, Option<Scenario>)>>,
    path: String,
    /// What "show me" has put into the rig.
    shown: Option<String>,
    /// Readings that made room for others, the last one last.
    aside: Vec<set_aside::Aside>,
}

impl Default for CausesPage {
    fn default() -> Self {
        Self {
            typed: vec![String::new(); ITEMS],
            typed_in: crate::window::look::show::Units::default(),
            beside: beside::BesideForm::default(),
            wrong: vec![String::new(); ITEMS],
            asked_after: vec![String::new(); ITEMS],
            from_file: Readings::default(),
            rig: Which::Standard,
            priors: Priors::default(),
            priors_open: false,
            again: false,
            asked: None,
            all_items: false,
            diagnosis: None,
            state: State::default(),
            chosen: 0,
            said: String::new(),
            reading_off: None,
            path: String::new(),
            shown: None,
            aside: Vec::new(),
        }
    }
}

/// Rigs that can be reasoned about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    /// The one whose library is built in.
    Standard,
    /// The one in the window.
    OnShow,
    /// The one that the readings came with: from a file, from the bench.
    OfFile,
}

/// What the page asks the application for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Nothing.
    Nothing,
    /// Show the cutaway again: a cause lies in the rig.
    Cutaway,
}

impl CausesPage {
    /// Whether an answer is on its way.
    pub fn busy(&self) -> bool {
        self.reading_off.is_some() || (self.diagnosis.is_some() && !self.state.done)
    }

    /// The cause that explains the readings best, if there is an answer.
    pub fn likeliest(&self) -> Option<&Cause> {
        self.state.answer.as_ref().and_then(|a| a.causes.first())
    }

    /// The answer there is.
    pub fn answer(&self) -> Option<&Answer> {
        self.state.answer.as_ref()
    }

    /// The readings that were asked about last, with the priors they went with.
    pub fn asked(&self) -> Option<&Readings> {
        self.asked.as_ref()
    }

    /// Looks after work under way; call once a frame.
    pub fn follow(&mut self, units: crate::window::look::show::Units) {
        self.take_units(units);
        if let Some(outcome) = self.reading_off.as_ref().and_then(Work::take) {
            self.reading_off = None;
            match outcome {
                Ok((values, rig)) => {
                    self.set_aside();
                    let read = Readings {
                        values,
                        ..Readings::default()
                    };
                    self.fill_in(&read, units);
                    self.take_rig(rig);
                }
                Err(why) => self.said = why,
            }
        }
        if let Some(d) = self.diagnosis.as_ref().filter(|_| !self.state.done) {
            self.state = d.state();
        }
    }

    /// Starts reasoning about what was typed, or says what is wrong with it.
    fn ask(&mut self, desk: &Desk<'_>, ctx: &egui::Context) {
        self.said.clear();
        let mut readings = match self.readings(desk.units) {
            Ok(readings) => readings,
            Err(why) => {
                self.said = why;
                return;
            }
        };
        readings.rig = self.chosen_rig(desk);
        self.asked = Some(readings.clone());
        let wake = ctx.clone();
        self.state = State::default();
        self.chosen = 0;
        self.shown = None;
        self.diagnosis = Some(Diagnosis::start(readings, move || wake.request_repaint()));
    }

    /// The rig that is reasoned about, none for the standard one.
    fn chosen_rig(&self, desk: &Desk<'_>) -> Option<Scenario> {
        match self.rig {
            Which::Standard => None,
            Which::OnShow => rig_of(&desk.snap.scenario),
            Which::OfFile => self.from_file.rig.clone(),
        }
    }

    /// Stops reasoning and keeps the answer there is.
    fn stop(&mut self) {
        if let Some(d) = self.diagnosis.take() {
            self.state = d.state();
        }
        self.state.done = true;
    }

    /// Makes the whole visit to the rig on show, on a copy and on a thread of its own, to fill the
    /// form with what it reads.
    fn read_off(&mut self, desk: &Desk<'_>, ctx: &egui::Context) {
        let now_s = desk.snap.readings.time_s;
        let faults = desk.snap.faults.iter();
        let faults = faults.map(|f| (f.fault, f.severity_soon(now_s)));
        let scenario = quickened(&desk.snap.scenario).with_faults(faults);
        let wake = ctx.clone();
        let begun = Work::begin(
            move || wake.request_repaint(),
            move |_| {
                let rig = rig_of(&scenario);
                let values = visit(&Arc::new(scenario), LeakCheck::Last)
                    .map_err(|e| format!("No visit: {e}"))?;
                Ok((values, rig))
            },
        );
        match begun {
            Ok(work) => self.reading_off = Some(work),
            Err(why) => self.said = why,
        }
    }

    /// Puts a cause into the rig on show, in the place of what is there.
    fn show_me(&mut self, cause: &Cause, desk: &mut Desk<'_>) {
        for f in &desk.snap.faults {
            desk.send
                .push(Command::Act(Action::Clear { fault: f.fault }));
        }
        let severity = cause.severity.map_or(0.5, |[mean, _]| mean);
        for fault in &cause.faults {
            desk.send.push(Command::Act(Action::Inject {
                fault: *fault,
                severity,
                over_s: 0.0,
            }));
        }
        desk.send.push(Command::Play);
        self.shown = Some(cause.name.clone());
    }

    /// Opens a readings file and asks, for pictures and for files dropped on the window; with
    /// `priors ` before its path the table of priors is on show.
    pub fn begin_file(&mut self, what: &str, desk: &Desk<'_>, ctx: &egui::Context) {
        let table = what.strip_prefix("priors ");
        self.priors_open = table.is_some();
        let path = table.unwrap_or(what);
        path.clone_into(&mut self.path);
        self.open(desk.units);
        if self.said.is_empty() {
            self.ask(desk, ctx);
        }
    }
}

/// Ink of a reading that speaks for or against; the word always stands beside it.
fn ink_of(speaks: Speaks, t: &Theme) -> egui::Color32 {
    match speaks {
        Speaks::For => t.good,
        Speaks::Against => t.danger,
        Speaks::ForOthers | Speaks::LeastOff | Speaks::Neutral => t.soft,
    }
}

/// Items that most visits give; the others are behind a button.
fn usual(item: usize) -> bool {
    let i = &ALL[item];
    matches!(
        (i.table, i.key),
        ("site", "air")
            | ("container", "pressure")
            | ("half_load" | "full_load", "outlet")
            | ("lock_up", "after_minute" | "after_creep")
            | ("first_stage", "at_rest" | "full_load")
            | ("leak_check", _)
            | ("vent", "second_at_rest")
            | ("seen", "flames" | "frost_on_body")
            | ("heard", "at_rest")
    )
}

/// Readings as typed, in a file or off a rig.
type Typed = Result<Readings, String>;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::files::readings::Yellow;
    use crate::visit::Id;
    use crate::window::look::show::Units;

    /// What is typed comes back as the same pressure; a wrong unit and gas that flows uphill are
    /// told. Factor of the in w.c. at 4 °C: published (249.089 Pa), see units.
    #[test]
    fn typed_readings_are_checked_with_their_units() {
        let mut page = CausesPage::default();
        let at = |key: (&str, &str)| {
            ALL.iter()
                .position(|i| (i.table, i.key) == key)
                .expect("an item")
        };
        let half = at(("half_load", "outlet"));
        assert!(page.readings(Units::Us).is_err(), "nothing was typed");
        page.typed[half] = "11.0".to_owned();
        let r = page
            .readings(Units::Us)
            .expect("a bare number has the unit beside it");
        assert!((r.values[half].expect("typed") - 11.0 * 249.089).abs() < 1.0);
        page.typed[half] = "2.74 kPa".to_owned();
        let r = page.readings(Units::Us).expect("any unit of pressure");
        assert!((r.values[half].expect("typed") - 2740.0).abs() < 1e-6);
        page.typed[half] = "> 16 in".to_owned();
        let r = page.readings(Units::Us).expect("over the range");
        assert!(r.over[half] && (r.values[half].expect("typed") - 16.0 * 249.089).abs() < 1.0);
        page.fill_in(&r, Units::Us);
        assert_eq!(page.typed[half], "> 16.0", "it stays over the range");
        page.take_units(Units::Si);
        assert_eq!(page.typed[half], "> 3.99");
        page.take_units(Units::Us);
        page.typed[half] = "11 psi".to_owned();
        page.readings(Units::Us).expect("psi may be meant");
        let asked = page.asked_after[half].clone();
        assert!(asked.starts_with("Read in another unit?"), "{asked}");
        page.typed[half] = "11 ft".to_owned();
        assert!(page.readings(Units::Us).is_err(), "a length is no pressure");
        page.typed[half] = "11 inwc".to_owned();
        page.typed[at(("container", "pressure"))] = "0.1 psi".to_owned();
        assert!(
            page.readings(Units::Us).is_err(),
            "gas does not flow uphill"
        );
    }

    /// Yellow flames are low ones where the pressure is low, and their own trouble where it is right (common practice). A file
    /// says the same as the form that saved it.
    #[test]
    fn yellow_is_told_by_the_pressure_beside_it_and_is_kept() {
        let (flames, half) = (Id::Flames.index(), Id::HalfOutlet.index());
        for (inwc, low) in [("11.2", None), ("6", Some(1.0))] {
            let mut page = CausesPage::default();
            page.typed[flames] = "yellow".to_owned();
            page.typed[half] = inwc.to_owned();
            let read = page.readings(Units::Us).expect("readings");
            let at = if low.is_none() {
                Yellow::AtRight
            } else {
                Yellow::AsLow
            };
            assert_eq!((read.yellow, read.values[flames]), (Some(at), low));
            let text = read.to_toml(crate::units::System::Us);
            let again = Readings::parse("saved", &text).expect("what was saved is read");
            assert_eq!((again.yellow, again.values[flames]), (Some(at), low));
            page.fill_in(&again, Units::Us);
            assert_eq!(page.typed[flames], "yellow");
        }
    }
}
