//! The drill file: what a drill is, read from TOML and written to it.
//!
//! Open part: title, complaint, the rig (a scenario in the file or named), what is at hand, what
//! must not be done, when it ends. Hidden part: the faults, and what was computed when it was
//! sealed. An author writes the hidden part as `[[fault]]` tables; `drill new` seals them.

pub use super::hidden::{Hidden, Worked};
use super::hidden::{
    LONGEST_S, complains_of, complains_toml, faults, faults_toml, hidden_part, hidden_toml, onset_s,
};
use super::seal;
use super::weights::Weights;
use crate::diagnosis::files::account::Complaint;
use crate::drill::reasoning::causes::Cause;
use crate::fault::Fault;
use crate::form::{Form, FormError, Mistakes, TableReader, fnv1a, read_file};
use crate::scenario::Scenario;
use crate::units::{Dimension, System, write_quantity};
use crate::visit::{Bag, Tool};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Version of the drill file.
pub const FORMAT: i64 = 1;
/// Minutes that a drill may take where it does not say.
const USUAL_LIMIT_S: f64 = 90.0 * 60.0;
/// Longest drill file, bytes.
const MOST_BYTES: u64 = 1_000_000;

/// What must not be done, beyond what never may.
#[derive(Debug, Clone, PartialEq)]
pub struct Forbidden {
    /// With which tool.
    pub tool: Tool,
    /// Why.
    pub because: String,
}

/// A drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// Title.
    pub title: String,
    /// The complaint in the owner's words.
    pub complaint: String,
    /// What that is a complaint of, where its author says: the rig is held to it when it is sealed.
    pub complains_of: Vec<Complaint>,
    /// Whether the owner reports gas that escapes: by the words of the complaint, unless the file says otherwise.
    pub gas_told: bool,
    /// The rig and its site, healthy.
    pub scenario: Scenario,
    /// What is at hand.
    pub bag: Bag,
    /// What must not be done.
    pub must_not: Vec<Forbidden>,
    /// Time after which the drill ends \[s\].
    pub limit_s: f64,
    /// Seed it was generated from, if it was.
    pub seed: Option<u64>,
    /// What its marks are made of.
    pub weights: Weights,
    /// Whether it is an exam: what the trainee judges is answered at the end, not at once.
    pub exam: bool,
    /// Whether it asks before each test why that one.
    pub asks_why: bool,
    /// The hidden faults.
    pub faults: Vec<Hidden>,
    /// What was computed, if it was sealed.
    pub worked: Option<Worked>,
    /// Stands for the drill in logs of attempts: its open text and its faults. What was computed may be
    /// computed anew, and the logs stay of this drill.
    pub sum: u64,
}

/// A drill that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum DrillError {
    /// The file cannot be read or has mistakes.
    #[error(transparent)]
    File(#[from] FormError),
    /// The sealed part does not open.
    #[error("error: {why}\n  {file}\n  try: {help}")]
    Seal {
        /// What is wrong.
        why: seal::SealError,
        /// Which file.
        file: String,
        /// What to do.
        help: &'static str,
    },
    /// Written by a later program.
    #[error(
        "error: the drill has format {found}; this program reads format {FORMAT}\n  {file}\n  try: a newer twostage"
    )]
    Newer {
        /// Format of the file.
        found: i64,
        /// Which file.
        file: String,
    },
}

impl From<Mistakes> for DrillError {
    fn from(mistakes: Mistakes) -> Self {
        Self::File(mistakes.into())
    }
}

/// What an author is asked.
const GAS_TOLD: &str = "say whether the owner reports escaping gas (a smell, a hiss or a roar, a leak, bubbles): gas_told = true where the complaint does, gas_told = false where it does not";

impl Drill {
    /// Reads a drill file.
    ///
    /// # Errors
    /// [`DrillError`] with what, where and what to do.
    pub fn load(path: &Path) -> Result<Self, DrillError> {
        let source = read_file(path, MOST_BYTES)?;
        Self::read(&path.display().to_string(), &source, path.parent())
    }

