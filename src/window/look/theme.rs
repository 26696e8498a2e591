//! Every colour, corner, type size and spacing of the window, and nothing else: panels take their
//! looks from here and hold none of their own.
//!
//! The looks are those of the thing itself. Ground and panels are cast metal, plates with cut corners;
//! brass is what a hand can act on, as on a real rig; rubber is black; springs and levers are steel. Gas
//! runs from the colour of air to that of a flame's cone, evenly over the logarithm of pressure, and grows
//! denser as it does. Meaning never rests on colour alone: words, numbers, shapes or density always stand
//! beside it, and the tests below hold the contrasts, for colour-blind eyes too.

use std::sync::Arc;

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke};

/// Lowest pressure the gas scale tells from nothing \[Pa\]: about 0.4 in w.c.
const GAS_FLOOR_PA: f64 = 100.0;
/// Pressure at the dark end of the gas scale \[Pa\]: 375 psi, where a container's own relief opens and no rig goes over it.
const GAS_CEILING_PA: f64 = 2.5855e6;
/// Hue of gas in the OKLCH space without pressure and at the end of the scale \[degrees\].
const GAS_HUE: [f32; 2] = [214.0, 278.0];
/// Dark ink on pale gas.
const DARK_ON_GAS: Color32 = rgb(0x10_1A_21);
/// Light ink on dark gas.
const LIGHT_ON_GAS: Color32 = rgb(0xFB_FC_FD);
/// Corner of buttons, fields and washes \[points\].
pub const CORNER: u8 = 2;
/// How much is cut off the corners of a plate \[points\].
pub const CUT: f32 = 9.0;
/// Type sizes: notes beside parts, body, lead sentence, names, and what a gauge reads.
pub const NOTE: f32 = 11.5;
/// Body text.
pub const BODY: f32 = 13.0;
/// The sentence over the picture, and titles of pages.
pub const LEAD: f32 = 15.0;
/// Numbers that are read from across a bench.
pub const GAUGE: f32 = 18.0;
/// The face is drawn smaller on its body than most: so many times its size is what the sizes above mean.
const FACE_SCALE: f32 = 1.09;
/// Name of the heavier font family.
const STRONG: &str = "strong";

/// The colours of one appearance.
#[derive(Debug, Clone)]
pub struct Theme {
    /// Whether this is the dark appearance.
    pub dark: bool,
    /// The window behind everything.
    pub paper: Color32,
    /// Panels lying on the paper.
    pub card: Color32,
    /// Their edge.
    pub edge: Color32,
    /// Wells: text fields, rails, empty bars.
    pub well: Color32,
    /// The one ink.
    pub ink: Color32,
    /// Ink for second-rank text; still easy to read.
    pub soft: Color32,
    /// Ink for lines, ticks and marks that should stand back, and the rim of what can be pressed.
    pub faint: Color32,
    /// Chart grid.
    pub grid: Color32,
    /// What a hand can act on, and what is selected, as ink: links, rings, pointers.
    pub accent: Color32,
    /// The same, as a wash behind text.
    pub accent_wash: Color32,
    /// The metal itself, as a fill: the main button, a handle, the nozzle.
    pub brass: Color32,
    /// Text on brass.
    pub on_accent: Color32,
    /// Diaphragms and the seat disc.
    pub rubber: Color32,
    /// Pushes towards closed.
    pub closes: Color32,
    /// Pushes towards open.
    pub opens: Color32,
    /// Cut metal of the bodies.
    pub body: Color32,
    /// Hatching on it.
    pub hatch: Color32,
    /// Plates, levers, nozzles.
    pub steel: Color32,
    /// Springs.
    pub spring: Color32,
    /// Air in the spring cases.
    pub air: Color32,
    /// The acceptance band.
    pub band: Color32,
    /// Text and lines that say: fine.
    pub good: Color32,
    /// Text and lines that ask for care.
    pub caution: Color32,
    /// A wash behind cautions.
    pub caution_wash: Color32,
    /// Text and lines that say: stop.
    pub danger: Color32,
    /// Outer cone of a flame.
    pub flame: Color32,
    /// Inner cone.
    pub flame_core: Color32,
    /// Soot-yellow tip of a starved flame.
    pub flame_tip: Color32,
    /// Liquid fuel.
    pub liquid: Color32,
    /// Frost and ice.
    pub frost: Color32,
    /// Water that is no fuel.
    pub water: Color32,
    /// Mud, wax, paint: what sits in a vent.
    pub mud: Color32,
    /// Cast metal as it is seen from outside.
    pub cast: Color32,
    /// Enamelled steel: containers, covers.
    pub enamel: Color32,
    /// The inside of a firebox: dark in both appearances, so that flames can be judged.
    pub recess: Color32,
    /// The wall behind the rig, seen from outside.
    pub wall: Color32,
}

