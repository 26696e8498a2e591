//! The table of every command with its doors.

/// One command: its words, a call that says something on standard output, and what of it is read and written. `IN` stands for
/// a scenario, `READ` for readings, `DRILL`, `SEALED`, `LOG`, `LOGS` for a drill, a sealed one, an attempt and a folder of
/// attempts, `CLASS` for the folder of a class, `NAMES` for a list of people. A command may stand here twice.
pub struct Walk {
    pub words: &'static str,
    pub call: &'static [&'static str],
    /// Whether the call takes minutes: then it is made only where it must be refused before the work.
    pub long: bool,
    /// Arguments of the call that name a file which is read.
    pub inputs: &'static [&'static str],
    /// Arguments of the call that name a folder which is read.
    pub folders: &'static [&'static str],
    /// Options that write a file when all is done; no option where the name stands alone.
    pub outputs: &'static [&'static str],
    /// Options that write a file on the way, and go on with one of their own.
    pub kept: &'static [&'static str],
    /// Whether it reads lines from standard input.
    pub lines: bool,
}

impl Walk {
    const NONE: Self = Self {
        words: "",
        call: &[],
        long: false,
        inputs: &[],
        folders: &[],
        outputs: &[],
        kept: &[],
        lines: false,
    };

    /// The call with its output, or whatever it goes on with, at this name.
    pub fn called_for<'a>(&self, option: &'a str, name: &'a str) -> Vec<&'a str> {
        let mut call = self.call.to_vec();
        call.extend((!option.is_empty()).then_some(option));
        call.push(name);
        call
    }
}

/// All of them.
pub const COMMANDS: &[Walk] = &[
    Walk {
        call: &["IN"],
        long: true,
        inputs: &["IN"],
        outputs: &["--shot"],
        ..Walk::NONE
    },
    Walk {
        words: "run",
        call: &["run", "IN"],
        inputs: &["IN"],
        outputs: &["--csv", "--json"],
        ..Walk::NONE
    },
    Walk {
        words: "check",
        call: &["check", "IN"],
        inputs: &["IN"],
        ..Walk::NONE
    },
    Walk {
        words: "service",
        call: &["service", "IN", "--test", "flow-pressure"],
        inputs: &["IN"],
        outputs: &["--json"],
        ..Walk::NONE
    },
    Walk {
        words: "curve",
        call: &["curve", "IN", "--points", "2"],
        inputs: &["IN"],
        outputs: &["--csv", "--svg"],
        ..Walk::NONE
    },
    Walk {
        words: "stability",
        call: &["stability", "IN", "--points", "2"],
        inputs: &["IN"],
        outputs: &["--csv", "--svg"],
        ..Walk::NONE
    },
    Walk {
        words: "faults",
        call: &["faults"],
        ..Walk::NONE
    },
    Walk {
        words: "diagnose",
        call: &["diagnose", "--priors"],
        ..Walk::NONE
    },
    Walk {
        words: "diagnose",
        call: &["diagnose", "READ"],
        long: true,
        inputs: &["READ"],
        ..Walk::NONE
    },
    Walk {
        words: "library make",
        call: &["library", "make"],
        long: true,
        outputs: &[""],
        ..Walk::NONE
    },
    Walk {
        words: "library evaluate",
        call: &["library", "evaluate", "1"],
        ..Walk::NONE
    },
    Walk {
        words: "library isolability",
        call: &["library", "isolability"],
        long: true,
        ..Walk::NONE
    },
    Walk {
        words: "drill new",
        call: &["drill", "new", "--from", "DRILL", "--out", "-"],
        long: true,
        inputs: &["DRILL"],
        ..Walk::NONE
    },
    Walk {
        words: "drill new",
        call: &["drill", "new", "--from", "DRILL"],
        long: true,
        outputs: &["--out"],
        ..Walk::NONE
    },
    Walk {
        words: "drill check",
        call: &["drill", "check", "--quick", "DRILL"],
        inputs: &["DRILL"],
        ..Walk::NONE
    },
    Walk {
        words: "drill reseal",
        call: &["drill", "reseal"],
        long: true,
        kept: &[""],
        ..Walk::NONE
    },
    Walk {
        words: "drill reseal",
        call: &["drill", "reseal", "DRILL"],
        long: true,
        inputs: &["DRILL"],
        ..Walk::NONE
    },
    Walk {
        words: "drill try",
        call: &["drill", "try", "DRILL", "--who", "Ada", "--log", "NEW"],
        inputs: &["DRILL"],
        lines: true,
        ..Walk::NONE
    },
    Walk {
        words: "drill try",
        call: &["drill", "try", "DRILL", "--who", "Ada"],
        long: true,
        inputs: &["DRILL"],
        kept: &["--log"],
        ..Walk::NONE
    },
    Walk {
        words: "drill expert",
        call: &[
            "drill",
            "expert",
            "DRILL",
            "--who",
            "Ada",
            "--attempts",
            "LOGS",
        ],
        long: true,
        inputs: &["DRILL"],
        folders: &["LOGS"],
        ..Walk::NONE
    },
    Walk {
        words: "drill grade",
        call: &["drill", "grade", "DRILL", "LOG", "--marks"],
        inputs: &["DRILL", "LOG"],
        ..Walk::NONE
    },
    Walk {
        words: "drill list",
        call: &["drill", "list"],
        ..Walk::NONE
    },
    Walk {
        words: "drill report",
        call: &["drill", "report", "LOGS", "--drills", "DRILLS"],
        folders: &["LOGS", "DRILLS"],
        outputs: &["--html", "--csv"],
        ..Walk::NONE
    },
    Walk {
        words: "class new",
        call: &[
            "class", "new", "MADE", "--name", "Friday", "--names", "NAMES",
        ],
        inputs: &["NAMES"],
        ..Walk::NONE
    },
    Walk {
        words: "class add",
        call: &["class", "add", "FRESH", "--names", "NAMES"],
        inputs: &["NAMES"],
        folders: &["FRESH"],
        ..Walk::NONE
    },
    Walk {
        words: "class list",
        call: &["class", "list", "CLASS"],
        folders: &["CLASS"],
        ..Walk::NONE
    },
    Walk {
        words: "class release",
        call: &["class", "release", "CLASS"],
        folders: &["CLASS"],
        ..Walk::NONE
    },
    Walk {
        words: "class try",
        call: &[
            "class",
            "try",
            "CLASS",
            "--who",
            "1",
            "--drill",
            "since_the_rain",
        ],
        folders: &["CLASS"],
        lines: true,
        ..Walk::NONE
    },
    Walk {
        words: "class next",
        call: &["class", "next", "CLASS", "--who", "1"],
        folders: &["CLASS"],
        ..Walk::NONE
    },
    Walk {
        words: "class report",
        call: &["class", "report", "CLASS"],
        folders: &["CLASS"],
        ..Walk::NONE
    },
    Walk {
        words: "class mine",
        call: &["class", "mine", "CLASS", "--who", "Ada"],
        folders: &["CLASS"],
        ..Walk::NONE
    },
    Walk {
        words: "lesson list",
        call: &["lesson", "list", "--progress", "PROGRESS"],
        inputs: &["PROGRESS"],
        ..Walk::NONE
    },
    Walk {
        words: "lesson run",
        call: &["lesson", "run", "droop", "--progress", "PROGRESS"],
        inputs: &["PROGRESS"],
        lines: true,
        ..Walk::NONE
    },
    Walk {
        words: "lesson run",
        call: &["lesson", "run", "droop"],
        long: true,
        kept: &["--progress"],
        ..Walk::NONE
    },
];
