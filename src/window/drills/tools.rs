//! The right-hand column of an attempt: everything at hand as buttons, grouped by what it is, with
//! the minutes it costs.

use egui::{DragValue, RichText, Role, TextEdit, Ui, WidgetInfo, vec2};

use super::outside::act_button;
use super::words;
use super::working::Working;
use crate::diagnosis::inference::next::Offer;
use crate::drill::attempt::act::Act;
use crate::drill::attempt::known::test_lights;
use crate::drill::attempt::takes;
use crate::report::letters::capital;
use crate::report::telling::not_here;
use crate::scenario::WhichStage;
use crate::service::{Joint, LIMITS, Place, TestPoint};
use crate::visit::{Act as Work, Deed, Test, Tool};
use crate::window::desk::Desk;
use crate::window::faults::caution;
use crate::window::look::theme::{Theme, plain, title};

/// Waits on offer \[min\].
const WAITS: [f64; 3] = [1.0, 5.0, 15.0];

/// Room beside a test for its minutes, and that it lights burners.
const BESIDE: f32 = 140.0;
/// A test's name stands in one line in so much.
const LEAST_TEST: f32 = 150.0;

/// Longest reason for a test.
const WHY_CHARS: usize = 160;

/// Draws the column.
pub fn show(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working) {
    let t = desk.theme;
    for line in not_here(&w.drill, false) {
        caution(ui, desk, &line);
    }
    let free = !w.busy() && !w.time_is_up();
    outside_ui(ui, t, w, free);
    gauges_ui(ui, desk, w, free);
    tests_ui(ui, desk, w, free);
    fluid_ui(ui, t, w, free);
    scales_ui(ui, t, w, free);
    hands_ui(ui, desk, w, free);
    wait_ui(ui, t, w, free);
    missing_ui(ui, t, w);
}

fn heading(ui: &mut Ui, t: &Theme, words: &str, cost: &str) {
    ui.add_space(3.0);
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = 17.0;
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            ui.label(title(words, 13.0));
            ui.label(RichText::new(cost).font(plain(11.5)).color(t.soft));
        });
    });
}

/// Acts as buttons in a wrapped row; their spoken names carry group and cost.
fn buttons(ui: &mut Ui, w: &mut Working, free: bool, group: &str, acts: Vec<(String, Act, f64)>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
        for (words, act, cost) in acts {
            let name = format!("{group}: {words}, {}", words::minutes(cost));
            if act_button(ui, free, &words, &name) {
                w.order(act);
            }
        }
    });
}

fn cost(w: &Working, tool: Tool) -> f64 {
    w.drill.bag.minutes(tool)
}

fn outside_ui(ui: &mut Ui, t: &Theme, w: &mut Working, free: bool) {
    heading(ui, t, "Outside", "");
    let acts: Vec<(String, Act, f64)> = [
        ("Look", Work::Look, Tool::Eyes),
        ("Listen", Work::Listen, Tool::Ears),
        ("Air", Work::Thermometer(Place::Air), Tool::Thermometer),
    ]
    .into_iter()
    .filter(|a| w.drill.bag.has(a.2))
    .map(|(name, act, tool)| {
        let m = cost(w, tool);
        (format!("{name} {}", words::minutes(m)), Act::Do(act), m)
    })
    .collect();
    buttons(ui, w, free, "Outside", acts);
}

fn points(w: &Working, tool: Tool) -> Vec<(String, Act, f64)> {
    TestPoint::all(&w.rig)
        .into_iter()
        .map(|point| {
            let (gauge, watched_s) = (None, 0.0);
            let read = Work::Read {
                point,
                gauge,
                watched_s,
            };
            (point, Act::Do(read))
        })
        .filter(|(_, act)| act.tool() == Some(tool))
        .map(|(p, act)| (capital(&p.name(&w.rig)), act, cost(w, tool)))
        .collect()
}

fn gauges_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working, free: bool) {
    let t = desk.theme;
    for (tool, words) in [
        (Tool::Manometer, "Manometer"),
        (Tool::InterstageGauge, "Gauge between the stages"),
        (Tool::ContainerGauge, "High gauge"),
    ] {
        if !w.drill.bag.has(tool) {
            continue;
        }
        let each = format!("{} a reading", words::minutes(cost(w, tool)));
        heading(ui, t, words, &each);
        usual_ui(ui, desk, tool);
        let acts = points(w, tool);
        buttons(ui, w, free, words, acts);
    }
}