impl Theme {
    /// Daylight on the bench.
    pub fn light() -> Self {
        Self {
            dark: false,
            paper: rgb(0xCB_D3_D4),
            card: rgb(0xF1_F5_F4),
            edge: rgb(0x9B_A8_AB),
            well: rgb(0xDF_E6_E6),
            ink: rgb(0x12_18_1B),
            soft: rgb(0x43_4F_56),
            faint: rgb(0x76_84_8A),
            grid: rgb(0xD5_DD_DD),
            accent: rgb(0x63_4A_00),
            accent_wash: rgb(0xEC_E0_B8),
            brass: rgb(0xDD_AE_3E),
            on_accent: rgb(0x1B_15_03),
            rubber: rgb(0x29_23_2D),
            closes: rgb(0x5B_3F_99),
            opens: rgb(0x8A_64_00),
            body: rgb(0x9A_A6_A9),
            hatch: rgb(0x7D_8A_8E),
            steel: rgb(0x5D_6A_71),
            spring: rgb(0x39_44_4A),
            air: rgb(0xE6_ED_EC),
            band: rgb(0xCB_E3_D3),
            good: rgb(0x15_60_3A),
            caution: rgb(0x7D_3C_00),
            caution_wash: rgb(0xF6_DC_C6),
            danger: rgb(0x9B_0F_2E),
            flame: rgb(0x2F_6F_D0),
            flame_core: rgb(0xA6_D2_FA),
            flame_tip: rgb(0xE3_A2_1A),
            liquid: rgb(0x0F_52_57),
            frost: rgb(0x3E_86_AE),
            water: rgb(0x2E_7F_7C),
            mud: rgb(0x5A_4A_33),
            cast: rgb(0xA9_B2_B3),
            enamel: rgb(0xDA_DD_D6),
            recess: rgb(0x1A_1C_22),
            wall: rgb(0xE3_E9_E8),
        }
    }

    /// A lamp in the compartment at night.
    pub fn dark() -> Self {
        Self {
            dark: true,
            paper: rgb(0x12_17_1A),
            card: rgb(0x1B_22_25),
            edge: rgb(0x3A_45_4A),
            well: rgb(0x28_31_35),
            ink: rgb(0xE6_EC_EA),
            soft: rgb(0xA9_B5_B8),
            faint: rgb(0x72_80_87),
            grid: rgb(0x2A_34_38),
            accent: rgb(0xE7_C2_5E),
            accent_wash: rgb(0x39_31_19),
            brass: rgb(0xD9_AC_40),
            on_accent: rgb(0x19_13_02),
            rubber: rgb(0x0A_08_0C),
            closes: rgb(0xB9_A2_F2),
            opens: rgb(0xE2_B4_4A),
            body: rgb(0x4A_56_5B),
            hatch: rgb(0x64_71_78),
            steel: rgb(0x9F_AC_B2),
            spring: rgb(0xC9_D2_D5),
            air: rgb(0x22_2A_2D),
            band: rgb(0x1F_3A_2B),
            good: rgb(0x84_CB_A0),
            caution: rgb(0xF0_A8_68),
            caution_wash: rgb(0x40_29_1A),
            danger: rgb(0xFF_8C_97),
            flame: rgb(0x5F_A3_F5),
            flame_core: rgb(0xD2_E9_FE),
            flame_tip: rgb(0xF2_B6_40),
            liquid: rgb(0x2F_90_96),
            frost: rgb(0xA4_D8_F2),
            water: rgb(0x6F_BD_B8),
            mud: rgb(0x8C_77_55),
            cast: rgb(0x6B_77_7B),
            enamel: rgb(0x84_8E_8D),
            recess: rgb(0x08_09_0C),
            wall: rgb(0x20_28_2B),
        }
    }

