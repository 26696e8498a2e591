//! What a hand can do from outside, and where: each place of the picture answers to pointer and keyboard with a menu of
//! acts. The acts are those that bench, files and drills know; who does them is told where they are taken.

use egui::{Popup, Pos2, Rect, RichText, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::bottle::Bottle;
use super::hang;
use super::lay::Lay;
use super::line::{changeover_at, hose};
use super::words;
use crate::report::letters::capital;
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::{Device, Fittings, Joint, Kit, MOST_FITTED, Shown, TestPoint, Which};
use crate::visit::Outlook;
use crate::window::bench::{device_name, instruments};
use crate::window::look::pieces::tell;
use crate::window::look::show::Units;
use crate::window::look::theme::{NOTE, Theme, plain, title};
use crate::window::told::part::{Part, Piece};

/// One thing that a hand is to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hand {
    /// Look closely: under the cover, along the hose.
    Look,
    /// Lift the cover, or shut it.
    Cover(bool),
    /// Clip an instrument to a tap.
    Fit(TestPoint, Device),
    /// Take one off.
    TakeOff(usize),
    /// Fill a manometer with water again.
    Refill(usize),
    /// Leak fluid on a joint, or wipe it off.
    Fluid(Joint, bool),
    /// Turn a container's valve.
    Valve {
        /// Which.
        container: usize,
        /// Open, or shut.
        open: bool,
        /// As it should be done.
        slowly: bool,
    },
    /// Switch an appliance.
    Switch(usize, bool),
    /// Reset a lock-out.
    Reset(usize),
    /// Turn the changeover's knob.
    Knob(usize),
    /// Turn an adjusting screw by so many degrees.
    Screw(WhichStage, f64),
    /// Tap the body.
    Tap,
    /// A thumb on a vent, or off it.
    Thumb(WhichStage, bool),
    /// A warm wet cloth.
    Warm,
    /// Clear both vents.
    ClearVents,
    /// An ear at the regulator.
    Listen,
}

/// A place that answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Spot {
    Container(usize),
    Valve(usize),
    Knob,
    Joint(usize),
    Body(usize),
    Cover,
    Vent(usize),
    Cap(usize),
    Between,
    Outlet,
    Manifold,
    Burner(usize),
    Gauge(usize),
}

/// What the menus need to know.
pub struct Around<'a> {
    /// The rig, for names.
    pub rig: &'a Rig,
    /// What is seen.
    pub seen: &'a Outlook,
    /// What is fitted.
    pub fittings: &'a Fittings,
    /// Units on show.
    pub units: Units,
    /// Colours.
    pub theme: &'a Theme,
    /// Whether the cover is shut over the castings.
    pub cover_shut: bool,
    /// Which hands there are.
    pub may: May,
    /// Whether the cutaway can be gone to.
    pub inside: bool,
}

/// Who does what is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum May {
    /// The run on show: everything.
    All,
    /// A drill: what it charges minutes for, readings in its own list.
    Drill,
    /// Nothing: an act is under way.
    Nothing,
}

/// Lets every place answer.
pub fn answer(ui: &Ui, lay: &Lay, a: &Around<'_>) -> Vec<Hand> {
    let mut out = Vec::new();
    for (spot, place) in spots(lay, a) {
        let place = place.intersect(lay.rect);
        if !place.is_positive() {
            continue;
        }
        let id = ui.scope_id().with(("spot", spot));
        let response = ui.interact(place, id, Sense::click());
        let name = name(spot, a);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        if response.hovered() || response.has_focus() {
            let stroke = Stroke::new(2.0, a.theme.accent);
            ui.painter()
                .rect_stroke(place.expand(1.5), 3.0, stroke, egui::StrokeKind::Outside);
        }
        let open = Popup::menu(&response).show(|ui| {
            ui.set_min_width(150.0);
            ui.label(title(name.clone(), 12.5));
            menu(ui, spot, a, &mut out);
        });
        if open.is_some() {
            continue;
        }
        tell(ui, response, told(spot, name, a));
    }
    out
}

fn around(at: Pos2, size: egui::Vec2) -> Rect {
    Rect::from_center_size(at, size)
}

