//! The readings file: TOML with a table for each test, every value a quantity with its unit, and
//! whatever was not measured left out. Reading it tells every mistake at once, impossible
//! readings among them.

use super::beside::{self, Beside};
use super::slip::{self, Slip};
use crate::diagnosis::library::standard::{RIG_TITLE, standard_rig, without_events};
use crate::fault::Fault;
use crate::form::{Form, FormError, Mistakes, Reading, TableReader};
use crate::scenario::Scenario;
use crate::service::LIMITS;
use crate::units::{Dimension, System, inwc_to_pa, psi_to_pa, write_in, write_quantity};
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Scale, Values};
use std::fmt::Write as _;
use std::path::Path;

/// Most that readings of one state lie apart, in uncertainties: further off something changed in between, and their mean is
/// nothing that ever was (own: 3 in w.c. on a water column, as much as a regulator that hunts swings by).
const MOST_APART: f64 = 30.0;
/// By how much what lies over a range is taken as more than its end \[Pa\] (own: nobody reads a thousandth of a division).
const MORE_PA: f64 = 0.01;
/// What a shortest file holds.
const SHORTEST: &str =
    "one reading: a line with [lock_up], below it after_minute = \"11.9 inwc\", is a whole file";
/// Largest weight of a cause; beyond it nothing else would count at all.
const MOST_WEIGHT: f64 = 1e6;

/// What a technician has read and seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Title, shown with the answer.
    pub title: String,
    /// Values in SI, or the index of a word.
    pub values: Values,
    /// Standard uncertainties in SI where they are not the instrument's usual ones.
    pub uncertainties: Values,
    /// Whether a value is the end of its instrument's range, and the truth lies over it.
    pub over: [bool; ITEMS],
    /// What was told, and how some of it was read.
    pub beside: Beside,
    /// Whether flames were called yellow, and at what pressure.
    pub yellow: Option<Yellow>,
    /// The rig, where it is not the standard one: as built, nothing of what happens to it.
    pub rig: Option<Scenario>,
    /// Prior weights that replace those of the table; no fault is healthy.
    pub priors: Vec<(Option<Fault>, f64)>,
}

/// Flames that were called yellow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Yellow {
    /// At a right pressure: that is the burner's own, and says nothing of the regulator.
    AtRight,
    /// At a low pressure, or at one that was not read: it is counted as low.
    AsLow,
}

impl Default for Readings {
    fn default() -> Self {
        Self {
            title: String::new(),
            values: [None; ITEMS],
            uncertainties: [None; ITEMS],
            over: [false; ITEMS],
            beside: Beside::default(),
            yellow: None,
            rig: None,
            priors: Vec::new(),
        }
    }
}

/// Tables of a readings file in order.
fn tables() -> Vec<&'static str> {
    let mut out: Vec<&str> = Vec::new();
    for item in &ALL {
        if !out.contains(&item.table) {
            out.push(item.table);
        }
    }
    out
}

impl Readings {
    /// Reads a file.
    ///
    /// # Errors
    /// That the file cannot be read, or every mistake in it with its place.
    pub fn load(path: &Path) -> Result<Self, FormError> {
        Ok(Self::load_asking(path)?.0)
    }