    /// The appearance in force.
    pub fn of(ui: &egui::Ui) -> Self {
        if ui.visuals().dark_mode {
            Self::dark()
        } else {
            Self::light()
        }
    }

    /// The appearance in force in a context.
    pub fn of_context(ctx: &egui::Context) -> Self {
        if ctx.theme() == egui::Theme::Dark {
            Self::dark()
        } else {
            Self::light()
        }
    }

    /// Colour of gas at a gauge pressure \[Pa\]; no pressure is nearly the colour of air.
    pub fn gas(&self, pressure_pa: f64) -> Color32 {
        let share = gas_share(pressure_pa);
        // More pressure stands further from the paper in both appearances.
        let (lightness, chroma) = if self.dark {
            (0.33 + 0.47 * share, 0.030 + 0.080 * share)
        } else {
            (0.945 - 0.565 * share, 0.018 + 0.110 * share)
        };
        oklch(
            lightness,
            chroma,
            GAS_HUE[0] + (GAS_HUE[1] - GAS_HUE[0]) * share,
        )
    }

    /// Ink that reads on gas of this gauge pressure \[Pa\]: the dark or the light one, whichever
    /// stands out more.
    pub fn ink_on_gas(&self, pressure_pa: f64) -> Color32 {
        let gas = self.gas(pressure_pa);
        if contrast(DARK_ON_GAS, gas) > contrast(LIGHT_ON_GAS, gas) {
            DARK_ON_GAS
        } else {
            LIGHT_ON_GAS
        }
    }

    /// Main line of a drawing.
    pub fn outline(&self) -> Stroke {
        Stroke::new(1.2, self.ink)
    }
}

/// Place of a gauge pressure \[Pa\] on the gas scale, 0 to 1, linear in its logarithm.
pub fn gas_share(pressure_pa: f64) -> f32 {
    let level = |pa: f64| (1.0 + pa.max(0.0) / GAS_FLOOR_PA).ln();
    (level(pressure_pa) / level(GAS_CEILING_PA)).clamp(0.0, 1.0) as f32
}

