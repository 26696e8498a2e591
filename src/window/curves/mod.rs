//! What the regulator can do, as curves: outlet against load, lock-up, relief, endurance of the
//! container, stability. Worked out by the analysis room on a thread of its own; drawn here.

mod draw;
mod family;

use egui::{ProgressBar, RichText, Ui};

use self::draw::{View, endurance_ui, flow_ui, lock_up_ui, relief_ui, stability_ui, ways_ui};
use self::family::{LOADS, Looked, MOST_W};
use super::desk::Desk;
use crate::analysis::{
    Curves, Endurance, LockUpCurve, ReliefCapacity, StabilityMap, Unsteady, endurance,
    lock_up_curve, relief_capacity, smooth_flow_curves, stability_map, usual_container_pa,
};
use crate::report::unsteady;
use crate::rig::{Rig, Site};
use crate::units::{System, ZERO_FAHRENHEIT_K, psi_to_pa};
use crate::window::desk::work::Work;
use crate::window::look::show::Units;
use crate::window::look::theme::{Theme, plain, strong, title};

/// A sheet lower than this tells in one line how it is read \[points\].
const LOW: f32 = 300.0;
/// Points of a curve.
const POINTS: usize = 60;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Kind {
    /// Outlet against load.
    #[default]
    Flow,
    /// Lock-up against container pressure.
    LockUp,
    /// Outlet with the second seat gone.
    Relief,
    /// Hours the container lasts.
    Endurance,
    /// Damping and hunting.
    Stability,
}

impl Kind {
    const ALL: [Self; 5] = [
        Self::Flow,
        Self::LockUp,
        Self::Relief,
        Self::Endurance,
        Self::Stability,
    ];

    /// Name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Flow => "Outlet against load",
            Self::LockUp => "Lock-up",
            Self::Relief => "Relief",
            Self::Endurance => "Container endurance",
            Self::Stability => "Stability",
        }
    }

    fn file(self) -> &'static str {
        match self {
            Self::Flow => "outlet_against_load",
            Self::LockUp => "lock_up",
            Self::Relief => "relief",
            Self::Endurance => "endurance",
            Self::Stability => "stability",
        }
    }

    /// How it is read: what everybody needs, and the rest.
    fn how_to_read(self) -> [&'static str; 2] {
        match self {
            Self::Flow => [
                "Solid: the load rises. Dashed: it falls; the gap between the two is friction. Each container pressure has its own mark. \
                 The band is flow pressure, from half load of this rig's burners to all of them.",
                "Lines that lie on one another tell that container pressure hardly matters: point at a pressure in the key to see its \
                 line alone, or draw all over the first. Point at a load to read all lines there; – stands where a line does not reach \
                 that load. With all burners on 0.5 to 1 in w.c. less is usual (common practice). Where a line bends down, the first \
                 stage or the seat can pass no more; where it drops to nothing, the supply gives no more: an excess-flow valve has \
                 shut, or the way is blocked.",
            ],
            Self::LockUp => [
                "The outlet with almost nothing drawn, as burners are shut off. The lower line is 120 % of the set \
                 pressure (common practice), the upper one 14 in w.c. (UL 144-2002; recreational vehicles come under NFPA 1192, from memory).",
                "",
            ],
            Self::Relief => [
                "The second seat is taken out of the rig and stands wide open: how far the relief lets the outlet \
                 rise. The dashed line is 2 psig (UL 144-2021 6.9, type II).",
                "",
            ],
            Self::Endurance => [
                "How long the container feeds every burner at once, from each fill, in still air of each \
                 temperature, until its pressure is no longer enough. Where a line is missing it lasts until empty, \
                 or longer than a week.",
                "",
            ],
            Self::Stability => [
                "Damping ratio and frequency of the worst swing, friction left out, and what carries it. Under 0 it hunts or hums once set going.",
                "What carries a swing is that without which least damping would be left: breathing hole of the first or second spring case, \
                 rubber of diaphragm or seat, air in the spring case, main line. Friction and a full line of gas can still hold a rig quiet that \
                 would hunt without them.",
            ],
        }
    }
}

