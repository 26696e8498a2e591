//! Pictures as tests: cutaway and outside view in two dozen states and both appearances, held against those in
//! `tests/pictures/` by a software renderer; and that half of every fault shows somewhere.
//!
//! `TWOSTAGE_WRITE_PICTURES=1 cargo test --lib window::pictures` draws the stored ones anew: look at them before committing.

mod raster;
mod states;

use egui::{ColorImage, Rect, Ui, Vec2, vec2};
use std::collections::BTreeSet;
use std::path::Path;

use super::cutaway::{Cutaway, Scene as Inside};
use super::outside::{May, OutsideView, Scene as Outside};
use crate::fault::Fault;
use crate::rig::presets;
use crate::service::{Device, Fittings, Kit, TestPoint, rack, state_of_affairs};
use crate::sim::{Simulation, Witness};
use crate::visit::Outlook;
use crate::window::cutaway::geometry::{shape_of, shapes_of};
use crate::window::look::show::Units;
use crate::window::look::theme::Theme;
use crate::window::told::headline;

/// Size of one picture \[points\].
const SIZE: Vec2 = vec2(520.0, 260.0);
/// Pictures side by side on a sheet.
const COLUMNS: usize = 4;
/// A channel that is off by more than this differs, and this share of a picture's pixels may: another machine rounds
/// another way.
const OFF: (u8, f64) = (24, 0.004);

/// The rig from outside, with instruments that have come to rest on it.
fn outside_ui(ui: &mut Ui, sim: &Simulation, fittings: &Fittings) {
    let r = sim.readings();
    let seen = Outlook::of(sim.rig(), &sim.scenario().rig, &r);
    let scene = Outside {
        seen: &seen,
        rig: sim.rig(),
        shapes: [
            shape_of(&sim.rig().first, &presets::first_stage()),
            shape_of(&sim.rig().second, &presets::second_stage()),
        ],
        fittings,
        units: Units::Us,
        dt_s: 0.0,
        cover: None,
        waits: None,
        may: May::All,
    };
    let theme = Theme::of(ui);
    let rect = Rect::from_min_size(ui.max_rect().min, SIZE);
    OutsideView::outside().picture(ui, rect, &scene, None, &theme);
}

fn inside_ui(ui: &mut Ui, sim: &Simulation) {
    let r = sim.readings();
    let affairs = state_of_affairs(sim.rig(), &r);
    let scene = Inside {
        rig: sim.rig(),
        now: &r,
        twin: None,
        shapes: {
            let faults = sim.moment().faults.iter();
            shapes_of(
                sim.rig(),
                faults.map(|a| (a.fault, a.severity.at(r.time_s))),
            )
        },
        kinks: Outlook::of(sim.rig(), &sim.scenario().rig, &r).kinks(),
        units: Units::Us,
        affairs: &affairs,
        words: "",
        dt_s: 0.0,
    };
    Cutaway::default().show(ui, &scene);
}

/// What a bench with its usual instruments shows of a rig; `fluid` on every joint.
fn fittings(sim: &Simulation, fluid: bool) -> Fittings {
    let mut rack = rack();
    if fluid {
        for joint in states::joints(sim.rig()) {
            rack.put_fluid(joint, true);
        }
    }
    rack.see(sim, false);
    rack.seen()
}

/// Draws every state onto one sheet.
fn sheet(dark: bool, draw: impl Fn(&mut Ui, &Simulation, bool)) -> ColorImage {
    let all = states::all();
    let rows = all.len().div_ceil(COLUMNS);
    let (w, h) = (SIZE.x as usize, SIZE.y as usize);
    let mut out = ColorImage::filled([COLUMNS * w, rows * h], egui::Color32::BLACK);
    for (n, (state, sim)) in all.iter().enumerate() {
        let ctx = raster::context(dark);
        let one = raster::render(&ctx, SIZE, |ui| draw(ui, sim, state.fluid));
        let (left, top) = ((n % COLUMNS) * w, (n / COLUMNS) * h);
        for y in 0..h {
            for x in 0..w {
                out[(left + x, top + y)] = one[(x, y)];
            }
        }
    }
    out
}