fn spots(lay: &Lay, a: &Around<'_>) -> Vec<(Spot, Rect)> {
    let s = lay.scale();
    let mut out = Vec::new();
    // What is large lies under what is small on it.
    let bottles = || a.seen.bottles.iter().zip(&lay.bottles).enumerate();
    out.extend(bottles().map(|(i, (_, room))| (Spot::Container(i), *room)));
    for (i, (b, room)) in bottles() {
        let along = Rect::from_points(&hose(lay, a.seen, i, b, *room));
        out.push((Spot::Joint(i), along.expand(6.0)));
    }
    for (i, (b, room)) in bottles() {
        let wheel = Bottle::new(b, *room).wheel();
        out.push((Spot::Valve(i), around(wheel, vec2(34.0, 22.0))));
    }
    if a.seen.changeover.is_some() {
        out.push((
            Spot::Knob,
            around(changeover_at(lay), vec2(22.0, 36.0) * s.max(0.8)),
        ));
    }
    let [p, q] = &lay.plans;
    let [v, w] = &lay.views;
    if a.cover_shut {
        let all = Rect::from_two_pos(
            v.xy(-p.clamp - 12.0, q.top + 11.0),
            w.xy(q.clamp + 19.0, q.floor - 5.0),
        );
        out.push((Spot::Cover, all));
    } else {
        let top = w.xy(0.0, q.top + 11.0).y;
        for (i, (plan, view)) in [(p, v), (q, w)].into_iter().enumerate() {
            let casting = view.rect(
                pos2(-plan.clamp, plan.floor),
                pos2(plan.clamp, plan.top - 1.0),
            );
            out.push((Spot::Body(i), casting));
        }
        out.push((
            Spot::Cover,
            Rect::from_min_max(
                pos2(v.xy(-p.clamp, 0.0).x, top - s),
                pos2(w.xy(q.clamp, 0.0).x, top + 6.0 * s),
            ),
        ));
        for (i, (plan, view)) in [(p, v), (q, w)].into_iter().enumerate() {
            let half = plan.tower + 3.0;
            out.push((
                Spot::Cap(i),
                view.rect(pos2(-half, plan.top - 1.0), pos2(half, plan.top + 6.5)),
            ));
            let [root, bend, mouth] = lay.vent_tube(i, a.seen.vents[i].looks_up);
            let tube = Rect::from_points(&[root, bend, mouth]);
            out.push((Spot::Vent(i), tube.expand(0.5 * lay.vent_wide(i) + 4.0)));
        }
        out.push((
            Spot::Between,
            around(lay.between() - vec2(0.0, 10.0 * s), vec2(16.0, 18.0)),
        ));
    }
    out.push((
        Spot::Outlet,
        around(lay.outlet() + vec2(0.0, 0.8 * lay.pipe()), vec2(16.0, 20.0)),
    ));
    out.push((
        Spot::Manifold,
        around(pos2(lay.header_x, lay.outlet().y), vec2(16.0, 18.0)),
    ));
    for (i, window) in lay.burners.iter().enumerate() {
        out.push((Spot::Burner(i), window.shrink(1.0)));
    }
    if a.may == May::All {
        for (i, place) in hang::places(lay, a.seen, &a.fittings.fitted) {
            out.push((Spot::Gauge(i), place.shrink(2.0)));
        }
    }
    out
}

/// What is told of a place under the pointer: its name, what it does, and where more of it is shown. Nothing of its condition
/// but what its name says that eyes see.
fn told(spot: Spot, name: String, a: &Around<'_>) -> String {
    let stages = |piece: Piece, i: usize| Part::Of(Which::BOTH[i.min(1)], piece).does();
    let does = match spot {
        Spot::Container(_) => Part::Container.does(),
        Spot::Valve(_) => Part::Valve.does(),
        Spot::Knob => Part::Changeover.does(),
        Spot::Joint(_) => Part::Pigtail.does(),
        Spot::Body(0) => "Takes the container's pressure, whatever it is, down to about 10 psig",
        Spot::Body(_) => "Takes about 10 psig down to the 11 in w.c. that burners need",
        Spot::Cover => "Keeps rain and road dirt off the regulator",
        Spot::Vent(i) => stages(Piece::Vent, i),
        Spot::Cap(i) => stages(Piece::Screw, i),
        Spot::Between => "For a gauge on the first stage",
        Spot::Outlet => "For a gauge on what the second stage gives",
        Spot::Manifold => "Carries the low pressure to the burners",
        Spot::Burner(_) => {
            "Burns gas at about 11 in w.c.: its flame is what one sees of the pressure"
        }
        Spot::Gauge(_) => return name,
    };
    let casting = matches!(spot, Spot::Body(_) | Spot::Vent(_) | Spot::Cap(_));
    let more = if a.inside && casting {
        ". The picture Inside shows its parts at work (key V)"
    } else {
        ""
    };
    format!("{name}. {}{more}", a.units.prose(does))
}