    /// Reads a file, with the readings in it that were perhaps made in another unit than they are written in.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn load_asking(path: &Path) -> Result<(Self, Vec<Slip>), FormError> {
        let form = Form::load_like(path, SHORTEST)?;
        Ok(Self::from_form(&form)?)
    }

    /// Reads the text of a file; `name` is what messages call it.
    ///
    /// # Errors
    /// Every mistake with its place.
    pub fn parse(name: &str, text: &str) -> Result<Self, Mistakes> {
        Ok(Self::from_form(&Form::parse(name, text)?)?.0)
    }

    /// Values with what was read over the end of a range as more than that, however little.
    pub fn at_least(&self) -> Values {
        let mut out = self.values;
        for (value, _) in out.iter_mut().zip(&self.over).filter(|(_, over)| **over) {
            *value = value.map(|v| v + MORE_PA);
        }
        out
    }

    fn from_form(form: &Form) -> Result<(Self, Vec<Slip>), Mistakes> {
        let root = form.root();
        let mut slips = Vec::new();
        let mut out = Self {
            title: root.text("title").or(String::new()),
            ..Self::default()
        };
        // A reading with a mistake in it is told as that, not as none.
        let mut tried = false;
        for name in tables().into_iter().filter(|name| root.has(name)) {
            let table = root.table(name).optional();
            let mut keys = ALL.iter().filter(|i| i.table == name).map(|i| i.key);
            tried |= table.as_ref().is_none_or(|t| keys.any(|key| t.has(key)));
            if let Some(table) = table {
                slips.extend(out.read_table(name, &table));
                out.beside.read_table(name, &table);
            }
        }
        if let Some(told) = root.table(beside::TABLE).optional() {
            out.beside.read_told(&told);
            tried = true;
        }
        if out.beside.is_empty() && out.values.iter().all(Option::is_none) && !tried {
            let message = "the file holds no reading";
            root.complain(
                "title",
                message,
                "[half_load] with outlet = \"11 inwc\", say",
            );
        }
        out.rig = root.table("rig").optional().map(|table| {
            let mut rig = without_events(&Scenario::rig_from_table(&table));
            if rig.title.is_empty() {
                RIG_TITLE.clone_into(&mut rig.title);
            }
            if rig.rig.appliances.is_empty() {
                let message = "the rig has no appliance, so that no gas would flow";
                table.complain(
                    "appliance",
                    message,
                    "[[rig.appliance]] with kind = \"cooktop\", say",
                );
            }
            rig
        });
        if let Some(table) = root.table("prior").optional() {
            out.read_priors(&table);
        }
        out.look_at_yellow(&root);
        out.impossible(&root);
        out.not_there(&root);
        slips.retain(|s| !s.is_borne_out(&out.values));
        form.finish((out, slips))
    }

    /// Reads a table; which of it was perhaps read in another unit.
    fn read_table(&mut self, name: &str, table: &TableReader<'_>) -> Vec<Slip> {
        let mut slips = Vec::new();
        for (i, item) in ALL.iter().enumerate().filter(|(_, i)| i.table == name) {
            if let Scale::Words(_) = item.kind {
                self.values[i] = table.choice(item.key, &item.spoken()).optional();
                continue;
            }
            let Some(dimension) = item.dimension() else {
                continue;
            };
            let (low, high) = item.bounds();
            let read = table.reading(item.key, dimension).between(low..=high);
            let read = read.optional();
            self.values[i] = read.map(|r| r.value);
            self.over[i] = read.is_some_and(|r| r.is_over);
            if let Some((read, unit)) = read.and_then(|r| Some((r, r.unit?))) {
                slips.extend(slip::of(item, read.value, unit));
            }
            let key = format!("{}_uncertainty", item.key);
            let field = table.quantity(&key, difference(dimension));
            // No finer than a thousandth of what the item's own instrument can tell, no coarser than a thousand times it.
            let usual = item.uncertainty(0.0).max(f64::MIN_POSITIVE);
            self.uncertainties[i] = field.between(1e-3 * usual..=1e3 * usual).optional();
            if let Some(r) = read.filter(|r| r.apart > MOST_APART * item.uncertainty(r.value)) {
                let apart = write_quantity(r.apart, difference(dimension), System::Us);
                let message = format!("`{}` was read {} times, {apart} apart", item.key, r.times);
                let help =
                    "the one of the state that the table means: something changed in between";
                table.complain(item.key, message, help);
            }
            if let Some(r) = read.filter(|r| r.times > 1 && self.uncertainties[i].is_none()) {
                self.uncertainties[i] = Some(of_several(r, item.uncertainty(r.value)));
            }
            if self.uncertainties[i].is_some() && !table.has(item.key) {
                let message = format!("`{key}` stands without `{}`", item.key);
                table.complain(&key, message, format!("`{}` beside it", item.key));
            }
        }
        slips
    }

    fn read_priors(&mut self, table: &TableReader<'_>) {
        for name in table.names() {
            let weight = table.number(name).between(0.0..=MOST_WEIGHT).optional();
            let fault = if name == "healthy" {
                None
            } else {
                match Fault::find(name) {
                    Ok(fault) => Some(fault),
                    Err(e) => {
                        let help = e.near().map_or_else(
                            || "a name from `twostage faults`, or healthy".to_owned(),
                            |near| format!("`{near}`"),
                        );
                        table.complain(name, format!("there is no fault `{name}`"), help);
                        continue;
                    }
                }
            };
            if let Some(weight) = weight {
                self.priors.push((fault, weight));
            }
        }
    }

    /// Notes readings of what the rig does not have.
    fn not_there(&self, root: &TableReader<'_>) {
        let base = self.rig.clone().unwrap_or_else(standard_rig);
        self.beside.check(root, &base.rig);
        for item in ALL.iter().filter(|i| self.values[i.id.index()].is_some()) {
            if item.id.is_in(&base.rig) {
                continue;
            }
            if let Some(table) = root.table(item.table).optional() {
                let message = format!("`{}.{}`: this rig has one container", item.table, item.key);
                let help = "a table [rig] with two [[rig.container]], if the vehicle has two";
                table.complain(item.key, message, help);
            }
        }
    }

    /// Yellow is another word for low, and where the pressure is right for want of air (common practice).
    fn look_at_yellow(&mut self, root: &TableReader<'_>) {
        if self.values[Id::Flames.index()].is_none() {
            return;
        }
        let seen = root.table("seen").optional();
        let word = seen.and_then(|t| t.text("flames").optional());
        let read = |id: Id| self.values[id.index()];
        let at = read(Id::FullManifold)
            .or(read(Id::FullOutlet))
            .or(read(Id::HalfOutlet));
        let is_right = at.is_some_and(|pa| pa >= inwc_to_pa(RIGHT_INWC));
        if !word.is_some_and(|w| w.trim().eq_ignore_ascii_case("yellow")) {
            return;
        }
        self.yellow = Some(Yellow::AsLow);
        if is_right {
            self.yellow = Some(Yellow::AtRight);
            self.values[Id::Flames.index()] = None;
        }
    }

    /// Notes readings that contradict each other whatever the fault: gas does not flow uphill.
    fn impossible(&self, root: &TableReader<'_>) {
        for (low, high) in downhill() {
            let (Some(down), Some(up)) = (self.values[low.index()], self.values[high.index()])
            else {
                continue;
            };
            let (below, above) = (low.item(), high.item());
            // Both gauges err, and the two are seldom read in the same minute: where the supply dies away the first read stands higher.
            let errs = below.uncertainty(down) + above.uncertainty(up);
            let slack = 3.0 * (errs + inwc_to_pa(0.5));
            if down > up + slack && !self.over[high.index()] {
                let shown = |v: f64| match v {
                    v if v < psi_to_pa(2.0) => format!("{:.1} inwc", v / inwc_to_pa(1.0)),
                    v => format!("{:.1} psig", v / psi_to_pa(1.0)),
                };
                // The commonest slips: a first stage in psi written down in inches, and an outlet the other way round.
                let (inches, psi) = (up / inwc_to_pa(1.0), down / psi_to_pa(1.0));
                let help = if above.kind == Scale::Middle && FIRST_STAGE.contains(&inches) {
                    format!(
                        "`{}.{} = \"{inches:.1} psi\"`, if psi were meant",
                        above.table, above.key
                    )
                } else if below.kind == Scale::Low && OUTLET.contains(&psi) {
                    format!(
                        "`{}.{} = \"{psi:.1} inwc\"`, if inches of water were meant",
                        below.table, below.key
                    )
                } else {
                    "reading both gauges again, with their units".to_owned()
                };
                let message = format!(
                    "`{}.{}` is {}, over `{}.{}` with {}: gas flows from high to low",
                    below.table,
                    below.key,
                    shown(down),
                    above.table,
                    above.key,
                    shown(up)
                );
                if let Some(table) = root.table(below.table).optional() {
                    table.complain(below.key, message, help);
                }
            }
        }
        self.lost_more_than_was_there(root);
    }

    /// Notes a leak check that lost more than it began with.
    fn lost_more_than_was_there(&self, root: &TableReader<'_>) {
        let item = Id::LeakChange.item();
        let Some(change) = self.values[Id::LeakChange.index()] else {
            return;
        };
        let usual = LIMITS.leak_start.high;
        let began = self.beside.leak_start_pa.unwrap_or(usual);
        let slack = 3.0 * (item.uncertainty(change) + Id::RestMinute.item().uncertainty(began));
        if -change <= began + slack {
            return;
        }
        let inches = |pa: f64| format!("{:.1} inwc", pa / inwc_to_pa(1.0));
        let (lost, began) = (inches(-change), inches(began));
        let message = match self.beside.leak_start_pa {
            Some(_) => format!(
                "`{}` loses {lost}, and the check began at {began}",
                item.key
            ),
            None => format!(
                "`{}` loses {lost}, and a leak check begins at no more than {began}",
                item.key
            ),
        };
        let help = format!(
            "`began_at = \"{}\"` beside it, if that is where it began, or reading both again",
            inches(-change)
        );
        if let Some(table) = root.table(item.table).optional() {
            table.complain(item.key, message, help);
        }
    }

    /// The readings as a file. Of the rig stands there how it is built and where, never a fault:
    /// whoever opens the file is to find that out.
    pub fn to_toml(&self, system: System) -> String {
        let title = toml::Value::String(self.title.clone());
        let mut out = format!("title = {title}\n");
        for name in tables() {
            let mut body = String::new();
            for (i, item) in ALL.iter().enumerate().filter(|(_, i)| i.table == name) {
                if self.yellow.is_some() && item.id == Id::Flames {
                    let _ = writeln!(body, "{} = \"yellow\"", item.key);
                    continue;
                }
                let Some(v) = self.values[i] else { continue };
                let text = match (item.kind, item.dimension()) {
                    (Scale::Words(words), _) => words.get(v as usize).map(|w| (*w).to_owned()),
                    (_, Some(d)) => {
                        let over = if self.over[i] { "> " } else { "" };
                        Some(format!("{over}{}", written(item.kind, v, d, system)))
                    }
                    _ => None,
                };
                if let Some(text) = text {
                    let _ = writeln!(body, "{} = {text:?}", item.key);
                }
                let given = self.uncertainties[i].zip(item.dimension());
                if let Some((one, dimension)) = given {
                    let text = write_quantity(one, difference(dimension), system);
                    let _ = writeln!(body, "{}_uncertainty = {text:?}", item.key);
                }
            }
            self.beside.write_table(name, system, &mut body);
            if !body.is_empty() {
                let _ = write!(out, "\n[{name}]\n{body}");
            }
        }
        out += &self.beside.told_toml();
        if !self.priors.is_empty() {
            out += "\n[prior]\n";
            for (cause, weight) in &self.priors {
                let id = super::cause::cause_id(*cause);
                // A dot within a bare key would begin a table.
                let key = if id.contains('.') {
                    format!("{id:?}")
                } else {
                    id
                };
                let _ = writeln!(out, "{key} = {weight:?}");
            }
        }
        if let Some(rig) = &self.rig {
            let rig = without_events(rig);
            let system = exact_in(&rig, system);
            let _ = write!(out, "\n{}", rig.to_toml_within("rig", system));
        }
        out
    }

    /// Values of the numbers only, for tests and sums.
    pub fn count(&self) -> (usize, usize) {
        let taken = |range: std::ops::Range<usize>| {
            self.values[range].iter().filter(|v| v.is_some()).count()
        };
        (taken(0..NUMBERS), taken(NUMBERS..ITEMS))
    }
}