    /// Reads the text of a drill file; `name` is what messages call it. A rig that the text only
    /// names is looked for in `folder`.
    ///
    /// # Errors
    /// [`DrillError`].
    pub fn read(name: &str, source: &str, folder: Option<&Path>) -> Result<Self, DrillError> {
        let form = Form::parse(name, source)?;
        let root = form.root();
        let format = root.integer("format").required_or(FORMAT);
        if format > FORMAT {
            return Err(DrillError::Newer {
                found: format,
                file: name.to_owned(),
            });
        }
        let mut open = seal::open_text(source);
        let sealed = root.long_text(seal::KEY, seal::MOST_SIGNS).optional();
        let named = named_scenario(&root, folder)?;
        if let Some((_, text)) = &named {
            open.push_str(&seal::open_text(text));
        }
        let is_open = sealed.is_none();
        let (faults, worked, complains_of) = match sealed {
            Some(sealed) => {
                if root.has("fault") {
                    root.complain(
                        "fault",
                        "`fault` and `sealed` cannot stand together",
                        "one of them: `sealed` holds the faults",
                    );
                }
                let hidden = seal::unseal(&open, &sealed).map_err(|why| unopened(why, name))?;
                hidden_part(name, &hidden)?
            }
            None => (faults(&root, true), None, complains_of(&root)),
        };
        let sum = fnv1a(words_of(&format!("{open}\n{}", faults_toml(&faults))).as_bytes());
        let scenario = match named {
            Some((scenario, _)) => {
                root.has("scenario");
                scenario
            }
            None => match root.table("scenario").required() {
                Some(table) => Scenario::from_table(&table),
                None => Scenario::opening(),
            },
        };
        let count = scenario.rig.containers.len();
        for h in &faults {
            if h.fault.side().is_some_and(|side| side.container() >= count) {
                let message = format!("`{}` strikes a side that this rig has not", h.fault);
                root.complain("fault", message, format!("`{}`", h.fault.id()));
            }
            // An answer names no appliance, so what is hidden strikes the first that has the part.
            if h.fault.burner().is_some() {
                let message = format!("`{}` names an appliance, which no answer can", h.fault);
                root.complain("fault", message, format!("`{}`", h.fault.id()));
            }
        }
        let settled = |f: Fault| f.settled(&scenario.rig, scenario.service_side);
        let mut faults = faults;
        faults.iter_mut().for_each(|h| h.fault = settled(h.fault));
        let mut worked = worked;
        let accepts = worked
            .iter_mut()
            .flat_map(|w| w.accepts.iter_mut().flatten());
        accepts.for_each(|f| *f = settled(*f));
        let complaint = root
            .text("complaint")
            .not_empty()
            .at_most_chars(1500)
            .required_or(String::new());
        // An author is asked: a smell forbids a flame, and nobody reads that out of a sentence. What was sealed before it was asked
        // told of none.
        let gas_told = match root.boolean("gas_told").asks(GAS_TOLD) {
            told if is_open => told.required_or(false),
            told => told.or(false),
        };
        let drill = Self {
            gas_told,
            complaint,
            complains_of,
            title: root
                .text("title")
                .not_empty()
                .at_most_chars(100)
                .required_or(String::new()),
            bag: bag(&root),
            must_not: must_not(&root),
            limit_s: limit_s(&root),
            seed: root
                .integer("seed")
                .between(0..=i64::MAX)
                .optional()
                .map(|s| s as u64),
            weights: Weights::read(&root),
            exam: root.boolean("exam").or(false),
            asks_why: root.boolean("ask_why").or(false),
            scenario,
            faults,
            worked,
            sum,
        };
        Ok(form.finish(drill)?)
    }