/// What the gauge shows on a rig in order, as the nameplate and the trade have it.
fn usual_ui(ui: &mut Ui, desk: &Desk<'_>, tool: Tool) {
    let u = desk.units;
    let words = match tool {
        Tool::Manometer => format!(
            "In order: {} to {} flowing, at rest at most {}",
            u.low(LIMITS.flow.low).number(),
            u.low(LIMITS.flow.high),
            u.low(LIMITS.lock_up.high)
        ),
        // Practice, as the limit's own source: some 10 in use, the limit is the most it may ever be.
        Tool::InterstageGauge => format!(
            "In order: {} in use, never over {}",
            u.prose("about 10 psig"),
            u.high(LIMITS.first.high)
        ),
        _ => return,
    };
    ui.label(
        RichText::new(words)
            .font(plain(11.5))
            .color(desk.theme.soft),
    );
}

fn scales_ui(ui: &mut Ui, t: &Theme, w: &mut Working, free: bool) {
    if w.drill.bag.has(Tool::Scales) {
        let m = cost(w, Tool::Scales);
        heading(ui, t, "Scales", &words::minutes(m));
        let count = w.rig.containers.len();
        let acts = (0..count).map(|i| {
            let name = if count > 1 {
                format!("Container {}", i + 1)
            } else {
                "Weigh the container".to_owned()
            };
            (name, Act::Do(Work::Do(Deed::Weigh { container: i })), m)
        });
        let acts = acts.collect();
        buttons(ui, w, free, "Scales", acts);
    }
}

fn fluid_ui(ui: &mut Ui, t: &Theme, w: &mut Working, free: bool) {
    if !w.drill.bag.has(Tool::LeakFluid) {
        return;
    }
    let m = cost(w, Tool::LeakFluid);
    heading(
        ui,
        t,
        "Leak fluid",
        &format!("{} a joint", words::minutes(m)),
    );
    let burners = (0..w.rig.appliances.len()).map(Joint::Burner);
    let acts = [
        Joint::FirstVent,
        Joint::SecondVent,
        Joint::Pigtail,
        Joint::LowSide,
    ]
    .into_iter()
    .chain(burners)
    .map(|j| (capital(&j.name(&w.rig)), Act::Do(Work::Fluid(j)), m))
    .collect();
    buttons(ui, w, free, "Leak fluid", acts);
}

fn tests_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working, free: bool) {
    let t = desk.theme;
    let offer = Offer::with(&w.drill.bag, &w.rig);
    let tests: Vec<Test> = offer.tests().collect();
    if tests.is_empty() {
        return;
    }
    heading(ui, t, "Tests", "about so long");
    let free = free && why_ui(ui, w);
    ui.spacing_mut().item_spacing.y = 3.0;
    ui.spacing_mut().interact_size.y = 22.0;
    for kind in tests {
        let about = takes::minutes(kind, &w.drill.bag);
        let lit = if test_lights(kind) {
            ", lights burners"
        } else {
            ""
        };
        let name = format!(
            "Test: {}, about {}{lit}",
            kind.words(),
            words::minutes(about)
        );
        let wide = ui.available_width() - BESIDE;
        let in_columns = wide >= LEAST_TEST;
        let row = if in_columns {
            egui::Layout::left_to_right(egui::Align::Center)
        } else {
            // Its minutes stand under a test that needs the width.
            egui::Layout::top_down(egui::Align::LEFT)
        };
        ui.with_layout(row, |ui| {
            let size = vec2(if in_columns { wide } else { LEAST_TEST }, 22.0);
            let left = egui::Layout::top_down_justified(egui::Align::LEFT);
            let button = egui::Button::new(capital(kind.words())).min_size(size);
            let run = ui
                .allocate_ui_with_layout(size, left, |ui| ui.add_enabled(free, button))
                .inner
                .on_hover_text(desk.units.prose(kind.how()));
            run.widget_info(|| WidgetInfo::labeled(Role::Button, free, &name));
            if run.clicked() {
                w.order_test(kind);
            }
            ui.label(
                RichText::new(format!("{}{lit}", words::minutes(about)))
                    .font(plain(11.5))
                    .color(t.soft),
            );
        });
    }
    ui.spacing_mut().item_spacing.y = 6.0;
    ui.spacing_mut().interact_size.y = 26.0;
}