/// The units that a rig reads back from as exactly what it is, the wanted ones if they do: a rig
/// that differs in the twelfth digit would have to be learned again.
fn exact_in(rig: &Scenario, wanted: System) -> System {
    let other = match wanted {
        System::Us => System::Si,
        System::Si => System::Us,
    };
    let exact = |system: &System| {
        Scenario::parse("rig", &rig.to_toml(*system)).is_ok_and(|back| {
            back.rig == rig.rig && back.site == rig.site && back.charges == rig.charges
        })
    };
    [wanted, other].into_iter().find(exact).unwrap_or(wanted)
}

/// Dimension of an uncertainty.
fn difference(dimension: Dimension) -> Dimension {
    match dimension {
        Dimension::Temperature => Dimension::TemperatureDifference,
        Dimension::GaugePressure => Dimension::PressureDifference,
        other => other,
    }
}

/// Uncertainty of readings that were taken several times, where one alone errs by `one`: a hand errs less, the instrument as
/// before. Where they lie further apart than both explain the state itself wandered, and half of what they lie apart by, less
/// one reading's own, is what is not known of it (own).
fn of_several(reading: Reading, one: f64) -> f64 {
    let hand = (reading.times as f64).recip();
    (one * (0.5 + 0.5 * hand).sqrt()).max(0.5 * reading.apart - one)
}