/// A colour from its hexadecimal RGB value.
const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Relative luminance of a colour (WCAG 2, published formula).
fn luminance(c: Color32) -> f64 {
    let linear = |v: u8| {
        let s = f64::from(v) / 255.0;
        if s <= 0.040_45 {
            s / 12.92
        } else {
            ((s + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * linear(c.r()) + 0.7152 * linear(c.g()) + 0.0722 * linear(c.b())
}

/// Contrast of two colours, 1 to 21 (WCAG 2, published formula).
fn contrast(a: Color32, b: Color32) -> f64 {
    let (x, y) = (luminance(a) + 0.05, luminance(b) + 0.05);
    if x > y { x / y } else { y / x }
}

/// OKLCH to sRGB (the published `OKLab` matrices), clipped to the gamut.
fn oklch(lightness: f32, chroma: f32, hue_deg: f32) -> Color32 {
    let (sin, cos) = hue_deg.to_radians().sin_cos();
    let (a, b) = (chroma * cos, chroma * sin);
    let l = (lightness + 0.396_337_78 * a + 0.215_803_76 * b).powi(3);
    let m = (lightness - 0.105_561_346 * a - 0.063_854_17 * b).powi(3);
    let s = (lightness - 0.089_484_18 * a - 1.291_485_5 * b).powi(3);
    let channel = |linear: f32| {
        let c = linear.clamp(0.0, 1.0);
        let srgb = if c <= 0.003_130_8 {
            12.92 * c
        } else {
            1.055 * c.powf(1.0 / 2.4) - 0.055
        };
        (srgb * 255.0).round() as u8
    };
    Color32::from_rgb(
        channel(4.076_741_7 * l - 3.307_711_6 * m + 0.230_969_93 * s),
        channel(-1.268_438 * l + 2.609_757_4 * m - 0.341_319_4 * s),
        channel(-0.004_196_086 * l - 0.703_418_6 * m + 1.707_614_7 * s),
    )
}

/// The plain face at a size.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// The heavier face at a size.
pub fn strong(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(STRONG.into()))
}

/// Text in the heavier face.
pub fn title(text: impl Into<String>, size: f32) -> egui::RichText {
    egui::RichText::new(text).font(strong(size))
}

/// The one button of a place that does what the place is for: solid brass.
pub fn main_button(t: &Theme, words: &str) -> egui::Button<'static> {
    let text = egui::RichText::new(words)
        .font(strong(BODY))
        .color(t.on_accent);
    egui::Button::new(text).fill(t.brass)
}

/// A button that stands back behind the others.
pub fn quiet(words: &str) -> egui::Button<'_> {
    egui::Button::new(egui::RichText::new(words).font(plain(12.0))).min_size(egui::vec2(0.0, 22.0))
}

/// Small words that stand back.
pub fn small(t: &Theme, text: impl Into<String>) -> egui::RichText {
    egui::RichText::new(text).font(plain(11.5)).color(t.soft)
}

/// Puts fonts, colours and spacing of both appearances into a context.
pub fn install(ctx: &egui::Context) {
    install_fonts(ctx);
    // Where the system does not say, paper it is.
    ctx.options_mut(|o| o.fallback_theme = egui::Theme::Light);
    for (which, theme) in [
        (egui::Theme::Light, Theme::light()),
        (egui::Theme::Dark, Theme::dark()),
    ] {
        ctx.style_mut_of(which, |style| dress(style, &theme));
    }
}

/// Barlow with tabular figures first, drawn after the lettering of plates and road signs, then the
/// toolkit's own fonts for signs it lacks.
fn install_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let mut add = |name: &str, bytes: &'static [u8]| {
        let tweak = egui::FontTweak {
            scale: FACE_SCALE,
            ..Default::default()
        };
        let data = FontData::from_static(bytes).tweak(tweak);
        fonts.font_data.insert(name.to_owned(), Arc::new(data));
    };
    add("barlow", include_bytes!("fonts/barlow-medium-tabular.ttf"));
    add(
        "barlow-strong",
        include_bytes!("fonts/barlow-bold-tabular.ttf"),
    );
    let mut rest = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    rest.push("Hack".to_owned());
    let chain = |first: &str| {
        let mut names = vec![first.to_owned()];
        names.extend(rest.iter().cloned());
        names
    };
    let strong_chain = chain("barlow-strong");
    let plain_chain = chain("barlow");
    fonts.families.insert(FontFamily::Proportional, plain_chain);
    fonts
        .families
        .insert(FontFamily::Name(STRONG.into()), strong_chain);
    ctx.set_fonts(fonts);
}

/// Turns one of the toolkit's styles into ours.
/// Bars of what is longer than its place: so wide and dark that one sees there is more, and what is cut at an end fades.
fn scroll() -> egui::style::ScrollStyle {
    let thin = egui::style::ScrollStyle::thin();
    egui::style::ScrollStyle {
        // A little narrower than its room, so that it touches no word.
        floating_width: thin.floating_allocated_width - 2.0,
        foreground_color: true,
        handle_min_length: 24.0,
        dormant_handle_opacity: 0.55,
        active_handle_opacity: 0.7,
        dormant_background_opacity: 0.25,
        active_background_opacity: 0.4,
        fade: egui::style::ScrollFadeStyle {
            strength: 0.9,
            size: 26.0,
        },
        ..thin
    }
}

