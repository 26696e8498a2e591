//! Every colour, type size and spacing of the window, and nothing else: panels take their looks
//! from here and hold none of their own.
//!
//! One dark ink on calm paper; one warm accent for what a hand can act on; gas in a single hue
//! whose lightness runs evenly over the logarithm of pressure. Meaning never rests on colour
//! alone: words, numbers or shapes always stand beside it.

use std::sync::Arc;

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke};

/// Lowest pressure the gas scale tells from nothing \[Pa\]: about 0.4 in w.c.
const GAS_FLOOR_PA: f64 = 100.0;
/// Pressure at the dark end of the gas scale \[Pa\]: about 250 psi.
const GAS_CEILING_PA: f64 = 1.724e6;
/// Hue of gas in the OKLCH space \[degrees\].
const GAS_HUE: f32 = 236.0;
/// Dark ink on pale gas.
const DARK_ON_GAS: Color32 = rgb(0x10_1A_21);
/// Light ink on dark gas.
const LIGHT_ON_GAS: Color32 = rgb(0xFB_FC_FD);
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
    /// Ink for lines, ticks and marks that should stand back.
    pub faint: Color32,
    /// Chart grid.
    pub grid: Color32,
    /// What a hand can act on, and what is selected.
    pub accent: Color32,
    /// The same, as a wash behind text.
    pub accent_wash: Color32,
    /// Text on top of the full accent.
    pub on_accent: Color32,
    /// Diaphragms and the seat disc.
    pub rubber: Color32,
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
}

impl Theme {
    /// Ink on paper.
    pub fn light() -> Self {
        Self {
            dark: false,
            paper: rgb(0xF1_EF_E8),
            card: rgb(0xFD_FC_F9),
            edge: rgb(0xDD_D9_CD),
            well: rgb(0xEC_E9_E0),
            ink: rgb(0x1D_28_30),
            soft: rgb(0x55_60_68),
            faint: rgb(0xA5_A9_A6),
            grid: rgb(0xE6_E3_DA),
            accent: rgb(0x9A_43_1F),
            accent_wash: rgb(0xF6_E7_DC),
            on_accent: rgb(0xFF_FB_F6),
            rubber: rgb(0xA2_4C_2E),
            body: rgb(0xC9_C4_B7),
            hatch: rgb(0xAF_A9_9A),
            steel: rgb(0x5B_64_6A),
            spring: rgb(0x45_50_58),
            air: rgb(0xF6_F3_EA),
            band: rgb(0xE2_EC_DD),
            good: rgb(0x3B_6B_3E),
            caution: rgb(0x8A_5A_00),
            caution_wash: rgb(0xFB_F0_D6),
            danger: rgb(0xA8_1E_2B),
            flame: rgb(0x3E_7F_CB),
            flame_core: rgb(0xA9_D3_F5),
            flame_tip: rgb(0xE8_A0_2C),
            liquid: rgb(0x2C_5A_74),
            frost: rgb(0x6F_A9_C9),
            water: rgb(0x5F_86_8A),
        }
    }

