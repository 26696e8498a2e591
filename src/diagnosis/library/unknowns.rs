//! What a diagnosis never knows exactly: adjustment, friction, tolerances of the parts, the load
//! of the burners, the fuel, the weather. Each is a draw from a normal distribution; the spreads
//! are invented (what mass-made parts and a hand with a gauge allow) and stand in one table.

use super::random::Random;
use crate::rig::{Ramp, Stage};
use crate::scenario::Scenario;
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::Id;

/// How many unknowns.
pub const UNKNOWNS: usize = 19;
/// Which of them is the air temperature: the one that everybody reads.
pub const AIR: usize = 0;

/// One unknown: its name and what one standard deviation of it is worth.
pub struct Unknown {
    /// In words, with its spread.
    pub words: &'static str,
    /// One standard deviation, in the unit of the words.
    pub deviation: f64,
}

macro_rules! unknown {
    ($words:literal, $deviation:expr) => {
        Unknown {
            words: $words,
            deviation: $deviation,
        }
    };
}

/// The table. Its order is that of [`Unknowns`].
pub static TABLE: [Unknown; UNKNOWNS] = [
    unknown!("air temperature about 52 °F [K]", 13.0),
    unknown!("container against the air [K]", 2.0),
    unknown!("container fill about 55 %", 0.12),
    unknown!("elevation about 1000 m [m]", 500.0),
    unknown!("friction of the second stage [ln]", 0.3),
    unknown!("friction of the first stage [ln]", 0.3),
    unknown!("set pressure of the second stage [in w.c.]", 0.15),
    unknown!("set pressure of the first stage [psi]", 0.3),
    unknown!("diaphragm area of the second stage [ln]", 0.01),
    unknown!("bore of the second stage [ln]", 0.015),
    unknown!("lever ratio of the second stage [ln]", 0.01),
    unknown!("spring rate of the second stage [ln]", 0.03),
    unknown!("sealing force of the second seat [ln]", 0.15),
    unknown!("diaphragm area of the first stage [ln]", 0.01),
    unknown!("sealing force of the first seat [ln]", 0.15),
    unknown!("spuds of all burners [ln]", 0.02),
    unknown!("losses of the main line [ln]", 0.15),
    unknown!("propane in the fuel, the rest butane [share]", 0.01),
    unknown!("volume of the low side [ln]", 0.4),
];

/// Those that are of the site, the fuel, the container and the pipe: known where the rig stands before one.
const OUTSIDE: [usize; 6] = [AIR, 1, 2, 3, 17, VOLUME];

/// Lowest and highest air temperature that is drawn \[K\]: the ambient range of the trade.
const AIR_K: (f64, f64) = (245.0, 314.0);
/// Middle of the elevations \[m\], and their place in the table.
const MIDDLE_M: f64 = 1000.0;
const ELEVATION: usize = 3;
/// How much the low side holds, which says how fast a seat fills it and a leak empties it.
const VOLUME: usize = 18;
/// Middle of the air temperatures, and of those in which faults of the weather show \[K\].
const MILD_K: f64 = 284.0;
const COLD_K: f64 = 264.0;
/// A rougher seat wants more force and passes more where it only touches: the area goes with this power of the force (own).
const ROUGHNESS: f64 = 6.0;
/// Set pressures of the presets.
const SECOND_PA: f64 = 11.1 * crate::units::PA_PER_INWC;
const FIRST_PA: f64 = 10.0 * crate::units::PA_PER_PSI;

/// A container that was drawn from for hours before a visit: how much colder it is, in deviations of half a normal draw; none
/// where it is as warm as the air, but for the table's two kelvins.
///
/// The library begins every visit so. Elsewhere it is a way that any cause may stand (`closer`): a container is no part of what
/// is the matter with a regulator, and a cold one by itself is a cause of the catalogue.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Drawn(pub f64);

/// Share of visits with such a container (own), and how much colder one deviation makes it where there is room \[K\] (own: a
/// furnace that burned through two to six hours leaves 18 to 35 K in this model, one that cycles less).
const DRAWN_SHARE: f64 = 0.2;
const DRAWN_K: f64 = 25.0;
/// Propane gives nothing any more under this \[K\] (published: its boiling point at one atmosphere is 231.0).
const DRY_K: f64 = 230.0;