fn dress(style: &mut egui::Style, theme: &Theme) {
    use egui::TextStyle::{Body, Button, Heading, Monospace, Small};
    style.text_styles = [
        (Small, plain(NOTE)),
        (Body, plain(BODY)),
        (Button, plain(BODY)),
        (Heading, strong(LEAD)),
        (Monospace, FontId::new(12.0, FontFamily::Monospace)),
    ]
    .into();
    let s = &mut style.spacing;
    s.item_spacing = egui::vec2(8.0, 6.0);
    s.button_padding = egui::vec2(10.0, 4.0);
    s.interact_size = egui::vec2(32.0, 26.0);
    s.slider_rail_height = 4.0;
    s.window_margin = egui::Margin::same(16);
    s.scroll = scroll();
    let v = &mut style.visuals;
    v.dark_mode = theme.dark;
    v.override_text_color = None;
    v.weak_text_color = Some(theme.soft);
    v.panel_fill = theme.paper;
    v.window_fill = theme.card;
    v.window_stroke = Stroke::new(1.0, theme.edge);
    v.window_corner_radius = CornerRadius::same(CORNER);
    v.menu_corner_radius = CornerRadius::same(CORNER);
    v.extreme_bg_color = theme.well;
    v.faint_bg_color = theme.paper;
    v.code_bg_color = theme.well;
    v.hyperlink_color = theme.accent;
    v.warn_fg_color = theme.caution;
    v.error_fg_color = theme.danger;
    v.selection.bg_fill = theme.accent_wash;
    v.selection.stroke = Stroke::new(1.0, theme.accent);
    v.slider_trailing_fill = true;
    v.handle_shape = egui::style::HandleShape::Rect { aspect_ratio: 0.45 };
    let shadow = egui::Shadow {
        offset: [0, 4],
        blur: 10,
        spread: 0,
        color: Color32::from_black_alpha(if theme.dark { 110 } else { 34 }),
    };
    v.window_shadow = shadow;
    v.popup_shadow = shadow;
    let widget = |fill: Color32, edge: Color32, ink: Color32| egui::style::WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: CornerRadius::same(CORNER),
        fg_stroke: Stroke::new(1.0, ink),
        expansion: 0.0,
    };
    v.widgets.noninteractive = widget(theme.card, theme.edge, theme.ink);
    v.widgets.inactive = widget(theme.well, theme.faint, theme.ink);
    v.widgets.hovered = widget(theme.accent_wash, theme.accent, theme.ink);
    // Also what has the keyboard: a ring that nobody misses.
    v.widgets.active = widget(theme.accent_wash, theme.accent, theme.ink);
    v.widgets.active.bg_stroke = Stroke::new(2.0, theme.accent);
    // Also the ground of a floating sheet's head.
    v.widgets.open = widget(theme.card, theme.edge, theme.ink);
}

/// Room that a plate keeps around what lies on it.
pub const PLATE_MARGIN: egui::Margin = egui::Margin::symmetric(13, 11);

