//! The continuous state of a rig as a plain struct, and its order as a vector at the solver's door.
//!
//! Stores hold *amounts* (kg of gas, mol of air), never pressures: pressure follows from the gas
//! law and the volume of the moment. So the mass balance is a sum of states that both engines
//! keep to rounding, and trapped air "remembers" temperature and altitude by itself.

use super::Rig;
use super::readings::{MAX_APPLIANCES, MAX_CONTAINERS};
use crate::physics::WATER_FREEZING_K;
use crate::physics::fuel::SPECIES;
use serde::Serialize;

/// State of one stage.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct StageState {
    /// Diaphragm rise from the open stop \[m\].
    pub rise_m: f64,
    /// Diaphragm speed \[m/s\].
    pub speed_m_per_s: f64,
    /// Deflection of the friction bristles \[m\].
    pub bristle_m: f64,
    /// Gas in the chamber \[kg\].
    pub gas_kg: f64,
    /// Air (and leaked gas) in the spring case \[mol\].
    pub case_mol: f64,
    /// Density of the spring case's contents at which its temperature is its walls' \[mol/m³\].
    pub case_settled: f64,
}

/// State of one container and its pigtail.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct ContainerState {
    /// Moles of each species, liquid and vapour together.
    pub moles: [f64; SPECIES],
    /// Temperature of liquid and steel \[K\].
    pub temperature_k: f64,
    /// Gas in the pigtail \[kg\].
    pub pigtail_kg: f64,
}

/// All continuous values of a rig.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct RigState {
    /// First stage.
    pub first: StageState,
    /// Second stage.
    pub second: StageState,
    /// Gas in main line, manifold and branches \[kg\].
    pub manifold_kg: f64,
    /// Specific gas constant of the gas in chambers and line \[J/(kg K)\]: what is trapped there keeps
    /// its composition while the vapour over the liquid changes its own.
    pub line_gas_j_per_kg_k: f64,
    /// Body temperature \[K\].
    pub body_k: f64,
    /// Spring-case temperature \[K\].
    pub case_k: f64,
    /// Liquid standing in the first-stage body \[kg\].
    pub pool_kg: f64,
    /// How far a slug of liquid bridges the passage to the second seat, 0 to 1.
    pub slug: f64,
    /// Liquid on the low side: on the second chamber's floor and in the line \[kg\].
    pub low_pool_kg: f64,
    /// Share of the first orifice covered by ice.
    pub ice: f64,
    /// Oily residue left in the regulator \[kg\].
    pub residue_kg: f64,
    /// Gas burned since the start \[kg\].
    pub burned_kg: f64,
    /// Gas lost unburned since the start \[kg\].
    pub lost_kg: f64,
    /// Heat that containers, body and liquid have taken in since the start \[J\].
    pub taken_in_j: f64,
    /// Enthalpy that vapour has carried off them since the start \[J\].
    pub carried_off_j: f64,
    /// Containers in use.
    pub containers: [ContainerState; MAX_CONTAINERS],
    /// Temperature of each appliance's heated mass \[K\]; 0 where it has none.
    pub thermal_k: [f64; MAX_APPLIANCES],
}

/// One entry of the state vector: name, typical size, how many times that size its tolerance is a share of, and the
/// value it is counted from.
struct Entry {
    name: &'static str,
    scale: f64,
    error: f64,
    origin: f64,
}

/// Makes the table of entries, and the function that gives their places in the struct: straight on, since it is gone
/// through twice in every evaluation.
macro_rules! entries {
    ($(entry!($name:literal, $scale:expr, $error:expr, $origin:expr, $($path:ident).+),)+) => {
        /// Entries every rig has, in order.
        const COMMON: [Entry; 25] = [$(Entry {
            name: $name, scale: $scale, error: $error, origin: $origin,
        }),+];

        impl RigState {
            /// Places of the entries that every rig has.
            fn common(&mut self) -> [&mut f64; COMMON.len()] {
                [$(&mut self.$($path).+),+]
            }

            /// Their values.
            fn common_values(&self) -> [f64; COMMON.len()] {
                [$(self.$($path).+),+]
            }
        }
    };
}