impl Drawn {
    /// As warm as the air.
    pub const NOT: Self = Self(0.0);

    /// Whether there was a draw at all.
    pub fn is_any(self) -> bool {
        self.0 > 0.0
    }

    /// How much colder the container is in air of so many kelvins \[K\]: by no more than propane still boils at.
    pub fn colder_k(self, air_k: f64) -> f64 {
        let room_k = (air_k - DRY_K).max(1.0);
        room_k * (1.0 - (-DRAWN_K * self.0 / room_k).exp())
    }

    /// The draw that makes a container so much colder; the inverse of [`Self::colder_k`], short of all there is room for.
    pub fn of_colder(colder_k: f64, air_k: f64) -> Self {
        let room_k = (air_k - DRY_K).max(1.0);
        let share = (colder_k / room_k).clamp(0.0, 0.99);
        Self(-(1.0 - share).ln() * room_k / DRAWN_K)
    }

    /// How rare it is: as twice the logarithm of how often none comes, by how often this.
    pub fn surprise(self) -> f64 {
        if self.is_any() {
            self.0.powi(2) + 2.0 * ((1.0 - DRAWN_SHARE) / DRAWN_SHARE).ln()
        } else {
            0.0
        }
    }

    /// Leaves the containers of a scenario as it leaves them.
    pub fn apply(self, scenario: &mut Scenario) {
        let air_k = scenario.site.air_k.at(0.0);
        let colder_k = self.colder_k(air_k);
        for charge in &mut scenario.charges {
            charge.temperature_k -= colder_k;
        }
    }
}

/// A draw, in standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknowns(pub [f64; UNKNOWNS]);

/// How much wider than the table a world is: for tests of robustness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct World {
    /// Factor on friction of both stages.
    pub friction: f64,
    /// Relative error of areas, bores, lever and springs, either way.
    pub geometry: f64,
    /// Factor on the noise of the instruments.
    pub noise: f64,
    /// Whether site, fuel and fill are drawn too; where not they are the scenario's own.
    pub outside: bool,
}

impl World {
    /// The world of the table.
    pub const NOMINAL: Self = Self {
        friction: 1.0,
        geometry: 0.0,
        noise: 1.0,
        outside: true,
    };
    /// The same where the rig stands before one: what differs is the specimen, its parts, adjustment and friction.
    pub const MET: Self = Self {
        outside: false,
        ..Self::NOMINAL
    };
    /// Geometry off by a tenth, friction doubled, noise half again as large.
    pub const ROUGH: Self = Self {
        friction: 2.0,
        geometry: 0.1,
        noise: 1.5,
        outside: true,
    };
}

impl Unknowns {
    /// Draws all of them; in the cold where asked. Tails beyond 2.5 deviations are folded back.
    pub fn draw(random: &mut Random, cold: bool) -> Self {
        let mut z = [0.0; UNKNOWNS];
        for v in &mut z {
            *v = loop {
                let draw = random.normal();
                if draw.abs() <= 2.5 {
                    break draw;
                }
            };
        }
        if cold {
            let air = COLD_K + 0.45 * TABLE[0].deviation * z[0];
            z[0] = (air - MILD_K) / TABLE[0].deviation;
        }
        Self(z)
    }

    /// The draw as it is in a world: what is known there is no surprise.
    #[must_use]
    pub fn within(mut self, world: World) -> Self {
        if !world.outside {
            OUTSIDE.iter().for_each(|&i| self.0[i] = 0.0);
        }
        self
    }

    fn by(&self, i: usize) -> f64 {
        self.0[i] * TABLE[i].deviation
    }

    /// Air temperature \[K\].
    pub fn air_k(&self) -> f64 {
        (MILD_K + self.by(0)).clamp(AIR_K.0, AIR_K.1)
    }

