//! The page of numbers: every reading by name, for those who would rather read than look.

use egui::{RichText, Ui};

use crate::service::Which;
use crate::window::desk::Desk;
use crate::window::look::show::grouped;
use crate::window::look::theme::{plain, title};
use crate::window::told::part::chamber;

/// Draws the page.
pub fn show(ui: &mut Ui, desk: &Desk<'_>) {
    table(ui, desk, "Rig", &rig_rows(desk));
    for (name, which) in [
        ("First stage", Which::First),
        ("Second stage", Which::Second),
    ] {
        table(ui, desk, name, &stage_rows(desk, which));
    }
}

/// Rows that tell what is wrong inside rather than what is read, felt or seen moving: a class that is to find it does not read them.
const OF_CONDITION: [&str; 11] = [
    "Liquid in the body",
    "Residue",
    "Lost unburned",
    "Spring case",
    "Seat squeeze",
    "Flow",
    "Liquid in it",
    "Vent open",
    "Relief",
    "Through a tear",
    "Ice on the bore",
];

type Rows = Vec<(&'static str, String)>;

fn told(desk: &Desk<'_>, mut rows: Rows) -> Rows {
    rows.retain(|r| !(desk.affairs.effects_only && OF_CONDITION.contains(&r.0)));
    rows
}

fn rig_rows(desk: &Desk<'_>) -> Rows {
    let (n, u) = (&desk.snap.readings, desk.units);
    told(
        desk,
        vec![
            ("Outlet", u.low(n.outlet_pa).to_string()),
            ("Manifold", u.low(n.manifold_pa).to_string()),
            ("Burners on, as rated", u.heat(n.demand_w).to_string()),
            ("Gas that flows, as heat", u.heat(n.flow_w).to_string()),
            ("Body", u.temperature(n.body_k).to_string()),
            ("Spring case", u.temperature(n.case_k).to_string()),
            ("Liquid in the body", u.small_mass(n.pool_kg).to_string()),
            ("Residue", u.small_mass(n.residue_kg).to_string()),
            ("Burned", u.mass(n.burned_kg).to_string()),
            ("Lost unburned", u.small_mass(n.lost_kg).to_string()),
            ("Mass unaccounted for", unaccounted(n.balance_error)),
            ("Heat unaccounted for", unaccounted(n.energy_error)),
        ],
    )
}

/// An error of a balance, as a share of what has passed.
fn unaccounted(share: f64) -> String {
    let percent = 100.0 * share.abs();
    if percent < 1e-4 {
        "under 0.0001 %".to_owned()
    } else {
        format!("{} %", grouped(percent, 4))
    }
}

fn stage_rows(desk: &Desk<'_>, which: Which) -> Rows {
    let (u, s) = (desk.units, which.of(&desk.snap.readings));
    let rows = vec![
        ("Inlet", u.high(s.inlet_pa).to_string()),
        ("Chamber", chamber(which, s.chamber_pa, u).to_string()),
        ("Spring case", u.low(s.case_pa).to_string()),
        ("Diaphragm rise", u.travel(s.rise_m).to_string()),
        ("Seat lift", u.small_length(s.lift_m).to_string()),
        ("Seat squeeze", u.small_length(s.squeeze_m).to_string()),
        ("Flow", u.mass_flow(s.flow_kg_per_s).to_string()),
        (
            "Liquid in it",
            format!("{} %", grouped(s.liquid_share * 100.0, 1)),
        ),
        ("Vent, outwards", u.breath(s.vent_m3_per_s).to_string()),
        (
            "Vent open",
            format!("{} %", grouped(s.vent_open * 100.0, 1)),
        ),
        ("Relief", u.mass_flow(s.relief_kg_per_s).to_string()),
        ("Through a tear", u.mass_flow(s.tear_kg_per_s).to_string()),
        (
            "Ice on the bore",
            format!("{} %", grouped(s.ice * 100.0, 0)),
        ),
    ];
    told(desk, rows)
}

fn table(ui: &mut Ui, desk: &Desk<'_>, name: &str, rows: &[(&str, String)]) {
    ui.label(title(name, 13.0));
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = 16.0;
        ui.spacing_mut().item_spacing.y = 3.0;
        for (what, value) in rows {
            let name = RichText::new(*what)
                .font(plain(12.0))
                .color(desk.theme.soft);
            let wide = |text: &str, size: f32| {
                let ink = desk.theme.ink;
                let galley = ui
                    .painter()
                    .layout_no_wrap(text.to_owned(), plain(size), ink);
                galley.size().x
            };
            // A number that has no room beside its name stands below.
            let both = wide(what, 12.0) + 10.0 + wide(value, 12.5);
            let two = both > ui.available_width();
            if two {
                ui.label(name.clone());
            }
            ui.horizontal(|ui| {
                if !two {
                    ui.label(name);
                }
                let right = egui::Layout::right_to_left(egui::Align::Center);
                let value = RichText::new(value).font(plain(12.5));
                ui.with_layout(right, |ui| ui.label(value));
            });
        }
    });
    ui.add_space(6.0);
}