fn name(spot: Spot, a: &Around<'_>) -> String {
    let side = |i: usize| match (a.seen.bottles.len(), i) {
        (1, _) => "Container",
        (_, 0) => "Left container",
        _ => "Right container",
    };
    let stage = |i: usize| if i == 0 { "First" } else { "Second" };
    match spot {
        Spot::Valve(i) => format!("{} valve", side(i)),
        Spot::Knob => "Changeover".to_owned(),
        Spot::Joint(i) => format!("{} pigtail", side(i)),
        Spot::Container(i) => side(i).to_owned(),
        Spot::Body(i) => format!("{} stage's casting", stage(i)),
        Spot::Cover => "Cover".to_owned(),
        Spot::Vent(i) => format!("{}-stage vent", stage(i)),
        Spot::Cap(i) => format!("{}-stage cap and adjusting screw", stage(i)),
        Spot::Between => "Test plug between the stages".to_owned(),
        Spot::Outlet => "Outlet tap".to_owned(),
        Spot::Manifold => "Line and manifold".to_owned(),
        Spot::Burner(i) => {
            let name = a
                .rig
                .appliances
                .get(i)
                .map_or("appliance", |b| b.name.as_str());
            let looks = a
                .seen
                .appliances
                .get(i)
                .map(words::appliance)
                .unwrap_or_default();
            format!("{}: {looks}", capital(name))
        }
        Spot::Gauge(i) => a.fittings.fitted.get(i).map_or(String::new(), |f| {
            format!(
                "{} at the {}: {}, {}",
                device_name(&f.device, a.units),
                hang::said(f.point, a.rig),
                instruments::reading(&f.device, a.units),
                instruments::fineness(&f.device, a.units)
            )
        }),
    }
}

/// A line of a menu.
fn item(ui: &mut Ui, a: &Around<'_>, words: &str, hand: Hand, out: &mut Vec<Hand>) {
    let text = RichText::new(words).font(plain(12.5));
    if ui
        .add_enabled(a.may != May::Nothing, egui::Button::new(text).frame(false))
        .clicked()
    {
        out.push(hand);
        ui.close();
    }
}

fn caution(ui: &mut Ui, a: &Around<'_>, words: &str) {
    ui.set_max_width(230.0);
    ui.label(
        RichText::new(words)
            .font(plain(NOTE))
            .color(a.theme.caution),
    );
}