/// What came of the work.
enum Drawn {
    Flow(Curves),
    LockUp(LockUpCurve),
    Relief(ReliefCapacity),
    Endurance(Endurance),
    Stability(StabilityMap),
}

impl Drawn {
    fn csv(&self, system: System) -> String {
        match self {
            Self::Flow(c) => c.csv(system),
            Self::LockUp(c) => c.csv(system),
            Self::Relief(c) => c.csv(system),
            Self::Endurance(c) => c.csv(system),
            Self::Stability(c) => c.csv(system),
        }
    }

    fn svg(&self, system: System) -> String {
        match self {
            Self::Flow(c) => c.svg(system),
            Self::LockUp(c) => c.svg(system),
            Self::Relief(c) => c.svg(system),
            Self::Endurance(c) => c.svg(system),
            Self::Stability(c) => c.svg(system),
        }
    }
}

/// A finished drawing and what it is of.
struct Sheet {
    kind: Kind,
    drawn: Drawn,
    /// Faults that were in the rig.
    faults: String,
}

/// What the page keeps between frames.
#[derive(Default)]
pub struct CurvesPage {
    kind: Kind,
    work: Option<Work<Drawn>>,
    /// What the running work is of.
    of: (Kind, String),
    sheet: Option<Sheet>,
    said: String,
    path: String,
    view: View,
}

impl CurvesPage {
    /// Whether it is being worked out.
    pub fn busy(&self) -> bool {
        self.work.is_some()
    }

    /// What is drawn, if anything.
    pub fn drawn(&self) -> Option<Kind> {
        self.sheet.as_ref().map(|s| s.kind)
    }

    /// Chooses what to draw by its name and begins.
    pub fn begin_named(&mut self, name: &str, desk: &Desk<'_>, ctx: &egui::Context) {
        let found = Kind::ALL
            .into_iter()
            .find(|k| k.words().eq_ignore_ascii_case(name));
        self.kind = found.unwrap_or_default();
        self.begin(desk, ctx);
    }

    fn begin(&mut self, desk: &Desk<'_>, ctx: &egui::Context) {
        let rig = (*desk.snap.rig)
            .clone()
            .with_first(desk.snap.readings.service_side);
        let r = &desk.snap.readings;
        let site = Site::calm(r.air_k, r.elevation_m);
        let (kind, system) = (self.kind, desk.units.system());
        let wake = ctx.clone();
        self.said.clear();
        let begun = Work::begin(
            move || wake.request_repaint(),
            move |go_on| work_out((kind, system), &rig, &site, go_on),
        );
        match begun {
            Ok(work) => {
                self.of = (kind, faults_words(desk));
                self.work = Some(work);
            }
            Err(why) => self.said = why,
        }
    }

    /// Takes what has come of the work; call once a frame.
    pub fn follow(&mut self) {
        let Some(outcome) = self.work.as_ref().and_then(Work::take) else {
            return;
        };
        self.work = None;
        match outcome {
            Ok(drawn) => {
                self.path = format!("{}.csv", self.of.0.file());
                self.view.looked = Looked::default();
                self.sheet = Some(Sheet {
                    kind: self.of.0,
                    drawn,
                    faults: std::mem::take(&mut self.of.1),
                });
            }
            Err(why) => {
                // A sheet of the rig as it was before would be read as an answer.
                self.sheet = None;
                self.said = why;
            }
        }
    }