    /// The faults with the severity they come to.
    pub fn causes(&self) -> Vec<(Fault, f64)> {
        self.faults.iter().map(|h| (h.fault, h.severity)).collect()
    }

    /// A cause where it would come on this drill's rig: what names no side comes on the side on service.
    pub fn settled(&self, cause: &Cause) -> Cause {
        let rig = &self.scenario.rig;
        let settled = |f: &Fault| f.settled(rig, self.scenario.service_side);
        cause.iter().map(settled).collect()
    }

    /// The faults by name.
    pub fn cause(&self) -> Cause {
        self.faults.iter().map(|h| h.fault).collect()
    }

    /// The fault that the title or the complaint names, as a list or a code would: whoever reads them has the answer.
    pub fn names_its_fault(&self) -> Option<Fault> {
        let plain = |text: &str| text.to_lowercase().replace(['_', '-'], " ");
        let told = [plain(&self.title), plain(&self.complaint)];
        let says = |name: &str| told.iter().any(|t| t.contains(&plain(name)));
        let named = |f: &Fault| says(f.entry().id) || says(f.entry().name);
        self.cause().into_iter().find(named)
    }

    /// When the last fault is fully there \[s\].
    pub fn onset_s(&self) -> f64 {
        onset_s(&self.faults)
    }

    /// Whether the complaint is one that comes and goes: what is wrong may not show from the start.
    pub fn is_intermittent(&self) -> bool {
        self.onset_s() > 0.0
    }

    /// The text of a sealed drill file with these faults and what was computed.
    pub fn to_sealed(&self, worked: &Worked) -> String {
        let open = self.open_toml();
        let hidden = complains_toml(&self.complains_of) + &hidden_toml(&self.faults, Some(worked));
        let unmarked = open.replacen(SEAL_HERE, "\n", 1);
        let seal = seal::seal(&seal::open_text(&unmarked), &hidden);
        let key = format!("{} = \"\"\"\n{seal}\"\"\"\n\n", seal::KEY);
        open.replacen(SEAL_HERE, &format!("\n{key}"), 1)
    }

    /// The text of a drill file with its faults in the open, as an author writes it.
    pub fn to_open(&self) -> String {
        let hidden = hidden_toml(&self.faults, None);
        let told = format!("\n{}", complains_toml(&self.complains_of));
        self.open_toml().replacen(SEAL_HERE, &told, 1) + "\n" + &hidden
    }

    fn open_toml(&self) -> String {
        let text = |s: &str| toml::Value::String(s.to_owned()).to_string();
        let time = |s: f64| text(&write_quantity(s, Dimension::Time, System::Us));
        let mut out = String::from(
            "# A fault drill. What is hidden is coded, not secret: do not change the file by hand.\n",
        );
        let _ = writeln!(out, "format = {FORMAT}");
        let _ = writeln!(out, "title = {}", text(&self.title));
        let _ = writeln!(out, "complaint = {}", text(&self.complaint));
        let _ = writeln!(out, "gas_told = {}", self.gas_told);
        let _ = writeln!(out, "limit = {}", time(self.limit_s));
        if let Some(seed) = self.seed {
            let _ = writeln!(out, "seed = {seed}");
        }
        if self.exam {
            out.push_str("exam = true\n");
        }
        if self.asks_why {
            out.push_str("ask_why = true\n");
        }
        out.push_str(SEAL_HERE);
        out.push_str("[at_hand]\n");
        for (tool, minutes) in self.bag.all() {
            let _ = writeln!(out, "{} = {}", tool.id(), time(60.0 * minutes));
        }
        for f in &self.must_not {
            let _ = writeln!(
                out,
                "\n[[must_not]]\ntool = {}\nbecause = {}",
                text(f.tool.id()),
                text(&f.because)
            );
        }
        out.push_str(&self.weights.to_toml());
        out.push('\n');
        out.push_str(&self.scenario.to_toml_within("scenario", System::Us));
        out
    }
}