fn menu(ui: &mut Ui, spot: Spot, a: &Around<'_>, out: &mut Vec<Hand>) {
    let all = a.may == May::All;
    match spot {
        Spot::Container(container) | Spot::Valve(container) => {
            let is_open = a.seen.bottles.get(container).is_some_and(|b| b.valve > 0.0);
            if is_open {
                item(
                    ui,
                    a,
                    "Shut it",
                    Hand::Valve {
                        container,
                        open: false,
                        slowly: true,
                    },
                    out,
                );
            } else {
                item(
                    ui,
                    a,
                    "Open slowly",
                    Hand::Valve {
                        container,
                        open: true,
                        slowly: true,
                    },
                    out,
                );
                item(
                    ui,
                    a,
                    "Open fast",
                    Hand::Valve {
                        container,
                        open: true,
                        slowly: false,
                    },
                    out,
                );
                caution(
                    ui,
                    a,
                    "Slowly: fast, the excess-flow valve trips and the regulator takes the blow",
                );
            }
        }
        Spot::Knob => {
            for (i, words) in ["Point it left", "Point it right"].iter().enumerate() {
                if a.seen.changeover.is_some_and(|c| c.points_at != i) {
                    item(ui, a, words, Hand::Knob(i), out);
                }
            }
        }
        Spot::Joint(i) => {
            fluid(ui, a, Joint::Pigtail, out);
            fit(ui, a, TestPoint::Inlet(i), out);
            fit(ui, a, TestPoint::Container(i), out);
        }
        Spot::Body(_) => {
            item(ui, a, "Tap it", Hand::Tap, out);
            item(ui, a, "Listen", Hand::Listen, out);
            item(ui, a, "A warm wet cloth on it", Hand::Warm, out);
            item(ui, a, "Clear both vents", Hand::ClearVents, out);
        }
        Spot::Cover if all => {
            let words = if a.cover_shut { "Lift it" } else { "Shut it" };
            item(ui, a, words, Hand::Cover(!a.cover_shut), out);
        }
        Spot::Cover => item(ui, a, "Lift it and look", Hand::Look, out),
        Spot::Vent(i) => {
            let (joint, stage) = stage_of(i);
            fluid(ui, a, joint, out);
            if all {
                item(ui, a, "Put a thumb on it", Hand::Thumb(stage, true), out);
                item(ui, a, "Take the thumb off", Hand::Thumb(stage, false), out);
            }
            item(ui, a, "Clear both vents", Hand::ClearVents, out);
            caution(
                ui,
                a,
                "Never block or cap a vent: the regulator breathes and relieves through it",
            );
        }
        Spot::Cap(i) => {
            let (_, stage) = stage_of(i);
            for (words, degrees) in [
                ("Turn in a quarter", 90.0),
                ("Turn in a little", 15.0),
                ("Turn out a little", -15.0),
                ("Turn out a quarter", -90.0),
            ] {
                item(ui, a, words, Hand::Screw(stage, degrees), out);
            }
            caution(
                ui,
                a,
                "Only a qualified technician, with a gauge on the tap; never to cure a weak flame",
            );
        }
        Spot::Between => fit(ui, a, TestPoint::FirstStage, out),
        Spot::Outlet => fit(ui, a, TestPoint::Outlet, out),
        Spot::Manifold => {
            fluid(ui, a, Joint::LowSide, out);
            fit(ui, a, TestPoint::Manifold, out);
        }
        Spot::Burner(i) => burner(ui, i, a, out),
        Spot::Gauge(i) => {
            let Some(f) = a.fittings.fitted.get(i) else {
                return;
            };
            if f.device.shown() == Shown::OverRange && matches!(f.device, Device::Manometer(_)) {
                item(ui, a, "Fill with water", Hand::Refill(i), out);
            }
            item(ui, a, "Take it off", Hand::TakeOff(i), out);
        }
    }
}

fn stage_of(i: usize) -> (Joint, WhichStage) {
    if i == 0 {
        (Joint::FirstVent, WhichStage::First)
    } else {
        (Joint::SecondVent, WhichStage::Second)
    }
}

fn burner(ui: &mut Ui, i: usize, a: &Around<'_>, out: &mut Vec<Hand>) {
    let Some(seen) = a.seen.appliances.get(i) else {
        return;
    };
    if seen.locked_out {
        item(ui, a, "Reset", Hand::Reset(i), out);
    } else if seen.on {
        item(ui, a, "Shut it off", Hand::Switch(i, false), out);
    } else {
        item(ui, a, "Light it", Hand::Switch(i, true), out);
    }
    fluid(ui, a, Joint::Burner(i), out);
    fit(ui, a, TestPoint::Appliance(i), out);
}

/// Leak fluid on a joint, or off it.
fn fluid(ui: &mut Ui, a: &Around<'_>, joint: Joint, out: &mut Vec<Hand>) {
    let on = a.fittings.fluid.iter().any(|f| f.joint == joint);
    let words = if on {
        "Wipe the leak fluid off"
    } else {
        "Leak fluid on it"
    };
    item(ui, a, words, Hand::Fluid(joint, !on), out);
}

/// Instruments for a tap; in a drill the readings have a list of their own.
fn fit(ui: &mut Ui, a: &Around<'_>, point: TestPoint, out: &mut Vec<Hand>) {
    if a.may != May::All {
        return;
    }
    if let Some(i) = a.fittings.fitted.iter().position(|f| f.point == point) {
        item(ui, a, "Take the instrument off", Hand::TakeOff(i), out);
        return;
    }
    if a.fittings.fitted.len() >= MOST_FITTED {
        caution(ui, a, "All instruments are in use: take one off first");
        return;
    }
    ui.menu_button(
        format!("Clip on at the {}", hang::said(point, a.rig)),
        |ui| {
            for device in Device::of_kit(&Kit::default()) {
                item(
                    ui,
                    a,
                    &device_name(&device, a.units),
                    Hand::Fit(point, device),
                    out,
                );
            }
        },
    );
}
