//! What the regulator can do, as curves: outlet against load, lock-up, relief, endurance of the
//! container, stability. Worked out by the analysis room on a thread of its own; drawn here.

use egui::{ProgressBar, RichText, Ui};
use egui_plot::{Corner, Legend, Line, LineStyle, Plot, PlotPoint, PlotPoints, Polygon, Text};

use super::app::Desk;
use super::plots::{calm, wide};
use super::show::{Units, grouped};
use super::theme::{Theme, plain, strong, title};
use super::work::Work;
use crate::analysis::{
    Curves, Endurance, LockUpCurve, ReliefCapacity, StabilityMap, endurance, flow_curves,
    lock_up_curve, relief_capacity, stability_map, usual_container_pa,
};
use crate::rig::{Rig, Site};
use crate::service::LIMITS;
use crate::units::{PA_PER_INWC, W_PER_BTU_PER_H, ZERO_FAHRENHEIT_K, psi_to_pa};

/// Greatest load drawn \[W\]: 150,000 Btu/h, what an integral two-stage regulator may be rated for.
const MOST_W: f64 = 150_000.0 * W_PER_BTU_PER_H;
/// Points of a curve.
const POINTS: usize = 60;
/// Loads of the stability map.
const LOADS: usize = 10;

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

    fn how_to_read(self) -> &'static str {
        match self {
            Self::Flow => {
                "One colour a container pressure. Solid: the load rises. Dashed: it falls; the gap between the two \
                 is what friction holds. The band is flow pressure at about half load (common practice). Where a \
                 line bends down, the first stage or the seat can pass no more."
            }
            Self::LockUp => {
                "The outlet with almost nothing drawn, come to by closing. The lower line is 120 % of the set \
                 pressure (common practice), the upper one 14 in w.c. (24 CFR 3280.704, UL 144-2002)."
            }
            Self::Relief => {
                "The second seat is taken out of the rig and stands wide open: how far the relief lets the outlet \
                 rise. The dashed line is 2 psig (UL 144-2021 6.9, type II)."
            }
            Self::Endurance => {
                "How long the container feeds every burner at once, from each fill, in still air of each \
                 temperature, until its pressure is no longer enough. Where a line is missing it lasts until empty, \
                 or longer than a week."
            }
            Self::Stability => {
                "Damping ratio and frequency of the worst swing, friction left out. Under 0 it hunts or hums once \
                 set going; friction and a full line of gas can still hold it quiet."
            }
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
    fn csv(&self) -> String {
        match self {
            Self::Flow(c) => c.csv(),
            Self::LockUp(c) => c.csv(),
            Self::Relief(c) => c.csv(),
            Self::Endurance(c) => c.csv(),
            Self::Stability(c) => c.csv(),
        }
    }

    fn svg(&self) -> String {
        match self {
            Self::Flow(c) => c.svg(),
            Self::LockUp(c) => c.svg(),
            Self::Relief(c) => c.svg(),
            Self::Endurance(c) => c.svg(),
            Self::Stability(c) => c.svg(),
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
        let rig = (*desk.snap.rig).clone();
        let r = &desk.snap.readings;
        let site = Site::calm(r.air_k, r.elevation_m);
        let kind = self.kind;
        let wake = ctx.clone();
        self.said.clear();
        let begun = Work::begin(
            move || wake.request_repaint(),
            move |go_on| work_out(kind, &rig, &site, go_on),
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
                self.sheet = Some(Sheet {
                    kind: self.of.0,
                    drawn,
                    faults: std::mem::take(&mut self.of.1),
                });
            }
            Err(why) => self.said = why,
        }
    }

    /// The column at the right.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
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
                    .fill(t.accent)
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
            .fill(t.accent);
            if ui.add(draw).clicked() {
                self.begin(desk, ui.ctx());
            }
        }
        note(
            ui,
            t,
            "Of the rig as it stands: its faults, its screws, this air and this elevation. Time in the rig runs on.",
        );
        if !self.said.is_empty() {
            ui.label(RichText::new(&self.said).color(t.caution));
        }
        ui.add_space(6.0);
        self.save_ui(ui, t);
    }

    fn save_ui(&mut self, ui: &mut Ui, t: &Theme) {
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
                    sheet.drawn.csv()
                } else {
                    sheet.drawn.svg()
                };
                let path = path.with_extension(ending);
                self.said = match std::fs::write(&path, text) {
                    Ok(()) => format!("Saved {}", path.display()),
                    Err(e) => format!(
                        "{} could not be written: {e}. Choose another place",
                        path.display()
                    ),
                };
            }
        });
        note(ui, t, "CSV in trade units; the picture is SVG");
    }

    /// The sheet in the middle.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let Some(sheet) = &self.sheet else {
            ui.label(title("Curves", 15.0));
            let words = if self.busy() {
                "Being worked out"
            } else {
                "Choose a curve at the right"
            };
            ui.label(RichText::new(words).color(t.soft));
            return;
        };
        ui.horizontal(|ui| {
            ui.label(title(sheet.kind.words(), 15.0));
            ui.label(RichText::new(&sheet.faults).color(t.soft));
        });
        ui.label(
            RichText::new(sheet.kind.how_to_read())
                .font(plain(12.5))
                .color(t.soft),
        );
        if let Drawn::Relief(c) = &sheet.drawn {
            let (words, ink) = if c.holds {
                ("Holds: never over 2 psig", t.good)
            } else {
                ("Does not hold: over 2 psig", t.danger)
            };
            ui.label(RichText::new(words).font(strong(13.0)).color(ink));
        }
        let height = (ui.available_height() - 4.0).max(60.0);
        calm(ui, t);
        let plot = wide(sheet.kind.file(), height);
        match &sheet.drawn {
            Drawn::Flow(c) => flow_ui(ui, desk, plot, c),
            Drawn::LockUp(c) => lock_up_ui(ui, desk, plot, c),
            Drawn::Relief(c) => relief_ui(ui, desk, plot, c),
            Drawn::Endurance(c) => endurance_ui(ui, desk, plot, c),
            Drawn::Stability(c) => stability_ui(ui, desk, plot, c),
        }
    }
}