/// Holds a sheet against the stored one; says which state differs.
fn hold(name: &str, sheet: &ColorImage) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/pictures/{name}.png"));
    let [w, h] = sheet.size;
    let raw: Vec<u8> = sheet
        .pixels
        .iter()
        .flat_map(|p| p.to_array()[..3].to_vec())
        .collect();
    let save = |path: &Path| {
        // In steps of 16, which no comparison notices and which packs far better.
        let coarse: Vec<u8> = raw.iter().map(|v| (v & 0xF0) | 8).collect();
        image::save_buffer(path, &coarse, w as u32, h as u32, image::ColorType::Rgb8)
            .expect("written");
    };
    if std::env::var_os("TWOSTAGE_WRITE_PICTURES").is_some() {
        save(&path);
        return;
    }
    let stored = image::open(&path)
        .unwrap_or_else(|e| {
            panic!(
                "{}: {e}; TWOSTAGE_WRITE_PICTURES=1 draws it",
                path.display()
            )
        })
        .into_rgb8();
    assert_eq!(
        stored.dimensions(),
        (w as u32, h as u32),
        "{name}: another size"
    );
    let (cw, ch) = (SIZE.x as usize, SIZE.y as usize);
    let mut wrong = Vec::new();
    for (n, state) in states::ALL.iter().enumerate() {
        let (left, top) = ((n % COLUMNS) * cw, (n / COLUMNS) * ch);
        let mut off = 0;
        for y in top..top + ch {
            for x in left..left + cw {
                let (a, b) = (
                    stored.get_pixel(x as u32, y as u32).0,
                    &raw[3 * (y * w + x)..][..3],
                );
                off += usize::from((0..3).any(|k| a[k].abs_diff(b[k]) > OFF.0));
            }
        }
        let share = off as f64 / (cw * ch) as f64;
        if share > OFF.1 {
            wrong.push(format!("{} ({:.1} %)", state.name, 100.0 * share));
        }
    }
    if !wrong.is_empty() {
        let new = std::env::temp_dir().join(format!("twostage-{name}.new.png"));
        save(&new);
        panic!(
            "{name} is another picture in: {}; the new one is {}; TWOSTAGE_WRITE_PICTURES=1 keeps it",
            wrong.join(", "),
            new.display()
        );
    }
}

#[test]
fn the_outside_looks_as_it_did() {
    for (name, dark) in [("outside-light", false), ("outside-dark", true)] {
        let sheet = sheet(dark, |ui, sim, fluid| {
            outside_ui(ui, sim, &fittings(sim, fluid));
        });
        hold(name, &sheet);
    }
}

#[test]
fn the_cutaway_looks_as_it_did() {
    for (name, dark) in [("cutaway-light", false), ("cutaway-dark", true)] {
        hold(name, &sheet(dark, |ui, sim, _| inside_ui(ui, sim)));
    }
}

/// What a person has of a rig at a moment: what is seen outside, the headline, the gauges to their divisions; and the
/// parts of the cutaway.
#[derive(Debug, PartialEq)]
struct Noticed {
    /// To hundredths of each amount: what an eye tells.
    outlook: String,
    words: String,
    gauges: Vec<i64>,
    inside: String,
}

fn notice(sim: &Simulation) -> Noticed {
    let r = sim.readings();
    let affairs = state_of_affairs(sim.rig(), &r);
    let kit = Kit::default();
    let points = TestPoint::all(sim.rig());
    let gauge = |p: &TestPoint| {
        let pa = p.pressure_pa(&r);
        let device = Device::for_pressure(pa, &kit);
        (pa / device.division_pa()).round() as i64
    };
    let stages = [
        (&sim.rig().first, presets::first_stage()),
        (&sim.rig().second, presets::second_stage()),
    ];
    Noticed {
        outlook: format!("{:.2?}", Outlook::of(sim.rig(), &sim.scenario().rig, &r)),
        words: headline::headline(&affairs, sim.rig(), Units::Us, r.time_s, None),
        gauges: points.iter().map(gauge).collect(),
        inside: format!(
            "{:?}",
            stages.map(|(stage, nominal)| shape_of(stage, &nominal))
        ),
    }
}

/// Half of every fault is noticed without opening anything up or measuring more than the usual taps; in the circumstances
/// it needs.
#[test]
fn half_of_every_fault_changes_picture_headline_or_gauge() {
    let mut unseen = BTreeSet::new();
    for fault in Fault::all() {
        let with = states::visit(fault.id(), 0.5);
        let without = states::visit(fault.id(), 0.0);
        let seen = with
            .iter()
            .zip(&without)
            .any(|(a, b)| notice(a) != notice(b));
        if !seen {
            unseen.insert(fault.id());
        }
    }
    assert!(unseen.is_empty(), "half of these shows nowhere: {unseen:?}");
}
