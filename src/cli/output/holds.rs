//! What a file holds that a task writes: the name it may have, and by what a file that is there is known as one of
//! this program's own. Whatever else begins so much like one as a table with a comma in its head is somebody's work.

use crate::analysis::picture;
use crate::report::attempts;
use std::path::Path;

/// What a file holds, as far as its beginning tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::cli) enum Holds {
    Table,
    Json,
    Picture,
    Page,
    Paper,
    Drill,
    Library,
    Statements,
    Photo,
}

/// Endings that promise a kind of file.
const ENDINGS: [&str; 18] = [
    "png", "jpg", "jpeg", "gif", "webp", "bmp", "pdf", "svg", "csv", "tsv", "xlsx", "json", "html",
    "htm", "md", "toml", "lib", "attempt",
];

/// Bytes that tell what a file holds.
pub(super) const HEAD: u64 = 4096;

/// The first columns of every table that the program writes: run, curves and map in both systems of units, reports.
const COLUMNS: [&str; 12] = [
    "time_s,container_psig,first_stage_psig,outlet_inwc,",
    "container_psig,load_btuh,outlet_",
    "container_kpa,load_kw,outlet_",
    "container_psig,first_stage_psig,lock_up_inwc",
    "container_kpa,first_stage_kpa,lock_up_kpa",
    "container_psig,outlet_psig,case_psig,",
    "container_kpa,outlet_kpa,case_kpa,",
    "draw_btuh,air_f,fill,",
    "draw_kw,air_c,fill,",
    "who,begun,drill,level,",
    "identifier,name,item,score,comment",
    "identifier,drill,attempt,begun,place,",
];

/// What a paper of the program begins with.
const PAPER: &str = "# Faults\n\nMade by `twostage ";

/// What stands in a picture of the window, so that it is known again: a PNG's keyword for the program, and its name.
const SOFTWARE: &[u8] = b"Software\0twostage";
const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";

impl Holds {
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Table => "table",
            Self::Json => "JSON result",
            Self::Picture | Self::Photo => "picture",
            Self::Page => "page",
            Self::Paper => "paper",
            Self::Drill => "sealed drill",
            Self::Library => "library",
            Self::Statements => "list of statements",
        }
    }

    /// Endings of names of such a file.
    fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Table => &["csv"],
            Self::Json | Self::Statements => &["json"],
            Self::Picture => &["svg"],
            Self::Page => &["html", "htm"],
            Self::Paper => &["md"],
            Self::Drill => &["toml"],
            Self::Library => &["lib"],
            Self::Photo => &["png"],
        }
    }

    /// What is wrong with a name that ends as a file of another kind does; whoever opens it by its name would find it broken.
    pub(super) fn misnamed(self, path: &Path) -> Option<(String, String)> {
        let ending = path.extension()?.to_str()?.to_lowercase();
        let (own, first) = (self.endings(), self.endings().first()?);
        if own.contains(&ending.as_str()) || !ENDINGS.contains(&ending.as_str()) {
            return None;
        }
        let why = format!(
            "a {} goes into it, and `.{ending}` says otherwise",
            self.words()
        );
        Some((why, format!("a name that ends in .{first}")))
    }

    /// Whether a file that begins so is a result of this kind that the program wrote: by its own head.
    pub(super) fn fits(self, head: &[u8]) -> bool {
        let text = String::from_utf8_lossy(head);
        let has_line = |start: &str| text.lines().any(|l| l.starts_with(start));
        match self {
            Self::Table => COLUMNS.iter().any(|c| text.starts_with(c)),
            Self::Json => ["{\"format\":\"twostage ", "{\n  \"format\": \"twostage "]
                .iter()
                .any(|start| text.starts_with(start)),
            Self::Picture => {
                let [start, end] = picture::HEAD;
                text.starts_with(start) && text.lines().next().is_some_and(|l| l.ends_with(end))
            }
            Self::Page => {
                let [start, style] = attempts::PAGE;
                text.starts_with(start) && text.contains(&format!("</title><style>{style}"))
            }
            Self::Paper => text.starts_with(PAPER),
            Self::Drill => has_line("format = ") && has_line("sealed = \"\"\""),
            Self::Library => head.starts_with(b"2stgdx"),
            Self::Statements => {
                text.trim() == "[]" || (text.starts_with("[\n") && text.contains("\"actor\": {"))
            }
            Self::Photo => {
                head.starts_with(PNG) && head.windows(SOFTWARE.len()).any(|w| w == SOFTWARE)
            }
        }
    }
}

/// A PNG with the program's name in it, behind its head. What is no PNG stays as it is.
#[cfg(any(test, feature = "window"))]
pub(in crate::cli) fn signed(png: &[u8]) -> Vec<u8> {
    // The signature, and the head: its length, name, thirteen bytes and sum.
    const BEHIND_HEAD: usize = PNG.len() + 4 + 4 + 13 + 4;
    if !png.starts_with(PNG) || png.len() < BEHIND_HEAD {
        return png.to_vec();
    }
    let mut chunk = b"tEXt".to_vec();
    chunk.extend(SOFTWARE);
    let (before, after) = png.split_at(BEHIND_HEAD);
    let length = (SOFTWARE.len() as u32).to_be_bytes();
    [before, &length, &chunk, &crc(&chunk).to_be_bytes(), after].concat()
}

/// The sum of a PNG's chunk: CRC-32 as ISO 3309 and the PNG specification (published) have it.
#[cfg(any(test, feature = "window"))]
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            (sum >> 1) ^ (0xEDB8_8320 & 0_u32.wrapping_sub(sum & 1))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of lines in a file that calls itself one of dots opens nowhere; a name that promises nothing is anybody's.
    #[test]
    fn a_name_that_promises_another_kind_is_refused() {
        let wrong = |kind: Holds, name: &str| kind.misnamed(Path::new(name)).is_some();
        for (kind, right, others) in [
            (Holds::Picture, "x.svg", ["x.png", "x.PDF", "x.csv"]),
            (Holds::Table, "x.csv", ["x.json", "x.toml", "x.svg"]),
            (Holds::Json, "x.json", ["x.attempt", "x.html", "x.png"]),
            (Holds::Page, "x.htm", ["x.pdf", "x.md", "x.svg"]),
        ] {
            for name in [right, "x", "x.txt", "x.out", ".svg", "a.png/x"] {
                assert!(!wrong(kind, name), "{kind:?} {name}");
            }
            for name in others {
                assert!(wrong(kind, name), "{kind:?} {name}");
            }
        }
    }

    /// "IEND" without bytes has the sum AE 42 60 82 in every PNG (the PNG specification).
    #[test]
    fn a_picture_of_the_window_is_known_again() {
        assert_eq!(crc(b"IEND"), 0xAE42_6082);
        let bare = [PNG, &[0; 40]].concat();
        let own = signed(&bare);
        assert!(Holds::Photo.fits(&own) && !Holds::Photo.fits(&bare));
        assert_eq!(own.len(), bare.len() + 12 + SOFTWARE.len());
        assert_eq!(signed(b"no picture"), b"no picture");
    }
}
