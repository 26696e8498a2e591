//! Instruments and actions of a drill: their names in files, and what each costs in minutes of the
//! trainee's clock. The minutes are hand work before the thing itself: fitting a gauge, wetting a
//! joint, taking a hose off. What a test then needs to run comes on top.
//!
//! The usual minutes are invented, for comparison between paths only: an experienced hand with
//! everything within reach.

/// An instrument or an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Tool {
    /// Looking: flames, frost, vent.
    Eyes,
    /// Listening.
    Ears,
    /// Water manometer for outlet, manifold and appliance taps.
    Manometer,
    /// Gauge on the first-stage tap.
    InterstageGauge,
    /// Gauge on the container or the regulator's inlet.
    ContainerGauge,
    /// Thermometer.
    Thermometer,
    /// Scales for a container.
    Scales,
    /// Leak fluid.
    LeakFluid,
    /// Pump and gauge for the test of new piping.
    AirPump,
    /// Lighting and shutting off burners.
    Burners,
    /// Turning container valves.
    Valve,
    /// Tapping the regulator.
    Tap,
    /// A burst of flow through the test tap.
    Flush,
    /// Clearing the vents.
    ClearVents,
    /// Warm wet cloth.
    WarmCloth,
    /// Adjusting screw.
    Screw,
    /// A new pigtail hose.
    NewHose,
    /// A new regulator.
    NewRegulator,
}

impl Tool {
    /// All tools.
    pub const ALL: [Self; 18] = [
        Self::Eyes,
        Self::Ears,
        Self::Manometer,
        Self::InterstageGauge,
        Self::ContainerGauge,
        Self::Thermometer,
        Self::Scales,
        Self::LeakFluid,
        Self::AirPump,
        Self::Burners,
        Self::Valve,
        Self::Tap,
        Self::Flush,
        Self::ClearVents,
        Self::WarmCloth,
        Self::Screw,
        Self::NewHose,
        Self::NewRegulator,
    ];

    /// What everyone has: hands, eyes and ears.
    pub const ALWAYS: [Self; 4] = [Self::Eyes, Self::Ears, Self::Burners, Self::Valve];

    /// Name in files, words for people, usual minutes.
    fn about(self) -> (&'static str, &'static str, f64) {
        match self {
            Self::Eyes => ("eyes", "a look at flames, frost and vent", 1.0),
            Self::Ears => ("ears", "an ear at the regulator", 0.5),
            Self::Manometer => ("manometer", "water manometer", 1.0),
            Self::InterstageGauge => ("interstage_gauge", "gauge on the first-stage tap", 3.0),
            Self::ContainerGauge => ("container_gauge", "gauge on container and inlet", 3.0),
            Self::Thermometer => ("thermometer", "thermometer", 1.0),
            Self::Scales => ("scales", "scales", 5.0),
            Self::LeakFluid => ("leak_fluid", "leak fluid", 1.0),
            Self::AirPump => ("air_pump", "air pump and gauge for piping", 20.0),
            Self::Burners => ("burners", "lighting and shutting off burners", 0.2),
            Self::Valve => ("valve", "container valve", 0.5),
            Self::Tap => ("tap", "a tap on the regulator", 0.5),
            Self::Flush => ("flush", "a burst of flow through the test tap", 4.0),
            Self::ClearVents => ("clear_vents", "clearing the vents", 5.0),
            Self::WarmCloth => ("warm_cloth", "warm wet cloth", 3.0),
            Self::Screw => ("screw", "adjusting screw", 5.0),
            Self::NewHose => ("new_hose", "a new pigtail hose", 15.0),
            Self::NewRegulator => ("new_regulator", "a new regulator", 40.0),
        }
    }

    /// Name in files.
    pub fn id(self) -> &'static str {
        self.about().0
    }

    /// In words.
    pub fn words(self) -> &'static str {
        self.about().1
    }

    /// Usual minutes of hand work.
    pub fn usual_minutes(self) -> f64 {
        self.about().2
    }
}

/// The tools of a drill with the minutes each costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Bag {
    minutes: Vec<(Tool, f64)>,
}

impl Bag {
    /// These tools at the minutes given; hands, eyes and ears are always among them.
    pub fn new(tools: impl IntoIterator<Item = (Tool, f64)>) -> Self {
        let mut minutes: Vec<(Tool, f64)> = tools.into_iter().collect();
        for tool in Tool::ALWAYS {
            if !minutes.iter().any(|(t, _)| *t == tool) {
                minutes.push((tool, tool.usual_minutes()));
            }
        }
        minutes.sort_by_key(|(t, _)| *t);
        minutes.dedup_by_key(|(t, _)| *t);
        Self { minutes }
    }

    /// Every tool at its usual minutes.
    pub fn full() -> Self {
        Self::new(Tool::ALL.map(|t| (t, t.usual_minutes())))
    }

    /// Whether the tool is at hand.
    pub fn has(&self, tool: Tool) -> bool {
        self.minutes.iter().any(|(t, _)| *t == tool)
    }

    /// Minutes the tool costs; its usual ones where it is not at hand.
    pub fn minutes(&self, tool: Tool) -> f64 {
        self.minutes
            .iter()
            .find(|(t, _)| *t == tool)
            .map_or(tool.usual_minutes(), |(_, m)| *m)
    }

    /// Tools and minutes, in the order of [`Tool::ALL`].
    pub fn all(&self) -> &[(Tool, f64)] {
        &self.minutes
    }
}
