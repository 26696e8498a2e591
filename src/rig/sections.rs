//! The main line as it is laid: sections of pipe of a material and a trade size, one behind the other; and where
//! the regulator is mounted. Both only choose numbers that other parts of the rig hold.

use super::{Body, Pipe, Piping, presets};
use serde::Serialize;

/// What a section is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    /// Copper tube, its size told by the outside.
    Copper,
    /// Black iron pipe, schedule 40.
    Iron,
    /// Rubber hose, its size told by the inside.
    Hose,
}

impl Material {
    /// All, as files and people call them.
    pub const ALL: [(&'static str, Self); 3] = [
        ("copper", Self::Copper),
        ("black iron", Self::Iron),
        ("hose", Self::Hose),
    ];

    /// Its name.
    pub fn word(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// Trade sizes with their bores \[m\]. Copper: the wall of type K (3/8 and 1/2 in: code, 2018 IFGC 402.4(30); the others
    /// memory); iron: schedule 40, ASME B36.10 (1/2 in practice, the others memory); hose: its own name.
    pub const fn sizes(self) -> &'static [(&'static str, f64)] {
        match self {
            Self::Copper => &[
                ("3/8 in", 7.75e-3),
                ("1/2 in", 10.2e-3),
                ("5/8 in", 13.4e-3),
                ("3/4 in", 16.6e-3),
                ("7/8 in", 18.9e-3),
            ],
            Self::Iron => &[
                ("1/4 in", 9.25e-3),
                ("3/8 in", 12.5e-3),
                ("1/2 in", 15.8e-3),
                ("3/4 in", 20.9e-3),
                ("1 in", 26.6e-3),
            ],
            Self::Hose => &[
                ("1/4 in", 6.35e-3),
                ("3/8 in", 9.53e-3),
                ("1/2 in", 12.7e-3),
            ],
        }
    }
}

/// One section of the main line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Section {
    /// What it is made of.
    pub material: Material,
    /// Place of its size among those of the material.
    pub size: usize,
    /// Length \[m\].
    pub length_m: f64,
    /// Loss coefficients of its bends, tees and ends, summed.
    pub minor_loss: f64,
}

/// Most sections of a main line.
pub const MAX_SECTIONS: usize = 8;
/// Bends, tees and ends of a section unless it says otherwise: half of what the standard line has (own).
pub const SECTION_LOSS: f64 = 1.5;

impl Section {
    /// A section with the usual bends.
    pub fn new(material: Material, size: usize, length_m: f64) -> Self {
        Self {
            material,
            size,
            length_m,
            minor_loss: SECTION_LOSS,
        }
    }

    /// Name of its size.
    pub fn size_word(&self) -> &'static str {
        self.material.sizes()[self.size.min(self.material.sizes().len() - 1)].0
    }

    /// Bore \[m\].
    pub fn bore_m(&self) -> f64 {
        self.material.sizes()[self.size.min(self.material.sizes().len() - 1)].1
    }

    /// By itself.
    pub fn pipe(&self) -> Pipe {
        Pipe {
            bore_m: self.bore_m(),
            length_m: self.length_m,
            minor_loss: self.minor_loss,
        }
    }
}

/// One pipe that takes as much from the pressure as these sections one behind the other.
///
/// Where the flow is turbulent each takes (0.0301 L/D + K) w²/(2 rho A²), A as D² ([`PipeLoss`](crate::physics::flow::PipeLoss)),
/// so on a bore D: L = sum of `L_i` (D/`D_i`)^5, K = sum of `K_i` (D/`D_i`)^4 (derived). D is that of the section that takes
/// most. Exact for one bore; where the flow is laminar and bores differ, off by what is then no loss to speak of
/// (0.01 in w.c. at 2,000 Btu/h).
pub fn in_line(sections: &[Section]) -> Option<Pipe> {
    let resistance = |s: &Section| s.length_m / s.bore_m().powi(5);
    let most = sections
        .iter()
        .max_by(|a, b| resistance(a).total_cmp(&resistance(b)))?;
    let bore_m = most.bore_m();
    let sum = |of: fn(&Section) -> f64, power: i32| {
        sections
            .iter()
            .map(|s| of(s) * (bore_m / s.bore_m()).powi(power))
            .sum::<f64>()
    };
    Some(Pipe {
        bore_m,
        length_m: sum(|s| s.length_m, 5),
        minor_loss: sum(|s| s.minor_loss, 4),
    })
}

