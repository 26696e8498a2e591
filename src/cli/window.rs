//! `twostage [FILE]`: the window.

use super::Failure;
use super::output::{Holds, Outputs, Replace, Slot};
use std::path::PathBuf;

/// A picture the window takes of itself and closes: how the pictures of the papers are made.
#[derive(Debug, Clone, clap::Args)]
pub struct Picture {
    /// PNG to write
    #[arg(long, hide = true, value_name = "PNG")]
    pub shot: Option<PathBuf>,
    /// Replace a picture of the window that is there already
    #[arg(long, hide = true, requires = "shot")]
    pub force: bool,
    /// Simulated time of the picture, in seconds
    #[arg(long, hide = true, default_value_t = 30.0, requires = "shot")]
    pub at: f64,
    /// Stretch of time in the charts, in seconds
    #[arg(long, hide = true, requires = "shot")]
    pub span: Option<f64>,
    /// Stage whose forces are shown, 1 or 2
    #[arg(long, hide = true, requires = "shot", value_parser = clap::value_parser!(u8).range(1..=2))]
    pub forces: Option<u8>,
    /// What the page does before the picture, e.g. the name of a test
    #[arg(long, hide = true, requires = "shot", value_name = "WHAT")]
    pub begin: Option<String>,
    /// Page at the right: faults, bench, causes, curves, numbers, drills, lessons
    #[arg(long, hide = true, requires = "shot")]
    pub page: Option<String>,
    /// Tell when the first frame was shown
    #[arg(long, hide = true, requires = "shot")]
    pub timing: bool,
    /// From outside, 0, to inside, 1
    #[arg(long, hide = true, requires = "shot")]
    pub view: Option<f32>,
    /// SI units
    #[arg(long, hide = true, requires = "shot")]
    pub si: bool,
    /// Dark appearance
    #[arg(long, hide = true, requires = "shot")]
    pub dark: bool,
    /// Text size, 1 is the usual one
    #[arg(long, hide = true, requires = "shot")]
    pub text: Option<f32>,
    /// Width and height of the window
    #[arg(long, hide = true, requires = "shot", num_args = 2, value_names = ["WIDTH", "HEIGHT"])]
    pub size: Option<Vec<f32>>,
}

/// Where the picture goes, looked at before a window is opened.
fn wanted(file: Option<&PathBuf>, picture: &Picture) -> Result<(Outputs, Option<Slot>), Failure> {
    let replace = Replace {
        force: picture.force,
    };
    let mut outputs = Outputs::new(file, replace);
    let slot = outputs.add_if(picture.shot.as_ref(), "--shot", Holds::Photo)?;
    Ok((outputs, slot))
}

/// Opens the window on a file, or on the scenario that is built in.
///
/// # Errors
/// That the file is wrong, or that no window can be opened.
#[cfg(feature = "window")]
pub fn open_window(file: Option<PathBuf>, picture: Picture) -> Result<(), Failure> {
    use super::output::signed;
    use crate::scenario::Scenario;
    use crate::window::{Shot, Start, Tray, run};
    let begun = picture.timing.then(std::time::Instant::now);
    let scenario = match &file {
        Some(path) => Scenario::load(path).map_err(|e| Failure::wrong(e.to_string()))?,
        None => Scenario::opening(),
    };
    let (outputs, slot) = wanted(file.as_ref(), &picture)?;
    let shot = match slot {
        None => None,
        Some(_) => Some(Shot {
            tray: Tray::default(),
            at_s: picture.at,
            span_s: picture.span,
            balance: picture.forces.map(|n| usize::from(n) - 1),
            begin: picture.begin,
            begun: begun.map(Into::into),
            page: page_named(picture.page.as_deref())?,
            view: picture.view,
            si: picture.si,
            dark: picture.dark,
            text: picture.text,
            size: picture.size.map(|s| [s[0], s[1]]),
        }),
    };
    let png = run(Start {
        scenario,
        file,
        shot,
    })
    .map_err(|e| Failure::failed(format!("error: {e}")))?;
    match (slot, png) {
        (Some(slot), Some(png)) => outputs.write(&[(slot, &signed(&png))]),
        _ => Ok(()),
    }
}

#[cfg(feature = "window")]
fn page_named(name: Option<&str>) -> Result<crate::window::Page, Failure> {
    use crate::window::Page;
    let Some(name) = name else {
        return Ok(Page::default());
    };
    Page::ALL
        .into_iter()
        .find(|(_, known)| known.eq_ignore_ascii_case(name))
        .map(|(page, _)| page)
        .ok_or_else(|| {
            let known: Vec<String> = Page::ALL.iter().map(|(_, n)| n.to_lowercase()).collect();
            Failure::wrong(format!(
                "error: there is no page `{name}`\n  try: one of {}",
                known.join(", ")
            ))
        })
}

/// Says that this build has no window.
///
/// # Errors
/// Always.
#[allow(clippy::needless_pass_by_value, reason = "as the one with a window")]
#[cfg(not(feature = "window"))]
pub fn open_window(file: Option<PathBuf>, picture: Picture) -> Result<(), Failure> {
    wanted(file.as_ref(), &picture)?;
    // What is wrong with a file that is there is told all the same.
    if let Some(path) = file.as_ref().filter(|path| path.exists()) {
        crate::scenario::Scenario::load(path).map_err(|e| Failure::wrong(e.to_string()))?;
    }
    let name = file.map_or_else(|| "FILE".to_owned(), |file| file.display().to_string());
    Err(Failure::wrong(format!(
        "error: this build has no window\n  try: `twostage run {name}`, or a build with the feature `window`"
    )))
}
