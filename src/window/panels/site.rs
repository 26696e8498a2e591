//! The site panel: air, sun and elevation, to read and to change.

use egui::{DragValue, Ui};

use crate::scenario::{Action, SiteValue};
use crate::sim::Command;
use crate::units::parse_number;
use crate::window::desk::Desk;
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::title;

/// Air temperatures a rig may meet \[K\]: -40 to 130 °F.
const AIR_K: [f64; 2] = [233.15, 327.59];
/// Highest elevation \[m\].
const ELEVATION_M: f64 = 3_700.0;
/// Strongest sun \[W/m²\].
const SUN_W_PER_M2: f64 = 1_100.0;

/// Draws the panel.
pub fn show(ui: &mut Ui, desk: &mut Desk<'_>) {
    ui.label(title("Site", 14.0));
    let n = desk.snap.readings;
    let u = desk.units;
    egui::Grid::new("site values")
        .num_columns(2)
        .spacing([12.0, 5.0])
        .show(ui, |ui| {
            let air = u.temperature(n.air_k);
            let range = AIR_K.map(|k| u.temperature(k).value);
            let typed = value_ui(ui, "Air", air.value, range, 0.25, air.unit, 0);
            send(desk, SiteValue::Air, n.air_k, typed.map(|v| u.kelvin(v)));

            let sun = u.sun(n.sun_w_per_m2);
            let most = u.sun(SUN_W_PER_M2).value;
            let typed = value_ui(ui, "Sun on case", sun.value, [0.0, most], 2.0, sun.unit, 0);
            let to = typed.map(|v| u.sun_w_per_m2(v));
            send(desk, SiteValue::Sun, n.sun_w_per_m2, to);

            let height = u.elevation(n.elevation_m);
            let top = u.elevation(ELEVATION_M).value;
            let speed = if u == Units::Us { 20.0 } else { 6.0 };
            let typed = value_ui(
                ui,
                "Elevation",
                height.value,
                [0.0, top],
                speed,
                height.unit,
                0,
            );
            let to = typed.map(|v| u.metres(v));
            send(desk, SiteValue::Elevation, n.elevation_m, to);
        });
}

/// How fast the site comes to what is wanted, a second: air in kelvin, sun in W/m², a drive in metres of elevation. At
/// once it would press and draw the gas of the line and the spring cases as no weather does (own).
fn per_s(value: SiteValue) -> f64 {
    match value {
        SiteValue::Air => 0.1,
        SiteValue::Sun => 50.0,
        SiteValue::Elevation => 10.0,
        SiteValue::Wall => 1.0,
    }
}

fn send(desk: &mut Desk<'_>, value: SiteValue, now: f64, to: Option<f64>) {
    if let Some(to) = to {
        let over_s = (to - now).abs() / per_s(value);
        desk.send
            .push(Command::Act(Action::Site { value, to, over_s }));
    }
}

/// A named number, which comes to what is wanted in its own time; the new value when a hand has changed it and let go.
fn value_ui(
    ui: &mut Ui,
    name: &str,
    now: f64,
    range: [f64; 2],
    speed: f64,
    unit: &str,
    decimals: usize,
) -> Option<f64> {
    let label = ui.label(name);
    let id = ui.scope_id().with(("wanted", name));
    let held: Option<f64> = ui.data(|d| d.get_temp(id));
    let mut value = held.unwrap_or(now);
    let response = ui
        .with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add(
                DragValue::new(&mut value)
                    .range(range[0]..=range[1])
                    .speed(speed)
                    .update_while_editing(false)
                    .suffix(format!(" {unit}"))
                    .custom_formatter(move |v, _| grouped(v, decimals))
                    .custom_parser(parse_number),
            )
            .labelled_by(label.id)
            .on_hover_text("Drag, or click and type: it comes to that in its own time")
        })
        .inner;
    ui.end_row();
    if response.dragged() {
        ui.data_mut(|d| d.insert_temp(id, value));
        return None;
    }
    ui.data_mut(|d| d.remove_temp::<f64>(id));
    let let_go = response.drag_stopped() || response.changed();
    (let_go && value != now).then_some(value)
}