    /// Paper on ink, for the late hours.
    pub fn dark() -> Self {
        Self {
            dark: true,
            paper: rgb(0x12_17_1B),
            card: rgb(0x1A_21_26),
            edge: rgb(0x2D_36_3D),
            well: rgb(0x25_2E_34),
            ink: rgb(0xE9_E6_DD),
            soft: rgb(0xA6_AE_B1),
            faint: rgb(0x66_70_76),
            grid: rgb(0x28_31_37),
            accent: rgb(0xE3_95_6C),
            accent_wash: rgb(0x3B_2A_22),
            on_accent: rgb(0x20_12_0A),
            rubber: rgb(0xC9_74_51),
            body: rgb(0x4A_4F_4F),
            hatch: rgb(0x5F_64_63),
            steel: rgb(0x9A_A3_A8),
            spring: rgb(0xB9_C1_C4),
            air: rgb(0x23_29_2C),
            band: rgb(0x24_34_2A),
            good: rgb(0x8F_C2_8C),
            caution: rgb(0xE6_B8_5C),
            caution_wash: rgb(0x36_2E_1C),
            danger: rgb(0xF0_86_84),
            flame: rgb(0x5C_A0_EC),
            flame_core: rgb(0xCB_E6_FC),
            flame_tip: rgb(0xF0_B0_48),
            liquid: rgb(0x3E_78_96),
            frost: rgb(0xA8_D6_EC),
            water: rgb(0x7F_AD_AF),
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
            (0.33 + 0.45 * share, 0.030 + 0.075 * share)
        } else {
            (0.945 - 0.565 * share, 0.018 + 0.085 * share)
        };
        oklch(lightness, chroma, GAS_HUE)
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

/// A button that stands back behind the others.
pub fn quiet(words: &str) -> egui::Button<'_> {
    egui::Button::new(egui::RichText::new(words).font(plain(12.0))).min_size(egui::vec2(0.0, 22.0))
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

/// Inter with tabular figures first, then the toolkit's own fonts for signs it lacks.
fn install_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let mut add = |name: &str, bytes: &'static [u8]| {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    };
    add("inter", include_bytes!("fonts/inter-regular-tabular.otf"));
    add(
        "inter-strong",
        include_bytes!("fonts/inter-semibold-tabular.otf"),
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
    let strong_chain = chain("inter-strong");
    let plain_chain = chain("inter");
    fonts.families.insert(FontFamily::Proportional, plain_chain);
    fonts
        .families
        .insert(FontFamily::Name(STRONG.into()), strong_chain);
    ctx.set_fonts(fonts);
}

/// Turns one of the toolkit's styles into ours.
fn dress(style: &mut egui::Style, theme: &Theme) {
    use egui::TextStyle::{Body, Button, Heading, Monospace, Small};
    style.text_styles = [
        (Small, plain(11.5)),
        (Body, plain(13.0)),
        (Button, plain(13.0)),
        (Heading, strong(15.0)),
        (Monospace, FontId::new(12.0, FontFamily::Monospace)),
    ]
    .into();
    let s = &mut style.spacing;
    s.item_spacing = egui::vec2(8.0, 6.0);
    s.button_padding = egui::vec2(10.0, 4.0);
    s.interact_size = egui::vec2(32.0, 26.0);
    s.slider_rail_height = 4.0;
    s.window_margin = egui::Margin::same(16);
    s.scroll = egui::style::ScrollStyle::thin();
    let v = &mut style.visuals;
    v.dark_mode = theme.dark;
    v.override_text_color = None;
    v.weak_text_color = Some(theme.soft);
    v.panel_fill = theme.paper;
    v.window_fill = theme.card;
    v.window_stroke = Stroke::new(1.0, theme.edge);
    v.window_corner_radius = CornerRadius::same(10);
    v.menu_corner_radius = CornerRadius::same(8);
    v.extreme_bg_color = theme.well;
    v.faint_bg_color = theme.paper;
    v.code_bg_color = theme.well;
    v.hyperlink_color = theme.accent;
    v.warn_fg_color = theme.caution;
    v.error_fg_color = theme.danger;
    v.selection.bg_fill = theme.accent_wash;
    v.selection.stroke = Stroke::new(1.0, theme.accent);
    v.slider_trailing_fill = true;
    let shadow = egui::Shadow {
        offset: [0, 4],
        blur: 18,
        spread: 0,
        color: Color32::from_black_alpha(if theme.dark { 110 } else { 34 }),
    };
    v.window_shadow = shadow;
    v.popup_shadow = shadow;
    let widget = |fill: Color32, edge: Color32, ink: Color32| egui::style::WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: CornerRadius::same(6),
        fg_stroke: Stroke::new(1.0, ink),
        expansion: 0.0,
    };
    v.widgets.noninteractive = widget(theme.card, theme.edge, theme.ink);
    v.widgets.inactive = widget(theme.well, theme.edge, theme.ink);
    v.widgets.hovered = widget(theme.accent_wash, theme.accent, theme.ink);
    v.widgets.active = widget(theme.accent_wash, theme.accent, theme.accent);
    // Also the ground of a floating sheet's head.
    v.widgets.open = widget(theme.card, theme.edge, theme.ink);
    v.widgets.inactive.bg_stroke = Stroke::new(1.0, theme.edge);
}

/// The frame of a panel that lies on the paper.
pub fn card(theme: &Theme) -> egui::Frame {
    egui::Frame::new()
        .fill(theme.card)
        .stroke(Stroke::new(1.0, theme.edge))
        .corner_radius(CornerRadius::same(10))
        .inner_margin(egui::Margin::symmetric(13, 11))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2 level AA asks 4.5 to 1 for text (published).
    #[test]
    fn text_reads_on_every_ground() {
        for t in [Theme::light(), Theme::dark()] {
            for ground in [t.paper, t.card, t.well] {
                for ink in [t.ink, t.soft, t.accent, t.danger, t.good, t.caution] {
                    let c = contrast(ink, ground);
                    assert!(c >= 4.5, "{ink:?} on {ground:?}: {c:.2} (dark {})", t.dark);
                }
            }
            assert!(contrast(t.on_accent, t.accent) >= 4.5);
            assert!(contrast(t.caution, t.caution_wash) >= 4.5);
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
