//! The shipped scenarios by name, and the pressures that a run of one is summed up in. Not here: what must come of them.

use std::collections::BTreeMap;
use std::path::Path;

use twostage::report::Summary;
use twostage::scenario::Scenario;
use twostage::units::pa_to_inwc;

/// All of them.
pub fn scenarios() -> BTreeMap<String, Scenario> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            let scenario = Scenario::load(&path).unwrap_or_else(|e| panic!("{e}"));
            (name, scenario)
        })
        .collect()
}

/// One of them.
pub fn scenario(name: &str) -> Scenario {
    scenarios()
        .remove(name)
        .unwrap_or_else(|| panic!("no {name}"))
}

/// The pressure readings of a summary, by name \[in w.c.\].
pub fn summary_inwc(s: &Summary) -> Vec<(&'static str, f64)> {
    let mut out = vec![
        ("lowest outlet", s.outlet_pa.low),
        ("highest outlet", s.outlet_pa.high),
        ("lowest in the piping", s.manifold_pa.low),
        ("highest in the piping", s.manifold_pa.high),
        ("outlet at the end", s.outlet_end_pa),
    ];
    for (name, steady) in [
        ("flow", &s.flow),
        ("half load", &s.half_load),
        ("full load", &s.full_load),
        ("lock-up", &s.lock_up),
    ] {
        if let Some(steady) = steady {
            out.push((name, steady.low_pa));
            out.push((name, steady.high_pa));
        }
    }
    out.iter()
        .map(|(name, pa)| (*name, pa_to_inwc(*pa)))
        .collect()
}