/// A reading for a file, in the unit of its dial: a first stage that stands low is one in psi all the same.
fn written(kind: Scale, value: f64, dimension: Dimension, system: System) -> String {
    let dial = dimension.units().iter().find(|u| u.symbol == "psig");
    match (kind, system, dial) {
        (Scale::Middle | Scale::High, System::Us, Some(dial)) => write_in(value, dimension, dial),
        _ => write_quantity(value, dimension, system),
    }
}

/// A burner made for 11 in w.c. has its pressure from here on \[in w.c.\] (own: a tenth under).
const RIGHT_INWC: f64 = 10.0;
/// What a first stage may read \[psi\] (own).
const FIRST_STAGE: std::ops::Range<f64> = 2.0..16.0;
/// What an outlet may read \[in w.c.\] (own).
const OUTLET: std::ops::Range<f64> = 5.0..20.0;

/// Readings of one state of the rig, each downstream of those after it. What a container gives is read in a state of its own, and falls
/// short of none.
const DOWNHILL: [&[Id]; 6] = [
    &[
        Id::HalfManifold,
        Id::HalfOutlet,
        Id::FirstHalf,
        Id::HalfInlet,
        Id::Container,
    ],
    &[
        Id::FullManifold,
        Id::FullOutlet,
        Id::FirstFull,
        Id::FullInlet,
        Id::Container,
    ],
    &[Id::LongOutlet, Id::LongContainer],
    &[Id::PilotsOutlet, Id::Container],
    &[Id::RestMinute, Id::FirstRest, Id::Container],
    &[Id::RestCreep, Id::FirstCreep],
];