entries! {
    entry!("first-stage rise", 1e-3, 1.0, 0.0, first.rise_m),
    entry!("first-stage speed", 1e-2, 30.0, 0.0, first.speed_m_per_s),
    entry!("first-stage friction bristle", 1e-5, 100.0, 0.0, first.bristle_m),
    entry!("first-stage gas", 2e-4, 1.0, 0.0, first.gas_kg),
    entry!("first-stage spring-case air", 1e-3, 1.0, 0.0, first.case_mol),
    entry!("first-stage spring-case warmth", 40.0, 10.0, 0.0, first.case_settled),
    entry!("second-stage rise", 1e-3, 1.0, 0.0, second.rise_m),
    entry!("second-stage speed", 1e-2, 5.0, 0.0, second.speed_m_per_s),
    entry!("second-stage friction bristle", 1e-5, 100.0, 0.0, second.bristle_m),
    entry!("second-stage gas", 2e-4, 1.0, 0.0, second.gas_kg),
    entry!("second-stage spring-case air", 5e-3, 1.0, 0.0, second.case_mol),
    entry!("second-stage spring-case warmth", 40.0, 10.0, 0.0, second.case_settled),
    entry!("manifold gas", 1e-3, 1.0, 0.0, manifold_kg),
    entry!("gas constant of the line gas", 200.0, 1.0, 0.0, line_gas_j_per_kg_k),
    entry!("body temperature", 20.0, 1.0, WATER_FREEZING_K, body_k),
    entry!("spring-case temperature", 20.0, 1.0, WATER_FREEZING_K, case_k),
    entry!("liquid in the first-stage body", 1e-3, 1.0, 0.0, pool_kg),
    entry!("slug between the stages", 1.0, 0.01, 0.0, slug),
    entry!("liquid on the low side", 1e-3, 1.0, 0.0, low_pool_kg),
    entry!("ice on the first orifice", 1.0, 0.01, 0.0, ice),
    entry!("oily residue", 1e-3, 1.0, 0.0, residue_kg),
    entry!("gas burned", 1e-2, 1.0, 0.0, burned_kg),
    entry!("gas lost", 1e-2, 1.0, 0.0, lost_kg),
    entry!("heat taken in", 1e5, 1.0, 0.0, taken_in_j),
    entry!("heat carried off", 1e5, 1.0, 0.0, carried_off_j),
}

/// Entries that act on nothing, or only over hours. The gas constant of the line gas is none of them, slow as it
/// changes: without its column Newton's iterations fail where a container starves or holds another gas (seen).
const SLOW: [&str; 5] = [
    "oily residue",
    "gas burned",
    "gas lost",
    "heat taken in",
    "heat carried off",
];

/// Entries that act on few rates: those common ones, and whether on any of the containers and appliances. What
/// rubs acts on its own stage's motion only, spring-case air by its pressure and through a torn
/// diaphragm, ice by what the first seat passes, the manifold by what is drawn from it, liquid past the first seat
/// by what passes the second one or boils.
const LOCAL: [(&str, &[&str], bool); 10] = [
    (
        "first-stage friction bristle",
        &["first-stage speed", "first-stage friction bristle"],
        false,
    ),
    (
        "first-stage spring-case air",
        &[
            "first-stage speed",
            "first-stage gas",
            "first-stage spring-case air",
            "first-stage spring-case warmth",
            "gas lost",
        ],
        false,
    ),
    (
        "first-stage spring-case warmth",
        &[
            "first-stage speed",
            "first-stage gas",
            "first-stage spring-case air",
            "first-stage spring-case warmth",
            "gas lost",
        ],
        false,
    ),
    (
        "second-stage friction bristle",
        &["second-stage speed", "second-stage friction bristle"],
        false,
    ),
    (
        "second-stage spring-case air",
        &[
            "second-stage speed",
            "second-stage gas",
            "second-stage spring-case air",
            "second-stage spring-case warmth",
            "gas lost",
        ],
        false,
    ),
    (
        "second-stage spring-case warmth",
        &[
            "second-stage speed",
            "second-stage gas",
            "second-stage spring-case air",
            "second-stage spring-case warmth",
            "gas lost",
        ],
        false,
    ),
    (
        "manifold gas",
        &[
            "second-stage gas",
            "manifold gas",
            "gas constant of the line gas",
            "gas burned",
            "gas lost",
        ],
        true,
    ),
    (
        "ice on the first orifice",
        &[
            "first-stage gas",
            // By the share of the reserve side in the gas of a twin set, and its ratio of heats.
            "second-stage gas",
            "second-stage spring-case air",
            "gas constant of the line gas",
            "body temperature",
            "liquid in the first-stage body",
            "ice on the first orifice",
            "oily residue",
            "gas lost",
            "heat taken in",
            "heat carried off",
        ],
        true,
    ),
    (
        "slug between the stages",
        &[
            "first-stage gas",
            "second-stage gas",
            "body temperature",
            "liquid in the first-stage body",
            "slug between the stages",
            "liquid on the low side",
            "heat carried off",
        ],
        false,
    ),
    (
        "liquid on the low side",
        &[
            "second-stage gas",
            "manifold gas",
            "body temperature",
            "liquid on the low side",
            "heat taken in",
            "heat carried off",
        ],
        false,
    ),
];