/// Why the next test, where the drill asks for it; whether a test may be made.
fn why_ui(ui: &mut Ui, w: &mut Working) -> bool {
    if !w.drill.asks_why {
        return true;
    }
    let label = ui.label(RichText::new("Why the next test?").font(plain(12.5)));
    let field = TextEdit::singleline(&mut w.why)
        .char_limit(WHY_CHARS)
        .hint_text("one line, then the test")
        .desired_width(f32::INFINITY);
    ui.add(field).labelled_by(label.id);
    !w.why.trim().is_empty()
}

fn hands_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working, free: bool) {
    let hands = [
        ("Tap it", Deed::Tap, Tool::Tap),
        ("Warm wet cloth", Deed::WarmCloth, Tool::WarmCloth),
        ("Flush", Deed::Flush, Tool::Flush),
        ("Clear the vents", Deed::ClearVents, Tool::ClearVents),
        ("Bleed the line", Deed::BleedDown, Tool::Valve),
        ("New hose", Deed::SwapHose, Tool::NewHose),
        ("New regulator", Deed::SwapRegulator, Tool::NewRegulator),
    ];
    let acts: Vec<(String, Act, f64)> = hands
        .into_iter()
        .filter(|h| w.drill.bag.has(h.2))
        .map(|(name, deed, tool)| {
            let m = cost(w, tool);
            let act = Act::Do(Work::Do(deed));
            (format!("{name} {}", words::minutes(m)), act, m)
        })
        .collect();
    if acts.is_empty() && !w.drill.bag.has(Tool::Screw) {
        return;
    }
    heading(ui, desk.theme, "Hands on the regulator", "");
    buttons(ui, w, free, "Hands", acts);
    if w.drill.bag.has(Tool::Screw) {
        screw_ui(ui, desk, w, free);
    }
    caution(
        ui,
        desk,
        "These change what is wrong: read first. Flush outdoors, burners off; thaw with a warm wet cloth, never a \
         flame. A part comes off a safe rig only: container shut, burners off, line bled",
    );
}

fn screw_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working, free: bool) {
    let m = cost(w, Tool::Screw);
    heading(ui, desk.theme, "Adjusting screw", &words::minutes(m));
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
        for (stage, name) in [
            (WhichStage::First, "First stage"),
            (WhichStage::Second, "Second stage"),
        ] {
            let text = RichText::new(name).font(plain(12.0));
            if ui.selectable_label(w.stage == stage, text).clicked() {
                w.stage = stage;
            }
        }
        let angle = DragValue::new(&mut w.degrees)
            .range(1.0..=720.0)
            .speed(5.0)
            .suffix("°");
        ui.add(angle).widget_info(|| {
            WidgetInfo::labeled(
                Role::SpinButton,
                true,
                "Angle to turn the screw by, degrees",
            )
        });
        for (sign, words) in [(1.0, "Turn in"), (-1.0, "Turn out")] {
            if act_button(ui, free, words, words) {
                let (stage, degrees) = (w.stage, sign * w.degrees);
                w.order(Act::Do(Work::Do(Deed::TurnScrew { stage, degrees })));
            }
        }
    });
    caution(
        ui,
        desk,
        "Only a qualified LP-gas technician sets a regulator, with a gauge at the tap. Never cure a weak flame with it",
    );
}

fn wait_ui(ui: &mut Ui, t: &Theme, w: &mut Working, free: bool) {
    heading(ui, t, "Wait", "");
    let acts = WAITS
        .into_iter()
        .map(|m| (words::minutes(m), Act::Do(Work::Wait(60.0 * m)), m))
        .collect();
    buttons(ui, w, free, "Wait", acts);
}

/// What there is not, in one line.
fn missing_ui(ui: &mut Ui, t: &Theme, w: &Working) {
    let missing: Vec<&str> = Tool::ALL
        .into_iter()
        .filter(|tool| !w.drill.bag.has(*tool))
        .map(Tool::words)
        .collect();
    if missing.is_empty() {
        return;
    }
    ui.add_space(5.0);
    ui.label(
        RichText::new(format!("Not at hand: {}", missing.join(", ")))
            .font(plain(11.5))
            .color(t.soft),
    );
}