fn note(ui: &mut Ui, t: &Theme, text: &str) {
    ui.label(RichText::new(text).font(plain(12.0)).color(t.soft));
}

/// The faults in the rig, in words.
fn faults_words(desk: &Desk<'_>) -> String {
    if desk.snap.faults.is_empty() {
        return "healthy".to_owned();
    }
    let names: Vec<&str> = desk
        .snap
        .faults
        .iter()
        .map(|f| f.fault.entry().name)
        .collect();
    format!("with {}", names.join(", ").to_lowercase())
}

/// Container gauge pressures of a curve over them \[Pa\]: 15 to 250 psig.
fn pressures_pa() -> Vec<f64> {
    (0..POINTS)
        .map(|k| psi_to_pa(15.0 + 235.0 * k as f64 / (POINTS - 1) as f64))
        .collect()
}

fn work_out(
    kind: Kind,
    rig: &Rig,
    site: &Site,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Drawn, String> {
    let stopped = || "stopped".to_owned();
    let no_point = |e: &dyn std::fmt::Display| format!("No curve: {e}");
    let pressures = pressures_pa();
    let chunks = pressures.chunks(6);
    let count = chunks.len() as f64;
    Ok(match kind {
        Kind::Flow => {
            let at = usual_container_pa();
            let c = flow_curves(rig, site, &at, MOST_W, POINTS, go_on);
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

/// Load in thousand Btu/h or kW, and its unit.
fn load_of(units: Units, watt: f64) -> f64 {
    match units {
        Units::Us => 1e-3 * watt / W_PER_BTU_PER_H,
        Units::Si => 1e-3 * watt,
    }
}

fn load_label(units: Units) -> &'static str {
    match units {
        Units::Us => "load, thousand Btu/h",
        Units::Si => "load, kW",
    }
}

/// Inks of a family of lines, told apart by lightness and named in the legend.
fn family_ink(t: &Theme, k: usize, count: usize) -> egui::Color32 {
    let share = k as f64 / (count.max(2) - 1) as f64;
    // From the rubber's warm brown over ink to the gas's blue.
    let (a, b) = (t.rubber, t.gas(if t.dark { 3e5 } else { 9e5 }));
    a.lerp_to_gamma(b, share as f32)
}

fn legend() -> Legend {
    Legend::default()
        .position(Corner::LeftBottom)
        .follow_insertion_order(true)
}

fn flow_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &Curves) {
    let (t, u) = (desk.theme, desk.units);
    plot.legend(legend())
        .x_axis_label(load_label(u))
        .y_axis_label(format!("outlet, {}", u.low(1e3).unit))
        .include_y(u.low(LIMITS.flow.low - 1.5 * PA_PER_INWC).value)
        .show(ui, |p| {
            let right = load_of(u, MOST_W);
            let (low, high) = (u.low(LIMITS.flow.low).value, u.low(LIMITS.flow.high).value);
            p.polygon(
                Polygon::new(
                    "",
                    vec![[0.0, low], [right, low], [right, high], [0.0, high]],
                )
                .fill_color(t.band)
                .stroke(egui::Stroke::NONE)
                .allow_hover(false),
            );
            for (k, (pa, points)) in c.lines.iter().enumerate() {
                let ink = family_ink(t, k, c.lines.len());
                let name = u.high(*pa).to_string();
                let of = |up: bool| -> PlotPoints<'_> {
                    points
                        .iter()
                        .map(|q| {
                            let pa = if up { q.rising_pa } else { q.falling_pa };
                            [load_of(u, q.load_w), u.low(pa).value]
                        })
                        .collect()
                };
                p.line(Line::new(name.clone(), of(true)).color(ink).width(2.0));
                p.line(
                    Line::new(name, of(false))
                        .color(ink)
                        .width(1.2)
                        .style(LineStyle::dashed_dense()),
                );
            }
        });
}

fn limit_line(p: &mut egui_plot::PlotUi<'_>, name: String, ends: [[f64; 2]; 2], t: &Theme) {
    p.line(
        Line::new(name, ends.to_vec())
            .color(t.danger)
            .width(1.2)
            .style(LineStyle::dashed_dense()),
    );
}

fn lock_up_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &LockUpCurve) {
    let (t, u) = (desk.theme, desk.units);
    plot.legend(legend())
        .x_axis_label(format!("container, {}", u.high(1e6).unit))
        .y_axis_label(format!("outlet, {}", u.low(1e3).unit))
        .include_y(u.low(LIMITS.flow.low).value)
        .show(ui, |p| {
            let line: PlotPoints<'_> = c
                .points
                .iter()
                .map(|[x, _, y]| [u.high(*x).value, u.low(*y).value])
                .collect();
            p.line(
                Line::new("lock-up", line)
                    .color(super::plots::pressure_ink(t))
                    .width(2.0),
            );
            if let (Some(a), Some(b)) = (c.points.first(), c.points.last()) {
                let ends = [u.high(a[0]).value, u.high(b[0]).value];
                for limit in [LIMITS.lock_up, LIMITS.lock_up_caution] {
                    let y = u.low(limit.high).value;
                    let name = format!("at most {}", u.low(limit.high));
                    limit_line(p, name, ends.map(|x| [x, y]), t);
                }
            }
        });
}

fn relief_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &ReliefCapacity) {
    let (t, u) = (desk.theme, desk.units);
    plot.legend(legend())
        .x_axis_label(format!("container, {}", u.high(1e6).unit))
        .y_axis_label(format!("gauge pressure, {}", u.high(1e4).unit))
        .include_y(0.0)
        .show(ui, |p| {
            let of = |case: bool| -> PlotPoints<'_> {
                c.points
                    .iter()
                    .map(|q| {
                        let y = if case { q.case_pa } else { q.outlet_pa };
                        [u.high(q.container_pa).value, u.high(y).value]
                    })
                    .collect()
            };
            let ink = super::plots::pressure_ink(t);
            p.line(Line::new("outlet", of(false)).color(ink).width(2.0));
            p.line(Line::new("spring case", of(true)).color(t.steel).width(1.2));
            if let (Some(a), Some(b)) = (c.points.first(), c.points.last()) {
                let y = u.high(LIMITS.relief.high).value;
                let ends = [a, b].map(|q| [u.high(q.container_pa).value, y]);
                limit_line(
                    p,
                    format!("at most {}", u.high(LIMITS.relief.high)),
                    ends,
                    t,
                );
            }
        });
}