/// Where the seal goes in the open text.
const SEAL_HERE: &str = "\n#seal\n";

/// A text's words, whatever the mail did to line ends.
fn words_of(source: &str) -> String {
    source.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unopened(why: seal::SealError, file: &str) -> DrillError {
    let help = match why {
        seal::SealError::Newer(_) => "a newer twostage",
        _ => "a fresh copy from whoever made the drill",
    };
    DrillError::Seal {
        why,
        file: file.to_owned(),
        help,
    }
}

type Named = Option<(Scenario, String)>;

/// The scenario of a drill that only names it: a file beside the drill, no way out of its folder.
fn named_scenario(root: &TableReader<'_>, folder: Option<&Path>) -> Result<Named, DrillError> {
    if root.has("scenario_file") {
        let name = root.text("scenario_file").not_empty().at_most_chars(200);
        let inside = |name: &String| {
            let plain = Path::new(name)
                .components()
                .all(|c| matches!(c, std::path::Component::Normal(_)));
            if plain {
                Ok(())
            } else {
                Err((
                    "`scenario_file` leaves the drill's folder".to_owned(),
                    "a file beside the drill".to_owned(),
                ))
            }
        };
        let Some(name) = name.check(inside).required() else {
            return Ok(None);
        };
        let path = folder.unwrap_or(Path::new("")).join(name);
        if leads_out(&path, folder) {
            root.complain(
                "scenario_file",
                "`scenario_file` leaves the drill's folder through a link",
                "a file beside the drill",
            );
            return Ok(None);
        }
        let source = read_file(&path, MOST_BYTES)?;
        let scenario = Scenario::parse(&path.display().to_string(), &source)?;
        return Ok(Some((scenario, source)));
    }
    Ok(None)
}

/// Whether a file that is there lies elsewhere than in its folder, links followed.
fn leads_out(path: &Path, folder: Option<&Path>) -> bool {
    let folder = folder.filter(|f| !f.as_os_str().is_empty());
    match (
        path.canonicalize(),
        folder.unwrap_or(Path::new(".")).canonicalize(),
    ) {
        (Ok(path), Ok(folder)) => !path.starts_with(folder),
        _ => false,
    }
}

/// The scenario file that a drill file names, whatever else is in it.
pub fn scenario_beside(drill: &Path) -> Option<PathBuf> {
    let text = read_file(drill, MOST_BYTES).ok()?;
    let table: toml::Table = text.parse().ok()?;
    let name = table.get("scenario_file")?.as_str()?;
    Some(drill.parent().unwrap_or(Path::new("")).join(name))
}

fn limit_s(root: &TableReader<'_>) -> f64 {
    root.quantity("limit", Dimension::Time)
        .between(60.0..=LONGEST_S)
        .or(USUAL_LIMIT_S)
}

fn bag(root: &TableReader<'_>) -> Bag {
    let Some(table) = root.table("at_hand").optional() else {
        return Bag::full();
    };
    let mut tools = Vec::new();
    for tool in Tool::ALL {
        let minutes = table
            .quantity(tool.id(), Dimension::Time)
            .between(0.0..=LONGEST_S)
            .optional();
        if let Some(s) = minutes {
            tools.push((tool, s / 60.0));
        }
    }
    Bag::new(tools)
}

fn must_not(root: &TableReader<'_>) -> Vec<Forbidden> {
    let tools: Vec<(&str, Tool)> = Tool::ALL.iter().map(|t| (t.id(), *t)).collect();
    let tables = root
        .tables("must_not")
        .count(0..=Tool::ALL.len())
        .or(Vec::new());
    tables
        .iter()
        .filter_map(|t| {
            let because = t.text("because").not_empty().at_most_chars(400).required();
            let tool = t.choice("tool", &tools).required();
            Some(Forbidden {
                tool: tool?,
                because: because?,
            })
        })
        .collect()
}