    /// The column at the right.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        // Nobody comes here for an empty sheet.
        if self.sheet.is_none() && self.work.is_none() && self.said.is_empty() {
            self.begin(desk, ui.ctx());
        }
        ui.label(title("What it can do", 13.0));
        for kind in Kind::ALL {
            if ui
                .selectable_label(self.kind == kind, kind.words())
                .clicked()
                && (self.kind != kind || self.sheet.is_none())
            {
                self.kind = kind;
                self.begin(desk, ui.ctx());
            }
        }
        ui.add_space(4.0);
        if let Some(work) = &self.work {
            ui.add(
                ProgressBar::new(work.share() as f32)
                    .fill(t.brass)
                    .desired_height(8.0),
            );
            if ui.button("Stop").clicked() {
                self.work = None;
                "Stopped".clone_into(&mut self.said);
            }
        } else {
            let draw = egui::Button::new(
                RichText::new(if self.sheet.is_some() {
                    "Draw again"
                } else {
                    "Draw"
                })
                .font(strong(13.0))
                .color(t.on_accent),
            )
            .fill(t.brass);
            if ui.add(draw).clicked() {
                self.begin(desk, ui.ctx());
            }
        }
        note(
            ui,
            t,
            "Of the rig as it stands when it is drawn: its faults, its screws, this air and this elevation. Time in the rig runs on.",
        );
        if !self.said.is_empty() {
            ui.label(RichText::new(desk.units.prose(&self.said)).color(t.caution));
        }
        ui.add_space(6.0);
        self.save_ui(ui, t, desk.units);
    }

    fn save_ui(&mut self, ui: &mut Ui, t: &Theme, units: Units) {
        let Some(sheet) = &self.sheet else {
            return;
        };
        let label = ui.label(title("Keep it", 13.0));
        ui.add(egui::TextEdit::singleline(&mut self.path).desired_width(f32::INFINITY))
            .labelled_by(label.id);
        let path = std::path::Path::new(self.path.trim());
        ui.horizontal_wrapped(|ui| {
            for (words, ending) in [("Save table", "csv"), ("Save picture", "svg")] {
                if !ui.button(words).clicked() {
                    continue;
                }
                let text = if ending == "csv" {
                    sheet.drawn.csv(units.system())
                } else {
                    sheet.drawn.svg(units.system())
                };
                let path = path.with_extension(ending);
                self.said = match crate::form::store::write_file(&path, text.as_bytes()) {
                    Ok(()) => format!("Saved {}", path.display()),
                    Err(e) => format!(
                        "{} could not be written: {}. Choose another place",
                        path.display(),
                        crate::form::store::os_words(&e)
                    ),
                };
            }
        });
        note(ui, t, "CSV and SVG, in the units on show");
    }

    /// The sheet in the middle.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let Some(sheet) = &self.sheet else {
            ui.label(title("Curves", 15.0));
            let words = match self.said.as_str() {
                _ if self.busy() => "Being worked out".into(),
                "" => "Choose a curve at the right".into(),
                said => desk.units.prose(said),
            };
            ui.label(RichText::new(words).color(t.soft));
            return;
        };
        ui.horizontal_wrapped(|ui| {
            ui.label(title(sheet.kind.words(), 15.0));
            ui.label(RichText::new(&sheet.faults).color(t.soft));
            // The present point stands among lines of a rig that is no more.
            let now = faults_words(desk);
            if now != sheet.faults {
                let words = format!("The rig is now {now}: draw again");
                ui.label(RichText::new(words).color(t.caution));
            }
            if let Drawn::Flow(c) = &sheet.drawn {
                ways_ui(ui, desk, c, &mut self.view);
            }
        });
        how_ui(ui, desk, sheet.kind.how_to_read());
        if let Drawn::Relief(c) = &sheet.drawn {
            let (words, ink) = if c.holds {
                ("Holds: never over 2 psig", t.good)
            } else {
                ("Does not hold: over 2 psig", t.danger)
            };
            let words = desk.units.prose(words);
            ui.label(RichText::new(words).font(strong(13.0)).color(ink));
        }
        let height = (ui.available_height() - 4.0).max(60.0);
        match &sheet.drawn {
            Drawn::Flow(c) => flow_ui(ui, desk, height, c, &mut self.view),
            Drawn::LockUp(c) => lock_up_ui(ui, desk, height, c),
            Drawn::Relief(c) => relief_ui(ui, desk, height, c),
            Drawn::Endurance(c) => endurance_ui(ui, desk, height, c, &mut self.view),
            Drawn::Stability(c) => stability_ui(ui, desk, height, c),
        }
    }
}

/// How a plot is read. A low sheet keeps its height for the curves: there all of it opens at a click.
fn how_ui(ui: &mut Ui, desk: &Desk<'_>, [short, rest]: [&str; 2]) {
    let words = |text: &str| {
        let text = desk.units.prose(text).into_owned();
        RichText::new(text).font(plain(12.5)).color(desk.theme.soft)
    };
    let is_low = ui.available_height() < LOW;
    if !is_low {
        ui.label(words(short));
    }
    if is_low || !rest.is_empty() {
        let more = egui::CollapsingHeader::new(words("How to read it"));
        more.id_salt(short).show_unindented(ui, |ui| {
            if is_low {
                ui.label(words(short));
            }
            if !rest.is_empty() {
                ui.label(words(rest));
            }
        });
    }
}