const CONTAINER_NAMES: [&str; SPECIES + 2] = [
    "propane in the container",
    "ethane in the container",
    "n-butane in the container",
    "isobutane in the container",
    "air in the container",
    "container temperature",
    "pigtail gas",
];
const CONTAINER_SCALES: [f64; SPECIES + 2] = [10.0, 10.0, 10.0, 10.0, 1.0, 20.0, 1e-3];
const CONTAINER_ORIGINS: [f64; SPECIES + 2] = [0.0, 0.0, 0.0, 0.0, 0.0, WATER_FREEZING_K, 0.0];

/// A heated mass is followed this many times as closely as its size: its error is time.
const HEATED_ERROR: f64 = 0.003;
/// Typical distance of a heated mass from its thermostat's setting \[K\].
const THERMOSTAT_SCALE_K: f64 = 3.0;

impl ContainerState {
    fn slot(&mut self, i: usize) -> &mut f64 {
        match i {
            SPECIES => &mut self.temperature_k,
            i if i > SPECIES => &mut self.pigtail_kg,
            i => &mut self.moles[i],
        }
    }
}

impl RigState {
    /// Length of the state vector of a rig.
    pub fn dim(rig: &Rig) -> usize {
        COMMON.len() + rig.containers.len() * CONTAINER_NAMES.len() + Self::heated_count(rig)
    }

    /// How many appliances heat a mass; their temperatures stand last.
    fn heated_count(rig: &Rig) -> usize {
        rig.appliances
            .iter()
            .filter(|a| a.thermal.is_some())
            .count()
    }

    /// Visits every value in vector order.
    fn visit(&mut self, rig: &Rig, mut f: impl FnMut(usize, &mut f64)) {
        for (i, value) in self.common().into_iter().enumerate() {
            f(i, value);
        }
        let mut i = COMMON.len();
        for c in &mut self.containers[..rig.containers.len()] {
            for k in 0..CONTAINER_NAMES.len() {
                f(i, c.slot(k));
                i += 1;
            }
        }
        for (k, a) in rig.appliances.iter().enumerate() {
            if a.thermal.is_some() {
                f(i, &mut self.thermal_k[k]);
                i += 1;
            }
        }
    }

    /// Writes the state as a vector.
    pub fn write_to(&self, rig: &Rig, y: &mut [f64]) {
        let (common, rest) = y.split_at_mut(COMMON.len());
        common.copy_from_slice(&self.common_values());
        let containers = rig.containers.len() * CONTAINER_NAMES.len();
        let (containers, heated) = rest.split_at_mut(containers);
        for (y, c) in containers
            .chunks_exact_mut(CONTAINER_NAMES.len())
            .zip(&self.containers)
        {
            y[..SPECIES].copy_from_slice(&c.moles);
            (y[SPECIES], y[SPECIES + 1]) = (c.temperature_k, c.pigtail_kg);
        }
        let masses = rig.appliances.iter().zip(&self.thermal_k);
        let masses = masses.filter(|(a, _)| a.thermal.is_some());
        for (y, (_, t_k)) in heated.iter_mut().zip(masses) {
            *y = *t_k;
        }
    }

    /// Becomes the state that a vector tells: the one of [`RigState::read_from`] where it was one of this rig.
    pub fn read(&mut self, rig: &Rig, y: &[f64]) {
        self.visit(rig, |i, v| *v = y[i]);
    }