/// Every two of them, the first downstream of the second.
fn downhill() -> impl Iterator<Item = (Id, Id)> {
    DOWNHILL.into_iter().flat_map(|line| {
        let from = move |k: usize| line[k + 1..].iter().map(move |up| (line[k], *up));
        (0..line.len()).flat_map(from)
    })
}

#[cfg(test)]
mod tests {
    use super::Readings;

    fn refused(text: &str) -> String {
        Readings::parse("r", text).map_or_else(|e| e.to_string(), |_| String::new())
    }

    /// Every two gauges of one state are held against each other, from the container to the manifold: 5 psi before a first stage that
    /// gives 10 and 60 behind a container of 20 are misread. Twins that err are not, nor is a first stage that its inlet just feeds.
    #[test]
    fn gas_flows_from_high_to_low_at_every_gauge() {
        for (text, what) in [
            (
                "[half_load]\ninlet = \"5 psi\"\n[first_stage]\nhalf_load = \"10 psi\"",
                "`half_load.inlet`",
            ),
            (
                "[container]\npressure = \"20 psi\"\n[half_load]\ninlet = \"60 psi\"",
                "`container.pressure`",
            ),
            (
                "[half_load]\noutlet = \"10 inwc\"\nmanifold = \"14 inwc\"",
                "`half_load.outlet`",
            ),
            (
                "[full_load]\nmanifold = \"30 inwc\"\n[first_stage]\nfull_load = \"0.5 psi\"",
                "`first_stage.full_load`",
            ),
        ] {
            let told = refused(text);
            assert!(
                told.contains("gas flows from high to low") && told.contains(what),
                "{told}"
            );
        }
        for text in [
            "[container]\npressure = \"100 psi\"\n[half_load]\ninlet = \"104 psi\"",
            "[half_load]\ninlet = \"10 psi\"\n[first_stage]\nhalf_load = \"10.2 psi\"",
        ] {
            assert_eq!(refused(text), "");
        }
    }

    /// A leak check cannot lose more than was in the line: 9 ± 0.5 in w.c. where nothing else is said.
    #[test]
    fn no_leak_check_loses_more_than_it_began_with() {
        let of = |change: &str, began: &str| {
            refused(&format!(
                "[leak_check]\nchange = \"{change} inwc\"\n{began}"
            ))
        };
        let told = of("-12", "");
        assert!(
            told.contains("loses 12.0 inwc") && told.contains("began_at"),
            "{told}"
        );
        assert!(of("-10", "began_at = \"9 inwc\"").contains("began at 9.0 inwc"));
        assert_eq!(
            (of("-9", ""), of("-12", "began_at = \"12 inwc\"")),
            Default::default()
        );
    }
}