/// A plate: cast, flat, with its corners cut.
pub fn plate(rect: egui::Rect, theme: &Theme) -> egui::Shape {
    let cut = CUT.min(0.3 * rect.size().min_elem()).max(0.0);
    let (l, r, t, b) = (rect.left(), rect.right(), rect.top(), rect.bottom());
    let points = [
        (l + cut, t),
        (r - cut, t),
        (r, t + cut),
        (r, b - cut),
        (r - cut, b),
        (l + cut, b),
        (l, b - cut),
        (l, t + cut),
    ]
    .map(|(x, y)| egui::pos2(x, y));
    egui::Shape::convex_polygon(points.to_vec(), theme.card, Stroke::new(1.0, theme.edge))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 level AA asks 4.5 to 1 for text (published, 1.4.3).
    #[test]
    fn text_reads_on_every_ground() {
        for t in [Theme::light(), Theme::dark()] {
            for ground in [t.paper, t.card, t.well, t.accent_wash, t.caution_wash] {
                for ink in [t.ink, t.soft, t.accent, t.danger, t.good, t.caution] {
                    let c = contrast(ink, ground);
                    assert!(c >= 4.5, "{ink:?} on {ground:?}: {c:.2} (dark {})", t.dark);
                }
            }
            assert!(contrast(t.on_accent, t.brass) >= 4.5);
        }
    }

    /// WCAG 2.2 level AA asks 3 to 1 for what tells a control and for the parts of a picture (published, 1.4.11).
    #[test]
    fn rims_rings_and_lines_stand_out() {
        for t in [Theme::light(), Theme::dark()] {
            for ground in [t.card, t.well] {
                for line in [t.faint, t.accent, t.closes, t.opens, t.flame] {
                    let c = contrast(line, ground);
                    assert!(c >= 3.0, "{line:?} on {ground:?}: {c:.2} (dark {})", t.dark);
                }
            }
            // What is cut is edged in ink, which stands out from metal and from what fills it.
            for part in [t.body, t.air, t.card] {
                assert!(contrast(t.ink, part) >= 3.0, "{part:?} (dark {})", t.dark);
            }
        }
    }

    /// What an eye without one kind of cone sees: linear RGB through the matrices of Viénot, Brettel and Mollon
    /// (1999, published) for the red and the green cone.
    fn seen_by(c: Color32, red_cone: bool) -> [f32; 3] {
        let linear = |v: u8| (f64::from(v) / 255.0).powf(2.2);
        let [r, g, b] = [linear(c.r()), linear(c.g()), linear(c.b())];
        let yellow = if red_cone {
            0.112_38 * r + 0.887_62 * g
        } else {
            0.292_75 * r + 0.707_25 * g
        };
        let blue = if red_cone {
            0.004_01 * r - 0.004_01 * g + b
        } else {
            -0.022_34 * r + 0.022_34 * g + b
        };
        let code = |v: f64| (v.clamp(0.0, 1.0).powf(1.0 / 2.2)) as f32;
        [code(yellow), code(yellow), code(blue)]
    }

    /// Colours that stand for different things are told apart by eyes without the red or the green cone; words or
    /// shapes stand beside each all the same.
    #[test]
    fn pairs_are_told_apart_by_colour_blind_eyes() {
        for t in [Theme::light(), Theme::dark()] {
            let pairs = [
                (t.closes, t.opens),
                (t.flame, t.flame_tip),
                (t.brass, t.steel),
                (t.rubber, t.body),
                (t.liquid, t.gas(500_000.0)),
                (t.gas(0.0), t.gas(2_700.0)),
                (t.gas(2_700.0), t.gas(70_000.0)),
                (t.gas(70_000.0), t.gas(700_000.0)),
            ];
            for (a, b) in pairs {
                for red_cone in [true, false] {
                    let (a, b) = (seen_by(a, red_cone), seen_by(b, red_cone));
                    let apart: f32 = (0..3).map(|i| (a[i] - b[i]).abs()).sum();
                    assert!(apart > 0.2, "{a:?} {b:?} (dark {}): {apart}", t.dark);
                }
            }
        }
    }

    #[test]
    fn gas_scale_is_monotonic_and_its_ink_reads() {
        for t in [Theme::light(), Theme::dark()] {
            let mut last = luminance(t.gas(0.0));
            for i in 1..=60 {
                let pa = GAS_FLOOR_PA * (10f64).powf(f64::from(i) / 60.0 * 4.3);
                let now = luminance(t.gas(pa));
                assert!(if t.dark { now >= last } else { now <= last });
                last = now;
                assert!(contrast(t.ink_on_gas(pa), t.gas(pa)) >= 4.0, "{pa} Pa");
            }
        }
    }

    #[test]
    fn gas_scale_takes_vacuum_and_excess() {
        assert_eq!(gas_share(-5000.0), 0.0);
        assert_eq!(gas_share(1e9), 1.0);
    }
}