impl Piping {
    /// Lays the main line in these sections; the gas volume of the low side follows. Without any it stays as it is.
    pub fn lay(&mut self, sections: &[Section]) {
        let Some(main) = in_line(sections) else {
            return;
        };
        let usual = presets::piping();
        let laid_m3: f64 = sections.iter().map(|s| s.pipe().volume_m3()).sum();
        self.main = main;
        self.manifold_m3 = usual.manifold_m3 - usual.main.volume_m3() + laid_m3;
    }
}

/// Where the regulator sits, which decides what sun and wind do to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mounting {
    /// On the tongue or a wall, in wind and sun.
    #[default]
    Open,
    /// Under a hood that keeps sun and rain off and lets the air through.
    Cover,
    /// In a vented compartment, where the air is still.
    Compartment,
}

impl Mounting {
    /// All, as files and people call them.
    pub const ALL: [(&'static str, Self); 3] = [
        ("in the open", Self::Open),
        ("under a cover", Self::Cover),
        ("in a compartment", Self::Compartment),
    ];

    /// Its name.
    pub fn word(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// Heat exchanged with the air against that in the open. Still air with radiation takes some 10 W/(m² K) off a small
    /// body, a breeze some 25 (practice).
    fn loss_share(self) -> f64 {
        match self {
            Self::Open => 1.0,
            Self::Cover => 0.7,
            Self::Compartment => 0.4,
        }
    }

    /// The body of the standard regulator, mounted so.
    pub fn body(self) -> Body {
        let open = presets::body();
        let sun_k_m2_per_w = match self {
            Self::Open => open.sun_k_m2_per_w,
            Self::Cover | Self::Compartment => 0.0,
        };
        Body {
            mounted: self,
            loss_w_per_k: open.loss_w_per_k * self.loss_share(),
            sun_k_m2_per_w,
            ..open
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What sections take one by one is what the one pipe takes (the flow law alone is the reference).
    #[test]
    fn a_line_in_sections_takes_what_its_sections_take() {
        let sections = [
            Section::new(Material::Iron, 2, 4.0),
            Section::new(Material::Copper, 1, 2.5),
            Section::new(Material::Hose, 1, 0.6),
        ];
        let line = in_line(&sections).expect("sections");
        let (density, viscosity) = (1.9, 8e-6);
        // Flows of 20,000 and 80,000 Btu/h.
        for w in [1.16e-4, 4.65e-4] {
            let taken = |pipe: &Pipe| {
                let loss = pipe.loss(density, viscosity);
                let (mut low, mut high) = (0.0, 1e5);
                for _ in 0..80 {
                    let middle = 0.5 * (low + high);
                    if loss.flow_kg_per_s(middle, 0.0) < w {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                low
            };
            let each: f64 = sections.iter().map(|s| taken(&s.pipe())).sum();
            let whole = taken(&line);
            assert!(
                (whole / each - 1.0).abs() < 0.05,
                "{w}: {whole} and {each} Pa"
            );
        }
        let one = Section::new(Material::Copper, 1, 2.4);
        assert_eq!(in_line(&[one]), Some(one.pipe()));
        assert_eq!(in_line(&[]), None);
    }

    #[test]
    fn names_stand_in_their_places() {
        for (word, material) in Material::ALL {
            assert_eq!(material.word(), word);
        }
        for (word, mounting) in Mounting::ALL {
            assert_eq!(mounting.word(), word);
        }
        assert_eq!(Mounting::Open.body(), presets::body());
    }
}