    /// Reads the state from a vector.
    pub fn read_from(rig: &Rig, y: &[f64]) -> Self {
        let mut s = Self::default();
        s.visit(rig, |i, v| *v = y[i]);
        s
    }

    /// Typical size of each entry, in vector order.
    pub fn scales(rig: &Rig) -> Vec<f64> {
        let mut out: Vec<f64> = COMMON.iter().map(|e| e.scale).collect();
        for _ in &rig.containers {
            out.extend(CONTAINER_SCALES);
        }
        out.resize(Self::dim(rig), THERMOSTAT_SCALE_K);
        out
    }

    /// Size of which the tolerance of each entry is a share: as [`RigState::scales`], but
    /// * looser for bristles and speeds: a speed within its own tolerance bends a bristle by its step's length, so
    ///   tight ones would hold the steps of a resting diaphragm at milliseconds. Less so for the second stage,
    ///   whose swing at each switch of a burner decides where friction holds it afterwards;
    /// * tighter for what thermostats read, a slow sum whose error is time: 0.1 uK are some ten microseconds of a cabin;
    /// * tighter for ice and for a slug of liquid, which are small when they first matter: a slug grows out of a
    ///   ten-thousandth of itself, and its edge moves the outlet by an inch.
    pub fn error_scales(rig: &Rig) -> Vec<f64> {
        let mut out = Self::scales(rig);
        let heated = Self::dim(rig) - Self::heated_count(rig);
        for (i, size) in out.iter_mut().enumerate() {
            *size *= match COMMON.get(i) {
                Some(entry) => entry.error,
                None if i >= heated => HEATED_ERROR,
                None => 1.0,
            };
        }
        out
    }

    /// Value each entry is counted from: a heated mass from its thermostat's setting, any other temperature from
    /// freezing. A share of some 290 K would be millikelvins: a slow cabin takes a third of a second to cross
    /// those, and a container's pressure moves by as much as its share of the flame shows in a thermostat's minutes.
    pub fn origins(rig: &Rig) -> Vec<f64> {
        let heated = rig.appliances.iter().filter_map(|a| a.thermal.as_ref());
        let mut out: Vec<f64> = COMMON.iter().map(|e| e.origin).collect();
        for _ in &rig.containers {
            out.extend(CONTAINER_ORIGINS);
        }
        out.extend(heated.map(|t| t.set_k));
        out
    }

    /// Whether entry `i` acts on the others only over minutes and hours: what the containers hold,
    /// what appliances heat, and the sums of gas burned and lost, which act on nothing.
    pub fn acts_slowly(rig: &Rig, i: usize) -> bool {
        let Some(k) = i.checked_sub(COMMON.len()) else {
            return SLOW.contains(&COMMON[i].name);
        };
        k >= rig.containers.len() * CONTAINER_NAMES.len() || k % CONTAINER_NAMES.len() < SPECIES
    }

    /// Entries whose rates each entry may act on, as bits: all of them but for those that act on little.
    pub fn acts_on(rig: &Rig) -> Vec<u64> {
        let place = |name: &str| COMMON.iter().position(|e| e.name == name);
        let after_common = u64::MAX << COMMON.len();
        let mut out = vec![u64::MAX; Self::dim(rig)];
        for (entry, acts_on, further) in LOCAL {
            let named = acts_on.iter().filter_map(|name| place(name));
            let bits = named.fold(if further { after_common } else { 0 }, |b, k| b | 1 << k);
            if let Some(i) = place(entry) {
                out[i] = bits;
            }
        }
        out
    }

    /// What entry `i` is, in words.
    pub fn name(rig: &Rig, i: usize) -> String {
        let after_common = i.checked_sub(COMMON.len());
        match after_common {
            None => COMMON[i].name.to_owned(),
            Some(k) if k < rig.containers.len() * CONTAINER_NAMES.len() => format!(
                "{} {}",
                CONTAINER_NAMES[k % CONTAINER_NAMES.len()],
                k / CONTAINER_NAMES.len() + 1
            ),
            Some(k) => {
                let nth = k - rig.containers.len() * CONTAINER_NAMES.len();
                rig.appliances
                    .iter()
                    .filter(|a| a.thermal.is_some())
                    .nth(nth)
                    .map_or_else(
                        || "appliance temperature".to_owned(),
                        |a| format!("temperature of {}", a.name),
                    )
            }
        }
    }
}