fn endurance_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &Endurance) {
    let (t, u) = (desk.theme, desk.units);
    let mut air: Vec<f64> = c.points.iter().map(|q| q.air_k).collect();
    air.dedup();
    plot.legend(legend().position(Corner::LeftTop))
        .x_axis_label("fill, %")
        .y_axis_label(format!("hours at {}", u.heat(c.draw_w)))
        .include_y(0.0)
        .show(ui, |p| {
            for (k, air_k) in air.iter().enumerate() {
                let line: PlotPoints<'_> = c
                    .points
                    .iter()
                    .filter(|q| q.air_k == *air_k)
                    .filter_map(|q| Some([100.0 * q.fill, q.held_s? / 3600.0]))
                    .collect();
                let ink = family_ink(t, k, air.len());
                p.line(
                    Line::new(u.temperature(*air_k).to_string(), line)
                        .color(ink)
                        .width(2.0),
                );
            }
        });
}

fn stability_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &StabilityMap) {
    let (t, u) = (desk.theme, desk.units);
    let mut pressures: Vec<f64> = c.points.iter().map(|q| q.container_pa).collect();
    pressures.dedup();
    let across = load_of(u, MOST_W) / LOADS as f64;
    let names: Vec<String> = pressures.iter().map(|p| u.high(*p).to_string()).collect();
    let name_of = move |mark: egui_plot::GridMark| {
        let i = mark.value.round();
        let near = (mark.value - i).abs() < 0.05 && i >= 0.0;
        near.then(|| names.get(i as usize).cloned())
            .flatten()
            .unwrap_or_default()
    };
    plot.x_axis_label(load_label(u))
        .y_axis_label("container")
        .y_axis_formatter(move |mark, _| name_of(mark))
        .y_grid_spacer(egui_plot::uniform_grid_spacer(|_| [1.0, 1.0, 1.0]))
        .show_grid([false, false])
        .show(ui, |p| {
            for q in &c.points {
                let row = pressures
                    .iter()
                    .position(|pa| *pa == q.container_pa)
                    .unwrap_or(0) as f64;
                let x = load_of(u, q.load_w);
                let (h, v) = (0.5 * across, 0.5);
                let cell = vec![
                    [x - h, row - v],
                    [x + h, row - v],
                    [x + h, row + v],
                    [x - h, row + v],
                ];
                let fill = if q.hunts() {
                    t.accent_wash
                } else {
                    t.card
                        .lerp_to_gamma(t.band, (q.damping.min(0.5) * 2.0) as f32)
                };
                p.polygon(
                    Polygon::new("", cell)
                        .fill_color(fill)
                        .stroke(egui::Stroke::new(1.0, t.edge))
                        .allow_hover(false),
                );
                let ink = if q.hunts() { t.danger } else { t.ink };
                let words = if q.hunts() {
                    format!("hunts\n{} Hz", grouped(q.frequency_hz, 0))
                } else if q.frequency_hz > 0.0 {
                    format!(
                        "{}\n{} Hz",
                        grouped(q.damping, 2),
                        grouped(q.frequency_hz, 0)
                    )
                } else {
                    "no swing".to_owned()
                };
                let text = RichText::new(words).font(plain(11.5));
                p.text(Text::new("", PlotPoint::new(x, row), text).color(ink));
            }
        });
}