fn note(ui: &mut Ui, t: &Theme, text: &str) {
    ui.label(RichText::new(text).font(plain(12.0)).color(t.soft));
}

/// The faults in the rig, in words; none before a class that is to find them.
fn faults_words(desk: &Desk<'_>) -> String {
    if desk.affairs.effects_only {
        return "as it stands".to_owned();
    }
    if desk.snap.faults.is_empty() {
        return "healthy".to_owned();
    }
    let faults = desk.snap.faults.iter();
    let names: Vec<String> = faults.map(|f| f.fault.name_on(&desk.snap.rig)).collect();
    format!("with {}", names.join(", ").to_lowercase())
}

/// Container gauge pressures of a curve over them \[Pa\]: 15 to 250 psig.
fn pressures_pa() -> Vec<f64> {
    (0..POINTS)
        .map(|k| psi_to_pa(15.0 + 235.0 * k as f64 / (POINTS - 1) as f64))
        .collect()
}

fn work_out(
    (kind, system): (Kind, System),
    rig: &Rig,
    site: &Site,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Drawn, String> {
    let stopped = || "stopped".to_owned();
    let no_point = |e: &Unsteady| format!("No curve: {}", unsteady(e, system));
    let pressures = pressures_pa();
    let chunks = pressures.chunks(6);
    let count = chunks.len() as f64;
    Ok(match kind {
        Kind::Flow => {
            let at = usual_container_pa();
            let c = smooth_flow_curves(rig, site, &at, MOST_W, POINTS, go_on);
            Drawn::Flow(c.map_err(|e| no_point(&e))?)
        }
        Kind::LockUp => {
            let mut points = Vec::new();
            for (k, some) in chunks.enumerate() {
                if !go_on(k as f64 / count) {
                    return Err(stopped());
                }
                let c = lock_up_curve(rig, site, some).map_err(|e| no_point(&e))?;
                points.extend(c.points);
            }
            Drawn::LockUp(LockUpCurve { points })
        }
        Kind::Relief => {
            let mut all = ReliefCapacity {
                points: Vec::new(),
                holds: true,
            };
            for (k, some) in chunks.enumerate() {
                if !go_on(k as f64 / count) {
                    return Err(stopped());
                }
                let c = relief_capacity(rig, site, some).map_err(|e| no_point(&e))?;
                all.holds &= c.holds;
                all.points.extend(c.points);
            }
            Drawn::Relief(all)
        }
        Kind::Endurance => Drawn::Endurance(work_out_endurance(rig, go_on)?),
        Kind::Stability => {
            let loads: Vec<f64> = (1..=LOADS)
                .map(|k| MOST_W * k as f64 / LOADS as f64)
                .collect();
            let c = stability_map(rig, site, &usual_container_pa(), &loads, go_on);
            Drawn::Stability(c.map_err(|e| no_point(&e))?)
        }
    })
}

fn work_out_endurance(rig: &Rig, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Endurance, String> {
    let load_w: f64 = rig.appliances.iter().map(|a| a.input_w).sum();
    let draw_w = if load_w > 0.0 { load_w } else { MOST_W };
    let fills: Vec<f64> = (1..=16).map(|k| 0.05 * f64::from(k)).collect();
    let air_f = [-20.0, 0.0, 20.0, 40.0, 60.0];
    let mut points = Vec::new();
    for (k, f) in air_f.into_iter().enumerate() {
        if !go_on(k as f64 / air_f.len() as f64) {
            return Err("stopped".to_owned());
        }
        let air_k = ZERO_FAHRENHEIT_K + f / 1.8;
        let one = endurance(&rig.containers[0], &rig.fuel, draw_w, &[air_k], &fills)
            .map_err(|e| format!("No curve: {e}"))?;
        points.extend(one.points);
    }
    Ok(Endurance { draw_w, points })
}