    /// The draw that an air temperature \[K\] is.
    pub fn of_air(air_k: f64) -> f64 {
        (air_k.clamp(AIR_K.0, AIR_K.1) - MILD_K) / TABLE[AIR].deviation
    }

    /// Elevation \[m\].
    pub fn elevation_m(&self) -> f64 {
        (MIDDLE_M + self.by(ELEVATION)).max(0.0)
    }

    /// How far a reading of the place lies beyond where nearly all visits are made, two deviations from the middle, in its own
    /// unit; nothing for what is no reading of the place.
    pub fn beyond(item: Id, value: f64) -> f64 {
        let (middle, row) = match item {
            Id::Air => (MILD_K, &TABLE[AIR]),
            Id::Elevation => (MIDDLE_M, &TABLE[ELEVATION]),
            _ => return 0.0,
        };
        ((value - middle).abs() - 2.0 * row.deviation).max(0.0)
    }

    /// Puts the draw into a scenario made by [`crate::visit::quickened`]. Where the geometry is
    /// off, the screw has still been set to the right pressure: that is what a screw is for.
    pub fn apply(&self, scenario: &mut Scenario, world: World, random: &mut Random) {
        let s = scenario;
        if world.outside {
            self.apply_outside(s);
        }
        let mut off = |base: f64| {
            let side = if random.uniform() < 0.5 { -1.0 } else { 1.0 };
            (base + side * world.geometry).exp()
        };
        let rig = &mut s.rig;
        rig.second.friction_n *= world.friction * self.by(4).exp();
        rig.first.friction_n *= world.friction * self.by(5).exp();
        for (stage, ln) in [
            (&mut rig.second, self.by(12)),
            (&mut rig.first, self.by(14)),
        ] {
            stage.seal_force_n *= ln.exp();
            stage.seal_leak_m2 *= (ROUGHNESS * ln).exp();
        }
        let second = (off(self.by(8)), off(self.by(11)));
        rig.second.bore_m *= off(self.by(9));
        rig.second.lever_ratio *= off(self.by(10));
        rig.second.touch_rise_m *= off(0.0);
        resize(&mut rig.second, second, SECOND_PA, inwc_to_pa(self.by(6)));
        let first = (off(self.by(13)), off(0.0));
        rig.first.bore_m *= off(0.0);
        resize(&mut rig.first, first, FIRST_PA, psi_to_pa(self.by(7)));
        for a in &mut rig.appliances {
            a.spud_m2 *= self.by(15).exp();
            a.valve_m2 *= self.by(15).exp();
        }
        rig.piping.main.minor_loss *= self.by(16).exp();
        rig.piping.main.length_m *= self.by(16).exp();
        rig.piping.manifold_m3 *= self.by(VOLUME).exp();
    }

    fn apply_outside(&self, s: &mut Scenario) {
        let air_k = self.air_k();
        s.site.air_k = Ramp::fixed(air_k);
        s.site.elevation_m = Ramp::fixed(self.elevation_m());
        for charge in &mut s.charges {
            charge.temperature_k = air_k + self.by(1);
            charge.fill = (0.55 + self.by(2)).clamp(0.1, 0.8);
        }
        let move_over = self.by(17).clamp(-0.012, 0.03);
        s.rig.fuel.fractions[0] -= move_over;
        s.rig.fuel.fractions[2] += move_over;
    }
}

/// Changes area and spring of a stage and sets its screw so that it regulates at `set_pa` plus
/// `offset_pa` again: the balance at the working place, jet and seat kept as they are.
fn resize(stage: &mut Stage, (area, spring): (f64, f64), set_pa: f64, offset_pa: f64) {
    let old_n = set_pa * stage.area_m2;
    let rise_m = 0.8 * stage.touch_rise_m;
    let spring_n = stage.spring_n_per_m * rise_m;
    stage.area_m2 *= area;
    stage.spring_n_per_m *= spring;
    let new_n = (set_pa + offset_pa) * stage.area_m2;
    let kept = new_n - old_n - (stage.spring_n_per_m * rise_m - spring_n);
    stage.preload_n = (stage.preload_n + kept).max(0.0);
}
